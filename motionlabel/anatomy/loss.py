"""What a nerve carries with its branches, and what is lost when it fails. For teaching, not diagnosis."""

from collections.abc import Iterable
from dataclasses import dataclass

from motionlabel.anatomy.atlas import Atlas
from motionlabel.anatomy.muscle import Muscle, Nerve
from motionlabel.anatomy.terms import Articulation, Movement, Role

AnyMotion = tuple[Articulation, Movement]

_MOST = 0.5
"""A motion counts as weakened when at least this share of its prime movers, by number, is lost (own convention)."""


@dataclass(frozen=True, slots=True)
class LostMotion:
    """A motion that loses all or most of its prime movers.

    Attributes
    ----------
    joint, movement
        The motion.
    lost, left
        Its prime movers: those without a nerve, and those that still have one.
    """

    joint: Articulation
    movement: Movement
    lost: tuple[Muscle, ...]
    left: tuple[Muscle, ...]


@dataclass(frozen=True, slots=True)
class Loss:
    """What is lost when a nerve fails at its beginning.

    Attributes
    ----------
    muscles
        Muscles that have no other regular nerve.
    weakened
        Muscles that another nerve supplies as well.
    motions
        Motions that lose all or most of their prime movers, the wholly lost ones first.
    """

    muscles: tuple[Muscle, ...]
    weakened: tuple[Muscle, ...]
    motions: tuple[LostMotion, ...]


def branches(nerve: Nerve, known: Atlas) -> tuple[Nerve, ...]:
    """Return the nerves that come from a nerve, nearest first."""
    key = next(key for key, other in known.nerves.items() if other == nerve)
    own = tuple(other for other in known.nerves.values() if other.parent == key)
    return tuple(dict.fromkeys((*own, *(twig for branch in own for twig in branches(branch, known)))))


def supplied(nerves: Iterable[Nerve], known: Atlas) -> tuple[Muscle, ...]:
    """Return the muscles that nerves supply, wholly, partly or in some people."""
    names = {name for nerve in nerves for name in nerve.muscles}
    return tuple(muscle for key, muscle in known.muscles.items() if key in names)


def loss_of(nerve: Nerve, known: Atlas) -> Loss:
    """Return what is lost when a nerve fails with all its branches."""
    failed = (nerve, *branches(nerve, known))
    touched = supplied(failed, known)
    lost = tuple(muscle for muscle in touched if all(other in failed for other in muscle.nerves))
    motions = []
    for motion in motions_of(known):
        movers = movers_of(known, motion, Role.PRIME_MOVER)
        gone = tuple(muscle for muscle in movers if muscle in lost)
        if gone and len(gone) >= _MOST * len(movers):
            motions.append(LostMotion(*motion, gone, tuple(muscle for muscle in movers if muscle not in lost)))
    return Loss(
        muscles=lost,
        weakened=tuple(muscle for muscle in touched if muscle not in lost),
        motions=tuple(sorted(motions, key=lambda motion: bool(motion.left))),
    )


def motions_of(known: Atlas) -> tuple[AnyMotion, ...]:
    """Return every motion that a muscle makes, in the order of joints and movements."""
    made = {(action.joint, action.motion) for muscle in known.muscles.values() for action in muscle.actions}
    return tuple(
        (joint, movement)
        for joint in Articulation
        for movement in Movement
        if (joint, movement) in made and movement is not Movement.STABILISATION
    )


def movers_of(known: Atlas, motion: AnyMotion, role: Role) -> tuple[Muscle, ...]:
    """Return the muscles with one role for a motion."""
    return tuple(
        muscle for muscle in known.muscles.values() if (a := muscle.action(*motion)) is not None and a.role is role
    )


_OPPOSITES: tuple[tuple[Movement, Movement], ...] = (
    (Movement.FLEXION, Movement.EXTENSION),
    (Movement.ABDUCTION, Movement.ADDUCTION),
    (Movement.INTERNAL_ROTATION, Movement.EXTERNAL_ROTATION),
    (Movement.HORIZONTAL_ABDUCTION, Movement.HORIZONTAL_ADDUCTION),
    (Movement.DORSIFLEXION, Movement.PLANTARFLEXION),
    (Movement.INVERSION, Movement.EVERSION),
    (Movement.LATERAL_FLEXION, Movement.LATERAL_FLEXION),
    (Movement.IPSILATERAL_ROTATION, Movement.CONTRALATERAL_ROTATION),
    (Movement.PRONATION, Movement.SUPINATION),
    (Movement.RADIAL_DEVIATION, Movement.ULNAR_DEVIATION),
    (Movement.ELEVATION, Movement.DEPRESSION),
    (Movement.PROTRACTION, Movement.RETRACTION),
    (Movement.UPWARD_ROTATION, Movement.DOWNWARD_ROTATION),
    (Movement.ANTERIOR_TILT, Movement.POSTERIOR_TILT),
)
_OPPOSITE = dict(_OPPOSITES) | {second: first for first, second in _OPPOSITES}


def antagonists(known: Atlas, motion: AnyMotion) -> tuple[Muscle, ...]:
    """Return the prime movers of the opposite motion; for lateral flexion none: they are those of the other side."""
    joint, movement = motion
    opposite = _OPPOSITE.get(movement)
    if opposite is None or opposite is movement:
        return ()
    return movers_of(known, (joint, opposite), Role.PRIME_MOVER)
