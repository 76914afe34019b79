"""Own range and repetitions so far."""

from dataclasses import dataclass, replace

import numpy as np

from motionlabel.body import AXIS_INDEX, Motion, MotionAxis
from motionlabel.live.reading import Moment
from motionlabel.records import angle_trust

_TRUSTED = 0.5
_APART_S = 0.6  # two starts nearer than this are the same repetition seen twice
# Source: own convention


@dataclass(frozen=True, slots=True)
class Range:
    """How far a joint went, radians."""

    axis: MotionAxis
    least_rad: float
    most_rad: float


@dataclass(frozen=True, slots=True)
class Tally:
    """What was counted since the start, or since it was set back.

    Attributes
    ----------
    ranges
        Of every joint that moved.
    repetitions
        How many began.
    started_s
        When the last one did.
    """

    ranges: tuple[Range, ...] = ()
    repetitions: int = 0
    started_s: float = -np.inf

    def range_of(self, axis: MotionAxis) -> Range | None:
        """Return the range of one joint; ``None`` if it did not move."""
        return next((one for one in self.ranges if one.axis == axis), None)


def counted(tally: Tally, moment: Moment) -> Tally:
    """Return the tally with one more moment."""
    ranges = {one.axis: one for one in tally.ranges}
    for said in moment.statements:
        column = AXIS_INDEX[said.axis]
        angle, sigma = float(moment.angle_rad[column]), float(moment.sigma_rad[column])
        if said.motion is Motion.HOLD or not np.isfinite(angle) or angle_trust(sigma) < _TRUSTED:
            continue
        known = ranges.get(said.axis, Range(said.axis, angle, angle))
        ranges[said.axis] = Range(said.axis, min(known.least_rad, angle), max(known.most_rad, angle))
    tally = replace(tally, ranges=tuple(ranges.values()))
    if moment.repetition_s is not None and moment.repetition_s > tally.started_s + _APART_S:
        tally = replace(tally, repetitions=tally.repetitions + 1, started_s=moment.repetition_s)
    return tally
