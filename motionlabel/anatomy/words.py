"""The fixed words of labels, summary and fact sheets, and what a teacher says instead of them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from motionlabel.anatomy.bones import BONE_GROUPS, Bone
from motionlabel.anatomy.terms import Articulation, Movement, Plane, Role
from motionlabel.body import Axis, Contraction, Joint, Motion, Side, WorkingGroup

LABEL_WORDS: tuple[str, ...] = (
    *("flexing", "extending", "abducting", "adducting", "dorsiflexing", "plantarflexing"),
    *("bending left", "bending right", "turning in", "turning out", "turning left", "turning right", "held"),
    *("shortening", "lengthening", "same length", "pausing", "no load", "cannot tell from this view"),
    *("Working muscles: cannot tell from this view", "The load asks for no muscle group"),
    *("work", "work in turn", "and", "Nerve"),
    *("Assumes body weight only", "Hip angle: thigh against trunk", "Muscles, nerves: schematic"),
    *("shorter", "longer", "≈ same length"),
    *("hips", "knees", "ankles", "shoulders", "elbows"),
)
"""What a label says beside the names of the anatomy."""

SUMMARY_WORDS: tuple[str, ...] = ("lengthening under load", "holding", "during")
"""What the summary says beside the names of the anatomy; the rest of its sentences stay English."""

SHEET_WORDS: tuple[str, ...] = (
    *("muscle", "nerve", "motion", "joint", "root", "bone", "sign", "two-joint muscles", "matches"),
    *("region", "proximal attachment", "distal attachment", "joints crossed", "also", "note", "roots", "roots note"),
    *("what changes it", "to remember", "disagreement", "compared", "parent", "branches", "course"),
    *("sign when it fails", "also supplies", "muscles weakened", "plane", "axis", "stabilisers", "holding still"),
    *("antagonists", "actions", "members", "muscles", "nerves", "bones", "motions", "supplies", "prime movers"),
    *("assisting", "stabilising", "motions lost or weakened", "across two large joints"),
    *("across a limb joint and the digits", "across the spine and a limb joint", "role", "when", "works against"),
    *("does", "supplied by", "lost", "left", "muscles lost", "where", "prime movers with this root"),
    *("other prime movers", "the same muscles of the other side", "sources", "read", "from memory"),
)
"""Headings of the fact sheets."""


@dataclass(frozen=True, slots=True)
class Words:
    """What is said instead of the fixed words.

    Attributes
    ----------
    instead
        Replacement of each fixed word; what is not there stays English.
    """

    instead: Mapping[str, str] = field(default_factory=dict)

    def __call__(self, text: str) -> str:
        """Return what to say for a fixed word."""
        return self.instead.get(text, text)

    def each(self, texts: Iterable[str]) -> str:
        """Return some words, separated by commas."""
        return ", ".join(self(text) for text in texts)

    def group(self, group: WorkingGroup) -> str:
        """Return a working group without its joint, e.g. ``"extensors"``; whole where only the whole is replaced."""
        short = short_group(group)
        return self(group) if group in self.instead and short not in self.instead else self(short)


ENGLISH = Words()


def short_group(group: WorkingGroup) -> str:
    """Return a working group without its joint, e.g. ``"extensors"``."""
    return group.split(" ", 1)[1]


_ENUMS: tuple[type[StrEnum], ...] = (
    *(Articulation, Movement, Plane, Role, Bone),
    *(Axis, Contraction, Joint, Motion, Side, WorkingGroup),
)

FIXED_WORDS: frozenset[str] = frozenset(
    (
        *(str(word) for words in _ENUMS for word in words),
        *(short_group(group) for group in WorkingGroup),
        *(f"{side} {joint}" for side in (Side.LEFT, Side.RIGHT) for joint in Joint),
        *(f"{joint} {movement}" for joint in Articulation for movement in Movement),
        *BONE_GROUPS,
        *LABEL_WORDS,
        *SUMMARY_WORDS,
        *SHEET_WORDS,
    )
)
"""Every word that can be replaced; the data files add conditions, regions and plexuses."""
