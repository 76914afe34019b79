"""Counting repetitions by the motion that drives the exercise."""

from dataclasses import replace

import numpy as np

from motionlabel.body import AXIS_INDEX, Motion
from motionlabel.movement.quiet import Rest
from motionlabel.records import AngleTrack, Phase

_NEAR_REST_SHARE = 0.45
_SAME_SIZE_SHARE = 0.5
_SLACK_S = 0.35


def number_repetitions(rows: tuple[Phase, ...], angles: AngleTrack, rest: Rest) -> tuple[Phase, ...]:
    """Give every phase the number of the repetition it belongs to.

    The axis with the largest total excursion drives. A repetition begins with each of its moves away
    from rest that starts near rest and is at least half as large as the largest; it lasts until the
    next one begins, the last one until the driving axis stops.
    """
    moves = [row for row in rows if row.motion is not Motion.HOLD]
    if not moves:
        return rows
    total = {row.axis: 0.0 for row in moves}
    for row in moves:
        spread = float(np.nanmedian(angles.sigma_rad[:, AXIS_INDEX[row.axis]]))
        total[row.axis] += abs(row.excursion_rad) / max(spread, np.radians(5.0))
    driver = max(total, key=lambda axis: total[axis])
    column = AXIS_INDEX[driver]
    trace, zero = angles.angle_rad[:, column], rest.angle_rad[column]
    driving = [row for row in moves if row.axis == driver]
    largest = max(abs(row.excursion_rad) for row in driving)
    reach = float(np.nanpercentile(np.abs(trace - zero), 98))
    starts = [
        row.start
        for row in driving
        if abs(row.excursion_rad) >= _SAME_SIZE_SHARE * largest
        and abs(trace[row.start] - zero) < _NEAR_REST_SHARE * reach
        and abs(trace[row.stop - 1] - zero) > abs(trace[row.start] - zero)
    ]
    if not starts:
        return rows
    slack = round(_SLACK_S * (len(angles) - 1) / max(angles.time_s[-1] - angles.time_s[0], 1e-6))
    end = max(row.stop for row in driving) + slack
    numbered = []
    for row in rows:
        middle = (row.start + row.stop) // 2
        before = [k for k, start in enumerate(starts, 1) if start - slack <= middle]
        numbered.append(replace(row, repetition=before[-1] if before and middle < end else None))
    return tuple(numbered)
