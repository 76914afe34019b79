"""Which way the person faces: the axis from their left to their right."""

import numpy as np
from scipy.ndimage import uniform_filter1d

from motionlabel.body import Landmark
from motionlabel.records import Array, LandmarkTrack, Points

_SHOULDER_WEIGHT = 0.65
"""Share of the shoulder line; its estimated depth is better than the hips' (measured on demo_clips)."""

_SHOULDER_WIDTH_M = 0.34
_HIP_WIDTH_M = 0.225
"""Usual widths in the landmarker's world; a line that comes out much shorter is a guess (measured on demo_clips)."""

_STEADY_S = 0.5
"""People turn slowly against the noise of estimated depth (own convention)."""


def levelled_from_world(world_m: Points) -> Array:
    """Turn landmarker axes (x right, y down, z away) into levelled ones (x right, y up, z to the camera)."""
    return world_m * np.array([1.0, -1.0, -1.0])


def rightward_axis(track: LandmarkTrack, fps: float) -> Array:
    """Return the unit vector from the person's left to their right.

    Parameters
    ----------
    track
        Smoothed landmarks.
    fps
        Frames per second, for the steadying window of half a second.

    Returns
    -------
    (F, 3) unit vectors in the levelled frame; gaps carry the nearest known direction.
    """
    world = levelled_from_world(track.world_m)
    hips = world[:, Landmark.RIGHT_HIP] - world[:, Landmark.LEFT_HIP]
    shoulders = world[:, Landmark.RIGHT_SHOULDER] - world[:, Landmark.LEFT_SHOULDER]
    axis = _SHOULDER_WEIGHT * _belief(shoulders, _SHOULDER_WIDTH_M) * _unit(shoulders)
    axis += (1.0 - _SHOULDER_WEIGHT) * _belief(hips, _HIP_WIDTH_M) * _unit(hips)
    known = np.flatnonzero(np.isfinite(axis[:, 0]))
    frames = np.arange(len(axis))
    filled = np.column_stack([np.interp(frames, known, axis[known, k]) for k in range(3)])
    return _unit(uniform_filter1d(filled, max(1, round(_STEADY_S * fps)), axis=0, mode="nearest"))


def _belief(line: Array, usual_m: float) -> Array:
    return np.minimum(np.linalg.norm(line, axis=1, keepdims=True) / usual_m, 1.0) ** 4


def _unit(vectors: Array) -> Array:
    return vectors / np.linalg.norm(vectors, axis=-1, keepdims=True)
