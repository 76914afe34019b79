"""How far joint centres may lie from where the picture shows them."""

import numpy as np

from motionlabel.body import Centre
from motionlabel.kinematics.points import POINTS, SEEN_AS
from motionlabel.kinematics.proportions import ASSUMED_STATURE_M, LIMBS, TRUNK, link_vector
from motionlabel.records import Array, LandmarkTrack

# Distance between landmark and joint centre in the picture, fraction of stature (root mean square over
# demo_clips, which show rendered bodies: a floor for real footage).
_PICTURE_SIGMA = {
    "HEAD": 0.025,
    "SHOULDER": 0.020,
    "ELBOW": 0.015,
    "WRIST": 0.012,
    "HAND": 0.015,
    "HIP": 0.023,
    "KNEE": 0.013,
    "ANKLE": 0.015,
    "HEEL": 0.015,
    "TOE": 0.015,
    "BALL": 0.015,
}

_STANDING_SHARE = 0.5
_LYING = 1.4
"""Landmarks of bodies on the floor are off by so much more (measured on demo_clips and other rendered clips)."""

_LEG_SEEN = 0.65
_WORST_GUESS = 4.5
"""A leg of which the picture shows a smaller share of its length is ever less surely found: 0.06 to 0.08 of stature
off, four to five times the usual (measured on demo_clips)."""


def picture_sigma(landmarks: LandmarkTrack, image: Array) -> Array:
    """Return the standard deviation of each joint centre in the picture.

    Parameters
    ----------
    landmarks
        Their visibility is used.
    image
        (F, L, 2) landmarks in metres of the assumed stature; NaN = unknown.

    Returns
    -------
    (F, J) metres.
    """
    usual = np.array([_PICTURE_SIGMA[centre.name.split("_")[-1]] for centre in Centre]) * ASSUMED_STATURE_M
    return np.asarray(usual * _guessing(landmarks) * _end_on(image) * _lying(image)[:, None])


def _guessing(landmarks: LandmarkTrack) -> Array:
    """(F, J) factor on the spread of points that the landmarker guesses behind the body: 1 to 3."""
    visibility = np.stack(
        [landmarks.visibility[:, list(POINTS[SEEN_AS.get(centre, centre)])].mean(axis=1) for centre in Centre], axis=1
    )
    return 1.0 + 2.0 * (1.0 - np.clip(visibility, 0.0, 1.0))


def _lying(image: Array) -> Array:
    """(F,) factor on the spread of a body whose trunk does not stand: lying, prone, on all fours."""
    up = link_vector(image, TRUNK)
    standing = up[:, 1] > _STANDING_SHARE * np.linalg.norm(up, axis=1)
    return np.where(standing | np.isnan(up[:, 0]), 1.0, _LYING)


def _end_on(image: Array) -> Array:
    """(F, J) factor on the spread of a leg that points at the camera: the foot hides it and the knee is a guess."""
    factor = np.ones((len(image), len(Centre)))
    for side in ("LEFT", "RIGHT"):
        links = [LIMBS[f"{side}_{link}"] for link in ("HIP_KNEE", "KNEE_ANKLE")]
        seen = sum(np.linalg.norm(link_vector(image, link), axis=1) for link in links)
        share = seen / (sum(link.length for link in links) * ASSUMED_STATURE_M)
        guess = np.clip(np.square(_LEG_SEEN / np.maximum(np.nan_to_num(share, nan=1.0), 1e-3)), 1.0, _WORST_GUESS)
        for part in ("KNEE", "ANKLE", "HEEL", "TOE", "BALL"):
            factor[:, Centre[f"{side}_{part}"]] = guess
    return factor
