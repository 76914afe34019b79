"""Smooth lines through the points of a path."""

import numpy as np

from motionlabel.records import Array

POINTS = 16
"""Points of the placed line of a muscle."""

NERVE_POINTS = 32
"""Points of the placed course of a nerve."""

_ROUNDS = 2
"""Passes that round the corners at via points."""


def smooth_curve(vertices: Array, count: int = POINTS) -> Array:
    """Return a line with rounded corners.

    Parameters
    ----------
    vertices
        (V, N) points; the first three columns are their place, any others go along.
    count
        Points of the line.

    Returns
    -------
    (count, N) evenly spread along the line; the ends stay.
    """
    steps = np.diff(vertices[:, :3], axis=0)
    along = np.concatenate([[0.0], np.cumsum(np.sqrt(np.einsum("ij,ij->i", steps, steps)))])
    at = np.linspace(0.0, along[-1], count)
    after = np.clip(np.searchsorted(along, at, side="right"), 1, len(along) - 1)
    share = (at - along[after - 1]) / np.maximum(along[after] - along[after - 1], 1e-9)
    curve = vertices[after - 1] + share[:, None] * (vertices[after] - vertices[after - 1])
    for _ in range(_ROUNDS):
        curve[1:-1] = 0.25 * curve[:-2] + 0.5 * curve[1:-1] + 0.25 * curve[2:]
    return curve
