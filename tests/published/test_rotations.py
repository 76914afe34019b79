"""Joint angles against ``scipy.spatial.transform.Rotation`` on random poses.

Distal frame in proximal frame = Rz(flexion) Rx(frontal) Ry(axial), axes forward, up, right; the
frontal angle is adduction on the right side (Grood & Suntay 1983; Wu et al. 2002).
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.spatial.transform import Rotation

from motionlabel.body import AXIS_INDEX, Axis, Centre, Joint, MotionAxis, Segment, Side
from motionlabel.kinematics import measure_angles
from motionlabel.kinematics.rotations import frontal_swing_angles, hinge_angle, segment_frame, swing_angles
from motionlabel.records import BodyTrack, CameraModel

POSES = 400
EXACT_RAD = 1e-9  # both sides are closed forms in double precision
FORWARD, UP, RIGHT = np.eye(3)

sides = pytest.mark.parametrize("side", [Side.LEFT, Side.RIGHT])


@pytest.fixture
def random():
    return np.random.default_rng(1996)


def _adduction_sign(side: Side) -> float:
    return 1.0 if side is Side.RIGHT else -1.0


@sides
def test_swing_is_the_cardan_sequence_z_x_y(random, side):
    distal_in_proximal = Rotation.random(POSES, random)
    flexion, frontal, _ = distal_in_proximal.as_euler("ZXY").T
    found_flexion, found_abduction = swing_angles(distal_in_proximal.apply(-UP), side)
    assert_allclose(_wrapped(found_flexion - flexion), 0.0, atol=EXACT_RAD)
    assert_allclose(found_abduction, -_adduction_sign(side) * frontal, atol=EXACT_RAD)


@sides
def test_thirty_degrees_of_flexion_are_nothing_else(side):
    direction = Rotation.from_euler("z", 30.0, degrees=True).apply(-UP)
    assert_allclose(swing_angles(direction, side), (np.radians(30.0), 0.0), atol=EXACT_RAD)


@sides
def test_frontal_swing_is_the_cardan_sequence_x_z(random, side):
    distal_in_proximal = Rotation.random(POSES, random)
    limb = distal_in_proximal.apply(-UP)
    frontal, flexion, _ = distal_in_proximal.as_euler("XZY").T
    found_flexion, found_abduction = frontal_swing_angles(limb, side)
    assert_allclose(found_flexion, flexion, atol=EXACT_RAD)
    assert_allclose(_wrapped(found_abduction + _adduction_sign(side) * frontal), 0.0, atol=EXACT_RAD)


@sides
def test_an_arm_raised_sideways_overhead_is_abducted_not_flexed(side):
    outward = -1.0 if side is Side.LEFT else 1.0
    raised = Rotation.from_euler("x", -outward * 150.0, degrees=True).apply(-UP)
    assert_allclose(frontal_swing_angles(raised, side), (0.0, np.radians(150.0)), atol=EXACT_RAD)


def test_segment_frame_is_a_rotation_with_the_given_axes(random):
    frame = Rotation.random(POSES, random)
    up, right = frame.apply(UP), frame.apply(RIGHT)
    skew = random.uniform(-1.0, 1.0, (POSES, 1))  # the hint need not be perpendicular
    found = segment_frame(up * random.uniform(0.2, 2.0, (POSES, 1)), right + skew * up)
    assert_allclose(found, frame.as_matrix(), atol=EXACT_RAD)


@pytest.mark.parametrize("rotated_about", [RIGHT, -RIGHT], ids=["forward", "backward"])
def test_hinge_is_the_angle_about_its_axis(random, rotated_about):
    pose = Rotation.random(POSES, random)
    bend = random.uniform(0.0, np.radians(170.0), POSES)
    far = pose * Rotation.from_rotvec(bend[:, None] * rotated_about)
    found = hinge_angle(pose.apply(-UP), far.apply(-UP), pose.apply(RIGHT))
    assert_allclose(found, bend * rotated_about[2], atol=EXACT_RAD)


def test_angles_of_a_random_body(random):
    """A body built by scipy in any pose and attitude gives back the angles it was built with."""
    trunk = Rotation.random(POSES, random)
    hip = {side: random.uniform(np.radians([-20, -40]), np.radians([120, 40]), (POSES, 2)) for side in "LR"}
    # an arm below 45 deg is told in one way only, a bend above 30 deg is the whole angle in space
    arm = {side: random.uniform(-np.radians(30.0), np.radians(30.0), (POSES, 2)) for side in "LR"}
    knee = {side: random.uniform(np.radians(35.0), np.radians(140.0), POSES) for side in "LR"}
    elbow = {side: random.uniform(np.radians(35.0), np.radians(140.0), POSES) for side in "LR"}
    sole = {side: random.uniform(-np.radians(40.0), np.radians(20.0), POSES) for side in "LR"}

    centres = np.full((POSES, len(Centre), 3), np.nan)
    for letter, side in (("L", Side.LEFT), ("R", Side.RIGHT)):
        name, outward = side.upper(), (-RIGHT if side is Side.LEFT else RIGHT)
        thigh = trunk * _limb(hip[letter], side)
        shank = thigh * Rotation.from_rotvec(-knee[letter][:, None] * RIGHT)
        foot = shank * Rotation.from_rotvec(sole[letter][:, None] * RIGHT)
        upper_arm = trunk * _limb(arm[letter], side)
        forearm = upper_arm * Rotation.from_rotvec(elbow[letter][:, None] * RIGHT)
        _put(centres, f"{name}_HIP", trunk.apply(0.1 * outward))
        _put(centres, f"{name}_KNEE", _get(centres, f"{name}_HIP") + thigh.apply(-0.4 * UP))
        _put(centres, f"{name}_ANKLE", _get(centres, f"{name}_KNEE") + shank.apply(-0.4 * UP))
        _put(centres, f"{name}_HEEL", _get(centres, f"{name}_ANKLE") + foot.apply(-0.05 * FORWARD))
        _put(centres, f"{name}_TOE", _get(centres, f"{name}_HEEL") + foot.apply(0.25 * FORWARD))
        _put(centres, f"{name}_BALL", _get(centres, f"{name}_HEEL") + foot.apply(0.19 * FORWARD))
        _put(centres, f"{name}_SHOULDER", trunk.apply(0.5 * UP + 0.2 * outward))
        _put(centres, f"{name}_ELBOW", _get(centres, f"{name}_SHOULDER") + upper_arm.apply(-0.3 * UP))
        _put(centres, f"{name}_WRIST", _get(centres, f"{name}_ELBOW") + forearm.apply(-0.25 * UP))
    angles = measure_angles(_body(centres, trunk))

    for letter, side in (("L", Side.LEFT), ("R", Side.RIGHT)):
        for joint, axis, built in (
            (Joint.HIP, Axis.FLEXION, hip[letter][:, 0]),
            (Joint.HIP, Axis.ABDUCTION, hip[letter][:, 1]),
            (Joint.KNEE, Axis.FLEXION, knee[letter]),
            (Joint.ANKLE, Axis.DORSIFLEXION, sole[letter]),
            (Joint.SHOULDER, Axis.FLEXION, arm[letter][:, 0]),
            (Joint.SHOULDER, Axis.ABDUCTION, arm[letter][:, 1]),
            (Joint.ELBOW, Axis.FLEXION, elbow[letter]),
        ):
            found = angles.angle_rad[:, AXIS_INDEX[MotionAxis(joint, side, axis)]]
            assert_allclose(found, built, atol=1e-7, err_msg=f"{side} {joint} {axis}")  # arccos loses half the digits


def _wrapped(difference: np.ndarray) -> np.ndarray:
    return (difference + np.pi) % (2.0 * np.pi) - np.pi


def _limb(flexion_abduction: np.ndarray, side: Side) -> Rotation:
    """Limb in trunk: flexion, then abduction."""
    flexion, abduction = flexion_abduction.T
    return Rotation.from_euler("ZX", np.column_stack([flexion, -_adduction_sign(side) * abduction]))


def _put(centres: np.ndarray, name: str, place: np.ndarray) -> None:
    centres[:, Centre[name]] = place


def _get(centres: np.ndarray, name: str) -> np.ndarray:
    return centres[:, Centre[name]]


def _body(centres: np.ndarray, trunk: Rotation) -> BodyTrack:
    frames = len(centres)
    rotations = np.tile(np.eye(3), (frames, len(Segment), 1, 1))
    rotations[:, Segment.TRUNK] = trunk.as_matrix()
    return BodyTrack(
        time_s=np.arange(frames) / 30.0,
        centres_m=centres,
        segment_rotations=rotations,
        sigma_m=np.full((frames, len(Centre)), 0.01),
        depth_sigma_m=np.full((frames, len(Centre)), 0.03),
        stature_m=1.7,
        camera=CameraModel(px_per_m=200.0, roll_rad=0.0, width=1280, height=720),
    )
