"""Where a line does not pull the way that the atlas says of its muscle."""

import numpy as np

from motionlabel.anatomy import Articulation, Movement
from motionlabel.musculature.bone import Freedom
from motionlabel.musculature.line import Line
from motionlabel.musculature.moment_arm import CLAIMS, moment_arm_m

ANGLES_DEG = {
    Freedom.HIP_FLEXION: (0, 45, 90),
    Freedom.HIP_ABDUCTION: (0, 20),
    Freedom.HIP_ROTATION: (0,),
    Freedom.KNEE_FLEXION: (0, 30, 60, 90),
    Freedom.KNEE_ROTATION: (0,),
    Freedom.ANKLE_DORSIFLEXION: (-30, 0, 15),
    Freedom.SUBTALAR_INVERSION: (0,),
    Freedom.SHOULDER_FLEXION: (0, 30, 60, 90),
    Freedom.SHOULDER_ABDUCTION: (0, 30, 60, 90),
    Freedom.SHOULDER_ROTATION: (0,),
    Freedom.ELBOW_FLEXION: (0, 30, 60, 90, 120),
    Freedom.PRONATION: (0,),
    Freedom.WRIST_FLEXION: (0,),
    Freedom.RADIAL_DEVIATION: (0,),
    Freedom.TRUNK_FLEXION: (0, 30),
    Freedom.TRUNK_BEND: (0,),
    Freedom.TRUNK_ROTATION: (0,),
}
"""Where each freedom is looked at; the tibia turns only on a bent knee, so its turn is looked at there."""

_BENT_KNEE = {Freedom.KNEE_FLEXION: np.radians(60.0)}


def not_at(line: Line, joint: Articulation, motion: Movement) -> tuple[int, ...]:
    """Return the angles, degrees, at which a line has no lever for a movement or one against it."""
    freedom, sense = CLAIMS[joint, motion]
    posture = _BENT_KNEE if freedom is Freedom.KNEE_ROTATION else {}
    return tuple(
        degrees
        for degrees in ANGLES_DEG[freedom]
        if sense * moment_arm_m(line, freedom, {**posture, freedom: np.radians(degrees)}) <= 0.0
    )
