"""Lengths between landmarks as fractions of stature, and the person's size in the picture."""

from dataclasses import dataclass

import numpy as np

from motionlabel.body import Landmark
from motionlabel.records import Array, LandmarkTrack, Points

ASSUMED_STATURE_M = 1.70
"""Only ratios matter to angles and to moments in % of body weight x height (own convention)."""

_WORLD_STATURE_M = 1.65
"""Stature of the body that the landmarker's world landmarks describe; measured on demo_clips: 1.62-1.74."""


@dataclass(frozen=True)
class Link:
    """A straight line between two landmarks (or midpoints of pairs) that keeps its length.

    Attributes
    ----------
    start, end
        Landmarks; two of them mean their midpoint.
    length
        Fraction of stature.
    lateral_spread
        How far the line leans out of the sagittal plane, as a standard deviation, fraction of its length.
    """

    start: tuple[Landmark, ...]
    end: tuple[Landmark, ...]
    length: float
    lateral_spread: float


def _limb(start: str, end: str, length: float, spread: float) -> dict[str, Link]:
    return {
        f"{side}_{start}_{end}": Link((Landmark[f"{side}_{start}"],), (Landmark[f"{side}_{end}"],), length, spread)
        for side in ("LEFT", "RIGHT")
    }


# Fractions of stature between *landmarks*, which differ from those between joint centres: measured on
# the side views of demo_clips (three bodies, spread 2-4 %). Between joint centres Drillis & Contini
# 1966 give thigh 0.245, shank 0.246, upper arm 0.186, forearm 0.146 (from memory). The lateral spreads
# are own estimates: legs stay near the sagittal plane in most exercises, arms do not.
TRUNK = Link((Landmark.LEFT_HIP, Landmark.RIGHT_HIP), (Landmark.LEFT_SHOULDER, Landmark.RIGHT_SHOULDER), 0.300, 0.10)
HEAD = Link((Landmark.LEFT_SHOULDER, Landmark.RIGHT_SHOULDER), (Landmark.LEFT_EAR, Landmark.RIGHT_EAR), 0.120, 0.20)
LIMBS: dict[str, Link] = {
    **_limb("HIP", "KNEE", 0.240, 0.15),
    **_limb("KNEE", "ANKLE", 0.243, 0.15),
    **_limb("HEEL", "FOOT_INDEX", 0.131, 0.35),
    **_limb("SHOULDER", "ELBOW", 0.178, 0.40),
    **_limb("ELBOW", "WRIST", 0.157, 0.60),
}
HIP_WIDTH = 0.115
SHOULDER_WIDTH = 0.205

_SIZING = (TRUNK, LIMBS["LEFT_HIP_KNEE"], LIMBS["RIGHT_HIP_KNEE"], LIMBS["LEFT_KNEE_ANKLE"], LIMBS["RIGHT_KNEE_ANKLE"])


def link_vector(points: Points, link: Link) -> Array:
    """Return the vectors from start to end of a link.

    Parameters
    ----------
    points
        (F, L, K) landmarks.

    Returns
    -------
    (F, K) vectors in the same units; NaN where a landmark is unknown.
    """
    ends = (points[:, list(end)].mean(axis=1, dtype=np.float64) for end in (link.end, link.start))
    return np.asarray(next(ends) - next(ends))


def stature_px(track: LandmarkTrack) -> float:
    """Return the height the person would have in the picture, standing upright, in pixels.

    Lines seen end-on look short, so the size comes from the longest lines and from the scale between
    world and image landmarks; the median of the three largest of these guesses is taken.

    Raises
    ------
    ValueError
        Nobody was found in the clip.
    """
    if not track.present.any():
        raise ValueError("no frame of the track shows a person")
    torso_and_legs = [
        Landmark[f"{side}_{part}"] for side in ("LEFT", "RIGHT") for part in ("SHOULDER", "HIP", "KNEE", "ANKLE")
    ]
    image = track.image_px[track.present][:, torso_and_legs]
    world = track.world_m[track.present][:, torso_and_legs, :2]
    spread = [np.sqrt(np.square(v - v.mean(axis=1, keepdims=True)).sum(axis=(1, 2))) for v in (image, world)]
    scale = spread[0] / spread[1]
    guesses = [float(np.median(scale[np.isfinite(scale)])) * _WORLD_STATURE_M] if np.isfinite(scale).any() else []
    for link in _SIZING:
        lengths = np.linalg.norm(link_vector(track.image_px[track.present], link), axis=1)
        lengths = lengths[np.isfinite(lengths)]
        if len(lengths):
            guesses.append(float(np.percentile(lengths, 90)) / link.length)
    return float(np.median(sorted(guesses)[-3:]))
