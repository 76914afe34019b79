"""Signs of every angle: the motion named positive makes it grow, on both sides, whichever way one faces."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from motionlabel.body import AXES, AXIS_INDEX, MEASURED_AXES, PHASE_AXES, Axis, Joint, Motion, Side
from motionlabel.kinematics import measure_angles
from tests.synthetic_body import clock, posed_body

TIME_S = clock(0.5)


def _measured(degrees: dict[str, float], name: str, **pose) -> float:
    angles = measure_angles(posed_body(TIME_S, degrees, **pose))
    column = next(AXIS_INDEX[axis] for axis in AXES if axis.name == name)
    return float(np.degrees(angles.angle_rad[0, column]))


# what the posture looks like, and the sign it must have
SIGNS = [
    ("hip_flexion", 40.0, "thigh in front of the trunk"),
    ("hip_flexion", -20.0, "thigh behind the trunk line"),
    ("hip_abduction", 30.0, "leg away from the midline"),
    ("hip_abduction", -10.0, "leg across the midline"),
    ("knee_flexion", 90.0, "heel to the buttock"),
    ("ankle_dorsiflexion", 15.0, "toes up"),
    ("ankle_dorsiflexion", -30.0, "toes down"),
    ("shoulder_flexion", 40.0, "arm forward"),
    ("shoulder_flexion", 120.0, "arm forward and up"),
    ("shoulder_flexion", -30.0, "arm backward"),
    ("shoulder_abduction", 40.0, "arm out"),
    ("shoulder_abduction", 80.0, "arm out, near level"),
    ("elbow_flexion", 100.0, "hand to the shoulder"),
]


@pytest.mark.parametrize("facing", [0.0, 45.0, 180.0])
@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize(("axis", "degrees", "looks"), SIGNS, ids=[looks for *_, looks in SIGNS])
def test_sign_and_size(axis, degrees, looks, side, facing):
    name = f"{side}_{axis}"
    assert_allclose(_measured({name: degrees}, name, facing=facing), degrees, atol=1e-3)


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("degrees", [60.0, 110.0, 160.0])
def test_an_arm_raised_sideways_is_abducted_up_to_overhead(side, degrees):
    name = f"{side}_shoulder_abduction"
    assert_allclose(_measured({name: degrees}, name, facing=90.0), degrees, atol=1e-3)
    assert_allclose(_measured({name: degrees}, f"{side}_shoulder_flexion", facing=90.0), 0.0, atol=1e-3)


@pytest.mark.parametrize("side", ["left", "right"])
def test_the_other_side_stays_at_zero(side):
    other = "right" if side == "left" else "left"
    for axis in ("hip_flexion", "knee_flexion", "shoulder_flexion"):
        assert_allclose(_measured({f"{side}_{axis}": 50.0}, f"{other}_{axis}"), 0.0, atol=1e-3)


def test_lean_is_hip_flexion_and_a_little_trunk_flexion():
    degrees = {"hip_flexion": 30.0}  # legs stay vertical
    assert_allclose(_measured(degrees, "left_hip_flexion", lean=30.0), 30.0, atol=1e-3)
    assert 0.0 < _measured(degrees, "trunk_flexion", lean=30.0) < 15.0
    assert np.isnan(_measured({}, "trunk_flexion", lean=-90.0))  # a lying trunk says nothing of the spine


@pytest.mark.parametrize(
    ("axis", "positive", "negative"),
    [
        (Axis.FLEXION, Motion.FLEXION, Motion.EXTENSION),
        (Axis.ABDUCTION, Motion.ABDUCTION, Motion.ADDUCTION),
        (Axis.DORSIFLEXION, Motion.DORSIFLEXION, Motion.PLANTARFLEXION),
        (Axis.LATERAL_BEND, Motion.LATERAL_BEND_LEFT, Motion.LATERAL_BEND_RIGHT),
        (Axis.INTERNAL_ROTATION, Motion.INTERNAL_ROTATION, Motion.EXTERNAL_ROTATION),
        (Axis.HORIZONTAL_ADDUCTION, Motion.HORIZONTAL_ADDUCTION, Motion.HORIZONTAL_ABDUCTION),
        (Axis.ROTATION, Motion.ROTATION_LEFT, Motion.ROTATION_RIGHT),
        (Axis.EXTENSION, Motion.EXTENSION, Motion.FLEXION),
        (Axis.DROP, Motion.DROP_LEFT, Motion.DROP_RIGHT),
    ],
)
def test_motions_of_an_axis(axis, positive, negative):
    for measured in (a for a in AXES if a.axis is axis):
        assert (measured.positive, measured.negative) == (positive, negative)


def test_groups_make_the_motion_of_their_sign():
    for axis in PHASE_AXES:
        if axis.joint is not Joint.TRUNK and axis.axis is Axis.FLEXION:
            assert axis.group(1.0) == f"{axis.joint} flexors"
            assert axis.group(-1.0) == f"{axis.joint} extensors"
    assert all(axis.group(sign) is None for axis in MEASURED_AXES for sign in (1.0, -1.0))
    assert {axis.side for axis in AXES} == {Side.LEFT, Side.RIGHT, Side.MIDLINE}
