"""The names of the body: landmarks, joint centres, segments, joints, motions and muscle groups.

Left and right are always the person's. Signs follow goniometry: 0 is the anatomical position, the
motion named by ``MotionAxis.positive`` makes the angle grow.

*Source* of the signs: neutral-zero method (AAOS); Wu et al. 2002, 2005 (ISB) for the axes.
"""

from dataclasses import dataclass
from enum import IntEnum, StrEnum
from functools import cached_property


class Landmark(IntEnum):
    """The 33 points of the pose landmarker, in its order; left and right are the person's.

    *Source*: MediaPipe pose landmarker, model card BlazePose GHUM 3D (topology of 33 points).
    """

    NOSE = 0
    LEFT_EYE_INNER = 1
    LEFT_EYE = 2
    LEFT_EYE_OUTER = 3
    RIGHT_EYE_INNER = 4
    RIGHT_EYE = 5
    RIGHT_EYE_OUTER = 6
    LEFT_EAR = 7
    RIGHT_EAR = 8
    MOUTH_LEFT = 9
    MOUTH_RIGHT = 10
    LEFT_SHOULDER = 11
    RIGHT_SHOULDER = 12
    LEFT_ELBOW = 13
    RIGHT_ELBOW = 14
    LEFT_WRIST = 15
    RIGHT_WRIST = 16
    LEFT_PINKY = 17
    RIGHT_PINKY = 18
    LEFT_INDEX = 19
    RIGHT_INDEX = 20
    LEFT_THUMB = 21
    RIGHT_THUMB = 22
    LEFT_HIP = 23
    RIGHT_HIP = 24
    LEFT_KNEE = 25
    RIGHT_KNEE = 26
    LEFT_ANKLE = 27
    RIGHT_ANKLE = 28
    LEFT_HEEL = 29
    RIGHT_HEEL = 30
    LEFT_FOOT_INDEX = 31
    RIGHT_FOOT_INDEX = 32


class Centre(IntEnum):
    """Joint centres and end points of a ``BodyTrack``: its second axis."""

    HEAD = 0
    LEFT_SHOULDER = 1
    RIGHT_SHOULDER = 2
    LEFT_ELBOW = 3
    RIGHT_ELBOW = 4
    LEFT_WRIST = 5
    RIGHT_WRIST = 6
    LEFT_HAND = 7
    RIGHT_HAND = 8
    LEFT_HIP = 9
    RIGHT_HIP = 10
    LEFT_KNEE = 11
    RIGHT_KNEE = 12
    LEFT_ANKLE = 13
    RIGHT_ANKLE = 14
    LEFT_HEEL = 15
    RIGHT_HEEL = 16
    LEFT_TOE = 17
    RIGHT_TOE = 18
    LEFT_BALL = 19
    RIGHT_BALL = 20


class Segment(IntEnum):
    """Rigid body segments, the second axis of ``BodyTrack.segment_rotations``."""

    HEAD = 0
    TRUNK = 1
    LEFT_UPPER_ARM = 2
    RIGHT_UPPER_ARM = 3
    LEFT_FOREARM = 4
    RIGHT_FOREARM = 5
    LEFT_HAND = 6
    RIGHT_HAND = 7
    LEFT_THIGH = 8
    RIGHT_THIGH = 9
    LEFT_SHANK = 10
    RIGHT_SHANK = 11
    LEFT_FOOT = 12
    RIGHT_FOOT = 13


class Side(StrEnum):
    """Side of the person (never of the picture)."""

    LEFT = "left"
    RIGHT = "right"
    MIDLINE = "midline"
    BOTH = "both"


class Joint(StrEnum):
    """Joints whose motion is measured; ``MTP``: the toes against the foot (metatarsophalangeal joints)."""

    HIP = "hip"
    KNEE = "knee"
    ANKLE = "ankle"
    SHOULDER = "shoulder"
    ELBOW = "elbow"
    TRUNK = "trunk"
    WRIST = "wrist"
    MTP = "mtp"
    NECK = "neck"
    PELVIS = "pelvis"


class Axis(StrEnum):
    """Axis of rotation, named after the motion about it."""

    FLEXION = "flexion"
    ABDUCTION = "abduction"
    INTERNAL_ROTATION = "internal rotation"
    HORIZONTAL_ADDUCTION = "horizontal adduction"
    ROTATION = "rotation"
    DORSIFLEXION = "dorsiflexion"
    LATERAL_BEND = "lateral bend"
    EXTENSION = "extension"
    DROP = "drop"


class Motion(StrEnum):
    """What the angle does during a phase; ``HOLD`` where it stays."""

    FLEXION = "flexion"
    EXTENSION = "extension"
    ABDUCTION = "abduction"
    ADDUCTION = "adduction"
    DORSIFLEXION = "dorsiflexion"
    PLANTARFLEXION = "plantarflexion"
    LATERAL_BEND_LEFT = "lateral bend to the left"
    LATERAL_BEND_RIGHT = "lateral bend to the right"
    INTERNAL_ROTATION = "internal rotation"
    EXTERNAL_ROTATION = "external rotation"
    ROTATION_LEFT = "rotation to the left"
    ROTATION_RIGHT = "rotation to the right"
    HORIZONTAL_ADDUCTION = "horizontal adduction"
    HORIZONTAL_ABDUCTION = "horizontal abduction"
    DROP_LEFT = "drop of the left side"
    DROP_RIGHT = "drop of the right side"
    HOLD = "hold"


class WorkingGroup(StrEnum):
    """The muscle group of a joint that the load demands."""

    HIP_FLEXORS = "hip flexors"
    HIP_EXTENSORS = "hip extensors"
    HIP_ABDUCTORS = "hip abductors"
    HIP_ADDUCTORS = "hip adductors"
    KNEE_FLEXORS = "knee flexors"
    KNEE_EXTENSORS = "knee extensors"
    ANKLE_DORSIFLEXORS = "ankle dorsiflexors"
    ANKLE_PLANTARFLEXORS = "ankle plantarflexors"
    SHOULDER_FLEXORS = "shoulder flexors"
    SHOULDER_EXTENSORS = "shoulder extensors"
    SHOULDER_ABDUCTORS = "shoulder abductors"
    SHOULDER_ADDUCTORS = "shoulder adductors"
    ELBOW_FLEXORS = "elbow flexors"
    ELBOW_EXTENSORS = "elbow extensors"
    TRUNK_FLEXORS = "trunk flexors"
    TRUNK_EXTENSORS = "trunk extensors"
    TRUNK_LEFT_LATERAL_FLEXORS = "trunk left lateral flexors"
    TRUNK_RIGHT_LATERAL_FLEXORS = "trunk right lateral flexors"


class Contraction(StrEnum):
    """How the working group works at that joint.

    ``FREE``: the load asks nothing of either group. ``UNKNOWN``: it cannot be told from this view.
    """

    CONCENTRIC = "concentric"
    ECCENTRIC = "eccentric"
    ISOMETRIC = "isometric"
    FREE = "free"
    UNKNOWN = "unknown"


# positive and negative motion about an axis
_MOTIONS = {
    Axis.FLEXION: (Motion.FLEXION, Motion.EXTENSION),
    Axis.ABDUCTION: (Motion.ABDUCTION, Motion.ADDUCTION),
    Axis.DORSIFLEXION: (Motion.DORSIFLEXION, Motion.PLANTARFLEXION),
    Axis.LATERAL_BEND: (Motion.LATERAL_BEND_LEFT, Motion.LATERAL_BEND_RIGHT),
    Axis.INTERNAL_ROTATION: (Motion.INTERNAL_ROTATION, Motion.EXTERNAL_ROTATION),
    Axis.HORIZONTAL_ADDUCTION: (Motion.HORIZONTAL_ADDUCTION, Motion.HORIZONTAL_ABDUCTION),
    Axis.ROTATION: (Motion.ROTATION_LEFT, Motion.ROTATION_RIGHT),
    Axis.EXTENSION: (Motion.EXTENSION, Motion.FLEXION),
    Axis.DROP: (Motion.DROP_LEFT, Motion.DROP_RIGHT),
}

# axes of the midline whose positive motion goes to the left: their column says so
_LEFTWARD = (Axis.LATERAL_BEND, Axis.ROTATION, Axis.DROP)

# the group that makes the positive, and the negative, motion about an axis; axes that are only measured have none
_GROUPS = {
    (Joint.HIP, Axis.FLEXION): (WorkingGroup.HIP_FLEXORS, WorkingGroup.HIP_EXTENSORS),
    (Joint.HIP, Axis.ABDUCTION): (WorkingGroup.HIP_ABDUCTORS, WorkingGroup.HIP_ADDUCTORS),
    (Joint.KNEE, Axis.FLEXION): (WorkingGroup.KNEE_FLEXORS, WorkingGroup.KNEE_EXTENSORS),
    (Joint.ANKLE, Axis.DORSIFLEXION): (WorkingGroup.ANKLE_DORSIFLEXORS, WorkingGroup.ANKLE_PLANTARFLEXORS),
    (Joint.SHOULDER, Axis.FLEXION): (WorkingGroup.SHOULDER_FLEXORS, WorkingGroup.SHOULDER_EXTENSORS),
    (Joint.SHOULDER, Axis.ABDUCTION): (WorkingGroup.SHOULDER_ABDUCTORS, WorkingGroup.SHOULDER_ADDUCTORS),
    (Joint.ELBOW, Axis.FLEXION): (WorkingGroup.ELBOW_FLEXORS, WorkingGroup.ELBOW_EXTENSORS),
    (Joint.TRUNK, Axis.FLEXION): (WorkingGroup.TRUNK_FLEXORS, WorkingGroup.TRUNK_EXTENSORS),
    (Joint.TRUNK, Axis.LATERAL_BEND): (
        WorkingGroup.TRUNK_LEFT_LATERAL_FLEXORS,
        WorkingGroup.TRUNK_RIGHT_LATERAL_FLEXORS,
    ),
}


@dataclass(frozen=True)
class MotionAxis:
    """One measured angle: a joint, its side and the axis, e.g. left knee flexion.

    Attributes
    ----------
    joint, side, axis
        What is measured; ``side`` is left, right or midline.
    """

    joint: Joint
    side: Side
    axis: Axis

    @cached_property
    def name(self) -> str:
        """Column name in tables, e.g. ``left_knee_flexion`` or ``trunk_lateral_bend_left``."""
        name = f"{self.joint}_{self.axis}".replace(" ", "_")
        if self.side is Side.MIDLINE:
            return f"{name}_left" if self.axis in _LEFTWARD else name
        return f"{self.side}_{name}"

    @property
    def positive(self) -> Motion:
        """The motion that makes the angle grow."""
        return _MOTIONS[self.axis][0]

    @property
    def negative(self) -> Motion:
        """The motion that makes the angle shrink."""
        return _MOTIONS[self.axis][1]

    def group(self, demand_sign: float) -> WorkingGroup | None:
        """Return the group that makes the positive (sign > 0) or negative (sign < 0) motion.

        ``None`` for an axis that is measured only (see ``PHASE_AXES``).
        """
        groups = _GROUPS.get((self.joint, self.axis))
        return None if groups is None else groups[0 if demand_sign > 0 else 1]


def _both_sides(*limb: tuple[Joint, Axis]) -> tuple[MotionAxis, ...]:
    return tuple(MotionAxis(joint, side, axis) for side in (Side.LEFT, Side.RIGHT) for joint, axis in limb)


def _midline(*parts: tuple[Joint, Axis]) -> tuple[MotionAxis, ...]:
    return tuple(MotionAxis(joint, Side.MIDLINE, axis) for joint, axis in parts)


PHASE_AXES: tuple[MotionAxis, ...] = (
    *_both_sides(
        (Joint.HIP, Axis.FLEXION),
        (Joint.HIP, Axis.ABDUCTION),
        (Joint.KNEE, Axis.FLEXION),
        (Joint.ANKLE, Axis.DORSIFLEXION),
        (Joint.SHOULDER, Axis.FLEXION),
        (Joint.SHOULDER, Axis.ABDUCTION),
        (Joint.ELBOW, Axis.FLEXION),
    ),
    *_midline((Joint.TRUNK, Axis.FLEXION), (Joint.TRUNK, Axis.LATERAL_BEND)),
)
"""The angles that are cut into phases and whose muscle work is told."""

MEASURED_AXES: tuple[MotionAxis, ...] = (
    *_both_sides(
        (Joint.HIP, Axis.INTERNAL_ROTATION),
        (Joint.SHOULDER, Axis.HORIZONTAL_ADDUCTION),
        (Joint.SHOULDER, Axis.INTERNAL_ROTATION),
        (Joint.WRIST, Axis.FLEXION),
        (Joint.MTP, Axis.EXTENSION),
    ),
    *_midline(
        (Joint.TRUNK, Axis.ROTATION),
        (Joint.NECK, Axis.FLEXION),
        (Joint.NECK, Axis.LATERAL_BEND),
        (Joint.NECK, Axis.ROTATION),
        (Joint.PELVIS, Axis.DROP),
    ),
)
"""The angles that are tabulated only: too uncertain from one camera to cut them into phases."""

AXES: tuple[MotionAxis, ...] = PHASE_AXES + MEASURED_AXES
"""Every angle, in the order of an ``AngleTrack``'s second axis."""

LABELLED_JOINTS: tuple[Joint, ...] = tuple(dict.fromkeys(axis.joint for axis in PHASE_AXES))
"""The joints that labels can speak of."""

AXIS_INDEX: dict[MotionAxis, int] = {axis: i for i, axis in enumerate(AXES)}
"""Column of each axis in an ``AngleTrack``."""


def sided(enum: type[IntEnum], side: Side, part: str) -> IntEnum:
    """Return the member of ``enum`` for one side, e.g. ``sided(Centre, Side.LEFT, "knee")``."""
    return enum[f"{side}_{part}".upper()]
