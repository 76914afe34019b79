"""The fact sheets of a nerve, of a sign and of spinal roots."""

from motionlabel.anatomy.course import Course
from motionlabel.anatomy.loss import branches, loss_of, motions_of, movers_of, supplied
from motionlabel.anatomy.muscle import Nerve
from motionlabel.anatomy.muscle_sheet import muscle_rows
from motionlabel.anatomy.roots import Roots, roots_in_full
from motionlabel.anatomy.sheet import (
    Cell,
    Sheet,
    Table,
    motion_name,
    names_of,
    sheet,
    source_keys,
)
from motionlabel.anatomy.terms import Role
from motionlabel.anatomy.topic import Kind, Topic


def nerve_sheet(topic: Topic, course: Course) -> Sheet:
    """Return what a nerve and its branches supply, and what is lost when it fails."""
    known, words = course.atlas, course.words
    (nerve,) = topic.nerves
    twigs = branches(nerve, known)
    family = (nerve, *twigs)
    muscles = supplied(family, known)
    loss = loss_of(nerve, known)
    facts: tuple[tuple[str, Cell], ...] = (
        ("roots", roots_in_full(nerve.roots, ())),
        ("roots_note", nerve.roots_note),
        ("parent", known.nerves[nerve.parent].name if nerve.parent in known.nerves else words(nerve.parent)),
        ("branches", tuple(branch.name for branch in twigs)),
        ("course", nerve.course),
        ("sign_when_it_fails", nerve.sign),
        ("to_remember", nerve.hook),
        ("also_supplies", nerve.also_supplies),
        ("muscles_weakened", names_of(course, loss.weakened)),
    )
    supplies = muscle_rows(muscles, course, "supplies", "supplied_by")
    motions = Table(
        "motions_lost_or_weakened",
        ("motion", "lost", "left"),
        tuple(
            (
                motion_name(course, (motion.joint, motion.movement)),
                names_of(course, motion.lost),
                names_of(course, motion.left),
            )
            for motion in loss.motions
        ),
    )
    return sheet(Kind.NERVE, nerve.name, facts, (supplies, motions), (*family, *muscles))


def sign_sheet(topic: Topic, course: Course) -> Sheet:
    """Return the nerves whose failure shows a sign, and the muscles that are lost."""
    known = course.atlas
    rows = tuple(
        (
            nerve.name,
            nerve.sign,
            roots_in_full(nerve.roots, ()),
            names_of(course, loss_of(nerve, known).muscles),
            source_keys(nerve),
        )
        for nerve in topic.nerves
    )
    table = Table("nerves", ("nerve", "sign_when_it_fails", "roots", "muscles_lost", "sources"), rows)
    return sheet(Kind.SIGN, topic.name, (), (table,), topic.nerves)


def root_sheet(topic: Topic, course: Course) -> Sheet:
    """Return the nerves, muscles and motions that spinal roots serve."""
    known = course.atlas
    nerves = tuple(nerve for nerve in known.nerves.values() if _has(nerve.roots, topic.roots))
    muscles = tuple(muscle for muscle in known.muscles.values() if _has(muscle.roots, topic.roots))
    served = []
    for motion in motions_of(known):
        movers = movers_of(known, motion, Role.PRIME_MOVER)
        with_root = tuple(muscle for muscle in movers if muscle in muscles)
        if with_root:
            without = tuple(muscle for muscle in movers if muscle not in muscles)
            served.append((motion_name(course, motion), names_of(course, with_root), names_of(course, without)))
    tables = (
        nerve_rows(nerves),
        muscle_rows(muscles, course),
        Table("motions", ("motion", "prime_movers_with_this_root", "other_prime_movers"), tuple(served)),
    )
    return sheet(Kind.ROOT, topic.name, (), tables, (*nerves, *muscles))


def _has(roots: Roots, levels: tuple[str, ...]) -> bool:
    """Whether any of some spinal nerves is among the roots, also where only some texts say so."""
    return bool({*roots.levels, *roots.also} & set(levels))


def nerve_rows(nerves: tuple[Nerve, ...]) -> Table:
    """Return a list of nerves with roots and sign."""
    return Table(
        "nerves",
        ("nerve", "roots", "sign_when_it_fails", "sources"),
        tuple((nerve.name, roots_in_full(nerve.roots, ()), nerve.sign, source_keys(nerve)) for nerve in nerves),
    )
