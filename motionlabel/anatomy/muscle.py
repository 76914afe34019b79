"""What is known of a muscle, of a nerve and of a name for several muscles."""

from dataclasses import dataclass

from motionlabel.anatomy.bones import Bone, joints_between
from motionlabel.anatomy.posture import AngleRange, JointAngles
from motionlabel.anatomy.roots import Roots, roots_in_full
from motionlabel.anatomy.terms import Articulation, Movement, Reading, Role


@dataclass(frozen=True, slots=True)
class Source:
    """Where a row comes from.

    Attributes
    ----------
    key
        Short name that the files use.
    citation
        Author, title, version.
    reading
        Whether the source was open or remembered.
    licence
        Licence of the source where it has one; empty for a book.
    address
        Where it was read; empty for a book.
    """

    key: str
    citation: str
    reading: Reading
    licence: str
    address: str


@dataclass(frozen=True, slots=True)
class Nerve:
    """A motor nerve.

    Attributes
    ----------
    name, short
        Full name, and the form on a label.
    roots, roots_note
        Its spinal roots and a remark on them.
    parent
        Plexus or nerve it comes from; empty where there is none to name.
    course
        Where it runs.
    sign
        What is lost when it fails. For teaching, not diagnosis.
    hook
        A line to remember it by, in our own words; may be empty.
    muscles
        Full names of the muscles of this atlas that it supplies, wholly, partly or sometimes.
    also_supplies
        What else it supplies, outside this atlas.
    sources
        Where this comes from.
    """

    name: str
    short: str
    roots: Roots
    roots_note: str
    parent: str
    course: str
    sign: str
    hook: str
    muscles: tuple[str, ...]
    also_supplies: str
    sources: tuple[Source, ...]

    @property
    def roots_text(self) -> str:
        """Its roots with what other texts give, e.g. ``"C5-C6; some texts C4-C6"``."""
        return roots_in_full(self.roots, ())


@dataclass(frozen=True, slots=True)
class Action:
    """One thing a muscle does.

    Attributes
    ----------
    joint, motion
        Where, and which movement.
    role
        Prime mover, assists or stabilises.
    condition
        When or with which fibres, in words; empty = always.
    when
        The posture in which it does so: all these ranges hold; empty = in any.
    """

    joint: Articulation
    motion: Movement
    role: Role
    condition: str
    when: tuple[AngleRange, ...]


@dataclass(frozen=True, slots=True)
class Muscle:
    """A muscle, or the part of one that has its own action or nerve.

    Attributes
    ----------
    name, part
        Name, and the part (empty = the whole muscle).
    label
        The form on a label.
    region
        Compartment or region.
    proximal_attachment, distal_attachment
        In full.
    proximal_bones, distal_bones
        The bones that these texts speak of; empty where it attaches to tendons or fascia only.
    proximal_short, distal_short
        The forms on a label; empty where nobody needs one.
    nerves
        The nerves that regularly supply it.
    also_nerves
        Nerves that supply a smaller part of it, or supply it in some people.
    nerve_note
        A remark on the supply.
    roots, other_roots, roots_note
        Its spinal roots, what single texts give instead, and a remark.
    actions
        What it does; of several rows for one movement the usual one comes first.
    hook
        A line to remember it by, in our own words.
    conditions
        What changes its action: position of a neighbouring joint, load.
    dispute
        Where sources disagree; empty = not known to.
    checks
        How the row compares with the sources that were read.
    sources
        Where this comes from.
    """

    name: str
    part: str
    label: str
    region: str
    proximal_attachment: str
    distal_attachment: str
    proximal_bones: tuple[Bone, ...]
    distal_bones: tuple[Bone, ...]
    proximal_short: str
    distal_short: str
    nerves: tuple[Nerve, ...]
    also_nerves: tuple[Nerve, ...]
    nerve_note: str
    roots: Roots
    other_roots: tuple[Roots, ...]
    roots_note: str
    actions: tuple[Action, ...]
    hook: str
    conditions: str
    dispute: str
    checks: tuple[str, ...]
    sources: tuple[Source, ...]

    @property
    def full_name(self) -> str:
        """Name with the part in brackets, unique in the atlas."""
        return full_name(self.name, self.part)

    @property
    def muscles(self) -> tuple["Muscle", ...]:
        """Itself, so that a muscle and a collective name can be listed alike."""
        return (self,)

    @property
    def from_memory(self) -> bool:
        """Whether nobody could look up any part of this row."""
        return all(source.reading is Reading.FROM_MEMORY for source in self.sources)

    @property
    def joints(self) -> tuple[Articulation, ...]:
        """The joints that it crosses, as its bones tell; see ``joints_between``."""
        return joints_between(self.proximal_bones, self.distal_bones)

    @property
    def roots_text(self) -> str:
        """Its roots with what other texts give, e.g. ``"S2-S3; some texts L5-S3"``."""
        return roots_in_full(self.roots, self.other_roots)

    def action(self, joint: Articulation, motion: Movement, angles: JointAngles | None = None) -> Action | None:
        """Return what it does for one movement; ``None`` = nothing.

        Parameters
        ----------
        joint, motion
            The movement.
        angles
            The posture: of the rows that hold there, the one with the most ranges decides. Without a
            posture it is the usual row, whatever its range.
        """
        rows = [action for action in self.actions if (action.joint, action.motion) == (joint, motion)]
        if angles is None:
            return rows[0] if rows else None
        holding = [row for row in rows if all(part.holds(angles) for part in row.when)]
        return max(holding, key=lambda row: len(row.when), default=None)


@dataclass(frozen=True, slots=True)
class Collective:
    """A name for several muscles, e.g. the hamstrings.

    Attributes
    ----------
    name, label
        The name, and the form on a label.
    muscles
        Its members.
    proximal_short, distal_short
        What their attachments have in common, in the form on a label.
    note
        What is easily mistaken about it.
    """

    name: str
    label: str
    muscles: tuple[Muscle, ...]
    proximal_short: str
    distal_short: str
    note: str


def full_name(name: str, part: str) -> str:
    """Return the unique name of a muscle part, e.g. ``"biceps femoris (short head)"``."""
    return f"{name} ({part})" if part else name
