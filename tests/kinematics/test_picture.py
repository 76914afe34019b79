"""What the picture shows of a body: perspective, legs that point at the camera, feet under the weight."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from motionlabel.body import Centre, Landmark
from motionlabel.kinematics import body_from_landmarks
from motionlabel.kinematics.feet import under_the_body
from motionlabel.kinematics.perspective import without_perspective
from motionlabel.records import VideoFacts
from tests.synthetic_body import clock, facts_of, landmarks_of, posed_body

VIDEO = VideoFacts("synthetic.mp4", 1000, 800, (30, 1), 1.0, False, "0" * 64)
PX_PER_M = 320.0
FRONT = 90.0


def test_a_nearer_knee_is_moved_back_towards_the_middle_of_the_picture():
    """A pinhole camera of the assumed focal length: the true place comes out exactly."""
    distance = 1.4 * 800 / PX_PER_M
    middle = np.array([500.0, -400.0]) / PX_PER_M
    true, nearer = np.array([0.3, -0.5]), 0.35
    image = np.zeros((1, len(Landmark), 2)) + middle
    image[:, Landmark.LEFT_KNEE] = middle + true * distance / (distance - nearer)
    depth = np.zeros((1, len(Centre)))
    depth[:, Centre.LEFT_KNEE] = nearer
    flat = without_perspective(image, depth, VIDEO, PX_PER_M)
    assert_allclose(flat[0, Landmark.LEFT_KNEE], middle + true, rtol=1e-12)
    assert_allclose(np.delete(flat, Landmark.LEFT_KNEE, axis=1), np.delete(image, Landmark.LEFT_KNEE, axis=1))


def test_unknown_depth_moves_nothing():
    image = np.full((2, len(Landmark), 2), 0.7)
    assert_allclose(without_perspective(image, np.full((2, len(Centre)), np.nan), VIDEO, PX_PER_M), image)


def test_a_leg_that_points_at_the_camera_is_placed_less_surely():
    time_s = clock(1.0)
    standing = posed_body(time_s, {}, facing=FRONT)
    raised = posed_body(time_s, {"left_hip_flexion": 85.0}, facing=FRONT)
    sure, unsure = (body_from_landmarks(landmarks_of(body), facts_of(body)).sigma_m for body in (standing, raised))
    assert (unsure[:, Centre.LEFT_KNEE] > 2.0 * sure[:, Centre.LEFT_KNEE]).all()
    assert_allclose(unsure[:, Centre.RIGHT_KNEE], sure[:, Centre.RIGHT_KNEE])


@pytest.mark.parametrize(
    ("pose", "holds"),
    [({}, True), ({"left_hip_flexion": 60.0, "left_knee_flexion": 90.0}, False)],
    ids=["stands", "lifted"],
)
def test_only_a_foot_that_bears_the_body_is_tethered(pose, holds):
    body = posed_body(clock(1.0), pose, facing=FRONT)
    image = landmarks_of(body).image_px * np.array([1.0, -1.0]) / 500.0
    still = np.zeros(len(body))
    tether = under_the_body("LEFT", image, still, still, np.tile([-1.0, 0.0, 0.0], (len(body), 1)), 30.0)
    assert (tether.holds == holds).all()


def test_a_lying_body_is_not_tethered():
    body = posed_body(clock(1.0), {}, lean=-90.0)
    image = landmarks_of(body).image_px * np.array([1.0, -1.0]) / 500.0
    still = np.zeros(len(body))
    assert not under_the_body("LEFT", image, still, still, np.tile([0.0, 0.0, 1.0], (len(body), 1)), 30.0).holds.any()
