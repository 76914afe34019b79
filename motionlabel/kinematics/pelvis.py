"""How much lower one side of the pelvis is than the other.

Hip landmarks alone do not tell: they follow the legs, so that a drop of 9 deg tilts them by 2 to 4 and a
raised leg tilts them by 4 on a level pelvis. But the lumbar spine stands on the pelvis, so a pelvis that
hangs to one side carries the foot of the spine sideways: what the shoulders are off the middle of the hips,
beyond what the thorax itself leans, shows it too. Both are weighed.
*Source*: own method; errors measured on rendered bodies.
"""

import numpy as np
from numpy.typing import NDArray

from motionlabel.body import Centre, Segment
from motionlabel.kinematics.known import known_median, known_quantile
from motionlabel.records import Array, BodyTrack

_FACING = 0.85
"""Share of the hip line that the picture must show: front and rear views, 32 deg either way (own convention)."""

BENDS_AT = 0.09
"""Height over the hip line at which the spine bends sideways, statures: about the middle of the lumbar
spine (own estimate; fits rendered bodies, whose lumbar joint lies there)."""

_SPINE_SHARE = 0.7
"""Weight of the spine's foot against the hip line (own convention; 0.6 to 0.8 are alike on rendered bodies)."""

_UPRIGHT = 0.7
_STILL_STATURES_S = 0.05
_LEVEL_STATURES = 0.02
_STRAIGHT = 0.85

_SIGMA_RAD = np.radians(3.0)
"""Measured on rendered bodies in front and rear views: 1 to 3.5 deg root mean square in a clip."""


def pelvis_drop(body: BodyTrack) -> tuple[Array, Array]:
    """Return the tilt of the pelvis against the horizontal, as change from quiet standing on two legs.

    Parameters
    ----------
    body
        Levelled body.

    Returns
    -------
    angle, sigma
        (F,) radians, left side lower positive; NaN unless the picture shows an upright person from the
        front or from behind. Where the clip has no quiet standing the tilt of the landmarks stands as it is.
    """
    left, right = (body.centres_m[:, Centre[f"{side}_HIP"]] for side in ("LEFT", "RIGHT"))
    trunk = body.frame_of(Segment.TRUNK)
    tilt = (1.0 - _SPINE_SHARE) * _tilt(left, right) + _SPINE_SHARE * _foot_of_spine(body)
    seen = (np.abs(trunk[:, 0, 2]) > _FACING) & (trunk[:, 1, 1] > _UPRIGHT)
    level = seen & _standing_on_both(body)
    zero = float(np.median(tilt[level])) if level.any() else 0.0
    angle = np.where(seen, tilt - zero, np.nan)
    return angle, np.where(np.isfinite(angle), _SIGMA_RAD, np.nan)


def _tilt(left: Array, right: Array) -> Array:
    """(F,) tilt of a line against the horizontal, left lower positive, radians."""
    line = right - left
    return np.arctan2(line[:, 1], np.linalg.norm(line[:, [0, 2]], axis=1))


def _foot_of_spine(body: BodyTrack) -> Array:
    """(F,) tilt of the pelvis that puts the foot of the thorax where it is, radians."""
    left, right = (
        [body.centres_m[:, Centre[f"{side}_{part}"]] for part in ("HIP", "SHOULDER")] for side in ("LEFT", "RIGHT")
    )
    hips, shoulders = (0.5 * (a + b) for a, b in zip(left, right))
    across = body.frame_of(Segment.TRUNK)[:, :, 2] * np.array([1.0, 0.0, 1.0])
    across /= np.linalg.norm(across, axis=1, keepdims=True)
    up = shoulders - hips
    height = BENDS_AT * body.stature_m
    thorax = np.nan_to_num(known_median(np.linalg.norm(up, axis=1))) - height
    aside = -(up * across).sum(axis=1) - thorax * np.sin(_tilt(left[1], right[1]))
    return np.arcsin(np.clip(aside / height, -1.0, 1.0))


def _standing_on_both(body: BodyTrack) -> NDArray[np.bool_]:
    """(F,) both ankles still and equally near their own lowest level, both legs long: straight."""
    if len(body) < 2:
        return np.zeros(len(body), dtype=bool)
    quiet = np.ones(len(body), dtype=bool)
    for side in ("LEFT", "RIGHT"):
        hip, ankle = (body.centres_m[:, Centre[f"{side}_{part}"]] for part in ("HIP", "ANKLE"))
        if not np.isfinite(ankle[:, 1]).any():
            return np.zeros(len(body), dtype=bool)
        for point in (hip, ankle):
            speed = np.linalg.norm(np.gradient(point[:, :2], body.time_s, axis=0), axis=1)
            quiet &= speed < _STILL_STATURES_S * body.stature_m
        quiet &= ankle[:, 1] - known_quantile(ankle[:, 1], 0.05) < _LEVEL_STATURES * body.stature_m
        reach = hip[:, 1] - ankle[:, 1]
        quiet &= reach > _STRAIGHT * np.nanmax(reach)
    return quiet
