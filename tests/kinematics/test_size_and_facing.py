"""The person's size in the picture and the way they face."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from motionlabel.kinematics.orientation import levelled_from_world, rightward_axis
from motionlabel.kinematics.proportions import LIMBS, link_vector, stature_px
from tests.synthetic_body import PX_PER_M, clock, landmarks_of, posed_body, ramp, squat

FPS = 30.0


def _bend():
    return ramp(clock(4.0), [(0.5, 0.0), (1.8, 100.0), (3.2, 0.0)])


@pytest.mark.parametrize("facing", [0.0, 45.0, 90.0, 180.0, 270.0])
def test_stature_in_pixels(facing):
    body = squat(clock(4.0), _bend(), facing)
    # lengths between landmarks differ from those between joint centres by 2-4 %
    assert_allclose(stature_px(landmarks_of(body)), PX_PER_M * body.stature_m, rtol=0.05)


@pytest.mark.parametrize("lean", [-90.0, 90.0])
def test_stature_of_a_lying_person(lean):
    body = posed_body(clock(1.0), {}, lean=lean)
    assert_allclose(stature_px(landmarks_of(body)), PX_PER_M * body.stature_m, rtol=0.05)


def test_stature_ignores_frames_without_a_person():
    body = squat(clock(4.0), _bend())
    landmarks = landmarks_of(body)
    image = landmarks.image_px.copy()
    image[:30] = np.nan
    assert_allclose(stature_px(replace(landmarks, image_px=image)), stature_px(landmarks), rtol=0.02)


def test_stature_of_nobody_is_refused():
    landmarks = landmarks_of(posed_body(clock(0.2), {}))
    with pytest.raises(ValueError, match="person"):
        stature_px(replace(landmarks, image_px=np.full_like(landmarks.image_px, np.nan)))


@pytest.mark.parametrize("shrink", [1.0, 0.7])
@pytest.mark.parametrize("facing", [0.0, 30.0, 90.0, 180.0, -60.0])
def test_facing(facing, shrink):
    body = posed_body(clock(1.0), {}, facing=facing)
    axis = rightward_axis(landmarks_of(body, shrink), FPS)
    true = np.array([-np.sin(np.radians(facing)), 0.0, np.cos(np.radians(facing))])
    shrunk = true * [1.0, 1.0, shrink]
    assert_allclose(np.linalg.norm(axis, axis=1), 1.0, atol=1e-9)
    assert_allclose(axis, np.tile(shrunk / np.linalg.norm(shrunk), (len(body), 1)), atol=0.02)


def test_facing_is_steadied_against_noise():
    body = posed_body(clock(3.0), {}, facing=45.0)
    landmarks = landmarks_of(body)
    noise = np.random.default_rng(5).normal(0.0, 0.02, landmarks.world_m.shape)
    axis = rightward_axis(replace(landmarks, world_m=landmarks.world_m + noise), FPS)
    turn = np.degrees(np.arctan2(-axis[:, 0], axis[:, 2]))
    # 2 cm at both ends of a 36 cm line are 4.5 degrees; half a second of 30 frames a second averages 15
    assert np.std(turn) < 4.5 / np.sqrt(15) * 1.5
    assert_allclose(np.mean(turn), 45.0, atol=2.0)


def test_facing_carries_over_gaps():
    body = posed_body(clock(2.0), {}, facing=45.0)
    landmarks = landmarks_of(body)
    world = landmarks.world_m.copy()
    world[20:30] = np.nan
    assert np.isfinite(rightward_axis(replace(landmarks, world_m=world), FPS)).all()


def test_levelled_axes():
    assert_allclose(levelled_from_world(np.array([1.0, 2.0, 3.0])), [1.0, -2.0, -3.0])


def test_link_vector():
    landmarks = landmarks_of(posed_body(clock(0.2), {"left_hip_flexion": 90.0}))
    thigh = link_vector(landmarks.image_px, LIMBS["LEFT_HIP_KNEE"])
    assert (thigh[:, 0] > 100.0).all()  # forward is to the right of the picture
    assert_allclose(thigh[:, 1], 0.0, atol=1e-6)
