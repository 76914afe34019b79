"""Toes against the foot, where they are planted and the heel rises over them."""

import numpy as np
from numpy.typing import NDArray

from motionlabel.body import Centre, Segment, Side
from motionlabel.kinematics.known import known_quantile
from motionlabel.kinematics.proportions import LIMBS
from motionlabel.kinematics.rotations import unit
from motionlabel.records import Array, BodyTrack

_LOW_STATURES = 0.03
_STILL_STATURES_S = 0.08
"""Toes that rest on the ground: near their own lowest level and slow (own convention)."""

_SIDE_VIEW = 0.75
"""Share of a foot's usual length that the picture must show to tell its pitch (own convention)."""

_FLAT_RAD = np.radians(20.0)
_STEEP_RAD = np.radians(50.0)
"""The foot has to lie flat at some time, and a steeper one tells nothing of its ball (measured on demo_clips)."""

_UPRIGHT = 0.5
_SIGMA_RAD = np.radians(7.0)
_BLUR = 0.35
"""Share of the angle that is uncertain: the heel landmark turns less than the foot (measured on demo_clips)."""


def toe_extension(body: BodyTrack, side: Side) -> tuple[Array, Array]:
    """Return how far the toes bend up against the foot, from the ball of the foot.

    Parameters
    ----------
    body
        Its ball lies before flat toes while the heel rises.
    side
        Left or right.

    Returns
    -------
    angle, sigma
        (F,) radians, positive when the heel rises over flat toes; NaN where the toes are off the ground or
        move, in front views, lying down and where the foot is never flat. A lower bound, which ``sigma`` tells.
    """
    heel, ball, toe = (body.centres_m[:, Centre[f"{side}_{part}".upper()]] for part in ("heel", "ball", "toe"))
    foot, toes = unit(ball - heel), unit(toe - ball)
    bend = np.arccos(np.clip((foot * toes).sum(axis=1), -1.0, 1.0))
    angle = bend * np.sign(toes[:, 1] - foot[:, 1])
    line = (toe - heel)[:, :2]
    length = np.linalg.norm(line, axis=1)
    pitch = np.arctan2(-line[:, 1], np.abs(line[:, 0]))
    side_view = length > _SIDE_VIEW * LIMBS["LEFT_HEEL_FOOT_INDEX"].length * body.stature_m
    upright = body.segment_rotations[:, Segment.TRUNK, 1, 1] > _UPRIGHT
    seen = _planted(body, toe) & side_view & upright & (pitch < _STEEP_RAD)
    if not seen.any() or known_quantile(pitch[seen], 0.1) > _FLAT_RAD:
        seen = np.zeros_like(seen)
    angle = np.where(seen, angle, np.nan)
    return angle, np.hypot(_SIGMA_RAD, _BLUR * angle)


def _planted(body: BodyTrack, toe: Array) -> NDArray[np.bool_]:
    if len(body) < 2 or not np.isfinite(toe[:, 1]).any():
        return np.zeros(len(body), dtype=bool)
    low = toe[:, 1] - known_quantile(toe[:, 1], 0.05) < _LOW_STATURES * body.stature_m
    speed = np.linalg.norm(np.gradient(toe[:, :2], body.time_s, axis=0), axis=1)
    return np.asarray(low & (speed < _STILL_STATURES_S * body.stature_m))
