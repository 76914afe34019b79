"""The typical posture of a label: decided once, so that its muscles hold still while the joints move."""

from collections.abc import Iterable

import numpy as np

from motionlabel.anatomy import Articulation, JointAngles, Movement
from motionlabel.anatomy.posture import MEASURED
from motionlabel.body import AXIS_INDEX, Side
from motionlabel.records import AngleTrack, angle_trust

_LEAST_TRUST = 0.2
"""An angle known worse (20 deg) says nothing of the posture. *Source*: own convention."""


def typical_posture(angles: AngleTrack, side: Side, spans: Iterable[tuple[int, int]]) -> JointAngles:
    """Return the median angles of one side, and of the midline, over some frames.

    Parameters
    ----------
    angles
        Unknown (NaN) frames do not count.
    side
        Left or right; for the midline no limb is known.
    spans
        Half-open ranges of frames, typically those in which the group of a label works.
    """
    chosen = np.zeros(len(angles), dtype=bool)
    for start, stop in spans:
        chosen[start:stop] = True
    degrees: dict[tuple[Articulation, Movement], float] = {}
    for axis, column in AXIS_INDEX.items():
        if axis.side not in (side, Side.MIDLINE) or axis.joint not in list(Articulation):
            continue
        known = chosen & np.isfinite(angles.angle_rad[:, column]) & np.isfinite(angles.sigma_rad[:, column])
        if not known.any() or angle_trust(float(np.median(angles.sigma_rad[known, column]))) < _LEAST_TRUST:
            continue
        name = (Articulation(axis.joint), Movement(axis.positive)) if axis.positive in list(Movement) else None
        if name in MEASURED:
            degrees[name] = float(np.degrees(np.median(angles.angle_rad[known, column])))
    return JointAngles(degrees)
