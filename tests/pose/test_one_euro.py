"""The causal filter of live landmarks."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from motionlabel.pose import Detection
from motionlabel.pose.one_euro import DRAWN, JUDGED, smoothed


def _person(x_px):
    points = np.stack([np.linspace(0, 60, 33), np.linspace(0, 400, 33)], axis=1)
    return Detection(points + np.array([x_px, 0.0]), np.zeros((33, 3)), np.ones(33))


def _run(xs, step_s=1 / 30, cutoffs=DRAWN):
    state, out = None, []
    for number, x in enumerate(xs):
        state = smoothed(state, number * step_s, _person(x), cutoffs)
        out.append(state.detection.image_px[0, 0])
    return np.array(out)


def test_a_still_point_stays_and_the_first_frame_is_taken_as_it_is():
    assert_allclose(_run(np.full(20, 100.0)), 100.0)


def test_trembling_is_reduced_by_half():
    noise = np.random.default_rng(1).normal(0.0, 1.0, 300)
    assert np.std(_run(100.0 + noise)[30:]) < 0.6 * np.std(noise)


def test_a_moving_point_lags_by_less_than_two_frames():
    speed = 400.0 / 30  # a body height a second
    xs = speed * np.arange(60)
    assert np.all(xs[20:] - _run(xs)[20:] < 2.0 * speed)


def test_what_judges_motion_lags_by_less_than_half_a_frame():
    speed = 400.0 / 30
    xs = speed * np.arange(60)
    assert np.all(xs[20:] - _run(xs, cutoffs=JUDGED)[20:] < 0.5 * speed)


def test_it_looks_at_nothing_that_comes_later():
    xs = np.cumsum(np.random.default_rng(2).normal(0, 5, 40))
    assert_allclose(_run(xs)[:25], _run(xs[:25]))


def test_after_a_gap_it_begins_anew():
    state = smoothed(None, 0.0, _person(0.0))
    assert_allclose(smoothed(state, 1.0, _person(500.0)).detection.image_px[0, 0], 500.0)


def test_frames_must_come_in_order():
    state = smoothed(None, 1.0, _person(0.0))
    with pytest.raises(ValueError, match="after one at"):
        smoothed(state, 1.0, _person(0.0))
