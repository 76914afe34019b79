import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal

from motionlabel.body import Landmark
from motionlabel.pose import smooth_track
from motionlabel.records import LandmarkTrack

L = len(Landmark)


def track_of(time_s: np.ndarray, signal: np.ndarray, missing: slice | None = None) -> LandmarkTrack:
    signal = signal.astype(float)
    visibility = np.ones((len(time_s), L))
    if missing is not None:
        signal[missing] = np.nan
        visibility[missing] = 0
    spread = signal[:, None, None]
    return LandmarkTrack(time_s, np.tile(spread, (1, L, 2)), np.tile(spread, (1, L, 3)), visibility)


T = np.arange(120) / 30.0
SLOW = 100 + 20 * np.sin(2 * np.pi * 0.5 * T)


@pytest.mark.parametrize("missing", [slice(50, 51), slice(50, 57)])
def test_short_gaps_are_bridged(missing):
    smooth = smooth_track(track_of(T, SLOW, missing))
    assert smooth.present.all()
    gap_s = (missing.stop - missing.start + 1) / 30
    # a straight line over a gap is off by at most gap^2 / 8 times the greatest acceleration
    bound = gap_s**2 / 8 * 20 * (2 * np.pi * 0.5) ** 2
    assert_allclose(smooth.image_px[:, 3, 1], SLOW, atol=bound)
    assert_allclose(smooth.visibility, 1.0)


def test_long_gaps_stay_unknown_and_keep_their_sides_apart():
    step = np.where(np.arange(120) < 60, 0.0, 1000.0)
    smooth = smooth_track(track_of(T, step, slice(50, 70)))
    assert_array_equal(smooth.present, ~((np.arange(120) >= 50) & (np.arange(120) < 70)))
    assert_allclose(smooth.image_px[:50], 0.0, atol=1e-9)
    assert_allclose(smooth.image_px[70:], 1000.0, atol=1e-9)
    assert_array_equal(smooth.visibility[50:70], 0.0)


def test_gaps_at_the_ends_stay_unknown():
    smooth = smooth_track(track_of(T, SLOW, slice(0, 4)))
    assert not smooth.present[:4].any()
    assert smooth.present[4:].all()


def test_bridged_frames_carry_the_lower_visibility():
    track = track_of(T, SLOW, slice(50, 53))
    track.visibility[49], track.visibility[53] = 0.4, 0.7
    assert_allclose(smooth_track(track).visibility[50:53], 0.4)


def test_jitter_goes_and_movement_stays():
    noise = np.random.default_rng(0).normal(0, 2, len(T))
    smooth = smooth_track(track_of(T, SLOW + noise)).image_px[:, 0, 0]
    assert np.std((smooth - SLOW)[10:-10]) < 0.75 * np.std(noise)
    assert_allclose(smooth_track(track_of(T, SLOW)).image_px[10:-10, 0, 0], SLOW[10:-10], atol=0.02)


def test_uneven_times_are_smoothed_at_their_places():
    time_s = np.cumsum(np.random.default_rng(1).choice([1 / 60, 1 / 30, 1 / 15], 200))
    slow = 100 + 20 * np.sin(2 * np.pi * 0.5 * time_s)
    smooth = smooth_track(track_of(time_s, slow)).image_px[:, 0, 0]
    assert_allclose(smooth[10:-10], slow[10:-10], atol=0.2)


@pytest.mark.parametrize("frames", [0, 1, 2, 3, 5, 9])
def test_short_tracks(frames):
    smooth = smooth_track(track_of(np.arange(frames) / 30, np.full(frames, 7.0)))
    assert len(smooth) == frames
    assert_allclose(smooth.image_px, 7.0)


@pytest.mark.parametrize("rate_hz", [5.0, 8.0, 12.0, 13.4])
def test_low_rates_put_the_cutoff_below_half_the_rate(rate_hz):
    smooth = smooth_track(track_of(np.arange(60) / rate_hz, np.linspace(0, 59, 60)))
    assert_allclose(smooth.image_px[:, 0, 0], np.linspace(0, 59, 60), atol=0.6)


def test_nobody_at_all_stays_unknown():
    assert not smooth_track(track_of(T, SLOW, slice(None))).present.any()


@pytest.mark.parametrize("cutoff_hz", [0.0, -1.0])
def test_no_cutoff_is_refused(cutoff_hz):
    with pytest.raises(ValueError, match="cutoff_hz"):
        smooth_track(track_of(T, SLOW), cutoff_hz)
