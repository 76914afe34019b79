"""When the person is still, and the posture they rest in."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import binary_propagation

from motionlabel.body import AXES, Joint
from motionlabel.kinematics.known import known_median
from motionlabel.kinematics.standing import quiet_frames, quiet_standing
from motionlabel.records import AngleTrack, Array, BodyTrack

STILL_RAD_S = np.radians(8.0)
"""Below this an angle is held (measured on demo_clips; near the 5 deg/s of common practice, no source)."""


_AWAY_RAD = np.radians(12.0)
_ANKLE_AWAY_RAD = np.radians(7.0)


def away_from_rest_rad(joint: Joint) -> float:
    """Return how far from rest an angle is held and no longer rests.

    12 deg, and 7 at the ankle, whose dorsiflexion ends near 20 deg (AAOS, from memory). Less is sway of somebody
    who stands. *Source*: own convention; one tester's goniometer errs by 3-4 deg (Boone et al. 1978).
    """
    return float(_ANKLE_AWAY_RAD if joint is Joint.ANKLE else _AWAY_RAD)


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
    quiet = quiet_frames(body)
    standing = quiet_standing(body)
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
            rest[column] = known_median(values[nearest])
    return Rest(angle_rad=rest, standing=standing)
