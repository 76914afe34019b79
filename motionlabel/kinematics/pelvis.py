"""How much lower one side of the pelvis is than the other."""

import numpy as np
from numpy.typing import NDArray

from motionlabel.body import Centre, Segment
from motionlabel.records import Array, BodyTrack

_FACING = 0.8
"""Share of the hip line that the picture must show: front and rear views, 37 deg either way (own convention)."""

_UPRIGHT = 0.7
_STILL_STATURES_S = 0.05
_LEVEL_STATURES = 0.02
_STRAIGHT = 0.85

_SIGMA_RAD = np.radians(5.0)
"""Hip landmarks follow the legs more than the pelvis: a raised leg tilts them by 4 deg on a level pelvis, and
a drop of 9 deg tilts them by 2 to 4 (measured on rendered bodies)."""


def pelvis_drop(body: BodyTrack) -> tuple[Array, Array]:
    """Return the tilt of the hip line against the horizontal, as change from quiet standing on two legs.

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
    trunk = body.segment_rotations[:, Segment.TRUNK]
    line = right - left
    tilt = np.arctan2(line[:, 1], np.linalg.norm(line[:, [0, 2]], axis=1))
    seen = (np.abs(trunk[:, 0, 2]) > _FACING) & (trunk[:, 1, 1] > _UPRIGHT)
    level = seen & _standing_on_both(body)
    zero = float(np.median(tilt[level])) if level.any() else 0.0
    angle = np.where(seen, tilt - zero, np.nan)
    return angle, np.where(np.isfinite(angle), _SIGMA_RAD, np.nan)


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
        quiet &= ankle[:, 1] - np.nanpercentile(ankle[:, 1], 5) < _LEVEL_STATURES * body.stature_m
        reach = hip[:, 1] - ankle[:, 1]
        quiet &= reach > _STRAIGHT * np.nanmax(reach)
    return quiet
