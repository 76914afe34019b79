"""Which labels are shown when: decided once for a clip, from phases and muscle work."""

from dataclasses import dataclass
from enum import StrEnum

from motionlabel.body import Joint


class Detail(StrEnum):
    """How much a label says; each level adds to the one before."""

    MOTION = "motion"
    NERVE = "nerve"
    ATTACHMENTS = "attachments"


@dataclass(frozen=True, slots=True)
class LabelOptions:
    """What the labels say and of which joints.

    Attributes
    ----------
    detail
        Motion and group; with muscles and nerve; with attachments too.
    focus
        Joints to label; empty = all.
    """

    detail: Detail = Detail.NERVE
    focus: tuple[Joint, ...] = ()
