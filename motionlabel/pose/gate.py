"""Which detections are people: the landmarker also invents what is not in the picture."""

from dataclasses import replace

import numpy as np

from motionlabel.body import Landmark
from motionlabel.pose.backend import Detection

TORSO = [Landmark.LEFT_SHOULDER, Landmark.RIGHT_SHOULDER, Landmark.LEFT_HIP, Landmark.RIGHT_HIP]

_VISIBLE = 0.5  # Source: common practice, no source
_TORSO_POINTS = 2  # two of four: a side view, or only the upper body, is enough. Source: own convention
_EDGE = 0.02  # share of the longer side that a point may lie outside the picture. Source: own convention


def gated(detection: Detection | None, width: int, height: int) -> Detection | None:
    """Return a detection without what is only invented; ``None`` where nothing is left.

    Landmarks outside the picture get visibility 0. A person counts if at least two points of the
    torso are visible inside it.

    Parameters
    ----------
    detection
        What a landmarker told.
    width, height
        Pixels of the picture.
    """
    if detection is None or not np.isfinite(detection.image_px).all():
        return None
    margin = _EDGE * max(width, height)
    size = np.array([width, height])
    inside = ((detection.image_px >= -margin) & (detection.image_px <= size + margin)).all(axis=1)
    visibility = np.where(inside, detection.visibility, 0.0)
    if np.count_nonzero(visibility[TORSO] >= _VISIBLE) < _TORSO_POINTS:
        return None
    return replace(detection, visibility=visibility)
