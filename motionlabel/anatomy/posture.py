"""The posture that an action depends on: joint angles, and ranges of them."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import isnan

from motionlabel.anatomy.terms import Articulation, Movement
from motionlabel.body import AXES

_Angle = tuple[Articulation, Movement]

MEASURED: frozenset[_Angle] = frozenset(
    (Articulation(axis.joint), Movement(axis.positive))
    for axis in AXES
    if axis.joint in list(Articulation) and axis.positive in list(Movement)
)
"""The angles that a range may name: a measured joint and the motion that makes its angle grow."""


@dataclass(frozen=True, slots=True)
class JointAngles:
    """A posture.

    Attributes
    ----------
    degrees
        Angle of each known joint, e.g. ``{(Articulation.KNEE, Movement.FLEXION): 90.0}``; signs of
        ``motionlabel.body``. What is not known, or NaN, counts as the anatomical position (0).
    """

    degrees: Mapping[_Angle, float] = field(default_factory=dict)

    def of(self, joint: Articulation, motion: Movement) -> float:
        """Return one angle in degrees; 0 where it is not known."""
        angle = self.degrees.get((joint, motion), 0.0)
        return 0.0 if isnan(angle) else angle


@dataclass(frozen=True, slots=True)
class AngleRange:
    """A range of one joint angle.

    Attributes
    ----------
    joint, motion
        Which angle, by the motion that makes it grow.
    start, stop
        Degrees, half-open; minus and plus infinity where a side is open.
    """

    joint: Articulation
    motion: Movement
    start: float
    stop: float

    def holds(self, angles: JointAngles) -> bool:
        """Return whether a posture lies in the range."""
        return self.start <= angles.of(self.joint, self.motion) < self.stop

    @property
    def text(self) -> str:
        """As words, e.g. ``"knee flexion from 75 deg"``."""
        sides = [f"from {self.start:g}"] if self.start > float("-inf") else []
        sides += [f"up to {self.stop:g}"] if self.stop < float("inf") else []
        return f"{self.joint} {self.motion} {' '.join(sides)} deg"
