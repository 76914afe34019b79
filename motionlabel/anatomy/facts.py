"""What to teach of a working group: its muscles, their attachments and nerves, in full and in short.

The short lines come from the data files, so that nothing is written down twice.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from motionlabel.anatomy.atlas import DATA_FOLDER, Atlas, atlas, find
from motionlabel.anatomy.muscle import Collective, Muscle, Nerve
from motionlabel.anatomy.roots import Roots, union
from motionlabel.anatomy.table import Row, read_rows
from motionlabel.anatomy.terms import Articulation, Movement, Role
from motionlabel.body import Joint, Motion, Side, WorkingGroup
from motionlabel.errors import BadSettingsError

_MOTION = ("joint", "motion", "movement", "side", "group", "label")


@dataclass(frozen=True, slots=True)
class Supply:
    """Nerves that share muscles, with the roots of these muscles.

    Attributes
    ----------
    nerves
        One nerve, or several that supply one muscle together.
    roots
        Roots of the muscles, which may be fewer than those of the whole nerve.
    muscles
        The muscles that they supply.
    """

    nerves: tuple[Nerve, ...]
    roots: Roots
    muscles: tuple[Muscle, ...]

    @property
    def text(self) -> str:
        """The form on a label, e.g. ``"inferior gluteal (L5-S2)"``."""
        names = [nerve.short for nerve in self.nerves]
        last_words = {name.split()[-1] for name in names}
        if len(names) == 2 and len(last_words) == 1:
            names = [f"{names[0].rsplit(maxsplit=1)[0]} and {names[1]}"]
        return f"{', '.join(names)} ({self.roots.text})"


@dataclass(frozen=True, slots=True)
class GroupFacts:
    """The muscles that make one motion of a joint.

    Attributes
    ----------
    joint, motion
        What they make.
    side
        Side of the muscles where the motion alone decides it (trunk); else ``None``.
    group
        The working group; ``None`` where no load is computed about that axis.
    chief
        What a label names: muscles, or collective names such as the hamstrings.
    prime_movers
        All prime movers, those of ``chief`` first.
    assisting
        Muscles that assist; ``Muscle.action`` says on which condition.
    supplies
        Nerve supply of the muscles of ``chief``, in their order.
    """

    joint: Joint
    motion: Motion
    side: Side | None
    group: WorkingGroup | None
    chief: tuple[Muscle | Collective, ...]
    prime_movers: tuple[Muscle, ...]
    assisting: tuple[Muscle, ...]
    supplies: tuple[Supply, ...]

    @property
    def muscles_line(self) -> str:
        """The chief muscles, e.g. ``"gluteus maximus, hamstrings"``."""
        return ", ".join(item.label for item in self.chief)

    @property
    def nerve_line(self) -> str:
        """Their nerves, e.g. ``"inferior gluteal (L5-S2); tibial part of sciatic (L5-S2)"``."""
        return "; ".join(supply.text for supply in self.supplies)

    @property
    def attachment_lines(self) -> tuple[str, ...]:
        """One line for each chief muscle: name, proximal and distal attachment."""
        return tuple(
            f"{item.label if isinstance(item, Muscle) else item.name}: {item.proximal_short} → {item.distal_short}"
            for item in self.chief
        )

    @property
    def nerves(self) -> tuple[Nerve, ...]:
        """The regular nerves of all prime movers, each once."""
        return tuple(dict.fromkeys(nerve for muscle in self.prime_movers for nerve in muscle.nerves))


def facts_of(group: WorkingGroup) -> GroupFacts:
    """Return what to teach of a working group.

    Raises
    ------
    BadSettingsError
        A row of the data files is wrong; the message names file, row and column.
    """
    return next(facts for facts in _all_facts().values() if facts.group is group)


def facts_of_motion(joint: Joint, motion: Motion) -> GroupFacts | None:
    """Return what to teach of the muscles that can make a motion; ``None`` for a hold or an unlisted one.

    Raises
    ------
    BadSettingsError
        As ``facts_of``.
    """
    return _all_facts().get((joint, motion))


@cache
def _all_facts() -> Mapping[tuple[Joint, Motion], GroupFacts]:
    return read_facts(DATA_FOLDER / "motions.toml", atlas())


def read_facts(path: Path, known: Atlas) -> Mapping[tuple[Joint, Motion], GroupFacts]:
    """Read the motions of a file and collect their muscles from an atlas.

    Raises
    ------
    BadSettingsError
        A row is wrong or a working group has none.
    """
    found: dict[tuple[Joint, Motion], GroupFacts] = {}
    for row in read_rows(path, "motion", _MOTION):
        facts = _group_facts(row, known)
        if (facts.joint, facts.motion) in found:
            row.refuse("motion", f"{facts.joint} {facts.motion} has a row already")
        found[facts.joint, facts.motion] = facts
    missing = set(WorkingGroup) - {facts.group for facts in found.values()}
    if missing:
        raise BadSettingsError(f"{path.name} has no row for {', '.join(sorted(missing))}; add one")
    return found


def _group_facts(row: Row, known: Atlas) -> GroupFacts:
    joint, motion = row.choice("joint", Joint), row.choice("motion", Motion)
    movement = row.optional_choice("movement", Movement) or row.choice("motion", Movement)
    names: dict[str, Muscle | Collective] = {**known.muscles, **known.collectives}
    chief = tuple(find(names, name, row, "label") for name in row.texts("label"))
    chief_muscles = tuple(dict.fromkeys(muscle for item in chief for muscle in item.muscles))
    primes = _in_role(known, Articulation(joint), movement, Role.PRIME_MOVER)
    for item in chief:
        if not item.proximal_short or not item.distal_short:
            row.refuse("label", f"{item.name} has no short attachments")
        for muscle in item.muscles:
            if muscle not in primes:
                row.refuse("label", f"{muscle.full_name} is no prime mover of {joint} {movement}")
    try:
        supplies = _supplies(chief_muscles)
    except ValueError as error:
        row.refuse("label", f"the roots of muscles with one nerve do not go together: {error}")
    return GroupFacts(
        joint=joint,
        motion=motion,
        side=row.optional_choice("side", Side),
        group=row.optional_choice("group", WorkingGroup),
        chief=chief,
        prime_movers=tuple(dict.fromkeys(chief_muscles + primes)),
        assisting=_in_role(known, Articulation(joint), movement, Role.ASSISTS),
        supplies=supplies,
    )


def _in_role(known: Atlas, joint: Articulation, movement: Movement, role: Role) -> tuple[Muscle, ...]:
    actions = ((muscle, muscle.action(joint, movement)) for muscle in known.muscles.values())
    return tuple(muscle for muscle, action in actions if action is not None and action.role is role)


def _supplies(muscles: tuple[Muscle, ...]) -> tuple[Supply, ...]:
    """Put muscles that share a nerve together, so that no nerve is named twice."""
    supplies: list[Supply] = []
    for muscle in muscles:
        joined = Supply(muscle.nerves, muscle.roots, (muscle,))
        sharing = [supply for supply in supplies if set(supply.nerves) & set(muscle.nerves)]
        place = supplies.index(sharing[0]) if sharing else len(supplies)
        for supply in reversed(sharing):
            joined = Supply(
                nerves=tuple(dict.fromkeys(supply.nerves + joined.nerves)),
                roots=union(supply.roots, joined.roots),
                muscles=supply.muscles + joined.muscles,
            )
            supplies.remove(supply)
        supplies.insert(place, joined)
    return tuple(supplies)
