"""The bones that lines of action run on, and the movements between them."""

from enum import StrEnum


class Bone(StrEnum):
    """A bone, or bones that move as one; each has a frame of its own (``README.md``)."""

    SKULL = "skull"
    THORAX = "thorax"
    LUMBAR = "lumbar"
    PELVIS = "pelvis"
    CLAVICLE = "clavicle"
    SCAPULA = "scapula"
    HUMERUS = "humerus"
    ULNA = "ulna"
    RADIUS = "radius"
    HAND = "hand"
    FEMUR = "femur"
    TIBIA = "tibia"
    FOOT = "foot"
    TOES = "toes"


TRUNK_BONES = frozenset({Bone.SKULL, Bone.THORAX, Bone.LUMBAR, Bone.PELVIS, Bone.CLAVICLE, Bone.SCAPULA})
"""Bones of the trunk and shoulder girdle: their axis is the line from mid-hip to mid-shoulder."""

LEG_BONES = frozenset({Bone.FEMUR, Bone.TIBIA, Bone.FOOT, Bone.TOES})
ARM_BONES = frozenset({Bone.HUMERUS, Bone.ULNA, Bone.RADIUS, Bone.HAND})


class Hinge(StrEnum):
    """Flexions that switch a via point on and off, or move one."""

    HIP = "hip"
    KNEE = "knee"
    ELBOW = "elbow"


class Freedom(StrEnum):
    """One way in which a joint of one side moves; 0 is the anatomical position.

    The trunk's side-bend and rotation count towards the side whose muscles are meant. The forearm's 0 is
    mid-rotation, thumb forward.
    """

    TRUNK_FLEXION = "trunk flexion"
    TRUNK_BEND = "trunk bend to this side"
    TRUNK_ROTATION = "trunk rotation to this side"
    HIP_FLEXION = "hip flexion"
    HIP_ABDUCTION = "hip abduction"
    HIP_ROTATION = "hip internal rotation"
    KNEE_FLEXION = "knee flexion"
    KNEE_ROTATION = "knee internal rotation"
    ANKLE_DORSIFLEXION = "ankle dorsiflexion"
    SUBTALAR_INVERSION = "subtalar inversion"
    SHOULDER_FLEXION = "shoulder flexion"
    SHOULDER_ABDUCTION = "shoulder abduction"
    SHOULDER_ROTATION = "shoulder internal rotation"
    ELBOW_FLEXION = "elbow flexion"
    PRONATION = "pronation"
    WRIST_FLEXION = "wrist flexion"
    RADIAL_DEVIATION = "radial deviation"
