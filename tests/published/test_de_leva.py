"""The transcribed table of de Leva 1996 adds up, and the segment table of mechanics equals it."""

import csv
from pathlib import Path

import pytest
from numpy.testing import assert_allclose

from motionlabel.body import Segment
from motionlabel.mechanics.segments import SEGMENT_TABLE, Sex, parameters

with (Path(__file__).parent / "de_leva_1996.csv").open(encoding="utf-8", newline="") as file:
    ROWS = {(row["sex"], row["segment"]): row for row in csv.DictReader(file)}

LIMBS = ("Upper arm", "Forearm", "Hand", "Thigh", "Shank (to ankle joint centre)", "Foot")
SIZES = ("mass_fraction", "com_fraction", "radius_sagittal", "radius_transverse", "radius_longitudinal")


def _mass(sex: str, segment: str) -> float:
    return float(ROWS[sex, segment]["mass_fraction"])


@pytest.mark.parametrize(("sex", "whole"), [("male", 1.0000), ("female", 0.9999)])
def test_masses_add_up_to_the_body(sex, whole):
    total = _mass(sex, "Head") + _mass(sex, "Trunk") + 2 * sum(_mass(sex, limb) for limb in LIMBS)
    assert_allclose(total, whole, rtol=0, atol=1e-9)


@pytest.mark.parametrize("sex", ["male", "female"])
def test_parts_of_the_trunk_add_up_to_it(sex):
    parts = sum(_mass(sex, f"{part} trunk") for part in ("Upper", "Middle", "Lower"))
    assert_allclose(parts, _mass(sex, "Trunk"), rtol=0, atol=1.01e-4)  # one unit of the last printed place


@pytest.mark.parametrize("row", ROWS.values(), ids=lambda row: f"{row['sex']}-{row['segment']}")
def test_fractions_lie_between_nothing_and_all(row):
    assert all(0 < float(row[size]) < 1 for size in SIZES)
    # other end points of one segment change lengths, never its mass
    assert float(row["mass_fraction"]) == _mass(row["sex"], _plain(row["segment"]))


@pytest.mark.parametrize(("sex", "malleolus", "ankle_centre"), [("male", 0.4459, 0.4395), ("female", 0.4416, 0.4352)])
def test_shank_end_points_are_not_mixed_up(sex, malleolus, ankle_centre):
    assert_allclose(float(ROWS[sex, "Shank (to lateral malleolus)"]["com_fraction"]), malleolus, rtol=0)
    assert_allclose(float(ROWS[sex, "Shank (to ankle joint centre)"]["com_fraction"]), ankle_centre, rtol=0)


# kind of segment in mechanics, and the row with the end points that mechanics uses
USED = {
    "HEAD": "Head",
    "TRUNK": "Trunk (from mid-shoulder)",
    "UPPER_ARM": "Upper arm",
    "FOREARM": "Forearm",
    "HAND": "Hand",
    "THIGH": "Thigh",
    "SHANK": "Shank (to ankle joint centre)",
    "FOOT": "Foot",
}


@pytest.mark.parametrize("kind", USED)
@pytest.mark.parametrize("sex", [Sex.MALE, Sex.FEMALE])
def test_segment_table_is_de_levas(sex, kind):
    row, used = ROWS[sex, USED[kind]], SEGMENT_TABLE[sex][kind]
    assert_allclose(used.mass_fraction, float(row["mass_fraction"]), rtol=0, atol=1e-12)
    assert_allclose(used.com_fraction, float(row["com_fraction"]), rtol=0, atol=1e-12)
    assert_allclose(used.radius_fraction, float(row["radius_transverse"]), rtol=0, atol=1e-12)


def test_every_segment_of_the_body_has_a_row_and_the_mean_lies_between():
    assert set(SEGMENT_TABLE[Sex.MALE]) == set(USED)
    whole = {sex: sum(parameters(segment, sex).mass_fraction for segment in Segment) for sex in Sex}
    assert_allclose(whole[Sex.MALE], 1.0000, rtol=0, atol=1e-9)
    assert_allclose(whole[Sex.FEMALE], 0.9999, rtol=0, atol=1e-9)
    assert_allclose(whole[Sex.MEAN], 0.5 * (whole[Sex.MALE] + whole[Sex.FEMALE]), rtol=0, atol=1e-9)


def _plain(segment: str) -> str:
    name = segment.split(" (")[0]
    return "Shank (to ankle joint centre)" if name == "Shank" else name
