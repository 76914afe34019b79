"""A line of action: points on bones from one attachment to the other."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property

import numpy as np

from motionlabel.musculature.bone import Bone, Hinge
from motionlabel.records import Array

Flexions = Mapping[Hinge, float]
"""Flexion of the hinges of one side, radians; a missing one counts as 0."""


TURN_SIGMA = float(np.sin(np.radians(10.0)))
"""A limb's turn about its own axis is not seen well (own estimate)."""


class Origin(StrEnum):
    """Where the coordinates of a point come from; credits in ``README.md``."""

    GAIT2392 = "gait2392"
    MYOSIM = "myosim"
    DOSTAL1981 = "dostal1981"
    ESTIMATE = "estimate"


@dataclass(frozen=True, eq=False)
class BonePlace:
    """Where a bone is: a point ``at`` in its frame lies at ``origin + axes @ at``.

    Attributes
    ----------
    origin
        (3,) metres.
    axes
        (3, 3) columns forward, up and outward to the side meant, each scaled by the bone's length, metres.
    sigma_m
        Standard deviation of the place across the picture, metres.
    turn_sigma
        Standard deviation of its turn as a sine: what stands out from the bone's axis moves with it.
    """

    origin: Array
    axes: Array
    sigma_m: float = 0.0
    turn_sigma: float = TURN_SIGMA

    def point(self, at: Array) -> Array:
        """Return where a point of the bone's frame lies, metres."""
        return self.origin + self.axes @ at


Bones = Mapping[Bone, BonePlace]
"""Bones of one side; a bone that is not seen is missing."""


@dataclass(frozen=True, eq=False)
class PathPoint:
    """One point of a line.

    Attributes
    ----------
    bone
        The bone it lies on.
    at
        (3,) forward, up, outward from the frame's origin, in lengths of the bone.
    origin
        Where the figures come from.
    hinge
        The flexion it depends on; ``None`` = always there and fixed.
    between_rad
        Range of that flexion in which the point counts, ends included.
    track_rad, track
        (T,), (T, 3) place against that flexion, for a point that moves; else ``None``.
    drawn_only
        Part of the picture, not of the length: the patellar ligament beyond the point that gives the lever.
    """

    bone: Bone
    at: Array
    origin: Origin
    hinge: Hinge | None = None
    between_rad: tuple[float, float] = (-np.inf, np.inf)
    track_rad: Array | None = None
    track: Array | None = None
    drawn_only: bool = False

    def counts(self, flexions: Flexions) -> bool:
        """Return whether the line runs through the point at these flexions."""
        if self.hinge is None or self.track is not None:
            return True
        low, high = self.between_rad
        return low <= flexions.get(self.hinge, 0.0) <= high

    def place(self, flexions: Flexions) -> Array:
        """Return (3,) where the point lies in the frame of its bone."""
        if self.track is None or self.track_rad is None or self.hinge is None:
            return self.at
        flexion = flexions.get(self.hinge, 0.0)
        return np.array([np.interp(flexion, self.track_rad, self.track[:, k]) for k in range(3)])


@dataclass(frozen=True, eq=False)
class Line:
    """One line of action of a muscle.

    Attributes
    ----------
    muscle
        Full name of the muscle in the atlas.
    name
        Which of its lines; empty where it has one.
    points
        From the proximal to the distal attachment.
    """

    muscle: str
    name: str
    points: tuple[PathPoint, ...]

    @cached_property
    def bones(self) -> frozenset[Bone]:
        """The bones it touches."""
        return frozenset(point.bone for point in self.points)

    @cached_property
    def estimated(self) -> bool:
        """Whether any of its points is an own estimate from bony landmarks."""
        return any(point.origin is Origin.ESTIMATE for point in self.points)

    def active(self, flexions: Flexions) -> tuple[PathPoint, ...]:
        """Return the points that make its length at these flexions."""
        return tuple(point for point in self.points if not point.drawn_only and point.counts(flexions))

    def drawn(self, flexions: Flexions) -> tuple[PathPoint, ...]:
        """Return the points of its picture at these flexions."""
        return tuple(point for point in self.points if point.counts(flexions))


def places(points: tuple[PathPoint, ...], bones: Bones, flexions: Flexions) -> Array:
    """Return (V, 3) where points lie, metres.

    Raises
    ------
    KeyError
        A bone is not placed.
    """
    return np.array([bones[point.bone].point(point.place(flexions)) for point in points])


def length_m(points: tuple[PathPoint, ...], bones: Bones, flexions: Flexions) -> float:
    """Return the length of the straight pieces between points, metres."""
    steps = np.diff(places(points, bones, flexions), axis=0)
    return float(np.sqrt(np.einsum("ij,ij->i", steps, steps)).sum())
