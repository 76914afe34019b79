"""Depth of one segment from its length in the picture, estimated depth and the sagittal plane."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from motionlabel.kinematics.depth import KNEE, Tether, depth_bias, gather_evidence, settle, settle_limb

FPS = 30.0
FRAMES = 60
FACES_RIGHT = np.tile([0.0, 0.0, 1.0], (FRAMES, 1))  # side view: rightward is towards the camera
FACES_CAMERA = np.tile([-1.0, 0.0, 0.0], (FRAMES, 1))
LENGTH = 0.4
GRID_STEP = 0.05 * LENGTH
WIDE = 10.0  # a sagittal plane that says nothing


def _picture(shown: float) -> np.ndarray:
    return np.tile([0.0, -shown * LENGTH], (FRAMES, 1))


def _depth(picture, estimated, rightward=FACES_CAMERA, spread=WIDE, bias=0.0):
    return settle(gather_evidence(picture, np.full(FRAMES, estimated), bias, rightward, LENGTH, spread, FPS))


@pytest.mark.parametrize("sign", [-1.0, 1.0])
def test_depth_comes_from_the_length_that_the_picture_lacks(sign):
    """A segment at 60 degrees to the picture plane whose depth is estimated too small."""
    true = sign * np.sin(np.radians(60.0)) * LENGTH
    depth, sigma = _depth(_picture(0.5), 0.7 * true)
    # the mean of the density moves off its peak towards the estimate by less than its own spread
    assert (np.abs(depth - true) < np.maximum(sigma, GRID_STEP)).all()
    assert (np.sign(depth) == sign).all()
    assert (np.abs(depth) > 0.7 * abs(true)).all()


def test_a_segment_as_long_as_it_can_be_has_no_depth():
    depth, _ = _depth(_picture(1.0), 0.0)
    assert_allclose(depth, 0.0, atol=1e-6)


def test_the_sagittal_plane_keeps_a_side_view_flat():
    flat, flat_sigma = _depth(_picture(0.9), 0.1, rightward=FACES_RIGHT, spread=0.05)
    free, free_sigma = _depth(_picture(0.9), 0.1, rightward=FACES_RIGHT)
    assert (np.abs(flat) < 0.5 * np.abs(free)).all()
    assert (flat_sigma < free_sigma).all()


def test_spread_grows_where_the_sign_is_not_known():
    _, sure = _depth(_picture(0.6), 0.3)
    _, unsure = _depth(_picture(0.6), 0.0)
    assert (unsure > 2.0 * sure).all()


def test_unknown_frames_stay_unknown_and_hurt_no_other():
    picture = _picture(0.5)
    picture[20:30] = np.nan
    depth, sigma = _depth(picture, 0.3)
    known = np.isfinite(depth)
    assert not known[20:30].any()
    assert known[:20].all()
    assert known[30:].all()
    assert (np.isfinite(sigma) == known).all()
    whole, _ = _depth(_picture(0.5), 0.3)
    assert_allclose(depth[known], whole[known], atol=GRID_STEP)


@pytest.mark.parametrize("missing", ["picture", "estimate"])
def test_nothing_known_at_all(missing):
    picture = np.full((FRAMES, 2), np.nan) if missing == "picture" else _picture(0.5)
    estimated = np.nan if missing == "estimate" else 0.3
    depth, sigma = _depth(picture, estimated)
    assert np.isnan(depth).all()
    assert np.isnan(sigma).all()


def _limb(bend_deg: float, lean: float) -> tuple[list[np.ndarray], list[np.ndarray]]:
    """Two segments, the far one bent in the picture; each has the estimated depth ``lean``."""
    turn = np.radians(bend_deg)
    near = np.tile([0.0, -LENGTH], (FRAMES, 1))
    far = np.tile([LENGTH * np.sin(turn), -LENGTH * np.cos(turn)], (FRAMES, 1))
    return [near, far], [np.full(FRAMES, lean), np.full(FRAMES, -lean)]


def test_bias_is_the_estimated_depth_of_a_limb_in_the_picture_plane():
    pictures, estimated = _limb(0.0, 0.05)
    assert_allclose(depth_bias(pictures, estimated, [LENGTH, LENGTH]), [0.05, -0.05])


def test_bias_is_bounded():
    pictures, estimated = _limb(0.0, 0.5)
    assert_allclose(depth_bias(pictures, estimated, [LENGTH, LENGTH]), [0.3 * LENGTH, -0.3 * LENGTH])


@pytest.mark.parametrize("limb", ["bent", "short in the picture", "not seen"])
def test_no_bias_without_a_straight_limb_in_the_picture_plane(limb):
    pictures, estimated = _limb(30.0 if limb == "bent" else 0.0, 0.05)
    if limb == "short in the picture":
        pictures = [0.8 * picture for picture in pictures]
    if limb == "not seen":
        pictures = [np.full_like(picture, np.nan) for picture in pictures]
    assert depth_bias(pictures, estimated, [LENGTH, LENGTH]) == [0.0, 0.0]


def test_bias_is_taken_off_near_its_own_posture_only():
    """A segment that shows its whole length has no depth, whatever was estimated."""
    biased, _ = _depth(_picture(1.0), 0.08, bias=0.08)
    assert_allclose(biased, 0.0, atol=1e-6)
    far_from_it, _ = _depth(_picture(0.5), 0.32, bias=0.08)
    unbiased, _ = _depth(_picture(0.5), 0.32)
    assert_allclose(far_from_it, unbiased, atol=GRID_STEP)


def test_a_leg_that_depth_bends_a_little_is_taken_for_straight():
    """Seen from the front, a straight leg whose depth is estimated bent by 14 deg comes out straighter."""
    lean = LENGTH * np.sin(np.radians(7.0))
    thigh, shank = (
        gather_evidence(_picture(0.98), np.full(FRAMES, depth), 0.0, FACES_CAMERA, LENGTH, WIDE, FPS)
        for depth in (lean, -lean)
    )
    alone = [settle(evidence)[0] for evidence in (thigh, shank)]
    joined = [depth for depth, _ in settle_limb(thigh, shank, FACES_CAMERA, KNEE)]
    assert (joined[0] - joined[1] < 0.8 * (alone[0] - alone[1])).all()


def test_a_plainly_bent_leg_stays_bent():
    bend = LENGTH * np.sin(np.radians(45.0))
    thigh, shank = (
        gather_evidence(_picture(0.7), np.full(FRAMES, depth), 0.0, FACES_CAMERA, LENGTH, WIDE, FPS)
        for depth in (bend, -bend)
    )
    (near, _), (far, _) = settle_limb(thigh, shank, FACES_CAMERA, KNEE)
    assert_allclose(near, bend, atol=0.1 * LENGTH)
    assert_allclose(far, -bend, atol=0.1 * LENGTH)


def test_a_knee_does_not_bend_forwards():
    """The same picture with the depths exchanged: shank towards the camera that the person faces."""
    bend = LENGTH * np.sin(np.radians(20.0))
    thigh, shank = (
        gather_evidence(_picture(0.94), np.full(FRAMES, depth), 0.0, FACES_CAMERA, LENGTH, WIDE, FPS)
        for depth in (-bend, bend)
    )
    (near, _), (far, _) = settle_limb(thigh, shank, FACES_CAMERA, KNEE)
    assert (far - near < 0.5 * LENGTH * np.sin(np.radians(20.0))).all()


@pytest.mark.parametrize("shank", [-1.0, 0.5])
def test_a_tether_tells_which_way_the_shank_leans(shank):
    """A squat from the front: the picture of a leaning shank is the same forwards and backwards."""
    thigh_depth, shank_depth = LENGTH * np.sin(np.radians(50.0)), shank * LENGTH * np.sin(np.radians(30.0))
    thigh = gather_evidence(
        _picture(np.cos(np.radians(50.0))), np.full(FRAMES, 0.2), 0.0, FACES_CAMERA, LENGTH, WIDE, FPS
    )
    shown = np.sqrt(1.0 - (shank_depth / LENGTH) ** 2)
    below = gather_evidence(_picture(shown), np.zeros(FRAMES), 0.0, FACES_CAMERA, LENGTH, WIDE, FPS)
    holds = np.ones(FRAMES, dtype=bool)
    tether = Tether(np.full(FRAMES, 0.8 * thigh_depth + 0.95 * shank_depth), 0.03, holds)
    (_, _), (found, _) = settle_limb(thigh, below, FACES_CAMERA, KNEE, tether)
    # estimated flat, the depth falls short of the true one but keeps its side
    assert_allclose(found, shank_depth, atol=0.15 * LENGTH)
    loose = settle_limb(thigh, below, FACES_CAMERA, KNEE, Tether(tether.depth, 0.03, ~holds))
    without = settle_limb(thigh, below, FACES_CAMERA, KNEE)
    assert_allclose(loose[1][0], without[1][0])
