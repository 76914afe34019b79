"""Where a line does not pull the way that the atlas says of its muscle."""

import numpy as np

from motionlabel.anatomy import Action, Muscle, Role
from motionlabel.musculature.bone import Freedom
from motionlabel.musculature.line import Line
from motionlabel.musculature.moment_arm import CLAIMS, moment_arm_m

_ANGLES_DEG = {
    Freedom.HIP_FLEXION: (-10, 0, 10, 30, 45, 60, 90),
    Freedom.HIP_ABDUCTION: (0, 20),
    Freedom.KNEE_FLEXION: (0, 30, 60, 90),
    Freedom.ANKLE_DORSIFLEXION: (-30, 0, 15),
    Freedom.SHOULDER_FLEXION: (0, 30, 60, 90),
    Freedom.SHOULDER_ABDUCTION: (0, 30, 60, 90),
    Freedom.ELBOW_FLEXION: (0, 30, 60, 90, 120),
    Freedom.TRUNK_FLEXION: (0, 30),
}
"""Where each freedom is looked at; the others in the anatomical position."""

_BENT_KNEE_DEG = 60.0
"""The tibia turns only on a bent knee, so its turn is looked at there."""

_WITHIN_DEG = 5.0
"""How far inside a range of the atlas another joint is put, where 0 lies outside it."""


def claims_of(muscle: Muscle) -> list[Action]:
    """Return what the atlas says a muscle moves, as far as the reference body can tell its lever."""
    moves = (Role.PRIME_MOVER, Role.ASSISTS)
    return [action for action in muscle.actions if action.role in moves and (action.joint, action.motion) in CLAIMS]


def not_at(line: Line, action: Action) -> tuple[int, ...]:
    """Return the angles, degrees, at which a line has no lever for a movement, or one against it.

    Only angles that the atlas claims are looked at.
    """
    freedom, sense = CLAIMS[action.joint, action.motion]
    posture = {Freedom.KNEE_FLEXION: np.radians(_BENT_KNEE_DEG)} if freedom is Freedom.KNEE_ROTATION else {}
    degrees = _ANGLES_DEG.get(freedom, (0,))
    for part in action.when:
        moved, _ = CLAIMS[part.joint, part.motion]
        if moved is freedom:
            degrees = tuple(angle for angle in degrees if part.start <= angle < part.stop)
        elif not part.start <= 0.0 < part.stop:
            inside = part.start + _WITHIN_DEG if part.start > 0.0 else part.stop - _WITHIN_DEG
            posture[moved] = np.radians(inside)
    return tuple(
        angle
        for angle in degrees
        if sense * moment_arm_m(line, freedom, {**posture, freedom: np.radians(angle)}) <= 0.0
    )
