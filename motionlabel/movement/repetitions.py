"""Counting repetitions by the motion that drives the exercise."""

from dataclasses import replace

import numpy as np

from motionlabel.body import AXIS_INDEX, Joint, Motion, MotionAxis
from motionlabel.kinematics.known import known_median, known_quantile
from motionlabel.movement.quiet import Rest
from motionlabel.records import AngleTrack, Phase

_NEAR_REST_SHARE = 0.45
_SAME_SIZE_SHARE = 0.5
_RIVAL_SHARE = 0.3
_OVERLAP_SHARE = 0.9
_SLACK_S = 0.35

_LEG = {Joint.HIP, Joint.KNEE, Joint.ANKLE}


def number_repetitions(rows: tuple[Phase, ...], angles: AngleTrack, rest: Rest) -> tuple[Phase, ...]:
    """Give every phase the number of the repetition it belongs to.

    The axis with the largest total excursion drives; if another axis of the same limb moves about as far
    in fewer cycles, but in half as many at least, that one does (in a kick the knee bends twice while the
    hip rises once; legs that are lifted once and then cross each other often are not one repetition). A
    repetition begins with each of its moves away from rest that starts near rest, or swings through it to
    the side on which the limb goes farther, and is large enough beside the largest; it lasts until the next
    one begins, the last one until the driving axis stops.
    """
    moves = [row for row in rows if row.motion is not Motion.HOLD]
    if not moves:
        return rows
    largest = {
        axis: max(abs(row.excursion_rad) for row in moves if row.axis == axis) for axis in {r.axis for r in moves}
    }
    total = {row.axis: 0.0 for row in moves}
    for row in moves:
        if abs(row.excursion_rad) < _SAME_SIZE_SHARE * largest[row.axis]:
            continue
        spread = known_median(angles.sigma_rad[row.start : row.stop, AXIS_INDEX[row.axis]])
        total[row.axis] += abs(row.excursion_rad) / max(spread, np.radians(5.0))
    greatest = max(total, key=lambda axis: total[axis])
    cycles = {
        axis: _starts(axis, moves, angles, rest)
        for axis, amount in total.items()
        if same_limb(axis, greatest) and amount >= _RIVAL_SHARE * total[greatest] and _as_long(axis, greatest, moves)
    }
    most = len(cycles[greatest])
    cycles = {axis: starts for axis, starts in cycles.items() if len(starts) in (most, most / 2)}
    if not cycles:
        return rows
    driver = min(cycles, key=lambda axis: (len(cycles[axis]), -total[axis]))
    starts = cycles[driver]
    slack = round(_SLACK_S * (len(angles) - 1) / max(angles.time_s[-1] - angles.time_s[0], 1e-6))
    end = max(row.stop for row in moves if row.axis == driver) + slack
    numbered = []
    for row in rows:
        middle = (row.start + row.stop) // 2
        before = [k for k, start in enumerate(starts, 1) if start - slack <= middle]
        numbered.append(replace(row, repetition=before[-1] if before and middle < end else None))
    return tuple(numbered)


def same_limb(a: MotionAxis, b: MotionAxis) -> bool:
    """Return whether both are of the same leg or arm."""
    return a.side is b.side and (a.joint in _LEG) == (b.joint in _LEG)


def _as_long(axis: MotionAxis, other: MotionAxis, moves: list[Phase]) -> bool:
    """Whether an axis moves over nearly the whole time in which another does."""
    (first, last), (start, stop) = (
        (min(row.start for row in moves if row.axis == a), max(row.stop for row in moves if row.axis == a))
        for a in (axis, other)
    )
    return min(last, stop) - max(first, start) >= _OVERLAP_SHARE * (stop - start)


def _starts(axis: MotionAxis, moves: list[Phase], angles: AngleTrack, rest: Rest) -> list[int]:
    """First frames of the repetitions, were this axis to drive."""
    column = AXIS_INDEX[axis]
    offset = angles.angle_rad[:, column] - rest.angle_rad[column]
    own = [row for row in moves if row.axis == axis]
    largest = max(abs(row.excursion_rad) for row in own)
    reach = known_quantile(np.abs(offset), 0.98)
    large = [row for row in own if abs(row.excursion_rad) >= _SAME_SIZE_SHARE * largest]
    farther = np.sign(sum(offset[row.stop - 1] for row in large))

    def begins(row: Phase) -> bool:
        start, end = offset[row.start], offset[row.stop - 1]
        leaves = abs(start) < _NEAR_REST_SHARE * reach and abs(end) > abs(start)
        through = start * end < 0.0 and np.sign(end) == farther
        return bool(leaves or through)

    return [row.start for row in large if begins(row)]
