"""The number at a joint: when it is shown, how it is held steady and where it stands."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from motionlabel.body import AXIS_INDEX
from motionlabel.drawing.geometry import Limb
from motionlabel.drawing.plan import Label
from motionlabel.records import Array, Study, angle_trust

SHOWN_FROM_TRUST = 0.5
"""An angle of less trust is not shown as a number. *Source*: own convention."""
_STEADY_DEG = 0.8  # a shown number changes only when the angle is this far from it; own convention
_IN_PLANE_RAD = np.radians(20.0)  # an arc that differs more from its number would puzzle; own convention
_ASIDE_RAD = np.radians(58.0)  # least turn of the number away from the limb; own convention


@dataclass(frozen=True, slots=True, eq=False)
class AngleTrace:
    """The number of one joint over time.

    Attributes
    ----------
    degrees
        (F,) whole degrees as shown.
    shown
        (F,) whether it is known well enough.
    in_plane
        (F,) whether the angle in the picture agrees with it, so that an arc can be drawn.
    number
        (F, 2) pixels, middle of the number.
    radius
        Pixels of the arc.
    """

    degrees: NDArray[np.int_]
    shown: NDArray[np.bool_]
    in_plane: NDArray[np.bool_]
    number: Array
    radius: float


def angle_trace(study: Study, label: Label, limb: Limb, radius: float, text_px: int) -> AngleTrace:
    """Return the number of a label's joint for every frame."""
    column = AXIS_INDEX[label.axis]
    angle, sigma = study.angles.angle_rad[:, column], study.angles.sigma_rad[:, column]
    known = np.isfinite(angle) & np.isfinite(limb.joint).all(axis=1) & np.isfinite(limb.reach).all(axis=1)
    known &= np.isfinite(limb.zero).all(axis=1)
    sweep = limb.sweep_rad
    with np.errstate(invalid="ignore"):
        in_plane = known & (np.abs(np.abs(sweep) - np.abs(angle)) <= _IN_PLANE_RAD)
    return AngleTrace(
        degrees=steady_degrees(np.where(known, angle, np.nan)),
        shown=known & (np.asarray(angle_trust(sigma)) >= SHOWN_FROM_TRUST),
        in_plane=in_plane,
        number=_number_place(limb, sweep, radius + 0.95 * text_px),
        radius=radius,
    )


def steady_degrees(angle_rad: Array) -> NDArray[np.int_]:
    """Return (F,) whole degrees that do not jitter between two neighbours; 0 where the angle is NaN."""
    shown = np.zeros(len(angle_rad), dtype=int)
    last = None
    for i, degrees in enumerate(np.degrees(angle_rad).tolist()):
        if not np.isfinite(degrees):
            last = None
            continue
        if last is None or abs(degrees - last) > _STEADY_DEG:
            last = round(degrees)
        shown[i] = last
    return shown


def _number_place(limb: Limb, sweep: Array, distance: float) -> Array:
    """Return the middle of the number: inside the angle, on one side of the limb all the time."""
    known = sweep[np.isfinite(sweep)]
    side = -1.0 if known.size and known[np.argmax(np.abs(known))] > 0 else 1.0
    turn = side * np.maximum(np.abs(sweep) / 2, _ASIDE_RAD)
    cos, sin = np.cos(turn), np.sin(turn)
    x, y = limb.reach[:, 0], limb.reach[:, 1]
    away = np.stack([x * cos - y * sin, x * sin + y * cos], axis=1)
    return limb.joint + distance * away
