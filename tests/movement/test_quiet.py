"""Quiet standing and the posture of rest."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from motionlabel.body import AXES, AXIS_INDEX, Centre
from motionlabel.kinematics import measure_angles
from motionlabel.movement import find_rest
from tests.synthetic_body import clock, posed_body, ramp, squat


def _rest(body):
    return find_rest(measure_angles(body), body)


def _degrees(rest, name: str) -> float:
    return float(np.degrees(rest.angle_rad[next(AXIS_INDEX[axis] for axis in AXES if axis.name == name)]))


def test_standing_before_and_after_a_squat():
    time_s = clock(7.0)
    rest = _rest(squat(time_s, ramp(time_s, [(1.5, 0), (2.7, 100), (3.4, 100), (4.6, 0)])))
    assert rest.standing[:40].mean() > 0.9
    assert rest.standing[-50:].mean() > 0.9
    assert not rest.standing[50:130].any()  # neither moving nor at the bottom
    assert_allclose(_degrees(rest, "left_knee_flexion"), 0.0, atol=1.0)


def test_rest_is_the_own_posture_of_a_standing_person():
    rest = _rest(posed_body(clock(2.0), {"knee_flexion": 5.0, "shoulder_abduction": 9.0, "elbow_flexion": 12.0}))
    assert rest.standing.any()
    assert_allclose(_degrees(rest, "right_elbow_flexion"), 12.0, atol=0.5)
    assert_allclose(_degrees(rest, "left_knee_flexion"), 5.0, atol=0.5)


@pytest.mark.parametrize("pose", ["lying", "crouching", "one leg raised", "on the toes"])
def test_what_is_no_quiet_standing(pose):
    time_s = clock(3.0)
    body = {
        "lying": lambda: posed_body(time_s, {}, lean=-90.0),
        "crouching": lambda: squat(time_s, np.full(len(time_s), 100.0)),
        "one leg raised": lambda: posed_body(
            time_s,
            {
                "left_hip_flexion": ramp(time_s, [(1, 0), (1.5, 60)]),
                "left_knee_flexion": ramp(time_s, [(1, 0), (1.5, 90)]),
            },
            fixed=Centre.RIGHT_HEEL,
        ),
        "on the toes": lambda: posed_body(
            time_s, {"ankle_dorsiflexion": ramp(time_s, [(1, 0), (1.5, -30)])}, fixed=Centre.LEFT_TOE
        ),
    }[pose]()
    assert not _rest(body).standing[-30:].any()


def test_without_standing_the_first_quiet_posture_is_rest():
    time_s = clock(5.0)
    leg = ramp(time_s, [(1.5, 0.0), (2.5, 60.0), (4.0, 60.0)])
    rest = _rest(posed_body(time_s, {"hip_flexion": leg, "elbow_flexion": 20.0}, lean=-90.0))
    assert not rest.standing.any()
    assert_allclose(_degrees(rest, "left_hip_flexion"), 0.0, atol=1.0)
    assert_allclose(_degrees(rest, "left_elbow_flexion"), 20.0, atol=1.0)


def test_without_any_quiet_frame_the_anatomical_position_is_rest():
    time_s = clock(2.0)
    rest = _rest(squat(time_s, 60.0 + 40.0 * np.sin(2 * np.pi * time_s)))
    assert not rest.standing.any()
    assert_allclose(rest.angle_rad, 0.0)


def test_an_arm_held_up_for_a_while_is_not_rest():
    time_s = clock(8.0)
    body = posed_body(time_s, {"left_shoulder_flexion": ramp(time_s, [(2, 0), (3, 90), (6, 90), (7, 0)])})
    assert_allclose(_degrees(_rest(body), "left_shoulder_flexion"), 0.0, atol=1.0)


def test_nobody_in_the_first_half():
    body = posed_body(clock(4.0), {})
    centres = body.centres_m.copy()
    centres[:60] = np.nan
    rest = _rest(replace(body, centres_m=centres))
    assert not rest.standing[:60].any()
    assert rest.standing[70:].all()
