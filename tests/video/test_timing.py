import numpy as np
import pytest
from numpy.testing import assert_array_equal

from motionlabel.video.timing import frame_slots, nominal_rate


@pytest.mark.parametrize("rate", [(30, 1), (30000, 1001), (25, 1), (60, 1)])
def test_a_steady_clip_gets_one_slot_a_frame(rate):
    time_s = np.arange(300) * rate[1] / rate[0]
    assert_array_equal(frame_slots(time_s, rate, 300 * rate[1] / rate[0]), 1)


def test_slow_frames_are_repeated_and_fast_ones_dropped():
    time_s = np.array([0.0, 0.1, 0.2, 0.21, 0.22, 0.3])
    assert_array_equal(frame_slots(time_s, (10, 1), 0.5), [1, 1, 0, 0, 1, 2])


@pytest.mark.parametrize("seed", range(5))
def test_each_slot_is_within_half_a_slot_of_its_frame(seed):
    time_s = np.concatenate([[0.0], np.cumsum(np.random.default_rng(seed).uniform(0.005, 0.09, 200))])
    slots = frame_slots(time_s, (30, 1), time_s[-1] + 0.05)
    shown = np.repeat(time_s, slots)
    lag = np.arange(len(shown)) / 30 - shown
    starts = np.append(True, np.diff(shown) > 0)
    assert np.all(np.abs(lag[starts]) <= 0.5 / 30 + 1e-9)
    assert abs(len(shown) / 30 - (time_s[-1] + 0.05)) <= 0.5 / 30 + 1e-9


def test_a_single_frame_and_none():
    assert_array_equal(frame_slots(np.array([0.0]), (30, 1), 0.0), [1])
    assert_array_equal(frame_slots(np.array([]), (30, 1), 0.0), [])


@pytest.mark.parametrize(
    ("time_s", "rate"),
    [
        (np.arange(100) / 30, (30, 1)),
        (np.arange(100) * 1001 / 30000, (30000, 1001)),
        (np.rint(np.arange(100) * 1000 / 24) / 1000, (24, 1)),  # whole milliseconds
        (np.concatenate([np.arange(30) / 15, 2 + np.arange(120) / 60]), (60, 1)),
        (np.arange(100) / 17.5, (35, 2)),
        (np.array([0.0]), (30, 1)),
        (np.concatenate([np.arange(50) / 30, 50 / 30 + np.arange(50) * 1e-3]), (120, 1)),
    ],
)
def test_nominal_rate(time_s, rate):
    assert nominal_rate(time_s) == rate
