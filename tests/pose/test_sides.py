import json
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal

from motionlabel.body import Landmark
from motionlabel.pose.sides import mend_sides
from motionlabel.records import LandmarkTrack

DEMO = Path(__file__).parents[2] / "demo_clips"
CLIPS = sorted(path.name.removesuffix(".truth.json") for path in DEMO.glob("*.truth.json"))
LEGS = [Landmark.LEFT_KNEE, Landmark.LEFT_ANKLE, Landmark.LEFT_HEEL, Landmark.LEFT_FOOT_INDEX]
ARMS = [Landmark.LEFT_ELBOW, Landmark.LEFT_WRIST, Landmark.LEFT_PINKY, Landmark.LEFT_INDEX, Landmark.LEFT_THUMB]
TRUNK = [Landmark.LEFT_SHOULDER, Landmark.LEFT_HIP]
HAND = ("PINKY", "INDEX", "THUMB")


def true_track(name: str, every: int = 1) -> LandmarkTrack:
    """A track as a landmarker without errors, but with jitter, would find it."""
    truth = json.loads((DEMO / f"{name}.truth.json").read_text())
    rng = np.random.default_rng(3)
    frames = len(truth["joints_2d"]["nose"])
    camera = np.array(truth["camera"]["R_world_to_camera"])
    image_px, world_m = np.empty((frames, len(Landmark), 2)), np.empty((frames, len(Landmark), 3))
    for landmark in Landmark:
        side, _, part = landmark.name.partition("_")
        joint = f"{side}_{'WRIST' if part in HAND else part}".lower()
        joint = joint if joint in truth["joints_2d"] else "nose"
        image_px[:, landmark] = truth["joints_2d"][joint]
        world_m[:, landmark] = np.array(truth["joints_3d"][joint]) @ camera.T
    image_px += rng.normal(0.0, 0.3, image_px.shape)
    time_s = np.arange(frames) / truth["fps"]
    rows = slice(None, None, every)
    return LandmarkTrack(time_s[rows], image_px[rows], world_m[rows], np.ones((len(time_s[rows]), len(Landmark))))


def exchanged(track: LandmarkTrack, rows: np.ndarray, left: list[Landmark], depth: bool) -> LandmarkTrack:
    image_px, world_m, visibility = track.image_px.copy(), track.world_m.copy(), track.visibility.copy()
    axes = slice(0, 3 if depth else 2)
    for one in left:
        image_px[rows, one], image_px[rows, one + 1] = track.image_px[rows, one + 1], track.image_px[rows, one]
        world_m[rows, one, axes], world_m[rows, one + 1, axes] = (
            track.world_m[rows, one + 1, axes],
            track.world_m[rows, one, axes],
        )
    return LandmarkTrack(track.time_s, image_px, world_m, visibility)


def spans(frames: int, seed: int) -> np.ndarray:
    """A fifth of the frames, in spans of 1 to 15."""
    rng = np.random.default_rng(seed)
    rows = np.zeros(frames, dtype=bool)
    at = 8
    while at < frames - 20:
        length = int(rng.choice([1, 2, 3, 5, 8, 15]))
        rows[at : at + length] = True
        at += length + int(rng.integers(12, 40))
    return rows


@pytest.mark.parametrize("name", CLIPS)
@pytest.mark.parametrize("every", [1, 2])
def test_nothing_is_exchanged_without_need_not_even_where_limbs_cross(name, every):
    track = true_track(name, every)
    mended = mend_sides(track)
    off = np.linalg.norm(mended.image_px - track.image_px, axis=2)
    assert (off == 0.0).mean() > 0.98
    assert off.max() < 5.0  # px: what is bridged was near already


@pytest.mark.parametrize("left", [LEGS, ARMS, TRUNK], ids=["legs", "arms", "trunk"])
def test_exchanged_frames_are_found_in_every_clip(left):
    wrong = right = bridged = 0
    for seed, name in enumerate(CLIPS):
        track = true_track(name)
        rows = spans(len(track), seed)
        mended = mend_sides(exchanged(track, rows, left, depth=False))
        # where left and right lie together nobody can tell, and nothing is lost
        apart = np.linalg.norm(track.image_px[:, left[:2]] - track.image_px[:, np.array(left[:2]) + 1], axis=2)
        judged = rows & (apart.sum(axis=1) > 20.0)
        off = np.linalg.norm(mended.image_px - track.image_px, axis=2)[judged][:, left[:2]].max(axis=1)
        right += np.count_nonzero(off == 0.0)
        bridged += np.count_nonzero((off > 0.0) & (off < 10.0))
        wrong += np.count_nonzero(off >= 10.0)
    assert right + bridged >= 0.95 * (right + wrong + bridged)
    assert bridged <= 0.1 * (right + wrong + bridged)


def test_frames_in_which_the_limbs_glide_past_each_other_are_bridged():
    track = true_track("mountain_climber_side")
    # 1 = left and right as they are, 0 = the other way round
    share = np.ones(len(track))
    share[30:44] = [0.7, 0.3, *np.zeros(10), 0.3, 0.7]
    image_px = track.image_px.copy()
    for one in LEGS:
        for here, there in ((one, one + 1), (one + 1, one)):
            image_px[:, here] = (
                share[:, None] * track.image_px[:, here] + (1 - share)[:, None] * track.image_px[:, there]
            )
    mended = mend_sides(LandmarkTrack(track.time_s, image_px, track.world_m, track.visibility))
    knee = mended.image_px[:, Landmark.RIGHT_KNEE]
    true = track.image_px[:, Landmark.RIGHT_KNEE]
    assert_array_equal(knee[32:42], true[32:42])
    assert_allclose(knee[[30, 31, 42, 43]], true[[30, 31, 42, 43]], atol=10.0)
    assert_array_equal(mended.image_px[:, Landmark.LEFT_WRIST], track.image_px[:, Landmark.LEFT_WRIST])


@pytest.mark.parametrize("depth", [False, True], ids=["depth stayed", "depth exchanged"])
def test_depth_is_exchanged_back_only_where_it_was_exchanged(depth):
    track = true_track("mountain_climber_side")
    rows = np.zeros(len(track), dtype=bool)
    rows[32:40] = True
    mended = mend_sides(exchanged(track, rows, LEGS, depth))
    known = np.isfinite(mended.world_m)
    assert known[rows].all()
    assert_allclose(mended.world_m[known], track.world_m[known])


@pytest.mark.parametrize("found", [True, False], ids=["seen before", "nobody before"])
def test_a_limb_that_jumps_away_for_a_frame(found):
    track = true_track("squat_side")
    image_px, visibility = track.image_px.copy(), track.visibility.copy()
    image_px[100, Landmark.RIGHT_WRIST] += 150.0
    visibility[101, Landmark.RIGHT_WRIST] = 0.6
    if not found:
        image_px[80:100], visibility[80:100] = np.nan, 0.0
    mended = mend_sides(LandmarkTrack(track.time_s, image_px, track.world_m, visibility))
    if found:
        around = track.image_px[[99, 101], Landmark.RIGHT_WRIST].mean(axis=0)
        assert_allclose(mended.image_px[100, Landmark.RIGHT_WRIST], around)
        # the lower one of the neighbours, less as a frame about was left out
        assert 0.5 < mended.visibility[100, Landmark.RIGHT_WRIST] < 0.6
    else:
        assert mended.visibility[100, Landmark.RIGHT_WRIST] == 0.0
    assert_array_equal(mended.visibility[:, Landmark.RIGHT_KNEE], visibility[:, Landmark.RIGHT_KNEE])


def test_where_a_limb_flutters_its_side_is_unknown():
    track = true_track("mountain_climber_side")
    image_px = track.image_px.copy()
    rng = np.random.default_rng(5)
    image_px[60:90, LEGS] += rng.normal(0.0, 60.0, (30, len(LEGS), 2))
    mended = mend_sides(LandmarkTrack(track.time_s, image_px, track.world_m, track.visibility))
    assert (mended.visibility[65:85, Landmark.LEFT_KNEE] == 0.0).mean() > 0.8
    assert_array_equal(mended.visibility[:50, Landmark.LEFT_KNEE], 1.0)
    assert_array_equal(mended.visibility[:, Landmark.LEFT_WRIST], 1.0)


def test_gaps_and_short_tracks_pass_through():
    track = true_track("squat_side")
    image_px, visibility = track.image_px.copy(), track.visibility.copy()
    image_px[50:80], image_px[100:102], visibility[50:80] = np.nan, np.nan, 0.0
    gappy = LandmarkTrack(track.time_s, image_px, track.world_m, visibility)
    assert_array_equal(mend_sides(gappy).image_px, image_px)
    for frames in range(4):
        short = LandmarkTrack(
            track.time_s[:frames], track.image_px[:frames], track.world_m[:frames], track.visibility[:frames]
        )
        assert_array_equal(mend_sides(short).image_px, short.image_px)
