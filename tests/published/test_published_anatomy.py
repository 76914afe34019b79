"""The anatomy files against named textbooks and lists: attachments, nerves and roots.

``muscle_supplies.csv`` transcribes who says which nerve (and roots) of a muscle, all of it read; UBERON has its
own test.
"""

import csv
from collections import defaultdict
from pathlib import Path

import pytest

from motionlabel.anatomy import Muscle, Reading, Role, Roots, atlas
from motionlabel.anatomy.roots import roots_from_text

HERE = Path(__file__).parent


def _rows(name: str) -> list[dict[str, str]]:
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


TEXTBOOK = _rows("textbook_muscles.csv")
SUPPLIES = _rows("muscle_supplies.csv")
PRIME_MOVERS = [
    muscle for muscle in atlas().muscles.values() if any(action.role is Role.PRIME_MOVER for action in muscle.actions)
]


def _named(row: dict[str, str]) -> str:
    return "-".join(row[column] for column in ("muscle", "column", "value", "source") if column in row)


def _same(theirs: Roots, ours: Roots) -> bool:
    """Return whether roots agree; what only some sources give may be there or not."""
    return {*theirs.levels} <= {*ours.levels, *ours.also} and {*ours.levels} <= {*theirs.levels, *theirs.also}


def _holds(muscle: Muscle, column: str, value: str) -> bool:
    match column:
        case "proximal":
            return value in muscle.proximal_attachment
        case "distal":
            return value in muscle.distal_attachment
        case "nerve":
            return value in {nerve.name for nerve in muscle.nerves}
        case "roots":
            return _same(roots_from_text(value), muscle.roots)
    raise ValueError(f"no column {column}")


@pytest.mark.parametrize("row", TEXTBOOK, ids=_named)
def test_agrees_with_textbook_or_list(row):
    assert _holds(atlas().muscles[row["muscle"]], row["column"], row["value"])


@pytest.mark.parametrize("row", SUPPLIES, ids=_named)
def test_supply_is_that_of_the_source(row):
    muscle = atlas().muscles[row["muscle"]]
    source = atlas().sources[row["source"]]
    assert source in muscle.sources
    assert source.reading is Reading.READ
    # a coarser source may give fewer of several nerves, never another one
    assert set(row["nerves"].split(" + ")) <= {nerve.name for nerve in muscle.nerves}
    if row["roots"]:
        theirs = roots_from_text(row["roots"])
        told = {other.levels for other in muscle.other_roots}
        assert _same(theirs, muscle.roots) or theirs.levels in told, f"{row['roots']} against {muscle.roots_text}"


@pytest.mark.parametrize("muscle", PRIME_MOVERS, ids=lambda muscle: muscle.full_name)
def test_nerve_of_every_prime_mover_has_two_sources_that_were_read(muscle):
    sources = defaultdict(set)
    for row in SUPPLIES:
        if row["muscle"] == muscle.full_name:
            for nerve in row["nerves"].split(" + "):
                sources[nerve].add(row["source"])
    assert len(set.union(*sources.values())) >= 2
    if muscle.full_name not in COARSE:
        assert all(len(sources[nerve.name]) >= 2 for nerve in muscle.nerves)


# second source names the intercostal nerves only
COARSE = {"internal oblique"}


@pytest.mark.parametrize("name", atlas().muscles)
def test_other_roots_have_a_source_or_a_note(name):
    muscle = atlas().muscles[name]
    said = {row["roots"] for row in SUPPLIES if row["muscle"] == name and row["roots"]}
    for other in muscle.other_roots:
        noted = other.text in muscle.roots_note
        assert noted or other.levels in {roots_from_text(text).levels for text in said}


def test_sources_of_both_kinds_are_marked():
    assert {row["reading"] for row in TEXTBOOK} == set(Reading)
    for row in SUPPLIES:
        assert atlas().sources[row["source"]].address
