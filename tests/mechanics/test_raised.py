"""Support that is not the floor: seat and step, what the educator states, and none at all in flight."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from motionlabel.body import Axis, Centre, Contraction, Joint, Motion, MotionAxis, Side, WorkingGroup
from motionlabel.kinematics import measure_angles
from motionlabel.mechanics import Carrier, muscle_work
from motionlabel.mechanics.demand import Demand, column_of, measure_demand
from motionlabel.mechanics.raised import sits
from motionlabel.mechanics.stated import columns_stated
from motionlabel.mechanics.support import POINTS, SEAT
from motionlabel.movement import find_phases, find_rest
from motionlabel.records import BodyTrack, Phase, Work
from tests.published.exercise_motions import (
    SEAT_OFF,
    SEATED,
    seated_knee_extension,
    sit_to_stand,
    step_up,
    two_leg_squat,
    wall_sit,
)
from tests.published.exercise_poses import TIME_S, between, leg_to, place
from tests.synthetic_body import ANKLE_HEIGHT, STATURE_M, body_of, clock, posed_body, ramp

NAMES = [point.name for point in POINTS]


def _demand(body: BodyTrack, stated: tuple[Carrier, ...] = ()) -> Demand:
    angles = measure_angles(body)
    return measure_demand(body, angles, find_rest(angles, body), stated)


def _work(body: BodyTrack, stated: tuple[Carrier, ...] = ()) -> list[tuple[Phase, Work]]:
    angles = measure_angles(body)
    return list(zip(*muscle_work(body, angles, find_phases(angles, body), stated)))


def _seat_force(body: BodyTrack, stated: tuple[Carrier, ...] = ()) -> np.ndarray:
    return _demand(body, stated).support.force[:, SEAT].sum(axis=1)


def seated(angles: dict[str, np.ndarray | float], lean: np.ndarray | float = 0.0) -> BodyTrack:
    """Sit upright with the feet on the floor before the seat."""
    hip, knee = leg_to(place(-0.20, 0.285), place(0.0, ANKLE_HEIGHT), lean)
    legs = {"hip_flexion": hip, "knee_flexion": knee, "ankle_dorsiflexion": knee - hip + lean}
    return posed_body(TIME_S, {**legs, **angles}, lean=lean, fixed=Centre.LEFT_HEEL)


def seated_curl() -> BodyTrack:
    return seated({"elbow_flexion": between(5, 130)})


def seated_march() -> BodyTrack:
    return seated({"right_hip_flexion": between(92, 115), "right_knee_flexion": 90.0})


def held_squat() -> BodyTrack:
    bend = ramp(TIME_S, [(0.6, 0.0), (1.6, 95.0), (4.0, 95.0), (5.0, 0.0)])
    lean = 0.38 * bend
    angles = {"knee_flexion": bend, "ankle_dorsiflexion": 0.27 * bend, "hip_flexion": lean + 0.73 * bend}
    return posed_body(TIME_S, {**angles, "shoulder_flexion": 0.9 * bend}, lean=lean, fixed=Centre.LEFT_HEEL)


@pytest.mark.parametrize("body", [seated_knee_extension, seated_curl, seated_march])
def test_a_seat_carries_whoever_sits(body):
    force = _seat_force(body())
    assert (force > 0.5).all()


@pytest.mark.parametrize("body", [two_leg_squat, held_squat, wall_sit])
def test_no_seat_is_found_where_none_is(body):
    """The bottom of a squat looks like sitting, but balances; a wall leaves the way down without balance too."""
    assert not _demand(body()).support.touching[:, SEAT].any()


def _facing(body: BodyTrack) -> BodyTrack:
    return body_of(body.time_s, body.centres_m[:, :, [2, 1, 0]] * [1.0, 1.0, -1.0])


@pytest.mark.parametrize("body", [seated_curl, seated_march, seated_knee_extension])
def test_from_the_front_who_sits_from_the_first_picture_on_has_a_seat(body):
    """Balance fore and aft is not seen there; of planted legs nothing is named."""
    demand = _demand(_facing(body()))
    assert demand.support.touching[:, SEAT].all()
    planted = column_of(MotionAxis(Joint.HIP, Side.LEFT, Axis.FLEXION))
    assert (demand.unseen[:, planted] > np.abs(demand.moment[:, planted])).all()


@pytest.mark.parametrize("body", [two_leg_squat, held_squat])
def test_from_the_front_a_squat_in_mid_clip_is_no_sitting(body):
    assert not _demand(_facing(body())).support.touching[:, SEAT].any()


def test_the_seat_carries_until_lift_off_and_from_touch_down():
    body = sit_to_stand()
    seat = _demand(body).support.touching[:, SEAT[0]]
    assert seat[: round((SEAT_OFF - 0.1) * 30)].all()
    assert not seat[round((SEAT_OFF + 0.25) * 30) : round((SEATED - 0.3) * 30)].any()
    assert seat[round((SEATED + 0.1) * 30) :].all()


def test_while_seat_and_feet_carry_no_group_of_the_legs_is_named():
    """They push against each other by as much as nobody sees."""
    for phase, work in _work(sit_to_stand()):
        middle = 0.5 * (TIME_S[phase.start] + TIME_S[phase.stop - 1])
        if middle < SEAT_OFF - 0.2:
            assert "seat" in work.support
            assert work.working_group is None


def test_sitting_still_is_no_work():
    assert not _work(seated({}))


def test_a_leg_that_swings_from_the_seat_is_told():
    rows = [(p, w) for p, w in _work(seated_march()) if p.axis == MotionAxis(Joint.HIP, Side.RIGHT, Axis.FLEXION)]
    told = {p.motion: (w.working_group, w.contraction) for p, w in rows}
    assert told[Motion.FLEXION] == (WorkingGroup.HIP_FLEXORS, Contraction.CONCENTRIC)
    assert told[Motion.EXTENSION] == (WorkingGroup.HIP_FLEXORS, Contraction.ECCENTRIC)


def test_the_foot_on_a_step_carries_the_climb():
    force = _demand(step_up()).support.force
    step = [NAMES.index("right heel"), NAMES.index("right forefoot")]
    middle = round(2.6 * 30)
    assert_allclose(force[middle, step].sum(), 1.0, atol=0.02)
    assert_allclose(np.delete(force[middle], step), 0.0)


def test_a_foot_held_in_the_air_is_on_no_step():
    """Nobody climbs over it."""
    lift = ramp(TIME_S, [(0.6, 0.0), (1.4, 1.0), (4.0, 1.0), (4.8, 0.0)])
    angles = {"left_hip_flexion": 85.0 * lift, "left_knee_flexion": 85.0 * lift}
    body = posed_body(TIME_S, angles, lean=-4.0 * lift, fixed=Centre.RIGHT_HEEL)
    touching = _demand(body).support.touching
    assert not touching[60:100, NAMES.index("left heel")].any()


@pytest.mark.parametrize(
    ("stated", "names"),
    [
        ((), set()),
        ((Carrier.FEET,), {"left heel", "left forefoot", "right heel", "right forefoot"}),
        ((Carrier.LEFT_FOOT, Carrier.SEAT), {"left heel", "left forefoot", "left seat", "right seat"}),
        ((Carrier.TOES, Carrier.RIGHT_HAND), {"left forefoot", "right forefoot", "right hand"}),
        ((Carrier.RIGHT_KNEE, Carrier.ELBOWS), {"right knee", "left elbow", "right elbow"}),
        ((Carrier.PELVIS, Carrier.BACK), {"left hip", "right hip", "left shoulder", "right shoulder"}),
    ],
)
def test_columns_of_what_is_stated(stated, names):
    assert {NAMES[column] for column in columns_stated(stated)} == names


def test_every_part_can_be_stated():
    assert all(columns_stated((carrier,)) for carrier in Carrier)
    assert {column for carrier in Carrier for column in columns_stated((carrier,))} == set(range(len(POINTS)))


def test_what_is_stated_carries_alone_and_without_balance():
    body = wall_sit()
    found, stated = _demand(body), _demand(body, (Carrier.FEET,))
    low = round(2.6 * 30)
    assert np.isnan(found.support.force[low]).any()
    assert_allclose(stated.support.force[low].sum(), 1.0, atol=0.02)
    heels = [NAMES.index(f"{side} heel") for side in ("left", "right")]
    assert stated.support.force[low, heels].sum() > 0.9  # nearest to where the mass is


def test_what_is_stated_is_told_with_the_assumptions():
    body = wall_sit()
    angles = measure_angles(body)
    phases = find_phases(angles, body)
    assert muscle_work(body, angles, phases, (Carrier.FEET,))[1].assumptions[-1].endswith("as stated: feet.")
    assert not any("stated" in line for line in muscle_work(body, angles, phases)[1].assumptions)


def test_a_stated_seat_carries_only_while_one_sits():
    body = sit_to_stand()
    force = _seat_force(body, (Carrier.SEAT, Carrier.FEET))
    assert (force[: round(0.7 * 30)] > 0.3).all()
    assert_allclose(force[round(2.2 * 30) : round(3.6 * 30)], 0.0)


def test_lying_or_hinging_is_no_sitting():
    lying = posed_body(clock(1.0), {"hip_flexion": 90.0, "knee_flexion": 90.0}, lean=-90.0)
    hinged = posed_body(clock(1.0), {"hip_flexion": 80.0}, lean=80.0)
    on_the_floor = posed_body(clock(1.0), {"hip_flexion": 90.0})
    assert not any(sits(body).any() for body in (lying, hinged, on_the_floor))


# positions on the ground ------------------------------------------------------------------------------------


def half_kneeling() -> BodyTrack:
    front_hip, front_knee = leg_to(place(0.0, 0.28), place(0.22, ANKLE_HEIGHT), 0.0)
    angles = {
        "left_hip_flexion": front_hip,
        "left_knee_flexion": front_knee,
        "left_ankle_dorsiflexion": front_knee - front_hip,
        "right_knee_flexion": 87.0,
        "right_ankle_dorsiflexion": -85.0,
    }
    return posed_body(clock(1.0), angles)


def forearm_plank() -> BodyTrack:
    lean = 82.0
    return posed_body(
        clock(1.0), {"shoulder_flexion": lean, "elbow_flexion": 90.0, "ankle_dorsiflexion": 5.0}, lean=lean
    )


def all_fours() -> BodyTrack:
    level = {"hip_flexion": 61.0, "shoulder_flexion": 61.0, "knee_flexion": 90.0}
    return posed_body(clock(1.0), {**level, "ankle_dorsiflexion": -80.0}, lean=61.0)


def lying_on_the_front() -> BodyTrack:
    return posed_body(clock(1.0), {"ankle_dorsiflexion": -60.0}, lean=90.0)


@pytest.mark.parametrize(
    ("body", "carry", "do_not"),
    [
        (half_kneeling, {"right knee", "left heel", "left forefoot"}, {"left knee", "left seat", "left hip"}),
        (forearm_plank, {"left elbow", "right elbow", "left forefoot", "right forefoot"}, {"left knee", "left hip"}),
        (all_fours, {"left hand", "right hand", "left knee", "right knee"}, {"left hip", "left elbow", "left seat"}),
        (lying_on_the_front, {"left hip", "right hip", "left shoulder", "right shoulder"}, {"left seat"}),
    ],
)
def test_positions_on_the_ground(body: Callable[[], BodyTrack], carry, do_not):
    touching = _demand(body()).support.touching[15]
    found = {name for name, on in zip(NAMES, touching) if on}
    assert carry <= found
    assert not do_not & found
    force = _demand(body()).support.force[15]
    assert_allclose(force.sum(), 1.0, atol=1e-3)


def test_a_knee_that_hovers_in_a_lunge_carries_nothing():
    time_s = TIME_S
    hip = place(between(0.03, 0.10), between(0.455, 0.33))
    front_hip, front_knee = leg_to(hip, place(0.22, ANKLE_HEIGHT), 5.0)
    rear_hip, rear_knee = leg_to(hip, place(-0.22, 0.112), 5.0)
    angles = {
        "left_hip_flexion": front_hip,
        "left_knee_flexion": front_knee,
        "left_ankle_dorsiflexion": front_knee - front_hip + 5.0,
        "right_hip_flexion": rear_hip,
        "right_knee_flexion": rear_knee,
        "right_ankle_dorsiflexion": rear_knee - rear_hip + 5.0 - 40.0,
    }
    body = posed_body(time_s, angles, lean=5.0, fixed=Centre.LEFT_HEEL)
    knee = body.centres_m[:, Centre.RIGHT_KNEE, 1].min() / STATURE_M
    assert 0.06 < knee < 0.11
    assert not _demand(body).support.touching[:, NAMES.index("right knee")].any()


def test_in_flight_nothing_carries():
    time_s = clock(3.0)
    body = posed_body(time_s, {"hip_flexion": 0.0})
    # crouched bodies take off and land; a stiff one that leaves the ground for 0.45 s does for the flight
    since = np.clip(time_s - 1.2, 0.0, 0.45)
    height = 0.5 * 9.81 * since * (0.45 - since)
    centres = body.centres_m.copy()
    centres[:, :, 1] += height[:, None]
    support = _demand(replace(body, centres_m=centres)).support
    middle = round(1.42 * 30)
    assert not support.touching[middle].any()
    assert_allclose(support.force[middle], 0.0)
    assert_allclose(support.force[10].sum(), 1.0, atol=0.02)
