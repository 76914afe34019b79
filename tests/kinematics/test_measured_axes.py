"""Angles that are only measured: sign and size on a body posed by them, and unknown where nothing shows them."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.spatial.transform import Rotation

from motionlabel.body import AXES, AXIS_INDEX, Centre, Landmark, Segment
from motionlabel.kinematics import measure_angles
from motionlabel.kinematics.head import _FACE, head_frames, measure_neck, neck_angles
from motionlabel.kinematics.pelvis import BENDS_AT
from motionlabel.records import BodyTrack
from tests.synthetic_body import FOREARM, FORWARD, RIGHT, SHANK, STATURE_M, UP, body_of, clock, on_one_leg, posed_body

TIME_S = clock(1.0)
SIDE, THREE_QUARTER, FRONT, BEHIND = 0.0, 45.0, 90.0, -90.0
OUTWARD = {"left": -1.0, "right": 1.0}

each_side = pytest.mark.parametrize("side", OUTWARD)


def _angle(body: BodyTrack, name: str) -> np.ndarray:
    column = next(AXIS_INDEX[axis] for axis in AXES if axis.name == name)
    return np.degrees(measure_angles(body).angle_rad[:, column])


def _spread(body: BodyTrack, name: str) -> np.ndarray:
    column = next(AXIS_INDEX[axis] for axis in AXES if axis.name == name)
    return np.degrees(measure_angles(body).sigma_rad[:, column])


def _with(body: BodyTrack, places: dict[str, np.ndarray]) -> BodyTrack:
    centres = body.centres_m.copy()
    for name, place in places.items():
        centres[:, Centre[name.upper()]] = place
    return replace(body, centres_m=centres)


def _turned(facing: float) -> Rotation:
    """Body axes (forward, up, right) in the levelled frame."""
    return Rotation.from_euler("y", -facing, degrees=True)


@each_side
@pytest.mark.parametrize("facing", [SIDE, THREE_QUARTER, FRONT])
@pytest.mark.parametrize("turn", [-30.0, 0.0, 25.0])
def test_hip_rotation_shows_in_the_bent_shank(side, facing, turn):
    body = posed_body(TIME_S, {f"{side}_hip_flexion": 60.0, f"{side}_knee_flexion": 90.0}, facing=facing)
    thigh = Rotation.from_euler("z", 60.0, degrees=True)
    # internal rotation turns the front of a right thigh to the left: about the long axis, which points up
    inward = thigh * Rotation.from_euler("y", OUTWARD[side] * turn, degrees=True)
    shank = inward * Rotation.from_euler("z", -90.0, degrees=True)
    knee = body.centres_m[:, Centre[f"{side}_knee".upper()]]
    ankle = knee - (_turned(facing) * shank).apply(SHANK * STATURE_M * UP)
    assert_allclose(_angle(_with(body, {f"{side}_ankle": ankle}), f"{side}_hip_internal_rotation"), turn, atol=1e-6)


@each_side
@pytest.mark.parametrize("knee", [0.0, 15.0, 25.0])
def test_hip_rotation_of_a_straight_leg_is_unknown(side, knee):
    body = posed_body(TIME_S, {f"{side}_knee_flexion": knee})
    assert np.isnan(_angle(body, f"{side}_hip_internal_rotation")).all()


@each_side
@pytest.mark.parametrize("raised", [0.0, 90.0])
@pytest.mark.parametrize("turn", [-60.0, 0.0, 45.0])
def test_shoulder_rotation_shows_in_the_bent_forearm(side, raised, turn):
    """At the side and raised sideways to level, where an arm that is not turned has its forearm forward."""
    pose = {f"{side}_shoulder_abduction": raised, f"{side}_elbow_flexion": 90.0}
    body = posed_body(TIME_S, pose, facing=FRONT)
    arm = Rotation.from_euler("x", -OUTWARD[side] * raised, degrees=True)
    inward = arm * Rotation.from_euler("y", OUTWARD[side] * turn, degrees=True)
    elbow = body.centres_m[:, Centre[f"{side}_elbow".upper()]]
    wrist = elbow + (_turned(FRONT) * inward).apply(FOREARM * STATURE_M * FORWARD)
    body = _with(body, {f"{side}_wrist": wrist})
    assert_allclose(_angle(body, f"{side}_shoulder_internal_rotation"), turn, atol=1e-3)


@each_side
def test_shoulder_rotation_of_a_straight_arm_is_unknown(side):
    body = posed_body(TIME_S, {f"{side}_elbow_flexion": 10.0})
    assert np.isnan(_angle(body, f"{side}_shoulder_internal_rotation")).all()


@pytest.mark.parametrize(("facing", "near"), [(SIDE, "right"), (180.0, "left")])
def test_shoulder_rotation_of_the_far_arm_is_unknown(facing, near):
    body = posed_body(TIME_S, {"left_elbow_flexion": 90.0, "right_elbow_flexion": 90.0}, facing=facing)
    for side in OUTWARD:
        known = np.isfinite(_angle(body, f"{side}_shoulder_internal_rotation"))
        assert known.all() if side == near else not known.any()


@each_side
@pytest.mark.parametrize(
    ("pose", "expected"),
    [
        ({"shoulder_abduction": 90.0}, 0.0),
        ({"shoulder_flexion": 90.0}, 90.0),
        ({"shoulder_flexion": 90.0, "shoulder_abduction": 30.0}, 60.0),
        ({"shoulder_abduction": 40.0}, np.nan),
        ({"shoulder_flexion": 170.0}, np.nan),
    ],
    ids=["sideways", "forward", "between", "not raised", "overhead"],
)
def test_plane_of_a_raised_arm(side, pose, expected):
    body = posed_body(TIME_S, {f"{side}_{name}": value for name, value in pose.items()}, facing=THREE_QUARTER)
    assert_allclose(_angle(body, f"{side}_shoulder_horizontal_adduction"), expected, atol=1e-3)


@each_side
@pytest.mark.parametrize("elbow", [0.0, 60.0])
@pytest.mark.parametrize("bend", [-50.0, 0.0, 40.0])
@pytest.mark.parametrize("facing", [SIDE, 180.0])
def test_hand_bends_against_the_forearm(side, elbow, bend, facing):
    """Positive the way the elbow bends, whichever way one faces; the spread reaches over to the other sign."""
    body = posed_body(TIME_S, {f"{side}_elbow_flexion": elbow}, facing=facing)
    hand = _turned(facing) * Rotation.from_euler("z", elbow + bend, degrees=True)
    wrist = body.centres_m[:, Centre[f"{side}_wrist".upper()]]
    body = _with(body, {f"{side}_hand": wrist - 0.06 * STATURE_M * hand.apply(UP)})
    assert_allclose(_angle(body, f"{side}_wrist_flexion"), bend, atol=1e-6)
    assert (2.0 * _spread(body, f"{side}_wrist_flexion") >= 2.0 * abs(bend)).all()


@each_side
def test_hand_from_the_front_is_unknown(side):
    assert np.isnan(_angle(posed_body(TIME_S, {}, facing=FRONT), f"{side}_wrist_flexion")).all()


def _heel_up(side: str, pitch: float, facing: float = SIDE) -> BodyTrack:
    """The first half stands flat, then the heel is up over flat toes."""
    body = posed_body(TIME_S, {}, facing=facing)
    ball, heel = (body.centres_m[:, Centre[f"{side}_{part}".upper()]] for part in ("ball", "heel"))
    up = np.arange(len(body)) >= len(body) // 2
    lifted = ball + (_turned(facing) * Rotation.from_euler("z", -pitch, degrees=True) * _turned(facing).inv()).apply(
        heel - ball
    )
    return _with(body, {f"{side}_heel": np.where(up[:, None], lifted, heel)})


@each_side
def test_toes_bend_when_the_heel_rises(side):
    measured = _angle(_heel_up(side, 35.0), f"{side}_mtp_extension")
    assert_allclose(measured[:10], 0.0, atol=1e-3)
    assert_allclose(measured[-10:], 35.0, atol=1e-3)


@each_side
def test_toes_from_the_front_are_unknown(side):
    assert np.isnan(_angle(_heel_up(side, 35.0, FRONT), f"{side}_mtp_extension")).all()


@each_side
def test_toes_in_the_air_are_unknown(side):
    bend = np.where(np.arange(len(TIME_S)) < 15, 0.0, 90.0)
    body = posed_body(TIME_S, {f"{side}_knee_flexion": bend})
    assert np.isnan(_angle(body, f"{side}_mtp_extension")[-10:]).all()


def _on_one_leg(drop: float, swing: str, facing: float) -> BodyTrack:
    """Level on two legs, then the pelvis hangs to the swing side about the standing hip."""
    time_s = clock(3.0)
    later = time_s > 1.5
    return on_one_leg(time_s, swing, np.where(later, drop, 0.0), np.where(later, 0.1, 0.0), facing)


@each_side
@pytest.mark.parametrize("facing", [FRONT, BEHIND])
def test_pelvis_drops_on_the_swing_side(side, facing):
    measured = _angle(_on_one_leg(8.0, side, facing), "pelvis_drop_left")
    assert_allclose(measured[:30], 0.0, atol=0.1)
    assert_allclose(measured[-30:], 8.0 if side == "left" else -8.0, atol=0.3)


@each_side
def test_a_lean_of_the_thorax_is_no_drop(side):
    """The trunk bends sideways in the lumbar spine over a level pelvis."""
    body = posed_body(clock(3.0), {}, facing=FRONT)
    centres = body.centres_m.copy()
    foot = 0.5 * (centres[:, Centre.LEFT_HIP] + centres[:, Centre.RIGHT_HIP]) + BENDS_AT * STATURE_M * UP
    lean = np.where(np.arange(len(body)) > 45, 15.0 * OUTWARD[side], 0.0)
    turned = _turned(FRONT)
    bend = turned * Rotation.from_euler("x", lean[:, None], degrees=True) * turned.inv()
    for part in ("LEFT_SHOULDER", "RIGHT_SHOULDER", "HEAD"):
        centres[:, Centre[part]] = foot + bend.apply(centres[:, Centre[part]] - foot)
    assert_allclose(_angle(replace(body, centres_m=centres), "pelvis_drop_left"), 0.0, atol=1.0)


def test_pelvis_of_a_side_view_is_unknown():
    assert np.isnan(_angle(_on_one_leg(8.0, "left", SIDE), "pelvis_drop_left")).all()


def test_pelvis_is_counted_from_quiet_standing():
    """A camera that leans, or hips that are not level in the picture, cancel out."""
    body = _on_one_leg(8.0, "left", FRONT)
    lean = Rotation.from_euler("z", 5.0, degrees=True)
    leaning = body_of(body.time_s, lean.apply(body.centres_m.reshape(-1, 3)).reshape(body.centres_m.shape))
    assert_allclose(_angle(leaning, "pelvis_drop_left")[-30:], 8.0, atol=0.5)


@pytest.mark.parametrize(("turn", "facing"), [(20.0, SIDE), (-30.0, SIDE), (20.0, THREE_QUARTER)])
def test_shoulders_turn_against_the_hips(turn, facing):
    body = posed_body(TIME_S, {}, facing=facing)
    left, right = (body.centres_m[:, Centre[f"{side}_SHOULDER"]] for side in ("LEFT", "RIGHT"))
    middle = 0.5 * (left + right)
    about = Rotation.from_euler("y", turn, degrees=True)
    turned = {
        "left_shoulder": middle + about.apply(left - middle),
        "right_shoulder": middle + about.apply(right - middle),
    }
    assert_allclose(_angle(_with(body, turned), "trunk_rotation_left"), turn, atol=1e-3)


def test_turn_of_the_trunk_is_unknown_from_the_front():
    assert np.isnan(_angle(posed_body(TIME_S, {}, facing=FRONT), "trunk_rotation_left")).all()


@each_side
def test_lateral_bend_is_named_after_its_side(side):
    body = posed_body(TIME_S, {}, facing=FRONT)
    centres = body.centres_m.copy()
    shoulders = [Centre.LEFT_SHOULDER, Centre.RIGHT_SHOULDER, Centre.HEAD]
    centres[:, shoulders] += OUTWARD[side] * 0.1 * _turned(FRONT).apply(RIGHT)
    measured = _angle(replace(body, centres_m=centres), "trunk_lateral_bend_left")
    assert (measured > 5.0).all() if side == "left" else (measured < -5.0).all()


def _face(head: Rotation) -> np.ndarray:
    """(1, L, 2) picture of a face, 20 pixels between the ears."""
    picture = np.full((1, len(Landmark), 2), np.nan)
    for landmark, place in _FACE.items():
        picture[0, landmark] = 20.0 * head.apply(place)[:2]
    return picture


@pytest.mark.parametrize("facing", [SIDE, THREE_QUARTER, FRONT])
@pytest.mark.parametrize(
    ("flexion", "bend", "turn"),
    [(25.0, 0.0, 0.0), (-15.0, 0.0, 0.0), (0.0, 20.0, 0.0), (0.0, 0.0, 35.0), (10.0, -8.0, 12.0)],
)
def test_head_against_the_trunk(facing, flexion, bend, turn):
    trunk = _turned(facing)
    # forward flexion turns about the leftward axis, a bend to the left about the backward one
    head = trunk * Rotation.from_euler("ZXY", [-flexion, -bend, turn], degrees=True)
    found = head_frames(_face(head))
    assert_allclose(found[0], head.as_matrix(), atol=1e-9)
    angles = np.degrees(np.concatenate(neck_angles(trunk.as_matrix()[None], found)))
    assert_allclose(angles, [flexion, bend, turn], atol=1e-6)


@pytest.mark.parametrize("picture", [np.zeros((2, len(Landmark), 2)), np.full((2, len(Landmark), 2), np.nan)])
def test_no_face_no_frame(picture):
    assert np.isnan(head_frames(picture)).all()


def test_tilt_and_turn_of_the_head_need_a_view_from_the_front():
    side, front = (_turned(facing).as_matrix()[None] for facing in (SIDE, FRONT))
    (flexion, side_spread), (bend, _), (turn, _) = measure_neck(side, side)
    assert_allclose(flexion, 0.0, atol=1e-9)
    assert np.isnan(bend).all()
    assert np.isnan(turn).all()
    (_, front_spread), (bend, _), (turn, _) = measure_neck(front, front)
    assert_allclose([bend, turn], 0.0, atol=1e-9)
    assert (side_spread < front_spread).all()


def test_head_is_told_by_its_own_frame():
    body = posed_body(TIME_S, {}, facing=SIDE)
    rotations = body.segment_rotations.copy()
    rotations[:, Segment.HEAD] = Rotation.from_euler("z", -20.0, degrees=True).as_matrix()
    assert_allclose(_angle(replace(body, segment_rotations=rotations), "neck_flexion"), 20.0, atol=1e-6)


def test_measured_axes_carry_their_spread():
    body = _heel_up("right", 30.0)
    spread = _spread(body, "right_mtp_extension")
    assert (spread[np.isfinite(spread)] > 5.0).all()
    assert np.isnan(_spread(body, "left_hip_internal_rotation")).all()
