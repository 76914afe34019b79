"""The angle at a joint as it is drawn on the newest picture: limb, arc, number and the mark of a target."""

from collections.abc import Iterator

import numpy as np

from motionlabel.body import AXIS_INDEX, MotionAxis
from motionlabel.drawing.angle import SHOWN_FROM_TRUST
from motionlabel.drawing.geometry import Limb, limb_of
from motionlabel.drawing.parts import short_of
from motionlabel.drawing.shapes import ArcLine, Dashes, Form, JointMark, Point, Polyline, Shape, TextCard
from motionlabel.drawing.theme import Colour, Theme
from motionlabel.drawing.typeset import set_number
from motionlabel.drawing.wording import degrees_text
from motionlabel.live.reading import Reading
from motionlabel.records import Array, angle_trust

_IN_PLANE_RAD = np.radians(20.0)  # an arc that differs more from its number would puzzle
_ASIDE_RAD = np.radians(58.0)
_SIDE_KNOWN_RAD = np.radians(8.0)  # a smaller sweep does not tell to which side the limb will go
_ARC_OF_SHORTER = 0.10
_MARK_OF_SHORTER = 0.014
# Source of all: own convention, as in recordings


def angle_now(axis: MotionAxis, reading: Reading, then: Array | None, now: Array) -> float:
    """Return the angle in the newest picture, radians; NaN where it is not trusted.

    The newest reading is a little old: how far the limb has turned in the picture since is added.

    Parameters
    ----------
    axis
        Which angle.
    reading
        The newest reading.
    then, now
        (L, 2) landmarks of the reading's newest frame (``None`` = forgotten) and of the newest picture.
    """
    column = AXIS_INDEX[axis]
    if not len(reading.angle_rad):
        return float("nan")
    angle, sigma = float(reading.angle_rad[-1, column]), float(reading.sigma_rad[-1, column])
    if not np.isfinite(angle) or angle_trust(sigma) < SHOWN_FROM_TRUST:
        return float("nan")
    if then is None:
        return angle
    old, new = (limb_of(points[None], axis) for points in (then, now))
    if old is None or new is None:
        return angle
    before, after = (abs(float(limb.sweep_rad[0])) for limb in (old, new))
    if abs(before - abs(angle)) > _IN_PLANE_RAD:
        return angle
    return angle + float(np.sign(angle)) * (after - before)


def dial(
    axis: MotionAxis, points: Array, angle_rad: float, mark_rad: float | None, form: Form, colour: Colour, theme: Theme,
    shorter: int, text_px: int,
) -> Iterator[Shape]:  # fmt: skip
    """Return the shapes of one joint, those in front last.

    Parameters
    ----------
    axis
        Which joint.
    points
        (L, 2) landmarks in pixels of the shown picture.
    angle_rad
        Its angle; NaN = draw the limb only.
    mark_rad
        Angle of the target, in the axis's own sense; ``None`` = none.
    form, colour
        Of the joint's mark and of the arc.
    theme
        Colours and sizes.
    shorter, text_px
        Shorter side of the picture and size of type, pixels.
    """
    limb = limb_of(points[None], axis)
    if limb is None or not np.isfinite(np.stack([limb.proximal, limb.joint, limb.distal])).all():
        return
    line_px, mark_px = theme.line_width * shorter, _MARK_OF_SHORTER * shorter
    joint = _point(limb.joint[0])
    for end in (limb.proximal[0], limb.distal[0]):
        ends = (_point(end), short_of(_point(end), joint, mark_px))
        yield Polyline(ends, theme.text, theme.casing, line_px)
    yield JointMark(joint, mark_px, form, colour, theme.casing, line_px)
    if not (np.isfinite(angle_rad) and np.isfinite(limb.zero).all() and np.isfinite(limb.reach).all()):
        return
    sweep, radius = float(limb.sweep_rad[0]), _ARC_OF_SHORTER * shorter
    start = float(np.arctan2(limb.zero[0, 1], limb.zero[0, 0]))
    if abs(abs(sweep) - abs(angle_rad)) <= _IN_PLANE_RAD:
        stop = _beyond(joint, start, 1.35 * radius)
        yield Dashes(short_of(stop, joint, mark_px * 1.4), stop, theme.text, theme.casing, line_px * 0.7, radius / 6)
        yield ArcLine(joint, radius, start, sweep, colour, theme.casing, line_px * 1.4)
        if mark_rad is not None:
            yield from _marks(joint, start, sweep, angle_rad, mark_rad, radius, theme, line_px)
    number = set_number(degrees_text(round(np.degrees(angle_rad))), text_px, theme, colour)
    x, y = _beyond(joint, _number_direction(limb, sweep), radius + 0.95 * text_px)
    yield TextCard(round(x - number.width / 2), round(y - number.height / 2), number)


def _marks(
    joint: Point, start: float, sweep: float, angle: float, mark: float, radius: float, theme: Theme, line_px: float
) -> Iterator[Shape]:
    """Return the tick of a target on the arc; on both sides while it is not clear where the limb goes."""
    sign = float(np.sign(sweep) * (np.sign(angle) or 1.0))
    for side in (sign,) if abs(sweep) > _SIDE_KNOWN_RAD else (1.0, -1.0):
        turn = start + side * mark
        ends = tuple(_beyond(joint, turn, share * radius) for share in (0.8, 1.3))
        yield Polyline(ends, theme.shortening, theme.casing, line_px * 2.0)


def _number_direction(limb: Limb, sweep: float) -> float:
    side = -1.0 if sweep > 0 else 1.0
    reach = float(np.arctan2(limb.reach[0, 1], limb.reach[0, 0]))
    return reach + side * max(abs(sweep) / 2, _ASIDE_RAD)


def _beyond(joint: Point, direction: float, distance: float) -> Point:
    return joint[0] + float(np.cos(direction)) * distance, joint[1] + float(np.sin(direction)) * distance


def _point(value: Array) -> Point:
    return float(value[0]), float(value[1])
