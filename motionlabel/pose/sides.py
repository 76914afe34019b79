"""Left and right kept apart: the landmarker exchanges limbs now and then, with full confidence.

An exchange turns the difference between the left and the right point of a pair into its negative from
one frame to the next, while two limbs that truly cross pass through no difference at a steady speed.
So of all ways to exchange frames back, or to leave them out, the one is taken whose differences
change their speed least.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from motionlabel.body import Landmark
from motionlabel.pose.smoothing import LONGEST_BRIDGE_S
from motionlabel.records import Array, LandmarkTrack, Points

# The longest way from a kept frame to the next: the landmarker glides into an exchange in 1 to 4 frames of 30.
_LONGEST_S = 0.2
_FEWEST_GAP, _MOST_GAP = 2, 12  # the same in frames
_USUAL_S = 1.0 / 30.0  # the costs below are for frames at this distance
# What a frame left out costs, and a change between exchanged and not: this many times the change of speed
# that is usual from frame to frame in the clip, summed over the two joints of a limb, within these limits
# (body lengths per 1/30 s).
_USUAL_CHANGES = 8.0
_LEAST_COST, _MOST_COST = 0.02, 0.10
_EXCHANGED = 0.04  # of that, for every exchanged frame: an exchange ends where nothing speaks for it any more
_ABOUT_S = 0.5  # time over which frames left out are counted
# Source of the above: measured on demo_clips
_FIRST = -1  # no kept frame before
_MEASURED_SHARE = 0.78  # of the stature: trunk, thigh and shank. Source: de Leva 1996, men: 0.288 + 0.245 + 0.246


@dataclass(frozen=True, slots=True)
class _Limbs:
    """A pair of limbs whose points are exchanged together.

    Attributes
    ----------
    judged
        Left points by which an exchange is told.
    points
        All left points; the right one is the next landmark.
    """

    judged: tuple[Landmark, ...]
    points: tuple[Landmark, ...]


_LEGS = _Limbs(
    (Landmark.LEFT_KNEE, Landmark.LEFT_ANKLE),
    (Landmark.LEFT_KNEE, Landmark.LEFT_ANKLE, Landmark.LEFT_HEEL, Landmark.LEFT_FOOT_INDEX),
)
_ARMS = _Limbs(
    (Landmark.LEFT_ELBOW, Landmark.LEFT_WRIST),
    (Landmark.LEFT_ELBOW, Landmark.LEFT_WRIST, Landmark.LEFT_PINKY, Landmark.LEFT_INDEX, Landmark.LEFT_THUMB),
)
_TRUNK = _Limbs(
    (Landmark.LEFT_SHOULDER, Landmark.LEFT_HIP),
    (Landmark.LEFT_SHOULDER, Landmark.LEFT_HIP),
)
_ALL = (_LEGS, _ARMS, _TRUNK)


def mend_sides(track: LandmarkTrack) -> LandmarkTrack:
    """Exchange limbs back where the landmarker took left for right.

    Legs, arms and trunk are judged apart, by the picture alone: estimated depth hardly notices an
    exchange.

    Parameters
    ----------
    track
        Landmarks as found, not smoothed.

    Returns
    -------
    The mended track. Where a limb can be told of neither side (while the landmarker glides from one
    to the other, or jumps) its points are put between those before and after, with the lower
    visibility of the two; with visibility 0 where there are none within 0.25 s.
    """
    body_px = _body_px(track)
    if not np.isfinite(body_px):
        return track
    image_px, world_m, visibility = track.image_px.copy(), track.world_m.copy(), track.visibility.copy()
    left = np.array([limbs.judged for limbs in _ALL], dtype=np.int64)
    apart = (track.image_px[:, left] - track.image_px[:, left + 1]).swapaxes(0, 1) / body_px
    for limbs, sign in zip(_ALL, _signs(track.time_s, apart)):
        points = np.array(limbs.points, dtype=np.int64)
        _exchange(image_px, world_m, visibility, points, sign < 0)
        both = np.concatenate([points, points + 1])
        kept, unknown = np.flatnonzero(sign), np.flatnonzero((sign == 0) & track.present)
        for values in (image_px, world_m):
            values[np.ix_(unknown, both)] = _between(track.time_s, values[:, both], kept, unknown)
        visibility[np.ix_(unknown, both)] = _seen_about(track.time_s, visibility[:, both], kept, unknown)
        visibility[:, both] *= _certainty(track.time_s, unknown)[:, None]
    return LandmarkTrack(track.time_s, image_px, world_m, visibility)


def _between(time_s: Array, values: Points, kept: NDArray[np.intp], rows: NDArray[np.intp]) -> Array:
    """Return (R, P, C) values of some frames in proportion between the nearest kept ones; as found outside."""
    before, after, inside = _neighbours(time_s, kept, rows)
    share = (time_s[rows] - time_s[before]) / np.where(inside, time_s[after] - time_s[before], 1.0)
    bridged = values[before] + share[:, None, None] * (values[after] - values[before])
    return np.where(inside[:, None, None], bridged, values[rows])


def _seen_about(time_s: Array, visibility: Points, kept: NDArray[np.intp], rows: NDArray[np.intp]) -> Array:
    """Return the (R, P) lower visibility of the nearest kept frames; 0 outside."""
    before, after, inside = _neighbours(time_s, kept, rows)
    return np.where(inside[:, None], np.minimum(visibility[before], visibility[after]), 0.0)


def _certainty(time_s: Array, unknown: NDArray[np.intp]) -> Array:
    """Return (F,) 1 where no frame about was left out, 0 where half of them were: there sides are a guess."""
    first, stop = (np.searchsorted(time_s, time_s + half) for half in (-_ABOUT_S / 2.0, _ABOUT_S / 2.0))
    left_out = np.searchsorted(unknown, stop) - np.searchsorted(unknown, first)
    return np.asarray(np.clip(1.0 - 2.0 * left_out / np.maximum(stop - first, 1), 0.0, 1.0))


def _neighbours(
    time_s: Array, kept: NDArray[np.intp], rows: NDArray[np.intp]
) -> tuple[NDArray[np.intp], NDArray[np.intp], NDArray[np.bool_]]:
    """Return the kept frames before and after, and whether both are there and near."""
    if not len(kept):
        return rows, rows, np.zeros(len(rows), dtype=np.bool_)
    at = np.searchsorted(kept, rows)
    before, after = kept[np.maximum(at - 1, 0)], kept[np.minimum(at, len(kept) - 1)]
    near = time_s[after] - time_s[before] <= LONGEST_BRIDGE_S + 1e-9
    return before, after, np.asarray((before < rows) & (rows < after) & near)


def _exchange(
    image_px: Points, world_m: Points, visibility: Points, left: NDArray[np.int64], rows: NDArray[np.bool_]
) -> None:
    """Exchange points of some frames in place; depth only where it was exchanged as well."""
    if not rows.any():
        return
    others = world_m[~rows & np.isfinite(world_m[:, left[0], 2])]
    usual = np.median(others[:, left, 2] - others[:, left + 1, 2], axis=0) if len(others) else np.zeros(len(left))
    depth = world_m[rows][:, left, 2], world_m[rows][:, left + 1, 2]
    # an exchange in the picture usually leaves the order of depth as it was
    turned = ((depth[0] - depth[1]) * usual).sum(axis=1) < 0
    for values in (image_px, world_m, visibility):
        one, other = values[np.ix_(rows, left)], values[np.ix_(rows, left + 1)]
        values[np.ix_(rows, left)], values[np.ix_(rows, left + 1)] = other, one
    kept = np.flatnonzero(rows)[~turned]
    for points, values in zip((left, left + 1), depth):
        world_m[kept[:, None], points, 2] = values[~turned]


def _body_px(track: LandmarkTrack) -> float:
    """Length of the body in the picture: trunk, thigh and shank in turn, where they are seen best."""
    points = track.image_px[track.present]
    if not len(points):
        return np.nan

    def middle(left: Landmark) -> Array:
        return points[:, left : left + 2].mean(axis=1)

    trunk = np.linalg.norm(middle(Landmark.LEFT_SHOULDER) - middle(Landmark.LEFT_HIP), axis=1)
    hips, knees, ankles = (points[:, a : a + 2] for a in (Landmark.LEFT_HIP, *_LEGS.judged))
    thighs, shanks = (np.linalg.norm(a - b, axis=2).max(axis=1) for a, b in ((hips, knees), (knees, ankles)))
    return float(np.quantile(trunk + thighs + shanks, 0.9)) / _MEASURED_SHARE


def _signs(time_s: Array, apart: Array) -> NDArray[np.int8]:
    """Tell for each frame whether pairs of limbs are exchanged.

    Parameters
    ----------
    time_s
        (F,) seconds.
    apart
        (L, F, P, 2) left minus right point of each pair, body lengths; NaN = nobody found.

    Returns
    -------
    (L, F) 1 as found, -1 exchanged, 0 of neither side.
    """
    signs = np.zeros(apart.shape[:2], dtype=np.int8)
    known = np.flatnonzero(np.isfinite(apart).all(axis=(0, 2, 3)))
    if not len(known):
        return signs
    # over a longer gap than the landmarker needs to glide nothing binds what comes before to what comes after
    for rows in np.split(known, np.flatnonzero(np.diff(time_s[known]) > _LONGEST_S + _USUAL_S) + 1):
        signs[:, rows] = _run_signs(time_s[rows], apart[:, rows])
    return signs


def _cost(time_s: Array, apart: Array, step_s: float) -> float:
    """Return what a frame left out costs, from the change of speed that is usual in the clip."""
    speed = np.diff(apart, axis=0) / (np.diff(time_s) / _USUAL_S)[:, None, None]
    usual = float(np.median(np.linalg.norm(np.diff(speed, axis=0), axis=2).sum(axis=1)))
    # with few frames a second the speed changes more from one to the next
    return float(np.clip(_USUAL_CHANGES * usual, _LEAST_COST, _MOST_COST * max(step_s / _USUAL_S, 1.0)))


def _run_signs(time_s: Array, apart: Array) -> NDArray[np.int8]:
    """Find the cheapest signs of frames without a gap, by dynamic programming.

    A state is a kept frame together with the kept frame before it: the sign of both and the gap
    between them, so that a change of speed is known from two states. What a way costs is the sum of
    those changes, of the frames left out, and of the exchanges. All pairs of limbs go side by side.
    """
    pairs, frames = apart.shape[:2]
    if frames < 3:
        return np.ones((pairs, frames), dtype=np.int8)
    step_s = float(np.median(np.diff(time_s)))
    longest = int(np.clip(round(_LONGEST_S / step_s), _FEWEST_GAP, _MOST_GAP))
    gaps = np.arange(1, min(longest, frames - 1) + 1)
    sign = np.array([1.0, -1.0])
    skip = exchange = np.array([_cost(time_s, pair, step_s) for pair in apart])
    # of every state (pair, gap, sign, sign before): what it adds whatever was before
    each = exchange[:, None, None, None]
    own = (
        (gaps - 1)[:, None, None] * skip[:, None, None, None]
        + each * (sign[:, None] != sign)
        + _EXCHANGED * each * (sign[:, None] < 0)
    )
    first = _EXCHANGED * each * (sign < 0)  # of the very first kept frame

    # speeds into every state; points of the plane as complex numbers, whose size is quick to take
    place = (apart[..., 0] + 1j * apart[..., 1]).swapaxes(0, 1)
    speed = np.zeros((frames, pairs, len(gaps), 2, 2, place.shape[2]), dtype=np.complex128)
    for i, gap in enumerate(gaps):
        change = place[gap:, :, None, None] * sign[:, None, None] - place[:-gap, :, None, None] * sign[:, None]
        speed[gap:, :, i] = change / ((time_s[gap:] - time_s[:-gap]) / _USUAL_S)[:, None, None, None, None]

    cost = np.full((frames, pairs, len(gaps), 2, 2), np.inf)
    back = np.full((frames, pairs, len(gaps), 2, 2), _FIRST, dtype=np.int8)  # gap, sign before of the state before
    for frame in range(1, frames):
        before = frame - gaps[: min(frame, len(gaps))]
        # axes: pair, gap, sign, sign before, gap of the state before, its sign before
        into = speed[before].transpose(1, 0, 3, 2, 4, 5)[:, :, None]
        turn = np.abs(speed[frame, :, : len(before), :, :, None, None] - into)
        ways = turn.sum(axis=-1) + cost[before].transpose(1, 0, 3, 2, 4)[:, :, None]
        ways = ways.reshape(pairs, len(before), 2, 2, -1)
        which, best = ways.argmin(axis=-1), ways.min(axis=-1)
        if frame < 2 * len(gaps):  # the kept frame before may be the first one, those before it left out
            left_out = np.where(before < len(gaps), before * skip[:, None], np.inf)
            begin = left_out[:, :, None, None] + first
            back[frame, :, : len(before)] = np.where(begin <= best, _FIRST, which)
            best = np.minimum(begin, best)
        else:
            back[frame] = which
        cost[frame, :, : len(before)] = best + own[:, : len(before)]

    last = np.arange(frames - len(gaps), frames)
    ends = cost[last] + (skip * (frames - 1 - last)[:, None])[:, :, None, None, None]
    return np.array([_way_back(back[:, pair], ends[:, pair], gaps, sign) for pair in range(pairs)])


def _way_back(back: NDArray[np.int8], ends: Array, gaps: NDArray[np.int_], sign: Array) -> NDArray[np.int8]:
    """Follow the cheapest way of one pair from its end to the first kept frame: (F,) signs."""
    row, at, now, was = (int(index) for index in np.unravel_index(int(ends.argmin()), ends.shape))
    frame = len(back) - len(ends) + row
    signs = np.zeros(len(back), dtype=np.int8)
    while True:
        signs[frame] = sign[now]
        state = int(back[frame, at, now, was])
        frame -= int(gaps[at])
        if state == _FIRST:
            signs[frame] = sign[was]
            return signs
        at, now, was = state // 2, was, state % 2
