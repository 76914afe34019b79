"""Bones as arrays, so that all points of a line are placed at once."""

from collections.abc import Iterable
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from motionlabel.musculature.bone import LEG_BONES, TRUNK_BONES, Bone
from motionlabel.musculature.line import Bones, Flexions, PathPoint
from motionlabel.records import Array

_INDEX = {bone: k for k, bone in enumerate(Bone)}
_IN_TRUNK = np.array([bone in TRUNK_BONES for bone in Bone])


class PointSet:
    """Points of one line or course that are placed together.

    Parameters
    ----------
    points
        From the proximal to the distal end.
    """

    def __init__(self, points: Iterable[PathPoint]) -> None:
        self._points = tuple(points)
        self.bone = np.array([_INDEX[point.bone] for point in self._points])
        self.in_trunk = _IN_TRUNK[self.bone]
        self.of_leg = any(point.bone in LEG_BONES for point in self._points)
        self._at = np.array([point.at for point in self._points])
        self._moving = [k for k, point in enumerate(self._points) if point.track is not None]

    def at(self, flexions: Flexions) -> Array:
        """Return (V, 3) the points in the frames of their bones."""
        if not self._moving:
            return self._at
        at = self._at.copy()
        for k in self._moving:
            at[k] = self._points[k].place(flexions)
        return at


@lru_cache(maxsize=1024)
def point_set(points: tuple[PathPoint, ...]) -> PointSet:
    """Return the points of a line as they are placed together; made once for each set of active points."""
    return PointSet(points)


class PlacedBones:
    """Where the bones of one side are.

    Parameters
    ----------
    bones
        Those that are seen.
    """

    def __init__(self, bones: Bones) -> None:
        self.seen: NDArray[np.bool_] = np.zeros(len(Bone), dtype=bool)
        self.origin, self.axes = np.zeros((len(Bone), 3)), np.zeros((len(Bone), 3, 3))
        self.variance, self.turn_variance = np.zeros(len(Bone)), np.zeros(len(Bone))
        for bone, place in bones.items():
            k = _INDEX[bone]
            self.seen[k], self.origin[k], self.axes[k] = True, place.origin, place.axes
            self.variance[k], self.turn_variance[k] = place.sigma_m**2, place.turn_sigma**2

    def places(self, points: PointSet, flexions: Flexions) -> tuple[Array, Array]:
        """Return (V, 3) where points lie and (V, 3) how they stand out from the long axis of their bone, metres."""
        at = points.at(flexions)
        axes = self.axes[points.bone]
        offset = np.einsum("vij,vj->vi", axes, at)
        return self.origin[points.bone] + offset, offset - axes[:, :, 1] * at[:, 1:2]

    def length_m(self, points: PointSet, flexions: Flexions) -> float:
        """Return the length of the straight pieces between points, metres."""
        places, _ = self.places(points, flexions)
        steps = places[1:] - places[:-1]
        return float(np.sqrt(np.einsum("ij,ij->i", steps, steps)).sum())
