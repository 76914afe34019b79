"""Which joints the mirror speaks of, and that they do not change from moment to moment."""

import numpy as np
import pytest

from motionlabel.body import Axis, Contraction, Joint, Motion, MotionAxis, Side, WorkingGroup
from motionlabel.live.choice import choose
from motionlabel.live.reading import Reading, Statement
from motionlabel.records import Work

HIPS = {side: MotionAxis(Joint.HIP, side, Axis.ABDUCTION) for side in (Side.LEFT, Side.RIGHT)}
ANKLE = MotionAxis(Joint.ANKLE, Side.LEFT, Axis.DORSIFLEXION)
HIP = MotionAxis(Joint.HIP, Side.LEFT, Axis.FLEXION)
KNEES = {side: MotionAxis(Joint.KNEE, side, Axis.FLEXION) for side in (Side.LEFT, Side.RIGHT)}
SEEN_S = np.arange(0.0, 5.0, 1 / 30)


def _works(group: WorkingGroup, contraction: Contraction, demand: float) -> Work:
    return Work(group, contraction, demand, 0.1, (), 0.9)


@pytest.mark.parametrize("near", [Side.LEFT, Side.RIGHT])
@pytest.mark.parametrize("raised", [Side.LEFT, Side.RIGHT])
def test_the_side_that_was_drawn_stays_when_both_hold(raised, near):
    """A leg is raised, then both hips hold: the arc stays at the hip that moved."""
    other = Side.LEFT if raised is Side.RIGHT else Side.RIGHT
    lifts = _works(WorkingGroup.HIP_ABDUCTORS, Contraction.CONCENTRIC, 3.0)
    holds = _works(WorkingGroup.HIP_ABDUCTORS, Contraction.ISOMETRIC, 3.0)
    reading = Reading(
        SEEN_S,
        (
            Statement(HIPS[raised], Motion.ABDUCTION, lifts, 1.0, 2.0, 0.6),
            Statement(HIPS[raised], Motion.HOLD, holds, 2.0, 9.0, 0.0),
            Statement(HIPS[other], Motion.HOLD, holds, 1.0, 9.0, 0.0),
        ),
        near,
    )
    before = choose((), reading, 1.5)
    assert before[0].axes == (HIPS[raised],)
    assert choose(before, reading, 2.5)[0].axes == (HIPS[raised], HIPS[other])


def test_the_joint_that_makes_the_movement_goes_before_sway_that_bears_more():
    toes_up = _works(WorkingGroup.ANKLE_DORSIFLEXORS, Contraction.CONCENTRIC, 0.7)
    sways = _works(WorkingGroup.HIP_EXTENSORS, Contraction.ECCENTRIC, -1.5)
    holds = _works(WorkingGroup.HIP_EXTENSORS, Contraction.ISOMETRIC, -1.5)
    reading = Reading(
        SEEN_S,
        (
            Statement(HIP, Motion.HOLD, holds, 0.0, 1.0, 0.0),
            Statement(HIP, Motion.FLEXION, sways, 1.0, 9.0, np.radians(6.0)),
            Statement(ANKLE, Motion.DORSIFLEXION, toes_up, 1.0, 9.0, np.radians(18.0)),
        ),
    )
    assert choose((), reading, 2.0)[0].axis == ANKLE


def test_the_knee_that_bends_far_goes_before_the_standing_knee_that_sways_and_bears_more():
    curls = _works(WorkingGroup.KNEE_FLEXORS, Contraction.CONCENTRIC, -0.8)
    sways = _works(WorkingGroup.KNEE_EXTENSORS, Contraction.ECCENTRIC, 3.9)
    reading = Reading(
        SEEN_S,
        (
            Statement(KNEES[Side.LEFT], Motion.FLEXION, sways, 1.0, 9.0, np.radians(30.0)),
            Statement(KNEES[Side.RIGHT], Motion.FLEXION, curls, 1.0, 9.0, np.radians(100.0)),
        ),
        Side.LEFT,
    )
    assert choose((), reading, 2.0)[0].axis == KNEES[Side.RIGHT]


def test_what_is_sure_goes_before_what_is_on_a_knifes_edge():
    unsure = Work(WorkingGroup.HIP_EXTENSORS, Contraction.ECCENTRIC, -2.5, 6.5, (), 0.3)
    sure = _works(WorkingGroup.ANKLE_DORSIFLEXORS, Contraction.CONCENTRIC, 0.7)
    reading = Reading(
        SEEN_S,
        (
            Statement(HIP, Motion.FLEXION, unsure, 1.0, 9.0, np.radians(10.0)),
            Statement(ANKLE, Motion.DORSIFLEXION, sure, 1.0, 9.0, np.radians(10.0)),
        ),
    )
    assert choose((), reading, 2.0)[0].axis == ANKLE


@pytest.mark.parametrize("alike", [True, False])
def test_in_a_pause_both_sides_are_named_only_if_both_did_the_same_before(alike):
    curls = _works(WorkingGroup.KNEE_FLEXORS, Contraction.ECCENTRIC, 0.8)
    sways = _works(WorkingGroup.KNEE_EXTENSORS, Contraction.CONCENTRIC, -3.0)
    left = Statement(KNEES[Side.LEFT], Motion.EXTENSION, curls if alike else sways, 1.0, 2.0, np.radians(-30.0))
    right = Statement(KNEES[Side.RIGHT], Motion.EXTENSION, curls, 1.0, 2.0, np.radians(-100.0))
    spoken = choose((), Reading(SEEN_S, (left, right), Side.RIGHT), 2.5)
    assert spoken[0].statement is None
    assert spoken[0].side is (Side.BOTH if alike else Side.RIGHT)


def test_sway_of_the_standing_hip_is_no_second_label_and_the_knee_of_a_squat_is_one():
    bends = _works(WorkingGroup.HIP_EXTENSORS, Contraction.ECCENTRIC, 4.0)
    curls = _works(WorkingGroup.KNEE_FLEXORS, Contraction.CONCENTRIC, -1.5)
    sways = _works(WorkingGroup.HIP_FLEXORS, Contraction.CONCENTRIC, 2.0)
    lowers = _works(WorkingGroup.KNEE_EXTENSORS, Contraction.ECCENTRIC, 3.0)
    knee = KNEES[Side.RIGHT]
    curl = (
        Statement(knee, Motion.FLEXION, curls, 1.0, 9.0, np.radians(100.0)),
        Statement(HIP, Motion.FLEXION, sways, 1.0, 9.0, np.radians(10.0)),
    )
    squat = (
        Statement(HIP, Motion.FLEXION, bends, 1.0, 9.0, np.radians(80.0)),
        Statement(knee, Motion.FLEXION, lowers, 1.0, 9.0, np.radians(90.0)),
    )
    assert [one.axis for one in choose((), Reading(SEEN_S, curl), 2.0)] == [knee]
    assert {one.axis for one in choose((), Reading(SEEN_S, squat), 2.0)} == {HIP, knee}
