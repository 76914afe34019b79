"""Standing on one leg: its holds, and how far the pelvis hangs to the side of the leg in the air."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import label

from motionlabel.body import AXIS_INDEX, Axis, Joint, Motion, MotionAxis, Segment, Side
from motionlabel.mechanics.support import POINTS, find_contacts
from motionlabel.records import AngleTrack, BodyTrack, Phase

_LEAST_DROP_RAD = np.radians(4.0)
"""Smallest change from the person's own level stance that is real. *Source*: Youdas et al. 2007,
J Sport Rehabil 16:326 (pelvic-on-femoral position in healthy single-leg stance)."""

_LEAST_S = 0.3
"""A shorter drop is not spoken of (own convention)."""

_LEAST_HOLD_S = 0.5
"""A shorter stance on one leg is a step (own convention)."""

_FACING = 0.85
"""Share of the shoulder line that the picture must show for a balance across: 32 deg either way (own convention)."""

_UPRIGHT = 0.7

_DROP = AXIS_INDEX[MotionAxis(Joint.PELVIS, Side.MIDLINE, Axis.DROP)]
_FOOT = ("heel", "forefoot")


@dataclass(frozen=True, slots=True)
class SwingDrop:
    """The pelvis hangs lower on the side of the leg in the air.

    Attributes
    ----------
    side
        Side of that leg, left or right.
    drop_rad, sigma_rad
        Largest lasting drop, and its standard deviation.
    """

    side: Side
    drop_rad: float
    sigma_rad: float

    @property
    def standing(self) -> Side:
        """Side of the leg that carries."""
        return Side.LEFT if self.side is Side.RIGHT else Side.RIGHT


def swing_drops(body: BodyTrack, angles: AngleTrack) -> tuple[SwingDrop, ...]:
    """Find the drops of the pelvis in single-leg stance that are worth naming, at most one a side.

    Returns
    -------
    Left before right. Empty in side views, where the drop is unknown, and where it stays below 4 deg.
    """
    drop = angles.angle_rad[:, _DROP]
    if not (np.abs(drop) >= _LEAST_DROP_RAD).any():
        return ()
    touching = find_contacts(body)
    found = []
    for side, sign in ((Side.LEFT, 1.0), (Side.RIGHT, -1.0)):
        low = (sign * drop >= _LEAST_DROP_RAD) & _in_the_air(touching, side)
        lasting = _lasting(low, _LEAST_S * (len(body) - 1) / max(body.time_s[-1] - body.time_s[0], 1e-6))
        if lasting.any():
            largest = float(np.percentile(sign * drop[lasting], 90))
            found.append(SwingDrop(side, largest, float(np.median(angles.sigma_rad[lasting, _DROP]))))
    return tuple(found)


def stance_holds(body: BodyTrack, touching: NDArray[np.bool_], rows: Sequence[Phase]) -> tuple[Phase, ...]:
    """Find the holds of the standing hip: it moves too little to have a phase, and yet it bears the body.

    Parameters
    ----------
    body
        The body.
    touching
        (F, C) contacts.
    rows
        The phases that are known; a hold fills what they leave free of its axis.

    Returns
    -------
    Holds of hip abduction in single-leg stance of at least 0.5 s, seen from the front or from behind.
    """
    trunk = body.frame_of(Segment.TRUNK)
    seen = (np.abs(trunk[:, 0, 2]) > _FACING) & (trunk[:, 1, 1] > _UPRIGHT)
    least = _LEAST_HOLD_S * (len(body) - 1) / max(body.time_s[-1] - body.time_s[0], 1e-6)
    holds = []
    for swing, standing in ((Side.LEFT, Side.RIGHT), (Side.RIGHT, Side.LEFT)):
        axis = MotionAxis(Joint.HIP, standing, Axis.ABDUCTION)
        free = seen & _in_the_air(touching, swing)
        for row in rows:
            if row.axis == axis:
                free[row.start : row.stop] = False
        marks, count = label(_lasting(free, least))
        for number in range(1, count + 1):
            frames = np.flatnonzero(marks == number)
            start, stop = int(frames[0]), int(frames[-1]) + 1
            within = {row.repetition for row in rows if row.start < stop and row.stop > start}
            holds.append(Phase(axis, Motion.HOLD, start, stop, within.pop() if len(within) == 1 else None, 0.0))
    return tuple(holds)


def _in_the_air(touching: NDArray[np.bool_], side: Side) -> NDArray[np.bool_]:
    """(F,) frames in which the other foot alone carries the body."""
    other = Side.LEFT if side is Side.RIGHT else Side.RIGHT
    stance = [column for column, point in enumerate(POINTS) if point.name in {f"{other} {part}" for part in _FOOT}]
    rest = [column for column in range(len(POINTS)) if column not in stance]
    return np.asarray(touching[:, stance].any(axis=1) & ~touching[:, rest].any(axis=1))


def _lasting(active: NDArray[np.bool_], least: float) -> NDArray[np.bool_]:
    marks, _ = label(active)
    lengths = np.bincount(marks.ravel())
    lengths[0] = 0
    return np.asarray(lengths[marks] >= least)
