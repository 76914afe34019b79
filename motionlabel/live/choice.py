"""Which joints the mirror speaks of: at most two, and not others from moment to moment."""

from dataclasses import dataclass

import numpy as np

from motionlabel.body import Axis, Joint, Motion, MotionAxis, Side, WorkingGroup
from motionlabel.live.reading import Reading, Statement

# Source of all: own convention
_MEMORY_S = 4.0  # what counts of the past
_PAUSE_S = 1.5  # a joint that rests longer is let go
_BETTER = 1.6  # so much more must another joint bear to take a place
_HOLD_WEIGHT = 0.5
_FULL_MOTION_RAD = np.radians(30.0)  # a smaller motion, or one far from the largest, counts less, by its square
_UNKNOWN_WEIGHT = 0.02  # % of body weight x height that stand for a motion whose load cannot be told
_MOST = 2
_WORTH_SAYING = 0.1  # of what the first joint bears, for a second one


@dataclass(frozen=True, slots=True)
class Spoken:
    """One label at one moment.

    Attributes
    ----------
    axes
        One axis, or both sides that do the same: first the side that was drawn before, else the one nearer to
        the camera.
    statement
        What is said now; ``None`` = a pause.
    groups
        Groups of the heading: of the statement or, in a pause, of the last one; empty = none is named.
    """

    axes: tuple[MotionAxis, ...]
    statement: Statement | None
    groups: tuple[WorkingGroup, ...]

    @property
    def axis(self) -> MotionAxis:
        """The axis that is drawn."""
        return self.axes[0]

    @property
    def side(self) -> Side:
        """Side of the person it speaks of."""
        return Side.BOTH if len(self.axes) > 1 else self.axis.side

    @property
    def place(self) -> tuple[Joint, Axis, Side | None]:
        """What stays the same while sides come and go: joint and axis; the side for a limb by itself."""
        return self.axis.joint, self.axis.axis, None if len(self.axes) > 1 else self.axis.side


def choose(before: tuple[Spoken, ...], reading: Reading, at_s: float) -> tuple[Spoken, ...]:
    """Choose what is said of a moment.

    The joint that bears most goes first, those that move before those that are only held; one that was
    spoken of keeps its place until it has paused for long or another bears much more. A joint that bears next to
    nothing beside the first is not spoken of.

    Parameters
    ----------
    before
        What was said the moment before.
    reading
        The newest reading.
    at_s
        The moment, camera's clock.
    """
    recent = [one for one in reading.statements if one.since_s <= at_s and one.until_s > at_s - _PAUSE_S]
    joined = _sides_joined(recent, reading, at_s, before)
    moved, borne = (
        {spoken: sum(_burden(reading, axis, at_s, hold) for axis in spoken.axes) for spoken in joined}
        for hold in (0.0, _HOLD_WEIGHT)
    )
    moving = [spoken for spoken in joined if _moves(reading, spoken, at_s)]
    chosen: list[Spoken] = []
    for slot, (candidates, burden) in enumerate(((moving, moved) if moving else (joined, borne), (joined, borne))):
        free = [spoken for spoken in candidates if all(spoken.axis.joint is not one.axis.joint for one in chosen)]
        if not free or len(chosen) < slot:
            break
        best = max(free, key=lambda spoken: burden[spoken])
        if slot and burden[best] < _WORTH_SAYING * borne[chosen[0]]:
            break
        kept = next((one for one in free if slot < len(before) and _alike(one, before[slot])), best)
        chosen.append(best if burden[best] > _BETTER * burden[kept] else kept)
    return tuple(chosen[:_MOST])


def _alike(one: Spoken, other: Spoken) -> bool:
    return one.axis.joint is other.axis.joint and one.axis.axis is other.axis.axis and bool({*one.axes} & {*other.axes})


def _sides_joined(recent: list[Statement], reading: Reading, at_s: float, before: tuple[Spoken, ...]) -> list[Spoken]:
    """Return one candidate an axis; two sides that say the same are one, the side that was drawn before first."""
    drawn = [spoken.axis for spoken in before]
    now: dict[MotionAxis, Statement | None] = {}
    last: dict[MotionAxis, Statement] = {}
    for one in sorted(recent, key=lambda one: one.since_s):
        last[one.axis] = one
        if one.until_s > at_s:
            now[one.axis] = one
    spoken: list[Spoken] = []
    for axis in sorted(last, key=lambda axis: (axis not in drawn, axis.side is not reading.near_side)):
        if any(axis in one.axes for one in spoken):
            continue
        statement = now.get(axis)
        twin = next(
            (
                other
                for other in last
                if _mirrors(other, axis)
                and _same(now.get(other), statement)
                and (statement is not None or _same(last[other], last[axis]))  # a pause is that of what was before
            ),
            None,
        )
        axes = (axis,) if twin is None else (axis, twin)
        groups = [last[each].work.working_group for each in axes]
        named = tuple(dict.fromkeys(group for group in groups if group is not None))
        spoken.append(Spoken(axes, statement, named[:1]))
    return spoken


def _mirrors(one: MotionAxis, other: MotionAxis) -> bool:
    return (one.joint, one.axis) == (other.joint, other.axis) and one.side is not other.side


def _same(one: Statement | None, other: Statement | None) -> bool:
    if one is None or other is None:
        return one is other
    said = [(each.motion, each.work.working_group, each.work.contraction) for each in (one, other)]
    return said[0] == said[1]


def _burden(reading: Reading, axis: MotionAxis, at_s: float, hold: float) -> float:
    """How much an axis has borne lately: demand, as far as it is trusted, times time and size of the motion.

    ``hold`` is what a hold counts: nothing where the joint is sought that makes the movement. Sway counts little,
    however much it bears: size is measured against the largest motion.
    """
    total, full_rad = 0.0, _full_motion_rad(reading, at_s)
    for one in reading.statements:
        length_s = _lately_s(one, at_s)
        if one.axis != axis or length_s <= 0.0:
            continue
        size = hold
        if one.motion is not Motion.HOLD:
            size = min(1.0, np.square(one.excursion_rad / full_rad))
        # trust twice: a group on a knife's edge is said otherwise the next time
        sure = abs(one.work.demand) * np.square(one.work.trust)
        demand = sure if one.work.working_group is not None else _UNKNOWN_WEIGHT
        total += float(np.nan_to_num(demand)) * length_s * size
    return total


def _full_motion_rad(reading: Reading, at_s: float) -> float:
    """Return what counts as a whole motion: the largest one lately, but no small one."""
    lately = [abs(one.excursion_rad) for one in reading.statements if _lately_s(one, at_s) > 0.0]
    return max([_FULL_MOTION_RAD, *lately])


def _lately_s(one: Statement, at_s: float) -> float:
    """How long it has been said lately; not above zero = not at all."""
    return min(one.until_s, at_s) - max(one.since_s, at_s - _MEMORY_S)


def _moves(reading: Reading, spoken: Spoken, at_s: float) -> bool:
    return any(
        one.axis in spoken.axes and one.motion is not Motion.HOLD and one.until_s > at_s - _MEMORY_S
        for one in reading.statements
        if one.since_s <= at_s
    )
