"""Which landmarks make a joint centre, and which of them are seen."""

import numpy as np

from motionlabel.body import Centre, Landmark
from motionlabel.records import Array, LandmarkTrack, VideoFacts

_LEAST_VISIBILITY = 0.02
"""Landmarks below this are invented. Limbs hidden by the body go down to 0.04 and are still placed well."""

_EDGE = 0.02
"""How far beyond the picture's edge a landmark may lie, fraction of the shorter side (own convention)."""

POINTS: dict[Centre, tuple[Landmark, ...]] = {
    Centre.HEAD: (Landmark.LEFT_EAR, Landmark.RIGHT_EAR),
    Centre.LEFT_HAND: (Landmark.LEFT_INDEX, Landmark.LEFT_PINKY),
    Centre.RIGHT_HAND: (Landmark.RIGHT_INDEX, Landmark.RIGHT_PINKY),
    Centre.LEFT_TOE: (Landmark.LEFT_FOOT_INDEX,),
    Centre.RIGHT_TOE: (Landmark.RIGHT_FOOT_INDEX,),
    **{
        Centre[f"{side}_{part}"]: (Landmark[f"{side}_{part}"],)
        for side in ("LEFT", "RIGHT")
        for part in ("SHOULDER", "ELBOW", "WRIST", "HIP", "KNEE", "ANKLE", "HEEL")
    },
}

SEEN_AS = {Centre.LEFT_BALL: Centre.LEFT_TOE, Centre.RIGHT_BALL: Centre.RIGHT_TOE}


def seen_landmarks(landmarks: LandmarkTrack, video: VideoFacts) -> Array:
    """(F, L, 2) pixels of the landmarks that are seen and lie in the picture; NaN for the others."""
    margin = _EDGE * min(video.width, video.height)
    points = landmarks.image_px
    inside = (points > -margin).all(axis=2) & (points < np.array([video.width, video.height]) + margin).all(axis=2)
    return np.where((inside & (landmarks.visibility >= _LEAST_VISIBILITY))[:, :, None], points, np.nan)


def across_the_picture(image: Array) -> Array:
    """(F, J, 2) joint centres in the picture from (F, L, 2) landmarks; NaN for the balls of the feet."""
    centres = np.full((len(image), len(Centre), 2), np.nan)
    for centre, points in POINTS.items():
        centres[:, centre] = image[:, list(points)].mean(axis=1)
    return centres
