"""Moment arms from the path pull the way the atlas says, but for the listed differences."""

import csv
from dataclasses import replace
from pathlib import Path

import pytest

from motionlabel.anatomy import Articulation, Movement, atlas
from motionlabel.musculature.paths import all_lines
from tests.musculature.claimed import claims_of, not_at

_LISTED = Path(__file__).with_name("not_as_the_atlas_says.csv")
_COUNT = 200  # lines times movements that are looked at: at least so many, so that the check is no empty one


def _listed():
    with _LISTED.open(encoding="utf-8", newline="") as file:
        return {
            (row["muscle"], row["line"], row["joint"], row["motion"], row["when"]): (row["not_at_deg"], row["why"])
            for row in csv.DictReader(file)
        }


@pytest.mark.parametrize("muscle", sorted(all_lines()))
def test_a_muscle_pulls_as_the_atlas_says_but_for_the_listed_angles(muscle):
    found = {}
    for action in claims_of(atlas().muscles[muscle]):
        when = " and ".join(part.text for part in action.when)
        for line in all_lines()[muscle]:
            degrees = not_at(line, action)
            if degrees:
                found[muscle, line.name, action.joint, action.motion, when] = " ".join(map(str, degrees))
    listed = {key: degrees for key, (degrees, _) in _listed().items() if key[0] == muscle}
    assert found == listed


def test_every_listed_difference_is_explained_and_of_a_muscle_with_a_path():
    for (muscle, *_), (_, why) in _listed().items():
        assert muscle in all_lines()
        assert len(why.split()) > 3


def test_the_check_covers_the_atlas():
    looked_at = [
        (line, action)
        for muscle in all_lines()
        for line in all_lines()[muscle]
        for action in claims_of(atlas().muscles[muscle])
    ]
    assert len(looked_at) >= _COUNT


def test_the_check_finds_a_wrong_claim():
    soleus = all_lines()["soleus"][0]
    right = atlas().muscles["soleus"].action(Articulation.ANKLE, Movement.PLANTARFLEXION)
    assert not_at(soleus, right) == ()
    assert not_at(soleus, replace(right, motion=Movement.DORSIFLEXION)) == (-30, 0, 15)
