"""Repetitions of exercises whose count is known."""

import numpy as np
import pytest

from motionlabel.body import Centre, Motion
from motionlabel.kinematics import measure_angles
from motionlabel.movement import find_phases
from tests.synthetic_body import clock, posed_body, ramp, squat


def _table(body):
    return find_phases(measure_angles(body), body)


def _cycles(count: int, rest_s: float = 0.6) -> tuple[np.ndarray, np.ndarray]:
    """Times and a share that goes up and down ``count`` times."""
    keys, start = [(0.0, 0.0)], 1.0
    for _ in range(count):
        keys += [(start, 0.0), (start + 1.1, 1.0), (start + 1.3, 1.0), (start + 2.4, 0.0)]
        start += 2.4 + rest_s
    time_s = clock(start + 1.0)
    return time_s, ramp(time_s, keys)


@pytest.mark.parametrize("facing", [0.0, 45.0])
@pytest.mark.parametrize("count", [1, 2, 5])
def test_squats(count, facing):
    time_s, share = _cycles(count)
    table = _table(squat(time_s, 100.0 * share, facing))
    assert table.repetitions == count
    for number in range(1, count + 1):
        motions = [row.motion for row in table if row.repetition == number and row.axis.name == "left_knee_flexion"]
        assert [motion for motion in motions if motion is not Motion.HOLD] == [Motion.FLEXION, Motion.EXTENSION]


def test_squats_without_a_pause_between():
    time_s, share = _cycles(3, rest_s=0.05)
    assert _table(squat(time_s, 100.0 * share)).repetitions == 3


def test_repetitions_count_up_with_time():
    time_s, share = _cycles(4)
    numbers = [row.repetition for row in _table(squat(time_s, 90.0 * share)) if row.repetition]
    assert numbers == sorted(numbers)
    assert set(numbers) == {1, 2, 3, 4}


def test_a_small_bob_is_no_repetition():
    time_s = clock(9.0)
    bend = ramp(time_s, [(1, 0), (2, 100), (3, 0), (4, 0), (4.8, 25), (5.6, 0), (6, 0), (7, 95), (8, 0)])
    assert _table(squat(time_s, bend)).repetitions == 2


def test_a_knee_that_bends_twice_in_one_kick_counts_once():
    """Chamber (hip and knee bend), kick (knee straightens), recoil (knee bends), return."""
    time_s = clock(10.0)
    hip, knee = [(0.0, 0.0)], [(0.0, 0.0)]
    for start in (1.0, 5.5):
        hip += [(start, 0), (start + 0.8, 80), (start + 2.4, 80), (start + 3.2, 0)]
        knee += [(start, 0), (start + 0.8, 100), (start + 1.4, 10), (start + 1.8, 10)]
        knee += [(start + 2.4, 100), (start + 3.2, 0)]
    angles = {"right_hip_flexion": ramp(time_s, hip), "right_knee_flexion": ramp(time_s, knee)}
    table = _table(posed_body(time_s, angles, fixed=Centre.LEFT_HEEL))
    bends = [row for row in table if row.axis.name == "right_knee_flexion" and row.motion is Motion.FLEXION]
    assert len(bends) == 4
    assert table.repetitions == 2


def test_alternating_legs_count_once_for_left_and_right():
    time_s = clock(12.0)

    def raises(starts: tuple[float, ...]) -> np.ndarray:
        keys = [(0.0, 0.0)]
        for start in starts:
            keys += [(start, 0.0), (start + 0.7, 80.0), (start + 0.9, 80.0), (start + 1.6, 0.0)]
        return ramp(time_s, keys)

    angles = {"left_hip_flexion": raises((1.0, 6.0)), "right_hip_flexion": raises((3.5, 8.5))}
    body = posed_body(time_s, angles)
    table = _table(body)
    left, right = (
        [row for row in table if row.axis.name == f"{side}_hip_flexion" and row.motion is Motion.FLEXION]
        for side in ("left", "right")
    )
    assert (len(left), len(right)) == (2, 2)
    assert table.repetitions == 2


def test_standing_has_no_repetition():
    assert _table(posed_body(clock(3.0), {})).repetitions == 0


def test_a_clip_that_begins_at_the_bottom_counts_what_follows():
    time_s = clock(7.0)
    bend = ramp(time_s, [(0, 100), (0.5, 100), (1.5, 0), (2.2, 0), (3.2, 100), (4.2, 0), (5, 0)])
    assert _table(squat(time_s, bend)).repetitions == 1


def test_legs_lifted_once_and_crossed_four_times_are_four():
    """One lift of the hip is no repetition while the legs open and close above the floor."""
    time_s = clock(14.0)
    hip = ramp(time_s, [(1, 0), (2, 45), (12, 45), (13, 0)])
    keys = [(2.2, 0.0)]
    for start in (2.4, 4.8, 7.2, 9.6):
        keys += [(start, -8.0 if start > 3 else 0.0), (start + 1.0, 28.0), (start + 2.2, -8.0)]
    abduction = ramp(time_s, keys)
    body = posed_body(time_s, {"hip_flexion": hip, "hip_abduction": abduction}, lean=-90.0)
    assert _table(body).repetitions == 4


def test_a_leg_that_swings_through_standing_counts_on_its_farther_side():
    time_s = clock(9.0)
    swing = ramp(time_s, [(1, 0), (2, 45), (3, -15), (4, 45), (5, -15), (6, 45), (7, 0)])
    assert _table(posed_body(time_s, {"right_hip_flexion": swing})).repetitions == 3
