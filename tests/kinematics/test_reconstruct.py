"""Body and angles from landmarks of a body that is known exactly, projected without perspective."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from motionlabel.body import AXES, AXIS_INDEX, Centre, Joint, Landmark
from motionlabel.kinematics import body_from_landmarks, measure_angles
from motionlabel.records import LandmarkTrack
from tests.synthetic_body import clock, facts_of, landmarks_of, posed_body, ramp, squat

# In a side view the picture alone gives the angle: what is left is rounding of the depth grid.
IN_PLANE_DEG = 0.5
# A length wrong by its own spread of 6 % turns a segment seen at 45 degrees by 0.06 / tan 45 = 3.4 degrees;
# two independent segments make a joint.
OBLIQUE_DEG = np.degrees(0.06) * np.sqrt(2)

SECONDS = 5.0


@pytest.fixture(scope="module")
def bend():
    return ramp(clock(SECONDS), [(1.0, 0.0), (2.3, 100.0), (2.8, 100.0), (4.0, 0.0)])


def _column(name: str) -> int:
    return next(AXIS_INDEX[axis] for axis in AXES if axis.name == name)


def _error_deg(body, landmarks):
    """Angles from landmarks minus true angles, degrees, and the stated spread."""
    found = measure_angles(body_from_landmarks(landmarks, facts_of(body)))
    true = measure_angles(body)
    return np.degrees(found.angle_rad - true.angle_rad), np.degrees(found.sigma_rad)


@pytest.mark.parametrize("shrink", [1.0, 0.7], ids=["true depth", "shrunk depth"])
@pytest.mark.parametrize(
    ("facing", "most_deg"),
    [(0.0, IN_PLANE_DEG), (180.0, IN_PLANE_DEG), (20.0, OBLIQUE_DEG), (45.0, OBLIQUE_DEG), (135.0, OBLIQUE_DEG)],
)
@pytest.mark.parametrize("axis", ["left_knee_flexion", "right_knee_flexion", "left_hip_flexion"])
def test_a_squat_is_recovered(bend, facing, most_deg, shrink, axis):
    body = squat(clock(SECONDS), bend, facing)
    error, sigma = _error_deg(body, landmarks_of(body, shrink))
    column = _column(axis)
    assert np.sqrt(np.mean(error[:, column] ** 2)) < most_deg
    assert (np.abs(error[:, column]) < 2.0 * sigma[:, column] + IN_PLANE_DEG).all()


@pytest.mark.parametrize("axis", ["left_knee_flexion", "right_hip_flexion"])
def test_a_squat_from_the_front_is_recovered_within_its_own_spread(bend, axis):
    body = squat(clock(SECONDS), bend, facing=90.0)
    error, sigma = _error_deg(body, landmarks_of(body, 0.7))
    assert (np.abs(error[:, _column(axis)]) < 2.0 * sigma[:, _column(axis)]).all()
    assert np.isfinite(sigma[:, _column(axis)]).all()


@pytest.mark.parametrize("axis", ["left_hip_abduction", "left_shoulder_abduction", "right_shoulder_abduction"])
def test_raises_to_the_side_are_recovered_from_the_front(axis):
    time_s = clock(4.0)
    raised = ramp(time_s, [(0.5, 0.0), (1.5, 1.0), (2.0, 1.0), (3.0, 0.0)])
    angles = {"left_hip_abduction": 40.0 * raised, "shoulder_abduction": 120.0 * raised}
    body = posed_body(time_s, angles, facing=90.0, fixed=Centre.RIGHT_HEEL)
    error, _ = _error_deg(body, landmarks_of(body, 0.7))
    # both limbs and the trunk lie in the picture plane
    assert np.sqrt(np.mean(error[:, _column(axis)] ** 2)) < 2 * IN_PLANE_DEG


def test_straight_knees_seen_from_the_front_are_not_bent_by_estimated_depth():
    """The landmarker tilts straight legs: their true length in the picture says that they are straight."""
    body = posed_body(clock(3.0), {}, facing=90.0)
    landmarks = landmarks_of(body)
    world = landmarks.world_m.copy()
    for side in ("LEFT", "RIGHT"):
        for part in ("ANKLE", "HEEL", "FOOT_INDEX"):
            world[:, Landmark[f"{side}_{part}"], 2] += 0.10  # a bend of 14 degrees
    error, _ = _error_deg(body, replace(landmarks, world_m=world))
    assert np.abs(error[:, _column("left_knee_flexion")]).max() < 4.0  # the least motion that is told


def test_spread_is_larger_in_depth_than_in_the_picture(bend):
    side, front = (squat(clock(SECONDS), bend, facing) for facing in (0.0, 90.0))
    side_sigma, front_sigma = (_error_deg(body, landmarks_of(body, 0.7))[1] for body in (side, front))
    column = _column("left_knee_flexion")
    assert np.median(front_sigma[:, column]) > 1.5 * np.median(side_sigma[:, column])
    found = body_from_landmarks(landmarks_of(front, 0.7), facts_of(front))
    far = [Centre.LEFT_ANKLE, Centre.RIGHT_WRIST]
    assert (found.depth_sigma_m[:, far] > found.sigma_m[:, far]).all()


def test_the_hip_keeps_its_path(bend):
    body = squat(clock(SECONDS), bend)
    found = body_from_landmarks(landmarks_of(body), facts_of(body))
    true_drop = np.ptp(body.centres_m[:, Centre.LEFT_HIP, 1]) / body.stature_m
    drop = np.ptp(found.centres_m[:, Centre.LEFT_HIP, 1]) / found.stature_m
    assert_allclose(drop, true_drop, rtol=0.05)  # the scale comes from usual lengths, spread 2-4 %


def test_segment_frames_are_rotations(bend):
    body = squat(clock(SECONDS), bend, facing=45.0)
    rotations = body_from_landmarks(landmarks_of(body), facts_of(body)).segment_rotations
    assert_allclose(np.linalg.det(rotations), 1.0, atol=1e-6)
    assert_allclose(np.swapaxes(rotations, -1, -2) @ rotations, np.broadcast_to(np.eye(3), rotations.shape), atol=1e-6)


def _without(landmarks: LandmarkTrack, frames: slice, points: list[Landmark] | None = None) -> LandmarkTrack:
    """Nobody, or some points unseen, in some frames."""
    image, world = landmarks.image_px.copy(), landmarks.world_m.copy()
    visibility = landmarks.visibility.copy()
    chosen = list(Landmark) if points is None else points
    image[frames, chosen], world[frames, chosen], visibility[frames, chosen] = np.nan, np.nan, 0.0
    return replace(landmarks, image_px=image, world_m=world, visibility=visibility)


@pytest.mark.parametrize("gone", [slice(0, 40), slice(110, None), slice(60, 90)], ids=["start", "end", "middle"])
def test_nobody_in_part_of_the_clip(bend, gone):
    body = squat(clock(SECONDS), bend)
    found = body_from_landmarks(_without(landmarks_of(body), gone), facts_of(body))
    angles = measure_angles(found)
    away = np.zeros(len(body), dtype=bool)
    away[gone] = True
    assert np.isnan(found.centres_m[away][:, :, :2]).all()
    assert np.isnan(angles.angle_rad[away]).all()
    assert np.isnan(angles.sigma_rad[away]).all()
    true = measure_angles(body).angle_rad
    column = _column("left_knee_flexion")
    assert_allclose(np.degrees(angles.angle_rad - true)[~away, column], 0.0, atol=2 * IN_PLANE_DEG)


def test_nobody_at_all_is_refused():
    body = posed_body(clock(1.0), {})
    with pytest.raises(ValueError, match="person"):
        body_from_landmarks(_without(landmarks_of(body), slice(None)), facts_of(body))


def _legs_below_the_picture(landmarks, facts):
    return landmarks, replace(facts, height=800)  # the knees are at 908


def _legs_invented(landmarks, facts):
    visibility = landmarks.visibility.copy()
    visibility[:, Landmark.LEFT_KNEE :] = 0.005
    return replace(landmarks, visibility=visibility), facts


@pytest.mark.parametrize("hide", [_legs_below_the_picture, _legs_invented])
def test_points_that_are_not_seen_are_unknown(hide):
    body = posed_body(clock(2.0), {"elbow_flexion": 60.0})
    angles = measure_angles(body_from_landmarks(*hide(landmarks_of(body), facts_of(body))))
    for axis, column in AXIS_INDEX.items():
        if axis.joint in (Joint.HIP, Joint.KNEE, Joint.ANKLE):
            assert np.isnan(angles.angle_rad[:, column]).all(), axis.name
            assert np.isnan(angles.sigma_rad[:, column]).all(), axis.name
    assert_allclose(np.degrees(angles.angle_rad[:, _column("right_elbow_flexion")]), 60.0, atol=2 * IN_PLANE_DEG)


def test_a_point_guessed_behind_the_body_has_a_larger_spread():
    body = posed_body(clock(1.0), {})
    landmarks = landmarks_of(body)
    visibility = landmarks.visibility.copy()
    visibility[:, Landmark.LEFT_KNEE] = 0.1
    found = body_from_landmarks(replace(landmarks, visibility=visibility), facts_of(body))
    assert (found.sigma_m[:, Centre.LEFT_KNEE] > 2 * found.sigma_m[:, Centre.RIGHT_KNEE]).all()
