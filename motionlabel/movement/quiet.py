"""When the person is still, and the posture they rest in."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import binary_opening, binary_propagation

from motionlabel.body import AXES, Centre
from motionlabel.records import AngleTrack, Array, BodyTrack

STILL_RAD_S = np.radians(8.0)
"""Below this an angle is held (measured on demo_clips; near the 5 deg/s of common practice, no source)."""

_STILL_S = 0.25
_STILL_STATURES_S = 0.05
"""Joint centres slower than this, statures a second, are still: 8 deg/s of a leg is 0.07 (own convention)."""

_FLAT_STATURES = 0.02
_UPRIGHT_RAD = np.radians(20.0)
_STRAIGHT_RAD = np.radians(30.0)


@dataclass(frozen=True)
class Rest:
    """Posture that a hold is told from.

    Attributes
    ----------
    angle_rad
        (D,) resting angle of each axis.
    standing
        (F,) frames of quiet, upright standing.
    """

    angle_rad: Array
    standing: NDArray[np.bool_]


def find_rest(angles: AngleTrack, body: BodyTrack) -> Rest:
    """Find quiet standing on flat feet, or else the first quiet posture, and the angles there.

    Stillness is read from the joint centres in the picture, which no view makes uncertain. Without any
    quiet frame the anatomical position is the rest.
    """
    fps = (len(body) - 1) / max(body.time_s[-1] - body.time_s[0], 1e-6)
    quiet = binary_opening(_still(body), np.ones(max(1, round(_STILL_S * fps))))
    standing = quiet & _upright(body) & _feet_flat(body)
    basis = standing
    if not basis.any() and quiet.any():
        first = np.zeros_like(quiet)
        first[np.flatnonzero(quiet)[0]] = True
        basis = binary_propagation(first, mask=quiet)
    rest = np.zeros(len(AXES))
    if basis.any():
        for column in np.flatnonzero(np.isfinite(angles.angle_rad[basis]).any(axis=0)):
            values = angles.angle_rad[basis, column]
            values = values[np.isfinite(values)]
            # one may stand still with an arm raised: the third of the frames nearest zero is the rest
            nearest = np.argsort(np.abs(values))[: max(1, len(values) // 3)]
            rest[column] = np.median(values[nearest])
    return Rest(angle_rad=rest, standing=standing)


def _still(body: BodyTrack) -> NDArray[np.bool_]:
    watched = [Centre[f"{side}_{part}"] for side in ("LEFT", "RIGHT") for part in ("SHOULDER", "HIP", "KNEE", "ANKLE")]
    velocity = np.gradient(body.centres_m[:, watched, :2], body.time_s, axis=0)
    speed = np.linalg.norm(velocity, axis=2)
    return np.isfinite(speed[:, 2]) & (np.nan_to_num(speed).max(axis=1) < _STILL_STATURES_S * body.stature_m)


def _feet_flat(body: BodyTrack) -> NDArray[np.bool_]:
    """Heels and toes each at their own lowest level; a foot that is not seen does not count."""
    feet = [Centre[f"{side}_{part}"] for side in ("LEFT", "RIGHT") for part in ("HEEL", "TOE")]
    height = body.centres_m[:, feet, 1]
    if not np.isfinite(height).any():
        return np.zeros(len(body), dtype=bool)
    seen = np.isfinite(height).any(axis=0)
    low = np.nanpercentile(height[:, seen], 5, axis=0)
    lifted = height[:, seen] - low > _FLAT_STATURES * body.stature_m
    return ~np.asarray(lifted.any(axis=1))


def _upright(body: BodyTrack) -> NDArray[np.bool_]:
    """Trunk and both legs near the vertical in the picture."""

    def lean(upper: Array, lower: Array) -> Array:
        line = upper - lower
        return np.abs(np.arctan2(line[:, 0], line[:, 1]))

    def point(name: str) -> Array:
        return body.centres_m[:, Centre[name]]

    middle = {part: 0.5 * (point(f"LEFT_{part}") + point(f"RIGHT_{part}")) for part in ("SHOULDER", "HIP")}
    upright = lean(middle["SHOULDER"], middle["HIP"]) < _UPRIGHT_RAD
    for side in ("LEFT", "RIGHT"):
        for upper, lower in (("HIP", "KNEE"), ("KNEE", "ANKLE")):
            upright &= ~(lean(point(f"{side}_{upper}"), point(f"{side}_{lower}")) > _STRAIGHT_RAD)
    return upright
