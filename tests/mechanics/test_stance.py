"""Single-leg stance: a pelvis that drops is described from 4 degrees on, and the standing hip's hold has a row."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from motionlabel.body import Axis, Centre, Contraction, Joint, Motion, MotionAxis, Side, WorkingGroup
from motionlabel.kinematics import measure_angles
from motionlabel.mechanics import muscle_work
from motionlabel.mechanics.stance import swing_drops
from motionlabel.movement import find_phases
from motionlabel.records import BodyTrack, Phase, Work
from tests.published.exercise_motions import leg_out
from tests.published.exercise_poses import BACK, OUT
from tests.synthetic_body import body_of, clock, on_one_leg, posed_body, ramp, squat

TIME_S = clock(5.0)


def _drop(degrees: float, swing: str, lift_m: float = 0.12, facing: float = 90.0) -> BodyTrack:
    """Quiet standing, one foot lifted, then the pelvis hangs to its side and comes back."""
    drop = ramp(TIME_S, [(0.0, 0.0), (2.0, 0.0), (2.5, degrees), (3.5, degrees), (4.0, 0.0)])
    return on_one_leg(TIME_S, swing, drop, ramp(TIME_S, [(0.0, 0.0), (1.2, 0.0), (1.6, lift_m)]), facing)


@pytest.mark.parametrize(("swing", "standing"), [("left", Side.RIGHT), ("right", Side.LEFT)])
@pytest.mark.parametrize("facing", [90.0, -90.0], ids=["front", "behind"])
def test_drop_is_told_with_its_side(swing, standing, facing):
    body = _drop(7.0, swing, facing=facing)
    (found,) = swing_drops(body, measure_angles(body))
    assert (found.side, found.standing) == (swing, standing)
    assert_allclose(np.degrees(found.drop_rad), 7.0, atol=0.3)
    assert found.sigma_rad > 0.0


@pytest.mark.parametrize(
    "body",
    [
        _drop(3.5, "left"),
        _drop(-8.0, "left"),
        _drop(8.0, "left", lift_m=0.0),
        _drop(8.0, "left", facing=0.0),
        posed_body(TIME_S, {}, facing=90.0),
    ],
    ids=["below 4 deg", "hitched up", "both feet down", "side view", "standing still"],
)
def test_nothing_to_tell(body):
    assert swing_drops(body, measure_angles(body)) == ()


# the hold of the standing hip ---------------------------------------------------------------------------------


def _rows(body: BodyTrack) -> list[tuple[Phase, Work]]:
    angles = measure_angles(body)
    return list(zip(*muscle_work(body, angles, find_phases(angles, body))))


def _stance_rows(body: BodyTrack, side: Side) -> list[tuple[Phase, Work]]:
    axis = MotionAxis(Joint.HIP, side, Axis.ABDUCTION)
    return [(phase, work) for phase, work in _rows(body) if phase.axis == axis]


def _mirrored(body: BodyTrack) -> BodyTrack:
    other = [Centre[c.name.replace("LEFT", "*").replace("RIGHT", "LEFT").replace("*", "RIGHT")] for c in Centre]
    return body_of(body.time_s, body.centres_m[:, other] * [-1.0, 1.0, 1.0])


@pytest.mark.parametrize("mirror", [False, True], ids=["right leg", "left leg"])
def test_the_standing_hip_has_a_hold_while_the_other_leg_is_raised(mirror):
    body = leg_out()
    body, side = (_mirrored(body), Side.LEFT) if mirror else (body, Side.RIGHT)
    ((phase, work),) = _stance_rows(body, side)
    assert phase.motion is Motion.HOLD
    assert (work.working_group, work.contraction) == (WorkingGroup.HIP_ABDUCTORS, Contraction.ISOMETRIC)
    assert work.support == (f"{side} foot",)
    assert body.time_s[phase.start] < OUT[0] + 0.4
    assert body.time_s[phase.stop - 1] > BACK[1] - 0.4
    # the moment of the body over the hip: half the width of the pelvis and the shift over the foot
    assert 3.0 < work.demand < 9.0


@pytest.mark.parametrize(
    "body",
    [
        posed_body(TIME_S, {}, facing=90.0),
        posed_body(TIME_S, {"right_shoulder_abduction": ramp(TIME_S, [(1.0, 0.0), (2.0, 80.0)])}, facing=90.0),
        squat(TIME_S, ramp(TIME_S, [(1.0, 0.0), (2.0, 60.0), (3.0, 60.0), (4.0, 0.0)]), facing=90.0),
    ],
    ids=["standing", "an arm moves", "squat"],
)
@pytest.mark.parametrize("side", [Side.LEFT, Side.RIGHT])
def test_on_both_legs_no_hip_has_a_hold(body, side):
    assert not [work for _, work in _stance_rows(body, side) if work.working_group is not None]


def test_a_foot_lost_for_a_moment_or_without_a_shift_bears_nothing():
    """The mass centre stays between the feet: the other foot is only not seen to touch."""
    lift = ramp(TIME_S, [(1.0, 0.0), (1.5, 0.08), (3.5, 0.08), (4.0, 0.0)])
    body = on_one_leg(TIME_S, "left", np.zeros(len(TIME_S)), lift, 90.0)
    assert not [work for _, work in _stance_rows(body, Side.RIGHT) if work.working_group is not None]


def test_in_a_side_view_the_load_across_is_not_seen():
    body = posed_body(TIME_S, {"left_knee_flexion": ramp(TIME_S, [(1.0, 0.0), (1.8, 90.0)])}, fixed=Centre.RIGHT_HEEL)
    assert not _stance_rows(body, Side.RIGHT)
