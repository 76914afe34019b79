"""Properties that the demand of any movement must have."""

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from motionlabel.body import Axis, Centre, Joint, MotionAxis, Side
from motionlabel.kinematics import measure_angles
from motionlabel.mechanics.demand import Demand, column_of, measure_demand
from motionlabel.mechanics.moments import LIMB_AXES
from motionlabel.movement import find_rest
from motionlabel.records import BodyTrack
from tests.synthetic_body import body_of, clock, posed_body, ramp

# shrinking would take minutes
FEW = settings(max_examples=6, deadline=None, derandomize=True, phases=[Phase.explicit, Phase.generate])
KEYS = [(0.5, 0.0), (2.0, 1.0), (2.3, 1.0), (3.8, 0.0)]

postures = st.fixed_dictionaries(
    {
        "knee_flexion": st.floats(0.0, 110.0),
        "left_hip_flexion": st.floats(-10.0, 90.0),
        "right_hip_flexion": st.floats(-10.0, 90.0),
        "left_hip_abduction": st.floats(0.0, 30.0),
        "left_shoulder_flexion": st.floats(-20.0, 150.0),
        "right_shoulder_abduction": st.floats(0.0, 80.0),
        "right_elbow_flexion": st.floats(0.0, 130.0),
    }
)


def _demand(body: BodyTrack) -> Demand:
    angles = measure_angles(body)
    return measure_demand(body, angles, find_rest(angles, body))


def _posed(posture: dict[str, float], time_s: np.ndarray, stature_m: float = 1.7) -> BodyTrack:
    """Movement into a posture and back, on the left foot, with a lean that follows the hip."""
    share = ramp(time_s * 4.2 / (time_s[-1] + time_s[1]), KEYS)
    degrees = {name: value * share for name, value in posture.items()}
    lean = 0.3 * posture["right_hip_flexion"] * share
    return posed_body(time_s, degrees, lean=lean, fixed=Centre.LEFT_HEEL, stature_m=stature_m)


def _mirrored(body: BodyTrack) -> BodyTrack:
    """The same movement with left and right exchanged, seen in a mirror: facing the other way."""
    other = [
        Centre[centre.name.replace("LEFT", "*").replace("RIGHT", "LEFT").replace("*", "RIGHT")] for centre in Centre
    ]
    return body_of(body.time_s, body.centres_m[:, other] * [-1.0, 1.0, 1.0], stature_m=body.stature_m)


OTHER_SIDE = [
    LIMB_AXES.index(MotionAxis(axis.joint, Side.LEFT if axis.side is Side.RIGHT else Side.RIGHT, axis.axis))
    for axis in LIMB_AXES
]


@FEW
@given(posture=postures)
def test_left_and_right_are_mirror_images(posture):
    body = _posed(posture, clock(4.2, 15.0))
    own, mirror = _demand(body), _demand(_mirrored(body))
    assert_allclose(mirror.moment[:, OTHER_SIDE], own.moment, atol=1e-6)
    assert_allclose(mirror.carried[:, OTHER_SIDE], own.carried, atol=1e-8)
    assert_allclose(mirror.threshold[:, OTHER_SIDE], own.threshold, atol=1e-8)


@FEW
@given(posture=postures, stature_m=st.floats(1.4, 2.0))
def test_the_assumed_stature_does_not_matter_to_slow_movement(posture, stature_m):
    time_s = clock(10.0, 15.0)
    usual, other = _demand(_posed(posture, time_s)), _demand(_posed(posture, time_s, stature_m))
    # accelerations scale with the assumed stature, weights do not: what is left must not turn a decision
    assert (np.isnan(usual.moment) == np.isnan(other.moment)).all()
    assert (np.abs(np.nan_to_num(other.moment - usual.moment)) < 0.25 * usual.threshold).all()


@FEW
@given(posture=postures, fps=st.sampled_from([24.0, 50.0, 60.0, 120.0]))
def test_the_frame_rate_does_not_matter_to_slow_movement(posture, fps):
    usual_s, other_s = clock(4.2, 30.0), clock(4.2, fps)
    usual, other = _demand(_posed(posture, usual_s)), _demand(_posed(posture, other_s))
    inner = slice(3, -3)  # differences are one-sided at the ends
    for column in range(len(LIMB_AXES)):
        known = np.isfinite(other.moment[:, column])
        if not known.all() or not np.isfinite(usual.moment[:, column]).all():
            continue
        # where a foot is about to lift, a frame more or less decides who carries
        at_the_same_time = np.interp(usual_s, other_s, other.moment[:, column])
        near = np.abs(at_the_same_time - usual.moment[:, column]) < 0.5 * usual.threshold[:, column]
        assert near[inner].mean() > 0.9, LIMB_AXES[column].name


@FEW
@given(posture=postures)
def test_contact_forces_add_up_to_body_weight(posture):
    force = _demand(_posed(posture, clock(4.2, 15.0))).support.force
    total = force.sum(axis=1)
    assert_allclose(total[np.isfinite(total)], 1.0, atol=1e-9)
    assert (force[np.isfinite(force)] >= 0.0).all()


@pytest.mark.parametrize(
    ("joint", "name", "lean", "level"),
    [
        (Joint.HIP, "left_hip_flexion", 0.0, 90.0),
        (Joint.SHOULDER, "left_shoulder_flexion", 0.0, 90.0),
        (Joint.HIP, "left_hip_flexion", -90.0, 2.0),
    ],
)
def test_a_limb_held_level_asks_for_the_reference_moment(joint, name, lean, level):
    """The threshold is a fifth of the moment of the limb held out level."""
    body = posed_body(clock(1.0), {name: level}, lean=lean, fixed=Centre.RIGHT_HEEL)
    demand = _demand(body)
    column = column_of(MotionAxis(joint, Side.LEFT, Axis.FLEXION))
    if demand.carried[15, column] == 0.0:
        assert_allclose(demand.moment[15, column], demand.threshold[15, column] / 0.2, rtol=0.1)
    assert demand.moment[15, column] >= 0.0


def test_a_hanging_limb_asks_for_nothing():
    body = posed_body(clock(1.0), {"left_hip_flexion": 15.0, "left_knee_flexion": 15.0}, fixed=Centre.RIGHT_HEEL)
    demand = _demand(body)
    for joint in (Joint.SHOULDER, Joint.ELBOW):
        column = column_of(MotionAxis(joint, Side.LEFT, Axis.FLEXION))
        assert (np.abs(demand.moment[:, column]) < demand.threshold[:, column]).all()


def test_the_trunk_has_no_column():
    assert column_of(MotionAxis(Joint.TRUNK, Side.MIDLINE, Axis.FLEXION)) is None
