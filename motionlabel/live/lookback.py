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
WINDOW_S = 4.0
_HOLD_S = 1.0  # what is left of a long hold
_ABSENT_S = 0.5  # what is left of a long absence: longer than any gap that is bridged
_FORGET_S = 3.0  # who was away longer may be another person
_REST_S = 0.6  # of the quiet posture that is kept
_GAP_FRAMES = 8  # between it and the window: longer than any gap that is bridged
_MOVED = 0.06  # change of size, or of the level of the feet in sizes, that makes the quiet posture useless
_LONGEST_STEP_S = 0.25  # a longer stall is a gap

RATE_HZ = 20.0
"""Frames a second of the window, whatever the camera gives, so that the cost of a look is bounded. With 30 readings
agree no better with recordings (measured on demo_clips)."""


@dataclass(frozen=True, slots=True)
class Lookback:
    """What is remembered, in even steps.

    Attributes
    ----------
    track
        The frames, by the window's own clock: it leaves out what was dropped.
    seen_s
        (F,) when each was seen, by the camera's clock.
    last_s, last
        Time of the camera's newest picture and what was seen in it.
    rest
        The quiet posture before them; ``None`` = not needed or none.
    """

    track: LandmarkTrack
    seen_s: Array
    last_s: float
    last: Detection | None
    rest: LandmarkTrack | None = None

    def __len__(self) -> int:
        return len(self.track)

    def with_rest(self) -> LandmarkTrack:
        """Return the quiet posture, a gap and the window as one track; the window is its last part."""
        if self.rest is None or not _same_place(self.rest, self.track):
            return self.track
        count = len(self.rest)
        time_s = self.track.time_s[0] - np.arange(count + _GAP_FRAMES, 0, -1) / RATE_HZ
        return _joined(replace(self.rest, time_s=time_s[:count]), _nobody(time_s[count:]), self.track)


def remember(before: Lookback | None, time_s: float, seen: Detection | None) -> Lookback:
    """Take the camera's next picture in; ``seen`` is ``None`` where nobody was found.

    The steps since the picture before are filled in a straight line between the two.

    Raises
    ------
    ValueError
        The picture is not later than the one before.
    """
    if before is None:
        return Lookback(_frames([0.0], [seen]), np.array([time_s]), time_s, seen)
    if time_s <= before.last_s:
        raise ValueError(f"picture at {time_s} s comes after one at {before.last_s} s")
    if seen is not None and before.last is None and _away_s(before, time_s) > _FORGET_S:
        return remember(None, time_s, seen)
    stalled = time_s - before.last_s > _LONGEST_STEP_S
    if stalled:  # nobody knows what happened meanwhile
        ticks = time_s - np.arange(_GAP_FRAMES, -1, -1) / RATE_HZ
        found = [*[None] * _GAP_FRAMES, seen]
    else:
        count = int(np.floor((time_s - before.seen_s[-1]) * RATE_HZ + 1e-3))
        ticks = before.seen_s[-1] + np.arange(1, count + 1) / RATE_HZ
        found = [_between(before, time_s, seen, float(tick)) for tick in ticks]
    ticks = np.maximum(ticks, before.seen_s[-1] + 1e-6 * np.arange(1, len(ticks) + 1))
    clock_s = before.track.time_s[-1] + np.arange(1, len(ticks) + 1) / RATE_HZ
    grown = replace(
        before,
        track=_joined(before.track, _frames(clock_s.tolist(), found)) if len(ticks) else before.track,
        seen_s=np.append(before.seen_s, ticks),
        last_s=time_s,
        last=seen,
    )
    # of a long absence only the end is kept
    present = np.flatnonzero(grown.track.present)
    absent = len(grown) - 1 - present[-1] if len(present) else len(grown)
    spare = absent - round(_ABSENT_S * RATE_HZ)
    if spare <= 0:
        return grown
    keep = np.ones(len(grown), dtype=bool)
    keep[len(grown) - absent : len(grown) - absent + spare] = False
    return _kept(grown, keep)


def _between(before: Lookback, time_s: float, seen: Detection | None, tick_s: float) -> Detection | None:
    share = min((tick_s - before.last_s) / (time_s - before.last_s), 1.0)
    if before.last is None or seen is None:
        return seen if share > 0.5 else before.last
    if share > 1.0 - 1e-3:
        return seen
    return Detection(
        image_px=(1.0 - share) * before.last.image_px + share * seen.image_px,
        world_m=(1.0 - share) * before.last.world_m + share * seen.world_m,
        visibility=np.minimum(before.last.visibility, seen.visibility),
    )


def shortened(lookback: Lookback, quiet: NDArray[np.bool_], standing: NDArray[np.bool_]) -> Lookback:
    """Drop what is too much: of long holds the middle, else the oldest; keep a quiet posture from what goes.

    Parameters
    ----------
    quiet, standing
        (N,) frames of stillness, and of quiet standing, for the first N frames of the window; newer ones have
        not been looked at.
    """
    excess = len(lookback) - round(WINDOW_S * RATE_HZ)
    if excess <= 0:
        return lookback
    keep = np.ones(len(lookback), dtype=bool)
    least = round(_HOLD_S * RATE_HZ)
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
        span = np.flatnonzero(basis)[: round(_REST_S * RATE_HZ)]
        if len(span) >= _REST_S * RATE_HZ / 2:
            rest = _rows(lookback.track, span)
    return replace(_kept(lookback, keep), rest=rest)


def is_full(lookback: Lookback) -> bool:
    """Whether older frames were dropped."""
    return len(lookback) >= round(WINDOW_S * RATE_HZ)


def _away_s(lookback: Lookback, time_s: float) -> float:
    rows = np.flatnonzero(lookback.track.present)
    return time_s - float(lookback.seen_s[rows[-1]]) if len(rows) else np.inf


def _kept(lookback: Lookback, keep: NDArray[np.bool_]) -> Lookback:
    """Return the kept frames; what was dropped takes no time."""
    rows = np.flatnonzero(keep)
    track = replace(_rows(lookback.track, rows), time_s=np.arange(len(rows)) / RATE_HZ)
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


def _frames(time_s: list[float], found: list[Detection | None]) -> LandmarkTrack:
    track = _nobody(np.array(time_s))
    for row, seen in enumerate(found):
        if seen is not None:
            track.image_px[row], track.world_m[row] = seen.image_px, seen.world_m
            track.visibility[row] = seen.visibility
    return track


def _nobody(time_s: Array) -> LandmarkTrack:
    shape = len(time_s), len(Landmark)
    return LandmarkTrack(time_s, np.full((*shape, 2), np.nan), np.full((*shape, 3), np.nan), np.zeros(shape))


def _rows(track: LandmarkTrack, rows: NDArray[np.intp]) -> LandmarkTrack:
    return LandmarkTrack(track.time_s[rows], track.image_px[rows], track.world_m[rows], track.visibility[rows])


def _joined(*tracks: LandmarkTrack) -> LandmarkTrack:
    return LandmarkTrack(
        np.concatenate([t.time_s for t in tracks]),
        np.concatenate([t.image_px for t in tracks]),
        np.concatenate([t.world_m for t in tracks]),
        np.concatenate([t.visibility for t in tracks]),
    )
