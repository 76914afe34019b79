"""Level walking after published curves, from landmarks of a side view to angles: peaks and when they come.

`gait.csv` holds the curve of hip, knee and ankle over a gait cycle. Rows with an event carry the values
of the named sources and their spread (a single rounded figure: half of five degrees); rows without one only
shape the curve between them. Phases of the cycle after Perry (from memory): toe-off at 62 %.
"""

import csv
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.interpolate import PchipInterpolator

from motionlabel.body import AXES
from motionlabel.kinematics import body_from_landmarks, measure_angles
from motionlabel.pose import smooth_track
from tests.synthetic_body import clock, facts_of, landmarks_of, posed_body

CYCLE_S = 1.1  # about 110 steps a minute (Perry, from memory)
CYCLES = 5
FPS = 60.0
CUTOFF_HZ = 6.0  # Winter 2009 for walking
PERCENT = np.linspace(0.0, 100.0, 101)
HIP_ARC_DEG = (40.0, 45.0)  # hip, total in the sagittal plane: a study deck that was read
AXIS = {"hip": "hip_flexion", "knee": "knee_flexion", "ankle": "ankle_dorsiflexion"}

with (Path(__file__).parent / "gait.csv").open(encoding="utf-8", newline="") as file:
    ROWS = list(csv.DictReader(file))
EVENTS = [row for row in ROWS if row["event"]]

sides = pytest.mark.parametrize("side", ["left", "right"])


def _curve(joint: str, cycle: np.ndarray) -> np.ndarray:
    """Angle at a time in cycles, degrees, through the rows of a joint."""
    percent, degrees = np.array([(row["percent"], row["degrees"]) for row in ROWS if row["joint"] == joint], float).T
    knots = np.concatenate([percent - 100.0, percent, percent + 100.0])
    return PchipInterpolator(knots, np.tile(degrees, 3))(100.0 * np.mod(cycle, 1.0))


@pytest.fixture(scope="module")
def walked() -> dict[str, np.ndarray]:
    """Mean curve over the cycle of every leg axis as measured, degrees at ``PERCENT``."""
    time_s = clock(CYCLES * CYCLE_S, FPS)
    start = {"left": 0.0, "right": 0.5}
    angles = {
        f"{side}_{name}": _curve(joint, time_s / CYCLE_S - start[side])
        for joint, name in AXIS.items()
        for side in start
    }
    body = posed_body(time_s, angles)
    landmarks = smooth_track(landmarks_of(body, depth_shrink=0.7), CUTOFF_HZ)
    found = np.degrees(measure_angles(body_from_landmarks(landmarks, facts_of(body))).angle_rad)
    curves = {}
    for column, axis in enumerate(AXES):
        if axis.name in angles:
            cycles = [start[axis.side] + k for k in range(1, CYCLES - 1)]
            curves[axis.name] = np.mean(
                [np.interp((PERCENT / 100.0 + k) * CYCLE_S, time_s, found[:, column]) for k in cycles], axis=0
            )
    return curves


@sides
@pytest.mark.parametrize("row", EVENTS, ids=lambda row: f"{row['joint']}-{row['event']}")
def test_peaks_and_when_they_come(walked, row, side):
    curve = walked[f"{side}_{AXIS[row['joint']]}"]
    low, high, first, last = (float(row[key]) for key in ("low", "high", "percent_low", "percent_high"))
    if first == last:
        value = float(np.interp(first, PERCENT, curve))
    else:
        # the extremum near the event, looked for well beyond the source's time of it
        near = np.flatnonzero((first - 8 <= PERCENT) & (last + 8 >= PERCENT))
        pick = np.argmax if float(row["degrees"]) > 0 else np.argmin
        at = near[pick(curve[near])]
        value = float(curve[at])
        assert first <= PERCENT[at] <= last
    assert low <= value <= high


@sides
def test_arc_of_the_hip(walked, side):
    assert HIP_ARC_DEG[0] <= np.ptp(walked[f"{side}_hip_flexion"]) <= HIP_ARC_DEG[1]


@sides
@pytest.mark.parametrize("joint", AXIS)
def test_the_whole_curve_comes_back(walked, joint, side):
    """The filter of 6 Hz rounds the corners of the curve; a goniometer's error is 5 degrees."""
    measured = walked[f"{side}_{AXIS[joint]}"]
    assert_allclose(measured, _curve(joint, PERCENT / 100.0), atol=5.0)
    assert np.sqrt(np.mean((measured - _curve(joint, PERCENT / 100.0)) ** 2)) < 2.0


def test_rows_say_where_they_come_from():
    assert all(row["source"] and row["reading"] for row in EVENTS)
    for row in EVENTS:
        assert float(row["low"]) <= float(row["degrees"]) <= float(row["high"])
