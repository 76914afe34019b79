"""Smooth lines through the points of a path."""

from functools import cache

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
    steps = vertices[1:, :3] - vertices[:-1, :3]
    along = np.zeros(len(vertices))
    np.sqrt(np.einsum("ij,ij->i", steps, steps)).cumsum(out=along[1:])
    at = _shares(count) * along[-1]
    after = along[1:-1].searchsorted(at, side="right") + 1
    before = after - 1
    start = along[before]
    share = (at - start) / (along[after] - start + 1e-12)
    lower = vertices[before]
    return _rounding(count) @ (lower + share[:, None] * (vertices[after] - lower))


@cache
def _shares(count: int) -> Array:
    return np.linspace(0.0, 1.0, count)


@cache
def _rounding(count: int) -> Array:
    """Return (count, count) weights of the neighbours of each point; the ends stay."""
    once = np.eye(count)
    for k in range(1, count - 1):
        once[k, k - 1 : k + 2] = 0.25, 0.5, 0.25
    return np.linalg.matrix_power(once, _ROUNDS)
