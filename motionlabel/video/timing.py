"""Frame times and the constant rate a clip is written at."""

from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from motionlabel.records import Array

# Rates that cameras and editors write; a measured rate this near to one of them is it.
# Source: common practice, no source.
_USUAL_RATES = tuple(Fraction(n) for n in (10, 12, 15, 20, 24, 25, 30, 48, 50, 60, 90, 100, 120, 240)) + tuple(
    Fraction(n * 1000, 1001) for n in (15, 24, 30, 48, 60, 120, 240)
)
_SNAP = 2e-4  # between 30 and 30000/1001 lie 1e-3
_MOST_FPS = 120.0  # a stray pair of frames must not make a clip of a thousand frames a second


def frame_slots(time_s: Array, rate: tuple[int, int], duration_s: float) -> NDArray[np.int64]:
    """Count how often each frame is written so that a clip of constant rate keeps its times.

    Slot ``k`` of the written clip shows what was on screen at ``k / rate``: a frame stays until the
    next one comes. Frames of a steady clip get one slot each.

    Parameters
    ----------
    time_s
        (F,) presentation times, seconds from the first frame, increasing.
    rate
        Frames per second of the written clip, numerator and denominator.
    duration_s
        How long the picture track lasts, seconds.

    Returns
    -------
    (F,) slots of each frame: 0 = dropped, 2 = shown twice. Their sum is at least 1 for a clip with
    a frame.
    """
    fps = rate[0] / rate[1]
    times = np.asarray(time_s, dtype=np.float64)
    if not len(times):
        return np.zeros(0, dtype=np.int64)
    first = np.rint((times - times[0]) * fps).astype(np.int64)
    end = max(int(np.rint((duration_s) * fps)), int(first[-1]) + 1)
    return np.diff(np.append(first, end))


def nominal_rate(time_s: Array) -> tuple[int, int]:
    """Find the constant rate that a clip's frame times were meant for.

    Steady clips: their mean rate, exact where it is a usual one (30000/1001 and the like). Variable
    ones: the rate of their faster frames, so that none of those is lost, at most 120 a second.

    Parameters
    ----------
    time_s
        (F,) presentation times, seconds, increasing.

    Returns
    -------
    Numerator and denominator, frames per second; (30, 1) where a single frame gives none.
    """
    steps = np.diff(np.sort(np.asarray(time_s, dtype=np.float64)))
    steps = steps[steps > 1e-6]
    if not len(steps):
        return 30, 1
    middle = float(np.median(steps))
    steady = float(np.mean(np.abs(steps - middle) <= 0.1 * middle + 0.001)) > 0.999
    fps = 1.0 / float(np.mean(steps)) if steady else min(1.0 / float(np.quantile(steps, 0.1)), _MOST_FPS)
    # container clocks of whole milliseconds blur the faster frames of a variable clip
    snap = _SNAP if steady else 0.03
    usual = min(_USUAL_RATES, key=lambda rate: abs(float(rate) / fps - 1.0))
    rate = usual if abs(float(usual) / fps - 1.0) <= snap else Fraction(fps).limit_denominator(1001)
    return rate.numerator, rate.denominator
