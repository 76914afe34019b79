"""The window of the mirror: even, bounded, and it keeps what matters."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from motionlabel.live.lookback import RATE_HZ, WINDOW_S, remember, shortened
from tests.live.played import somebody

FULL = round(WINDOW_S * RATE_HZ)


def _filled(times_s, seen=None, quiet_from_s=np.inf):
    lookback = None
    for time_s in times_s:
        lookback = remember(lookback, float(time_s), seen)
        quiet = lookback.seen_s >= quiet_from_s
        lookback = shortened(lookback, quiet, quiet)
    return lookback


@pytest.mark.parametrize("fps", [15, 24, 30, 60])
def test_steps_are_even_and_the_window_is_bounded_at_any_rate(fps):
    lookback = _filled(np.arange(0, 10, 1 / fps), somebody())
    assert len(lookback) <= FULL
    assert_allclose(np.diff(lookback.track.time_s), 1 / RATE_HZ)
    assert_allclose(np.diff(lookback.seen_s), 1 / RATE_HZ, atol=1e-6)
    assert lookback.track.present.all()


def test_uneven_pictures_are_put_on_even_steps_in_a_straight_line():
    one, other = somebody(), somebody()
    lookback = remember(None, 0.0, one)
    lookback = remember(lookback, 0.1, somebody(other.image_px + 30.0))
    moved = lookback.track.image_px[:, 0, 0] - one.image_px[0, 0]
    assert_allclose(moved, 300.0 * np.arange(0.0, 0.101, 1 / RATE_HZ), atol=0.1)


def test_a_long_hold_is_shortened_and_the_move_before_it_stays():
    lookback = _filled(np.arange(0, 30, 1 / 30), somebody(), quiet_from_s=3.0)
    assert len(lookback) <= FULL
    assert lookback.seen_s[0] < 1.0
    assert lookback.seen_s[-1] > 29.9


def test_without_a_hold_the_oldest_goes():
    lookback = _filled(np.arange(0, 30, 1 / 30), somebody())
    assert lookback.seen_s[0] > 29.9 - WINDOW_S


def test_quiet_standing_that_falls_out_is_kept_beside_the_window():
    lookback = None
    for number in range(600):
        lookback = remember(lookback, number / 30, somebody())
        standing = lookback.seen_s < 0.9
        lookback = shortened(lookback, standing, standing)
    assert lookback.rest is not None
    track = lookback.with_rest()
    assert len(track) > len(lookback)
    gap = track.present[len(lookback.rest) : len(track) - len(lookback)]
    assert len(gap) / RATE_HZ > 0.25
    assert not gap.any()


def test_a_person_who_comes_back_elsewhere_is_looked_at_without_the_old_posture():
    lookback = None
    for number in range(600):
        lookback = remember(lookback, number / 30, somebody())
        standing = lookback.seen_s < 0.9
        lookback = shortened(lookback, standing, standing)
    far = somebody(somebody().image_px * 0.6)
    for number in range(600, 900):
        lookback = shortened(remember(lookback, number / 30, far), *[np.zeros(len(lookback), bool)] * 2)
    assert len(lookback.with_rest()) == len(lookback)


def test_a_stall_is_a_gap_that_is_not_bridged():
    lookback = remember(remember(None, 0.0, somebody()), 1.0, somebody())
    assert lookback.track.present[[0, -1]].all()
    assert not lookback.track.present[1:-1].any()


def test_long_absence_takes_little_room_and_ends_the_memory():
    lookback = _filled(np.arange(0, 2, 1 / 30), somebody())
    for number in range(60, 300):
        lookback = remember(lookback, number / 30, None)
    assert np.count_nonzero(~lookback.track.present) <= 0.5 * RATE_HZ + 1
    assert len(remember(lookback, 10.1, somebody())) == 1


def test_pictures_must_come_in_order():
    with pytest.raises(ValueError, match="after one at"):
        remember(remember(None, 1.0, None), 1.0, None)
