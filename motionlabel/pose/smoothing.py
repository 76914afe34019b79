"""Smoothing of recorded landmarks: gaps bridged, noise removed without delay."""

from functools import lru_cache
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray
from scipy.signal import butter, sosfiltfilt

from motionlabel.records import Array, LandmarkTrack, Points

Float = TypeVar("Float", bound=np.floating)

LONGEST_BRIDGE_S = 0.25
"""Longest time without landmarks that is bridged. *Source*: own convention."""

# Two passes lower the cut-off of a 2nd-order filter by this factor: (2^(1/2) - 1)^(1/4) = 0.8022.
# Source: Winter 2009, Biomechanics and Motor Control of Human Movement, ch. 3 (the formula).
_PASS_FACTOR = (2.0 ** (1.0 / 2.0) - 1.0) ** 0.25
_HIGHEST_SHARE = 0.9  # of half the frame rate; a design at or above it is none
_AT_ONCE = 5000  # frames times points: a long clip is large, a short one is done at once
_EVEN_SHARE = 0.02  # frame intervals that differ less count as even


@lru_cache(maxsize=64)
def butterworth_sos(rate_hz: float, cutoff_hz: float) -> Array:
    """Design one pass of the low-pass filter that, run forward and back, has order 4 and no lag.

    Parameters
    ----------
    rate_hz
        Samples per second.
    cutoff_hz
        Frequency at which both passes together let through 1/sqrt(2) of the amplitude; limited so
        that the design stays below half the rate.

    Returns
    -------
    (1, 6) second-order section, for ``scipy.signal.sosfiltfilt``.

    Notes
    -----
    *Source*: Winter 2009, ch. 3: each pass is designed at the cut-off over 0.8022, which is exact
    for the warped frequency tan(pi f / rate), and so applied there.
    """
    nyquist = rate_hz / 2.0
    warped = np.tan(np.pi / 2.0 * min(cutoff_hz / nyquist, _HIGHEST_SHARE)) / _PASS_FACTOR
    design = min(np.arctan(warped) * 2.0 / np.pi, (1.0 + _HIGHEST_SHARE) / 2.0)
    return np.asarray(butter(2, design, output="sos"))


def smooth_track(track: LandmarkTrack, cutoff_hz: float = 6.0) -> LandmarkTrack:
    """Bridge gaps up to 0.25 s and smooth with a 4th-order zero-lag Butterworth low-pass.

    Parameters
    ----------
    track
        Landmarks as found. Frames without the person (NaN) end a run: longer gaps stay NaN and
        each run is smoothed by itself.
    cutoff_hz
        Cut-off frequency, Hz. *Source*: Winter 2009: 6 Hz for walking and slow exercise.

    Returns
    -------
    The smoothed track. Bridged frames carry the lower visibility of their neighbours.
    """
    frames = len(track)
    if not frames:
        return track
    image_px = smooth_points(track.time_s, track.image_px, cutoff_hz)
    world_m = smooth_points(track.time_s, track.world_m, cutoff_hz)
    visibility = track.visibility.copy()
    rows = np.flatnonzero(track.present)
    for row in np.flatnonzero(~track.present & np.isfinite(image_px[:, 0, 0])):
        after = int(np.searchsorted(rows, row))
        visibility[row] = np.minimum(track.visibility[rows[after - 1]], track.visibility[rows[after]])
    return LandmarkTrack(track.time_s, image_px, world_m, visibility)


def smooth_points(time_s: Array, points: NDArray[Float], cutoff_hz: float) -> NDArray[Float]:
    """Smooth (F, P, K) points as ``smooth_values`` does, each known or unknown by itself."""
    smooth = np.empty_like(points)
    frames = len(points)
    known = np.isfinite(points).all(axis=2)
    kinds: dict[bytes, list[int]] = {}  # points that are known in the same frames
    for number, frames_known in enumerate(known.T):
        kinds.setdefault(frames_known.tobytes(), []).append(number)
    at_once = max(1, _AT_ONCE // max(frames, 1))
    for alike in kinds.values():
        for some in np.split(alike, range(at_once, len(alike), at_once)):
            traces = smooth_values(time_s, points[:, some].reshape(frames, -1), cutoff_hz)
            smooth[:, some] = traces.reshape(frames, len(some), -1)
    return smooth


def smooth_values(time_s: Array, values: Points, cutoff_hz: float) -> Array:
    """Bridge gaps up to 0.25 s and smooth columns with a 4th-order zero-lag Butterworth low-pass.

    Parameters
    ----------
    time_s
        (F,) seconds.
    values
        (F, C) traces that are known or unknown together; a row with a NaN is unknown.
    cutoff_hz
        Cut-off frequency, Hz.

    Returns
    -------
    (F, C); NaN in longer gaps.
    """
    if cutoff_hz <= 0:
        raise ValueError(f"cutoff_hz: wanted more than 0, got {cutoff_hz}")
    traces: Array = values.astype(np.float64)
    known = np.asarray(np.isfinite(traces).all(axis=1))
    smooth = np.full_like(traces, np.nan)
    for start, stop in _runs(time_s, known):
        rows = np.flatnonzero(known[start:stop]) + start
        whole = _interpolate(time_s[start:stop], time_s[rows], traces[rows])
        smooth[start:stop] = _low_pass(time_s[start:stop], whole, cutoff_hz)
    return smooth


def _runs(time_s: Array, known: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Return half-open ranges of frames between which the gaps are too long to bridge."""
    rows = np.flatnonzero(known)
    if not len(rows):
        return []
    # a gap counts from the last frame seen to the next one seen, less the usual interval
    steps = np.diff(time_s)
    usual_s = float(np.median(steps)) if len(steps) else 0.0
    missing = (np.diff(rows) > 1) & (np.diff(time_s[rows]) - usual_s > LONGEST_BRIDGE_S + 1e-9)
    edges = np.flatnonzero(missing)
    starts = np.concatenate([rows[:1], rows[edges + 1]])
    stops = np.concatenate([rows[edges] + 1, rows[-1:] + 1])
    return list(zip(starts.tolist(), stops.tolist()))


def _interpolate(at_s: Array, time_s: Array, points: Array) -> Array:
    """Linear interpolation of (N, C) points at other times, all columns at once."""
    if len(time_s) == len(at_s) and np.array_equal(time_s, at_s):
        return points
    right = np.clip(np.searchsorted(time_s, at_s), 1, len(time_s) - 1) if len(time_s) > 1 else np.zeros(len(at_s), int)
    left = np.maximum(right - 1, 0)
    span = np.where(right > left, time_s[right] - time_s[left], 1.0)
    share = np.clip((at_s - time_s[left]) / span, 0.0, 1.0)[:, None]
    return points[left] * (1.0 - share) + points[right] * share


def _low_pass(time_s: Array, points: Array, cutoff_hz: float) -> Array:
    """Smooth one run of (N, C) points without gaps; runs of fewer than 3 frames stay as they are."""
    if len(time_s) < 3:
        return points
    steps = np.diff(time_s)
    middle_s = float(np.median(steps))
    even = bool(np.all(np.abs(steps - middle_s) <= _EVEN_SHARE * middle_s))
    if even:
        rate_hz = (len(time_s) - 1) / (time_s[-1] - time_s[0])
        return _filter(points, rate_hz, cutoff_hz)
    # uneven: onto an even clock as fast as the shorter intervals, smoothed, and back
    step_s = float(np.quantile(steps, 0.1))
    count = max(int(np.ceil((time_s[-1] - time_s[0]) / step_s)) + 1, 3)
    clock_s = np.linspace(time_s[0], time_s[-1], count)
    rate_hz = (count - 1) / (time_s[-1] - time_s[0])
    return _interpolate(time_s, clock_s, _filter(_interpolate(clock_s, time_s, points), rate_hz, cutoff_hz))


def _filter(points: Array, rate_hz: float, cutoff_hz: float) -> Array:
    # enough mirrored frames at both ends for the filter to settle, as many as the run has
    settle = int(np.ceil(rate_hz / cutoff_hz)) + 6
    return np.asarray(
        sosfiltfilt(butterworth_sos(rate_hz, cutoff_hz), points, axis=0, padlen=min(settle, len(points) - 1))
    )
