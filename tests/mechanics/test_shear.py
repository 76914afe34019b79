"""Horizontal forces, which no picture shows: they widen the spread, and keep a wide lunge from a wrong name."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from motionlabel.body import Axis, Centre, Joint, MotionAxis, Side, WorkingGroup
from motionlabel.kinematics import measure_angles
from motionlabel.mechanics import muscle_work
from motionlabel.mechanics.demand import Demand, column_of, measure_demand
from motionlabel.movement import find_phases, find_rest
from motionlabel.records import BodyTrack, Work
from tests.published.exercise_motions import knee_up, two_leg_squat
from tests.published.exercise_poses import TIME_S, between, leg_to, place
from tests.synthetic_body import ANKLE_HEIGHT, posed_body

FRONT_KNEE = MotionAxis(Joint.KNEE, Side.LEFT, Axis.FLEXION)
REAR_KNEE = MotionAxis(Joint.KNEE, Side.RIGHT, Axis.FLEXION)
FRONT_HIP = MotionAxis(Joint.HIP, Side.LEFT, Axis.FLEXION)


def wide_lunge(lean: float, front: float, rear: float) -> BodyTrack:
    """Feet far apart, trunk upright; statures from the hips to each foot. Straight-down forces would bend the knee."""
    pitch = between(30, 55)
    turn = np.radians(pitch)
    rear_foot = place(
        -0.11 * np.cos(turn) + ANKLE_HEIGHT * np.sin(turn), 0.11 * np.sin(turn) + ANKLE_HEIGHT * np.cos(turn)
    )
    hip = place(between(0.0, 0.03), between(0.42, 0.28))
    front_hip, front_knee = leg_to(hip, place(front, ANKLE_HEIGHT), lean)
    rear_hip, rear_knee = leg_to(hip, place(-rear, 0.0) + rear_foot, lean)
    angles = {
        "left_hip_flexion": front_hip,
        "left_knee_flexion": front_knee,
        "left_ankle_dorsiflexion": front_knee - front_hip + lean,
        "right_hip_flexion": rear_hip,
        "right_knee_flexion": rear_knee,
        "right_ankle_dorsiflexion": rear_knee - rear_hip + lean - pitch,
    }
    return posed_body(TIME_S, angles, lean=lean, fixed=Centre.LEFT_HEEL)


def _demand(body: BodyTrack) -> Demand:
    angles = measure_angles(body)
    return measure_demand(body, angles, find_rest(angles, body))


def _groups(body: BodyTrack, axis: MotionAxis) -> list[Work]:
    angles = measure_angles(body)
    rows = zip(*muscle_work(body, angles, find_phases(angles, body)))
    return [work for phase, work in rows if phase.axis == axis]


WIDE = pytest.mark.parametrize(
    ("lean", "front", "rear"), [(0, 0.27, 0.22), (0, 0.30, 0.25), (0, 0.35, 0.30), (10, 0.33, 0.28)]
)


@WIDE
def test_a_wide_lunge_names_no_knee_flexors(lean, front, rear):
    """Vertical forces alone would ask for them; feet that push towards each other ask for the extensors."""
    body = wide_lunge(lean, front, rear)
    demand = _demand(body)
    low = round(2.6 * 30)
    column = column_of(FRONT_KNEE)
    assert demand.moment[low, column] > 0.0
    assert demand.strut[low, column] < 0.0
    rows = _groups(body, FRONT_KNEE)
    assert rows
    assert not [work for work in rows if work.working_group is WorkingGroup.KNEE_FLEXORS]


@WIDE
def test_what_no_push_can_turn_is_still_named(lean, front, rear):
    body = wide_lunge(lean, front, rear)
    assert {work.working_group for work in _groups(body, REAR_KNEE)} == {WorkingGroup.KNEE_EXTENSORS}
    assert WorkingGroup.HIP_EXTENSORS in {work.working_group for work in _groups(body, FRONT_HIP)}


@pytest.mark.parametrize("body", [two_leg_squat, knee_up])
def test_feet_that_stand_together_or_alone_do_not_push_each_other(body):
    assert_allclose(_demand(body()).strut, 0.0)


def test_a_push_along_the_leg_makes_the_force_point_to_the_mass_centre():
    """At the front hip of a lunge, below the mass centre, the lever of such a force is shorter."""
    demand = _demand(wide_lunge(0, 0.30, 0.25))
    low, column = round(2.6 * 30), column_of(FRONT_HIP)
    assert demand.moment[low, column] < 0.0 < demand.strut[low, column]


def test_one_leg_alone_pushes_hardly_sideways():
    low, standing = round(2.6 * 30), column_of(MotionAxis(Joint.HIP, Side.LEFT, Axis.FLEXION))
    alone, both = _demand(knee_up()).unseen[low, standing], _demand(two_leg_squat()).unseen[low, standing]
    assert alone < both
