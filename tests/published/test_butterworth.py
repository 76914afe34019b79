"""The smoothing filter against the closed form of the Butterworth response.

Sources: S. Butterworth 1930, On the theory of filter amplifiers: |H|^2 = 1 / (1 + (w / wc)^(2n));
Winter 2009, Biomechanics and Motor Control of Human Movement, ch. 3: two passes of order 2, each
designed at the cut-off over 0.802. The bilinear transform maps f to w = tan(pi f / rate).
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.signal import sosfreqz

from motionlabel.body import Landmark
from motionlabel.pose.smoothing import butterworth_sos, smooth_track
from motionlabel.records import LandmarkTrack

RATES = [(24.0, 6.0), (30.0, 6.0), (30000 / 1001, 6.0), (60.0, 6.0), (30.0, 4.0), (120.0, 12.0)]


@pytest.mark.parametrize(("rate_hz", "cutoff_hz"), RATES)
def test_both_passes_have_the_closed_form(rate_hz, cutoff_hz):
    frequency_hz = np.linspace(0.1, 0.49 * rate_hz, 200)
    _, response = sosfreqz(butterworth_sos(rate_hz, cutoff_hz), worN=frequency_hz, fs=rate_hz)
    pass_cutoff = np.tan(np.pi * cutoff_hz / rate_hz) / (np.sqrt(2) - 1) ** 0.25
    closed = 1.0 / (1.0 + (np.tan(np.pi * frequency_hz / rate_hz) / pass_cutoff) ** 4)  # |H|^2 of order 2
    assert_allclose(np.abs(response) ** 2, closed, rtol=1e-9, atol=1e-12)


@pytest.mark.parametrize(("rate_hz", "cutoff_hz"), RATES)
def test_the_cutoff_is_where_it_was_asked_for(rate_hz, cutoff_hz):
    _, response = sosfreqz(butterworth_sos(rate_hz, cutoff_hz), worN=[cutoff_hz], fs=rate_hz)
    assert_allclose(np.abs(response[0]) ** 2, np.sqrt(0.5), rtol=1e-9)


def test_the_pass_factor_is_winters():
    # Winter 2009, ch. 3 prints 0.802 for two passes
    assert_allclose((np.sqrt(2) - 1) ** 0.25, 0.802, atol=0.0005)


@pytest.mark.parametrize("frequency_hz", [1.0, 3.0, 6.0, 9.0])
def test_a_smoothed_sine_has_the_closed_form_and_no_lag(frequency_hz):
    rate_hz, cutoff_hz = 60.0, 6.0
    time_s = np.arange(1200) / rate_hz
    sine = np.sin(2 * np.pi * frequency_hz * time_s)
    points = len(Landmark)
    track = LandmarkTrack(
        time_s,
        np.broadcast_to(sine[:, None, None], (len(time_s), points, 2)).copy(),
        np.broadcast_to(sine[:, None, None], (len(time_s), points, 3)).copy(),
        np.ones((len(time_s), points)),
    )
    smooth = smooth_track(track, cutoff_hz).image_px[:, 0, 0]
    warped = np.tan(np.pi * frequency_hz / rate_hz) / np.tan(np.pi * cutoff_hz / rate_hz)
    gain = 1.0 / (1.0 + (np.sqrt(2) - 1) * warped**4)
    middle = slice(300, 900)
    assert_allclose(smooth[middle], gain * sine[middle], atol=2e-4)
