"""Smoothing of live landmarks: every frame at once, from what came before it."""

from dataclasses import dataclass, replace

import numpy as np

from motionlabel.pose.backend import Detection
from motionlabel.records import Array

# Source of the first: set on demo_clips; the method leaves it to the user
_RATE_HZ = 1.5  # cut-off for the speed itself
_FORGET_S = 0.25  # after a longer gap it begins anew, as recordings do: own convention
_WORLD_SIZE_M = 0.5  # trunk of the landmarker's world body, about; own convention


@dataclass(frozen=True, slots=True)
class Cutoffs:
    """How strongly to smooth.

    Attributes
    ----------
    still_hz
        Cut-off at rest.
    faster_hz
        Cut-off gained for a speed of one body size a second.
    """

    still_hz: float
    faster_hz: float


DRAWN = Cutoffs(2.5, 9.0)
"""A still body does not tremble on the screen, a moving one lags by less than 1.5 frames (set on demo_clips)."""

JUDGED = Cutoffs(12.0, 60.0)
"""Takes off what trembles from picture to picture and lags by less than half a frame: what judges motion smooths
itself (set on demo_clips)."""


@dataclass(frozen=True, slots=True)
class OneEuro:
    """What is remembered between two frames.

    Attributes
    ----------
    time_s
        Time of the last frame with a person.
    value, speed
        (L, 5) smoothed points, pixels then metres, and their speed in units a second.
    visibility
        (L,) as last seen.
    """

    time_s: float
    value: Array
    speed: Array
    visibility: Array

    @property
    def detection(self) -> Detection:
        """The smoothed landmarks."""
        return Detection(self.value[:, :2], self.value[:, 2:], self.visibility)


def smoothed(before: OneEuro | None, time_s: float, seen: Detection, cutoffs: Cutoffs = DRAWN) -> OneEuro:
    """Take the next frame in.

    Parameters
    ----------
    before
        What is remembered; ``None`` at the start.
    time_s
        Time of the frame, seconds, later than the one before.
    seen
        What the landmarker found.
    cutoffs
        How strongly to smooth.

    Raises
    ------
    ValueError
        The frame is not later than the one before.

    Notes
    -----
    The cut-off grows with speed: little trembling at rest, little lag in motion. Speed is measured in body
    sizes, so that the distance to the camera does not matter.
    *Source*: Casiez, Roussel, Vogel 2012, 1 Euro filter (CHI 2012), algorithm 1 and 2.
    """
    value = np.hstack([seen.image_px, seen.world_m])
    if before is not None and time_s <= before.time_s:
        raise ValueError(f"frame at {time_s} s comes after one at {before.time_s} s")
    if before is None or time_s - before.time_s > _FORGET_S:
        return OneEuro(time_s, value, np.zeros_like(value), seen.visibility)
    step_s = time_s - before.time_s
    speed = before.speed + _share(_RATE_HZ, step_s) * ((value - before.value) / step_s - before.speed)
    size = np.array([_size_px(seen)] * 2 + [_WORLD_SIZE_M] * 3)
    cutoff_hz = cutoffs.still_hz + cutoffs.faster_hz * np.abs(speed) / size
    fresh = before.value + _share(cutoff_hz, step_s) * (value - before.value)
    return replace(before, time_s=time_s, value=fresh, speed=speed, visibility=seen.visibility)


def _share(cutoff_hz: Array | float, step_s: float) -> Array | float:
    """How much of the new value counts."""
    return 1.0 / (1.0 + 1.0 / (2.0 * np.pi * np.asarray(cutoff_hz) * step_s))


def _size_px(seen: Detection) -> float:
    """Return a size of the person in the picture that no posture makes vanish: the spread of the points, pixels."""
    return max(float(np.linalg.norm(seen.image_px.std(axis=0))), 1.0)
