"""The measured angles of one side as the freedoms of the reference body."""

from collections.abc import Mapping

import numpy as np

from motionlabel.body import AXIS_INDEX, Axis, Joint, MotionAxis, Side
from motionlabel.musculature.bone import ARM_BONES, LEG_BONES, TRUNK_BONES, Bone, Freedom
from motionlabel.musculature.line import Line
from motionlabel.musculature.skeleton import Posture
from motionlabel.records import Array

MEASURED: Mapping[Freedom, tuple[Joint, Axis]] = {
    Freedom.HIP_FLEXION: (Joint.HIP, Axis.FLEXION),
    Freedom.HIP_ABDUCTION: (Joint.HIP, Axis.ABDUCTION),
    Freedom.KNEE_FLEXION: (Joint.KNEE, Axis.FLEXION),
    Freedom.ANKLE_DORSIFLEXION: (Joint.ANKLE, Axis.DORSIFLEXION),
    Freedom.SHOULDER_FLEXION: (Joint.SHOULDER, Axis.FLEXION),
    Freedom.SHOULDER_ABDUCTION: (Joint.SHOULDER, Axis.ABDUCTION),
    Freedom.ELBOW_FLEXION: (Joint.ELBOW, Axis.FLEXION),
    Freedom.TRUNK_FLEXION: (Joint.TRUNK, Axis.FLEXION),
    Freedom.TRUNK_BEND: (Joint.TRUNK, Axis.LATERAL_BEND),
}
"""The freedoms that phases can be told of. Turns of limbs are too uncertain from one camera, so they stay 0."""

_LEG_CHAIN = (
    (Freedom.HIP_FLEXION, Freedom.HIP_ABDUCTION),
    (Freedom.KNEE_FLEXION,),
    (Freedom.ANKLE_DORSIFLEXION,),
)
_ARM_CHAIN = ((Freedom.SHOULDER_FLEXION, Freedom.SHOULDER_ABDUCTION), (Freedom.ELBOW_FLEXION,), ())
_LEVEL = {
    Bone.FEMUR: 1,
    Bone.TIBIA: 2,
    Bone.FOOT: 3,
    Bone.TOES: 3,
    Bone.HUMERUS: 1,
    Bone.ULNA: 2,
    Bone.RADIUS: 2,
    Bone.HAND: 3,
}
_SPINE = (Freedom.TRUNK_FLEXION, Freedom.TRUNK_BEND)


def freedoms_of(line: Line) -> tuple[Freedom, ...]:
    """Return the measured freedoms of the joints that a line crosses."""
    bones = line.bones
    chain = _LEG_CHAIN if bones & LEG_BONES else _ARM_CHAIN if bones & ARM_BONES else ()
    levels = [_LEVEL.get(bone, 0) for bone in bones]
    crossed = [freedom for joint in chain[min(levels) : max(levels)] for freedom in joint]
    below = bones & {Bone.PELVIS, Bone.LUMBAR}
    if below and bones & (TRUNK_BONES - {Bone.PELVIS}):
        crossed += _SPINE
    return tuple(crossed)


def column_of(freedom: Freedom, side: Side) -> int:
    """Return the column of an angle track that tells a freedom of one side."""
    joint, axis = MEASURED[freedom]
    return AXIS_INDEX[MotionAxis(joint, Side.MIDLINE if joint is Joint.TRUNK else side, axis)]


def posture_of(angles_rad: Array, side: Side) -> tuple[Posture, frozenset[Freedom]]:
    """Return the posture of one side, and the freedoms that are unknown (their angle counts as 0).

    Parameters
    ----------
    angles_rad
        (D,) one row of an ``AngleTrack``.
    side
        Left or right.

    The hip is measured against the trunk; the part of it that the spine bends is taken off.
    """
    posture, unknown = {}, set()
    for freedom in MEASURED:
        value = float(angles_rad[column_of(freedom, side)])
        if np.isnan(value):
            unknown.add(freedom)
        else:
            posture[freedom] = value
    if Freedom.TRUNK_BEND in posture and side is Side.RIGHT:
        posture[Freedom.TRUNK_BEND] *= -1.0
    if Freedom.HIP_FLEXION in posture:
        posture[Freedom.HIP_FLEXION] -= posture.get(Freedom.TRUNK_FLEXION, 0.0)
    return posture, frozenset(unknown)
