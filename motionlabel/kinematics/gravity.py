"""How far the camera looks down, from the body itself; turns between its axes and level ones."""

import numpy as np

from motionlabel.body import Landmark
from motionlabel.kinematics.orientation import levelled_from_world
from motionlabel.kinematics.rotations import segment_frame, unit
from motionlabel.records import Array, LandmarkTrack, Points

UNNOTICED_PITCH_RAD = np.radians(20.0)
"""Smaller pitches are within the estimate's error of 7 deg (measured on demo_clips) and change little."""

_STEEPEST_RAD = np.radians(60.0)
_ASKEW_RAD = np.radians(30.0)


def camera_pitch(landmarks: LandmarkTrack, rightward: Array) -> float:
    """Return how far the camera looks down on the person.

    Standing, lying on the back or front, lying on the side: one axis of the trunk is near the vertical,
    and the vertical has no part across the picture of a camera that is not rolled. So the axis with the
    least part across the picture whose tilt a camera can have is taken for the vertical.

    Parameters
    ----------
    landmarks
        Smoothed landmarks; the world ones are used.
    rightward
        (F, 3) unit vector from the person's left to right, camera axes.

    Returns
    -------
    Radians, looking down positive; 0 where it is small or cannot be told.
    """
    world = levelled_from_world(landmarks.world_m[landmarks.present])
    up = world[:, [Landmark.LEFT_SHOULDER, Landmark.RIGHT_SHOULDER]].mean(axis=1)
    up = up - world[:, [Landmark.LEFT_HIP, Landmark.RIGHT_HIP]].mean(axis=1)
    trunk = segment_frame(up, rightward[landmarks.present])
    best, pitch = _ASKEW_RAD, 0.0
    for axis in range(3):  # forward, up, right
        vertical = unit(np.median(trunk[:, :, axis], axis=0))
        vertical = vertical * (1.0 if vertical[1] >= 0.0 else -1.0)
        askew = float(np.arcsin(abs(vertical[0])))
        tilt = float(np.arctan2(vertical[2], vertical[1]))
        if askew < best and abs(tilt) < _STEEPEST_RAD:
            # an upright trunk leans in many exercises: its tilt is no sign of the camera's
            best, pitch = askew, 0.0 if axis == 1 else tilt
    return pitch if pitch > UNNOTICED_PITCH_RAD else 0.0


def turned(points: Points, roll_rad: float) -> Points:
    """Turn (..., 2 or 3) points with x right and y down as a level camera would see them.

    A camera that leans clockwise by ``roll_rad`` sees the scene turned anticlockwise.
    """
    if roll_rad == 0.0:
        return points
    cos, sin = np.cos(roll_rad), np.sin(roll_rad)
    result = points.copy()
    result[..., 0] = cos * points[..., 0] - sin * points[..., 1]
    result[..., 1] = sin * points[..., 0] + cos * points[..., 1]
    return result


def level(vectors: Array, pitch_rad: float) -> Array:
    """Turn (..., 3) vectors from camera axes into levelled ones: y up against gravity."""
    cos, sin = np.cos(pitch_rad), np.sin(pitch_rad)
    return vectors @ np.array([[1.0, 0.0, 0.0], [0.0, cos, sin], [0.0, -sin, cos]]).T


def picture_of(vectors: Array, pitch_rad: float) -> Array:
    """Turn (..., 3) levelled vectors back into (..., 2) parts in the picture: right and up."""
    cos, sin = np.cos(pitch_rad), np.sin(pitch_rad)
    return np.stack([vectors[..., 0], cos * vectors[..., 1] - sin * vectors[..., 2]], axis=-1)
