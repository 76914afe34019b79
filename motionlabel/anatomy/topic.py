"""What can be asked for, and what a question was understood as."""

from dataclasses import dataclass
from enum import StrEnum

from motionlabel.anatomy.bones import Bone
from motionlabel.anatomy.loss import AnyMotion
from motionlabel.anatomy.muscle import Muscle, Nerve
from motionlabel.anatomy.terms import Articulation


class Kind(StrEnum):
    """What is asked for."""

    MUSCLE = "muscle"
    NERVE = "nerve"
    MOTION = "motion"
    JOINT = "joint"
    ROOT = "root"
    BONE = "bone"
    SIGN = "sign"
    TWO_JOINT = "two-joint muscles"
    MATCHES = "matches"


@dataclass(frozen=True, slots=True)
class Topic:
    """One thing that is asked for.

    Attributes
    ----------
    kind
        What it is; the fields that a kind does not need are empty.
    name
        Its name, or the words that were looked for.
    muscles, nerves, motions, roots, bones, joints
        What it stands for.
    """

    kind: Kind
    name: str
    muscles: tuple[Muscle, ...] = ()
    nerves: tuple[Nerve, ...] = ()
    motions: tuple[AnyMotion, ...] = ()
    roots: tuple[str, ...] = ()
    bones: tuple[Bone, ...] = ()
    joints: tuple[Articulation, ...] = ()


@dataclass(frozen=True, slots=True)
class Answer:
    """What a question was understood as.

    Attributes
    ----------
    query
        As it was asked.
    read_as
        What it was read as where that differs (synonym, slip); else empty.
    is_guess
        Whether a slip of spelling was mended.
    topics
        What is asked for, at least one.
    """

    query: str
    read_as: str
    is_guess: bool
    topics: tuple[Topic, ...]
