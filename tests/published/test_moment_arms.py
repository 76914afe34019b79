"""Moment arms from the path against published ones, within the published spread."""

import csv
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose

from motionlabel.anatomy import Articulation, Movement
from motionlabel.musculature.bone import Freedom
from motionlabel.musculature.moment_arm import CLAIMS, moment_arm_m
from motionlabel.musculature.paths import all_lines

_ROWS = list(csv.DictReader(Path(__file__).with_name("moment_arms.csv").open(encoding="utf-8", newline="")))
_FEWEST_PAIRS = 8


def _arms_cm(row, degrees):
    """Mean over the lines of the muscle, centimetres, at each angle."""
    freedom, sense = CLAIMS[Articulation(row["joint"]), Movement(row["motion"])]
    return [
        np.mean(
            [100 * sense * moment_arm_m(line, freedom, {freedom: np.radians(d)}) for line in all_lines()[row["muscle"]]]
        )
        for d in degrees
    ]


@pytest.mark.parametrize("row", _ROWS, ids=lambda row: f"{row['muscle']} {row['joint']} {row['angles_deg']}")
def test_an_arm_lies_within_the_published_spread(row):
    low, high = float(row["low_cm"]), float(row["high_cm"])
    arms = _arms_cm(row, [float(d) for d in row["angles_deg"].split()])
    middle, spread = 0.5 * (low + high), 0.5 * (high - low)
    assert_allclose(np.mean(arms) if row["compare"] == "mean" else arms, middle, atol=spread)


def test_enough_pairs_are_compared():
    assert len({(row["muscle"], row["joint"]) for row in _ROWS}) >= _FEWEST_PAIRS


def test_adductor_longus_turns_from_flexor_to_extensor_between_50_and_70_degrees():
    """*Source*: functional anatomy of the adductors, MD Online, yudu page 699 (read): between 50 and 70 deg."""
    line = all_lines()["adductor longus"][0]
    arms = [moment_arm_m(line, Freedom.HIP_FLEXION, {Freedom.HIP_FLEXION: np.radians(d)}) for d in (50, 70)]
    assert arms[0] > 0.0 > arms[1]


def test_hip_flexion_turns_the_rotators_inwards():
    """*Source*: Delp et al. 1999 J Biomech 32:493-501 (abstract read): in 15 of 18 compartments from 0 to 90 deg."""
    names = ("gluteus maximus", "gluteus medius", "gluteus minimus", "piriformis", "quadratus femoris")
    names += ("obturator internus", "obturator externus", "gemellus superior", "gemellus inferior")
    lines = [line for name in names for line in all_lines()[name]]
    turned = [
        np.diff([moment_arm_m(line, Freedom.HIP_ROTATION, {Freedom.HIP_FLEXION: np.radians(d)}) for d in (0, 90)])[0]
        for line in lines
    ]
    assert np.count_nonzero(np.array(turned) > 0.0) >= 15 / 18 * len(lines)


def test_biceps_femoris_is_longer_by_the_hip_than_by_the_knee():
    """*Source*: Visser et al. 1990 Eur J Appl Physiol 61:453-460 (abstract read): the hip changes it much more."""
    line = all_lines()["biceps femoris (long head)"][0]
    hip = [moment_arm_m(line, Freedom.HIP_FLEXION, {Freedom.HIP_FLEXION: np.radians(d)}) for d in (0, 30, 60, 90)]
    knee = [moment_arm_m(line, Freedom.KNEE_FLEXION, {Freedom.KNEE_FLEXION: np.radians(d)}) for d in (0, 30, 60, 90)]
    assert abs(np.mean(hip)) > 1.5 * np.mean(knee)
