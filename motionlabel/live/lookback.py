"""The last seconds of landmarks, and a quiet posture kept from before them.

The stages of a recording work on it unchanged. Three things make that possible:

* a hold longer than a second is shortened in its middle, so that the move into it is not forgotten;
* the last quiet posture is kept beside the window and put before it, with a gap between: the zero of the
  angles, the level of the floor and the resting posture come from there when the window has none;
* a person who comes back at another size or place is looked at anew.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import label

from motionlabel.body import Landmark
from motionlabel.pose import Detection
from motionlabel.records import Array, LandmarkTrack

# Source of all: own convention, agreement with recordings measured on demo_clips
WINDOW_S = 6.0
_HOLD_S = 1.0  # what is left of a long hold
_ABSENT_S = 0.5  # what is left of a long absence: longer than any gap that is bridged
_FORGET_S = 3.0  # who was away longer may be another person
_REST_S = 0.6  # of the quiet posture that is kept
_GAP_FRAMES = 12  # between it and the window: longer than any gap that is bridged
_MOVED = 0.06  # change of size, or of the level of the feet in sizes, that makes the quiet posture useless
_LONGEST_STEP_S = 0.2  # a stall of the camera counts no more on the window's clock


@dataclass(frozen=True, slots=True)
class Lookback:
    """Frames that are remembered.

    Attributes
    ----------
    track
        The frames, by the window's own clock: it leaves out what was dropped.
    seen_s
        (F,) when each was seen, by the camera's clock.
    rest
        The quiet posture before them; ``None`` = not needed or none.
    """

    track: LandmarkTrack
    seen_s: Array
    rest: LandmarkTrack | None = None

    def __len__(self) -> int:
        return len(self.track)

    @property
    def rate_hz(self) -> float:
        """Frames a second, as they come."""
        steps = np.diff(self.track.time_s)
        return float(1.0 / np.median(steps)) if len(steps) else 30.0

    def with_rest(self) -> LandmarkTrack:
        """Return the quiet posture, a gap and the window as one track; the window is its last part."""
        if self.rest is None or not _same_place(self.rest, self.track):
            return self.track
        step_s = 1.0 / self.rate_hz
        count = len(self.rest)
        time_s = self.track.time_s[0] - step_s * np.arange(count + _GAP_FRAMES, 0, -1)
        return _joined(_timed(self.rest, time_s[:count]), _nobody(time_s[count:]), self.track)


def remember(before: Lookback | None, time_s: float, seen: Detection | None) -> Lookback:
    """Take the next frame in; ``seen`` is ``None`` where nobody was found.

    Raises
    ------
    ValueError
        The frame is not later than the one before.
    """
    if before is None:
        return Lookback(_frame(0.0, seen), np.array([time_s]))
    step_s = time_s - before.seen_s[-1]
    if step_s <= 0.0:
        raise ValueError(f"frame at {time_s} s comes after one at {before.seen_s[-1]} s")
    present = before.track.present
    if seen is not None and not present[-1] and _away_s(before, time_s) > _FORGET_S:
        return Lookback(_frame(0.0, seen), np.array([time_s]))
    clock_s = float(before.track.time_s[-1]) + min(step_s, _LONGEST_STEP_S)
    grown = replace(
        before, track=_joined(before.track, _frame(clock_s, seen)), seen_s=np.append(before.seen_s, time_s)
    )
    absent = len(grown) - 1 - np.flatnonzero(grown.track.present)[-1] if grown.track.present.any() else len(grown)
    if seen is None and absent / grown.rate_hz > _ABSENT_S:
        # the newest frame of a long absence takes the place of the one before
        return _kept(grown, np.arange(len(grown)) != len(grown) - 2)
    return grown


def shortened(lookback: Lookback, quiet: NDArray[np.bool_], standing: NDArray[np.bool_]) -> Lookback:
    """Drop what is too much: of long holds the middle, else the oldest; keep a quiet posture from what goes.

    Parameters
    ----------
    quiet, standing
        (N,) frames of stillness, and of quiet standing, for the first N frames of the window; newer ones have
        not been looked at.
    """
    excess = len(lookback) - round(WINDOW_S * lookback.rate_hz)
    if excess <= 0:
        return lookback
    keep = np.ones(len(lookback), dtype=bool)
    least = round(_HOLD_S * lookback.rate_hz)
    runs, count = label(quiet)
    for number in range(1, count + 1):
        frames = np.flatnonzero(runs == number)
        spare = min(len(frames) - least, excess)
        if spare > 0:
            keep[frames[least // 2 : least // 2 + spare]] = False
            excess -= spare
    keep[np.flatnonzero(keep)[:excess]] = False
    basis = standing if standing.any() else quiet
    going = np.flatnonzero(basis & ~keep[: len(basis)])
    rest = lookback.rest
    if len(going) and (standing.any() or rest is None):
        span = np.flatnonzero(basis)[: round(_REST_S * lookback.rate_hz)]
        if len(span) >= _REST_S * lookback.rate_hz / 2:
            rest = _rows(lookback.track, span)
    return replace(_kept(lookback, keep), rest=rest)


def _away_s(lookback: Lookback, time_s: float) -> float:
    rows = np.flatnonzero(lookback.track.present)
    return time_s - float(lookback.seen_s[rows[-1]]) if len(rows) else np.inf


def _kept(lookback: Lookback, keep: NDArray[np.bool_]) -> Lookback:
    """Return the kept frames; what was dropped takes no time."""
    steps = np.diff(lookback.track.time_s, prepend=lookback.track.time_s[0])
    track = _timed(_rows(lookback.track, np.flatnonzero(keep)), np.cumsum(steps[keep]))
    return replace(lookback, track=track, seen_s=lookback.seen_s[keep])


def _same_place(rest: LandmarkTrack, track: LandmarkTrack) -> bool:
    """Whether the person still has the size and stands on the level of the quiet posture."""
    if not track.present.any():
        return False
    (before, low), (now, level) = (_size_and_floor(one) for one in (rest, track))
    return abs(now / before - 1.0) < _MOVED and abs(level - low) < _MOVED * before


def _size_and_floor(track: LandmarkTrack) -> tuple[float, float]:
    """Longest line from the shoulders to the feet along the body, and lowest level of a foot, pixels."""
    points = track.image_px[track.present].astype(float)
    length = np.zeros(len(points))
    for start, end in (("SHOULDER", "HIP"), ("HIP", "KNEE"), ("KNEE", "ANKLE")):
        lines = [points[:, Landmark[f"{side}_{end}"]] - points[:, Landmark[f"{side}_{start}"]] for side in _SIDES]
        length += np.max([np.linalg.norm(line, axis=1) for line in lines], axis=0)
    feet = points[:, [Landmark[f"{side}_{part}"] for side in _SIDES for part in ("HEEL", "FOOT_INDEX")], 1]
    return float(np.percentile(length, 90)), float(np.percentile(feet.max(axis=1), 90))


_SIDES = ("LEFT", "RIGHT")


def _frame(time_s: float, seen: Detection | None) -> LandmarkTrack:
    if seen is None:
        return _nobody(np.array([time_s]))
    return LandmarkTrack(np.array([time_s]), seen.image_px[None], seen.world_m[None], seen.visibility[None])


def _nobody(time_s: Array) -> LandmarkTrack:
    shape = len(time_s), len(Landmark)
    return LandmarkTrack(time_s, np.full((*shape, 2), np.nan), np.full((*shape, 3), np.nan), np.zeros(shape))


def _timed(track: LandmarkTrack, time_s: Array) -> LandmarkTrack:
    return replace(track, time_s=time_s)


def _rows(track: LandmarkTrack, rows: NDArray[np.intp]) -> LandmarkTrack:
    return LandmarkTrack(track.time_s[rows], track.image_px[rows], track.world_m[rows], track.visibility[rows])


def _joined(*tracks: LandmarkTrack) -> LandmarkTrack:
    return LandmarkTrack(
        np.concatenate([t.time_s for t in tracks]),
        np.concatenate([t.image_px for t in tracks]),
        np.concatenate([t.world_m for t in tracks]),
        np.concatenate([t.visibility for t in tracks]),
    )
