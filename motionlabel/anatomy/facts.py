"""What to teach of a motion: its muscles, their attachments and nerves, in full and in short.

The short lines come from the data files, so that nothing is written down twice. ``GroupFacts.at``
tells what changes with the posture.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from motionlabel.anatomy.atlas import DATA_FOLDER, Atlas, atlas, find, ranges
from motionlabel.anatomy.muscle import Collective, Muscle, Nerve
from motionlabel.anatomy.posture import AngleRange, JointAngles
from motionlabel.anatomy.roots import Roots, union
from motionlabel.anatomy.table import Row, list_of, read_rows
from motionlabel.anatomy.terms import Articulation, Movement, Plane, Role
from motionlabel.body import AXES, Joint, Motion, Side, WorkingGroup
from motionlabel.errors import BadSettingsError

_MOTION = (
    *("joint", "motion", "articulations", "movement", "side", "far_movement", "group", "label", "label_when"),
    *("plane", "axis", "stabilisers", "holding"),
)
_LABEL_WHEN = ("name", "when")


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
class LabelName:
    """A muscle or collective name that a label gives in some postures.

    Attributes
    ----------
    item
        What is named.
    when
        The posture: all these ranges hold; empty = in any.
    """

    item: Muscle | Collective
    when: tuple[AngleRange, ...]


@dataclass(frozen=True, slots=True)
class GroupFacts:
    """The muscles that make one motion of a joint.

    Attributes
    ----------
    joint, motion
        What they make.
    side
        Side of the muscles where the motion alone decides it (trunk, neck, pelvis); else ``None``.
    group
        The working group; ``None`` where no load is computed about that axis.
    plane, axis
        Plane of the motion, and the axis it turns about, in words.
    movements
        The actions that make it, as the muscle files name them.
    names
        What a label may name, with the posture.
    chief
        What a label names: muscles, or collective names such as the hamstrings.
    prime_movers
        All prime movers, those of ``chief`` first.
    assisting
        Muscles that assist; ``Muscle.action`` says on which condition.
    far_movers
        Prime movers of the same motion on the other side of the body (rotation of trunk and neck).
    antagonists
        Prime movers of the opposite motion, of both sides.
    stabilisers, holding
        Muscles that usually hold still what must not move meanwhile, and what that is.
    supplies
        Nerve supply of the muscles of ``chief``, in their order.
    """

    joint: Joint
    motion: Motion
    side: Side | None
    group: WorkingGroup | None
    plane: Plane
    axis: str
    movements: tuple[tuple[Articulation, Movement], ...]
    names: tuple[LabelName, ...]
    chief: tuple[Muscle | Collective, ...]
    prime_movers: tuple[Muscle, ...]
    assisting: tuple[Muscle, ...]
    far_movers: tuple[Muscle, ...]
    antagonists: tuple[Muscle, ...]
    stabilisers: tuple[Muscle | Collective, ...]
    holding: str
    supplies: tuple[Supply, ...]

    def at(self, angles: JointAngles) -> "GroupFacts":
        """Return the facts that hold in one posture.

        Muscles whose action has turned or faded there are left out or only assist, others join; the
        label follows. Angles that are not known count as the anatomical position. The antagonists
        stay those of the usual list.

        Parameters
        ----------
        angles
            The posture, typically of a whole exercise.
        """
        candidates = tuple(dict.fromkeys(self.prime_movers + self.assisting))
        roles = {muscle: _role(muscle, self.movements, angles) for muscle in candidates}
        chief: list[Muscle | Collective] = []
        for name in self.names:
            if not all(part.holds(angles) for part in name.when):
                continue
            left = [muscle for muscle in name.item.muscles if roles[muscle] is Role.PRIME_MOVER]
            chief += [name.item] if len(left) == len(name.item.muscles) else left
        chief = chief or list(self.chief)
        chief_muscles = tuple(dict.fromkeys(muscle for item in chief for muscle in item.muscles))
        primes = tuple(muscle for muscle in candidates if roles[muscle] is Role.PRIME_MOVER)
        return replace(
            self,
            chief=tuple(chief),
            prime_movers=tuple(dict.fromkeys(chief_muscles + primes)),
            assisting=tuple(muscle for muscle in candidates if roles[muscle] is Role.ASSISTS),
            supplies=_supplies(chief_muscles),
        )

    def limited_to(self, taught: Collection[Muscle]) -> "GroupFacts":
        """Return the facts with no other muscles than these; what is left may be nothing.

        A collective name stays only where all its members do.
        """
        chief = tuple(part for item in self.chief for part in _left(item, taught))
        return replace(
            self,
            names=tuple(LabelName(part, name.when) for name in self.names for part in _left(name.item, taught)),
            chief=chief,
            prime_movers=tuple(muscle for muscle in self.prime_movers if muscle in taught),
            assisting=tuple(muscle for muscle in self.assisting if muscle in taught),
            far_movers=tuple(muscle for muscle in self.far_movers if muscle in taught),
            antagonists=tuple(muscle for muscle in self.antagonists if muscle in taught),
            stabilisers=tuple(part for item in self.stabilisers for part in _left(item, taught)),
            supplies=_supplies(tuple(dict.fromkeys(muscle for item in chief for muscle in item.muscles))),
        )

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


def _left(item: Muscle | Collective, taught: Collection[Muscle]) -> tuple[Muscle | Collective, ...]:
    """Return the item itself where all its muscles are taught, else those that are."""
    left = tuple(muscle for muscle in item.muscles if muscle in taught)
    return (item,) if len(left) == len(item.muscles) else left


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
    return {key: _with_antagonists(facts, found) for key, facts in found.items()}


def _with_antagonists(facts: GroupFacts, found: Mapping[tuple[Joint, Motion], GroupFacts]) -> GroupFacts:
    opposite = found.get((facts.joint, _OPPOSITE.get((facts.joint, facts.motion), facts.motion)))
    if opposite is None:
        return facts
    return replace(facts, antagonists=tuple(dict.fromkeys(opposite.prime_movers + opposite.far_movers)))


_OPPOSITE: Mapping[tuple[Joint, Motion], Motion] = {
    (axis.joint, motion): other
    for axis in AXES
    for motion, other in ((axis.positive, axis.negative), (axis.negative, axis.positive))
}


def _group_facts(row: Row, known: Atlas) -> GroupFacts:
    joint, motion = row.choice("joint", Joint), row.choice("motion", Motion)
    movement = row.optional_choice("movement", Movement) or row.choice("motion", Movement)
    far_movement = row.optional_choice("far_movement", Movement)
    movements = tuple((part, movement) for part in _articulations(row))
    primes = _in_role(known, movements, Role.PRIME_MOVER)
    everything: dict[str, Muscle | Collective] = {**known.muscles, **known.collectives}
    names = tuple(LabelName(find(everything, name, row, "label"), ()) for name in row.texts("label"))
    for inner in row.optional_rows("label_when", _LABEL_WHEN):
        names += (LabelName(find(everything, inner.text("name"), inner, "name"), ranges(inner)),)
    for item in (name.item for name in names):
        _check_label(item, primes, row)
    chief = tuple(name.item for name in names if not name.when)
    chief_muscles = tuple(dict.fromkeys(muscle for item in chief for muscle in item.muscles))
    try:
        _supplies(tuple(dict.fromkeys(muscle for name in names for muscle in name.item.muscles)))
    except ValueError as error:
        row.refuse("label", f"the roots of muscles with one nerve do not go together: {error}")
    return GroupFacts(
        joint=joint,
        motion=motion,
        side=row.optional_choice("side", Side),
        group=row.optional_choice("group", WorkingGroup),
        plane=row.choice("plane", Plane),
        axis=row.text("axis"),
        movements=movements,
        names=names,
        chief=chief,
        prime_movers=tuple(dict.fromkeys(chief_muscles + primes)),
        assisting=_in_role(known, movements, Role.ASSISTS),
        far_movers=_in_role(known, ((movements[0][0], far_movement),), Role.PRIME_MOVER) if far_movement else (),
        antagonists=(),
        stabilisers=_stabilisers(row, everything),
        holding=row.text("holding"),
        supplies=_supplies(chief_muscles),
    )


def _articulations(row: Row) -> tuple[Articulation, ...]:
    """Joints of the muscle files that a measured joint stands for, usually itself."""
    names = row.optional_texts("articulations")
    for name in names:
        if name not in list(Articulation):
            row.refuse("articulations", f"{name!r} is not known; {list_of(Articulation)}")
    return tuple(Articulation(name) for name in names) or (row.choice("joint", Articulation),)


def _check_label(item: Muscle | Collective, primes: tuple[Muscle, ...], row: Row) -> None:
    for part in (item, *item.muscles):
        if not part.proximal_short or not part.distal_short:
            row.refuse("label", f"{part.name} has no short attachments")
    for muscle in item.muscles:
        if muscle not in primes:
            row.refuse("label", f"{muscle.full_name} is no prime mover of {row.text('joint')} {row.text('motion')}")


def _stabilisers(row: Row, everything: Mapping[str, Muscle | Collective]) -> tuple[Muscle | Collective, ...]:
    items = tuple(find(everything, name, row, "stabilisers") for name in row.texts("stabilisers"))
    for item in items:
        for muscle in item.muscles:
            if all(action.role is not Role.STABILISES for action in muscle.actions):
                row.refuse("stabilisers", f"{muscle.full_name} stabilises nothing according to its own row")
    return items


def _in_role(known: Atlas, movements: tuple[tuple[Articulation, Movement], ...], role: Role) -> tuple[Muscle, ...]:
    return tuple(muscle for muscle in known.muscles.values() if _role(muscle, movements, None) is role)


def _role(
    muscle: Muscle, movements: tuple[tuple[Articulation, Movement], ...], angles: JointAngles | None
) -> Role | None:
    """Return the weightiest role of a muscle for any of some movements; ``None`` = it makes none of them."""
    actions = [muscle.action(joint, movement, angles) for joint, movement in movements]
    roles = [action.role for action in actions if action is not None]
    return min(roles, key=list(Role).index, default=None)


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
