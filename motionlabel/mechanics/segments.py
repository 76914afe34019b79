"""Masses and mass centres of body segments.

*Source*: de Leva 1996, J Biomech 29:1223-1230, Table 4 (adjusted Zatsiorsky-Seluyanov parameters).
The trunk runs from mid-hip to mid-shoulder, the shank to the ankle's joint centre, the hand to the
third metacarpal, the foot from heel to toe tip. ``com_fraction`` counts from the first end point.
"""

from dataclasses import dataclass
from enum import StrEnum

from motionlabel.body import Segment


class Sex(StrEnum):
    """Whose table is used; ``MEAN`` takes the mean of both."""

    FEMALE = "female"
    MALE = "male"
    MEAN = "mean"


@dataclass(frozen=True)
class SegmentParameters:
    """Inertia of one segment.

    Attributes
    ----------
    mass_fraction
        Of body mass.
    com_fraction
        Distance of the mass centre from the first end point, fraction of the segment's length.
    radius_fraction
        Radius of gyration about a transverse axis through the mass centre, fraction of the length.
    """

    mass_fraction: float
    com_fraction: float
    radius_fraction: float


_KINDS = ("HEAD", "TRUNK", "UPPER_ARM", "FOREARM", "HAND", "THIGH", "SHANK", "FOOT")

# head: vertex to gonion; trunk: mid-shoulder to mid-hip; the radius is that about the transverse axis,
# about which flexion turns
_MALE = {
    "HEAD": (0.0694, 0.5976, 0.376),
    "TRUNK": (0.4346, 0.4310, 0.358),
    "UPPER_ARM": (0.0271, 0.5772, 0.269),
    "FOREARM": (0.0162, 0.4574, 0.265),
    "HAND": (0.0061, 0.7900, 0.513),
    "THIGH": (0.1416, 0.4095, 0.329),
    "SHANK": (0.0433, 0.4395, 0.246),
    "FOOT": (0.0137, 0.4415, 0.245),
}
_FEMALE = {
    "HEAD": (0.0668, 0.5894, 0.359),
    "TRUNK": (0.4257, 0.3782, 0.361),
    "UPPER_ARM": (0.0255, 0.5754, 0.260),
    "FOREARM": (0.0138, 0.4559, 0.257),
    "HAND": (0.0056, 0.7474, 0.454),
    "THIGH": (0.1478, 0.3612, 0.364),
    "SHANK": (0.0481, 0.4352, 0.263),
    "FOOT": (0.0129, 0.4014, 0.279),
}

SEGMENT_TABLE: dict[Sex, dict[str, SegmentParameters]] = {
    Sex.MALE: {kind: SegmentParameters(*_MALE[kind]) for kind in _KINDS},
    Sex.FEMALE: {kind: SegmentParameters(*_FEMALE[kind]) for kind in _KINDS},
    Sex.MEAN: {
        kind: SegmentParameters(*(0.5 * (m + f) for m, f in zip(_MALE[kind], _FEMALE[kind]))) for kind in _KINDS
    },
}
"""Parameters by sex and kind of segment (the name of a ``Segment`` without its side)."""


def parameters(segment: Segment, sex: Sex = Sex.MEAN) -> SegmentParameters:
    """Return the parameters of a segment; left and right are alike."""
    return SEGMENT_TABLE[sex][segment.name.removeprefix("LEFT_").removeprefix("RIGHT_")]
