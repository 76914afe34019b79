"""The words of the anatomy files: where a muscle acts, which movement it makes, in which role.

These go further than ``motionlabel.body``, which names only what is measured: toes, scapula, neck.
A term that both have is spelled the same, so one converts to the other by value.
"""

from enum import StrEnum


class Articulation(StrEnum):
    """A joint, or a part that moves, as anatomy names it."""

    HIP = "hip"
    KNEE = "knee"
    ANKLE = "ankle"
    SUBTALAR = "subtalar"
    GREAT_TOE = "great toe"
    LITTLE_TOE = "little toe"
    TOES_2_4 = "toes 2-4"
    TOES_2_5 = "toes 2-5"
    METATARSOPHALANGEAL_2_5 = "metatarsophalangeal joints 2-5"
    SCAPULA = "scapula"
    SHOULDER = "shoulder"
    ELBOW = "elbow"
    FOREARM = "forearm"
    WRIST = "wrist"
    THUMB = "thumb"
    FINGERS = "fingers"
    LITTLE_FINGER = "little finger"
    PELVIS = "pelvis"
    TRUNK = "trunk"
    NECK = "neck"


class Movement(StrEnum):
    """What a muscle does there.

    ``STABILISATION``: it braces and makes no movement to speak of. ``CONTRALATERAL_ELEVATION``: from the
    leg that stands, it raises the other side of the pelvis.
    """

    FLEXION = "flexion"
    EXTENSION = "extension"
    ABDUCTION = "abduction"
    ADDUCTION = "adduction"
    INTERNAL_ROTATION = "internal rotation"
    EXTERNAL_ROTATION = "external rotation"
    HORIZONTAL_ABDUCTION = "horizontal abduction"
    HORIZONTAL_ADDUCTION = "horizontal adduction"
    DORSIFLEXION = "dorsiflexion"
    PLANTARFLEXION = "plantarflexion"
    INVERSION = "inversion"
    EVERSION = "eversion"
    LATERAL_FLEXION = "lateral flexion"
    IPSILATERAL_ROTATION = "ipsilateral rotation"
    CONTRALATERAL_ROTATION = "contralateral rotation"
    PRONATION = "pronation"
    SUPINATION = "supination"
    RADIAL_DEVIATION = "radial deviation"
    ULNAR_DEVIATION = "ulnar deviation"
    ELEVATION = "elevation"
    CONTRALATERAL_ELEVATION = "contralateral elevation"
    DEPRESSION = "depression"
    PROTRACTION = "protraction"
    RETRACTION = "retraction"
    UPWARD_ROTATION = "upward rotation"
    DOWNWARD_ROTATION = "downward rotation"
    ANTERIOR_TILT = "anterior tilt"
    POSTERIOR_TILT = "posterior tilt"
    STABILISATION = "stabilisation"


class Role(StrEnum):
    """How much a muscle counts for a movement."""

    PRIME_MOVER = "prime mover"
    ASSISTS = "assists"
    STABILISES = "stabilises"


class Plane(StrEnum):
    """The plane of a motion that starts from the anatomical position."""

    SAGITTAL = "sagittal"
    FRONTAL = "frontal"
    TRANSVERSE = "transverse"


class Reading(StrEnum):
    """Whether a source was open when its value was written down."""

    READ = "read"
    FROM_MEMORY = "from memory"


class Definition(StrEnum):
    """Between which lines a range of motion is read; a norm holds only for its own."""

    ARM_TO_TRUNK = "upper arm to trunk"
    FOREARM_TO_ARM = "forearm to upper arm"
    THIGH_TO_PELVIS = "thigh to pelvis"
    THIGH_TO_TRUNK = "thigh to trunk"
    SHANK_TO_THIGH = "shank to thigh"
    FOOT_TO_SHANK = "foot to shank"


class Posture(StrEnum):
    """How the person of a norm was placed; the limb is free of weight in all of them."""

    UPRIGHT = "upright"
    SUPINE_HIP_FLEXED = "supine, hip flexed"
    LIMB_FREE = "limb free"
    NOT_STATED = "not stated"


class Mode(StrEnum):
    """Who moved the limb: the person, or the examiner."""

    ACTIVE = "active"
    PASSIVE = "passive"
    NOT_STATED = "not stated"
