"""Whether what is seen is what was asked for, and if not, what is seen instead."""

from dataclasses import dataclass

import numpy as np

from motionlabel.anatomy import facts_of
from motionlabel.body import AXIS_INDEX, Contraction, Motion, Side
from motionlabel.live.practise import MotionTarget, Target, TissueTarget
from motionlabel.live.reading import Moment, Statement
from motionlabel.records import angle_trust

_WORKING = (Contraction.CONCENTRIC, Contraction.ECCENTRIC, Contraction.ISOMETRIC)
_CLEAR_RAD = np.radians(10.0)  # a motion without a mark is right from this size on
_TRUSTED = 0.5  # of an angle
_SURE = 0.3  # of a working group
# Source of the three: own convention


@dataclass(frozen=True, slots=True)
class Verdict:
    """A judgement of one moment.

    Attributes
    ----------
    right
        Whether the target is met now.
    instead
        What is seen instead; empty = nothing to speak of, or it is right.
    """

    right: bool
    instead: str = ""


def judged(target: Target, moment: Moment) -> Verdict:
    """Judge one moment."""
    return _motion(target, moment) if isinstance(target, MotionTarget) else _tissue(target, moment)


def _motion(target: MotionTarget, moment: Moment) -> Verdict:
    own = next((said for said in moment.statements if said.axis == target.axis), None)
    column = AXIS_INDEX[target.axis]
    sign = 1.0 if target.motion is target.axis.positive else -1.0
    reached = sign * float(moment.angle_rad[column])
    sure = float(angle_trust(float(moment.sigma_rad[column]))) >= _TRUSTED
    if own is not None and own.motion in (target.motion, Motion.HOLD) and sure:
        if target.beyond_rad is None:
            done = own.motion is target.motion and abs(own.excursion_rad) >= _CLEAR_RAD
        else:
            done = reached >= target.beyond_rad
        if done:
            return Verdict(True)
    if own is not None and own.motion is target.motion:
        if not sure:
            return Verdict(False, f"{_named(own)}, but this view does not show how far: turn")
        if target.beyond_rad is not None:
            return Verdict(False, f"{_named(own)}, {np.degrees(reached):.0f}° so far")
        return Verdict(False)
    moving = [said for said in moment.statements if said.motion is not Motion.HOLD]
    if own is not None and own.motion is not Motion.HOLD:
        return Verdict(False, _named(own))
    if not moving:
        return Verdict(False)
    return Verdict(False, _named(max(moving, key=_weight)))


def _weight(said: Statement) -> tuple[float, float]:
    return float(np.nan_to_num(abs(said.work.demand))) * said.work.trust, abs(said.excursion_rad)


def _named(said: Statement) -> str:
    side = "" if said.axis.side is Side.MIDLINE else f"{said.axis.side} "
    return f"{side}{said.axis.joint} {said.motion}"


def _tissue(target: TissueTarget, moment: Moment) -> Verdict:
    working = [
        said
        for said in moment.statements
        if said.work.working_group is not None and said.work.contraction in _WORKING and said.work.trust >= _SURE
    ]
    if any(said.work.working_group in target.groups for said in working):
        return Verdict(True)
    if not working:
        return Verdict(False)
    group = max(working, key=lambda said: abs(said.work.demand) * said.work.trust).work.working_group
    assert group is not None
    return Verdict(False, f"{group} ({facts_of(group).muscles_line})")
