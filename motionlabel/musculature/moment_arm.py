"""Moment arms from the path: how fast a line shortens as a joint turns."""

from collections.abc import Mapping

import numpy as np

from motionlabel.anatomy import Articulation, Movement
from motionlabel.musculature.bone import Freedom
from motionlabel.musculature.line import Line, length_m
from motionlabel.musculature.skeleton import Posture, flexions_of, posed

_STEP_RAD = np.radians(5.0)
"""Half the width of the difference: as wide as the knee's moving points need (they are given every 10 deg)."""

CLAIMS: Mapping[tuple[Articulation, Movement], tuple[Freedom, int]] = {
    (Articulation.HIP, Movement.FLEXION): (Freedom.HIP_FLEXION, 1),
    (Articulation.HIP, Movement.EXTENSION): (Freedom.HIP_FLEXION, -1),
    (Articulation.HIP, Movement.ABDUCTION): (Freedom.HIP_ABDUCTION, 1),
    (Articulation.HIP, Movement.ADDUCTION): (Freedom.HIP_ABDUCTION, -1),
    (Articulation.HIP, Movement.INTERNAL_ROTATION): (Freedom.HIP_ROTATION, 1),
    (Articulation.HIP, Movement.EXTERNAL_ROTATION): (Freedom.HIP_ROTATION, -1),
    (Articulation.KNEE, Movement.FLEXION): (Freedom.KNEE_FLEXION, 1),
    (Articulation.KNEE, Movement.EXTENSION): (Freedom.KNEE_FLEXION, -1),
    (Articulation.KNEE, Movement.INTERNAL_ROTATION): (Freedom.KNEE_ROTATION, 1),
    (Articulation.KNEE, Movement.EXTERNAL_ROTATION): (Freedom.KNEE_ROTATION, -1),
    (Articulation.ANKLE, Movement.DORSIFLEXION): (Freedom.ANKLE_DORSIFLEXION, 1),
    (Articulation.ANKLE, Movement.PLANTARFLEXION): (Freedom.ANKLE_DORSIFLEXION, -1),
    (Articulation.SUBTALAR, Movement.INVERSION): (Freedom.SUBTALAR_INVERSION, 1),
    (Articulation.SUBTALAR, Movement.EVERSION): (Freedom.SUBTALAR_INVERSION, -1),
    (Articulation.SHOULDER, Movement.FLEXION): (Freedom.SHOULDER_FLEXION, 1),
    (Articulation.SHOULDER, Movement.EXTENSION): (Freedom.SHOULDER_FLEXION, -1),
    (Articulation.SHOULDER, Movement.ABDUCTION): (Freedom.SHOULDER_ABDUCTION, 1),
    (Articulation.SHOULDER, Movement.ADDUCTION): (Freedom.SHOULDER_ABDUCTION, -1),
    (Articulation.SHOULDER, Movement.INTERNAL_ROTATION): (Freedom.SHOULDER_ROTATION, 1),
    (Articulation.SHOULDER, Movement.EXTERNAL_ROTATION): (Freedom.SHOULDER_ROTATION, -1),
    (Articulation.ELBOW, Movement.FLEXION): (Freedom.ELBOW_FLEXION, 1),
    (Articulation.ELBOW, Movement.EXTENSION): (Freedom.ELBOW_FLEXION, -1),
    (Articulation.FOREARM, Movement.PRONATION): (Freedom.PRONATION, 1),
    (Articulation.FOREARM, Movement.SUPINATION): (Freedom.PRONATION, -1),
    (Articulation.WRIST, Movement.FLEXION): (Freedom.WRIST_FLEXION, 1),
    (Articulation.WRIST, Movement.EXTENSION): (Freedom.WRIST_FLEXION, -1),
    (Articulation.WRIST, Movement.RADIAL_DEVIATION): (Freedom.RADIAL_DEVIATION, 1),
    (Articulation.WRIST, Movement.ULNAR_DEVIATION): (Freedom.RADIAL_DEVIATION, -1),
    (Articulation.TRUNK, Movement.FLEXION): (Freedom.TRUNK_FLEXION, 1),
    (Articulation.TRUNK, Movement.EXTENSION): (Freedom.TRUNK_FLEXION, -1),
    (Articulation.TRUNK, Movement.LATERAL_FLEXION): (Freedom.TRUNK_BEND, 1),
    (Articulation.TRUNK, Movement.IPSILATERAL_ROTATION): (Freedom.TRUNK_ROTATION, 1),
    (Articulation.TRUNK, Movement.CONTRALATERAL_ROTATION): (Freedom.TRUNK_ROTATION, -1),
}
"""Movements of the atlas whose arm the reference body can tell, and the sense in which their angle grows."""


def moment_arm_m(line: Line, freedom: Freedom, posture: Posture) -> float:
    """Return -dL/dangle of a line in a posture, metres: positive where pulling makes the angle grow.

    Via points that come and go keep as they are during the difference, so that a switch is no lever.

    *Source*: An et al. 1984, tendon excursion: the arm is the change of length over that of the angle.
    """
    points = line.active(flexions_of(posture))
    lengths = []
    for step in (-_STEP_RAD, _STEP_RAD):
        moved = {**posture, freedom: posture.get(freedom, 0.0) + step}
        lengths.append(length_m(points, posed(moved), flexions_of(moved)))
    return (lengths[0] - lengths[1]) / (2.0 * _STEP_RAD)
