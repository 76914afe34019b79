"""The fact sheet of a muscle, of the parts of one, or of the members of a collective name."""

from motionlabel.anatomy.course import Course
from motionlabel.anatomy.loss import antagonists, motions_of
from motionlabel.anatomy.muscle import Muscle
from motionlabel.anatomy.sheet import (
    Cell,
    Sheet,
    Table,
    brace,
    motion_name,
    names_of,
    nerve_names,
    other_nerve_names,
    prime_motions,
    sheet,
    source_keys,
    when_text,
)
from motionlabel.anatomy.terms import Role
from motionlabel.anatomy.topic import Kind, Topic


def muscle_sheet(topic: Topic, course: Course) -> Sheet:
    """Return what is known of a muscle, or of several under one name."""
    if len(topic.muscles) == 1:
        return _of_one(topic.muscles[0], course)
    return _of_several(topic, course)


def _of_one(muscle: Muscle, course: Course) -> Sheet:
    words = course.words
    facts: tuple[tuple[str, Cell], ...] = (
        ("region", words(muscle.region)),
        ("proximal_attachment", muscle.proximal_attachment),
        ("distal_attachment", muscle.distal_attachment),
        ("joints_crossed", tuple(words(joint) for joint in muscle.joints)),
        ("nerve", nerve_names(muscle)),
        ("also", other_nerve_names(muscle)),
        ("note", muscle.nerve_note),
        ("roots", muscle.roots_text),
        ("roots_note", muscle.roots_note),
        ("what_changes_it", muscle.conditions),
        ("to_remember", muscle.hook),
        ("disagreement", muscle.dispute),
        ("compared", muscle.checks),
    )
    actions = Table("actions", ("motion", "role", "when", "works_against"), _actions(muscle, course))
    return sheet(Kind.MUSCLE, muscle.full_name, facts, (actions,), (muscle, *muscle.nerves))


def _actions(muscle: Muscle, course: Course) -> tuple[tuple[Cell, ...], ...]:
    rows: list[tuple[Cell, ...]] = []
    for action in muscle.actions:
        motion = (action.joint, action.motion)
        name = course.words(action.joint) if brace(action.motion) else motion_name(course, motion)
        against = antagonists(course.atlas, motion) if action.role is Role.PRIME_MOVER else ()
        rows.append((name, course.words(action.role), when_text(course, action), names_of(course, against)))
    return tuple(rows)


def _of_several(topic: Topic, course: Course) -> Sheet:
    known = course.atlas
    item = next((item for item in known.collectives.values() if item.muscles == topic.muscles), None)
    members = Table(
        "members",
        ("muscle", "proximal_attachment", "distal_attachment", "nerve", "also", "roots", "sources"),
        tuple(
            (
                muscle.full_name,
                muscle.proximal_attachment,
                muscle.distal_attachment,
                nerve_names(muscle),
                other_nerve_names(muscle),
                muscle.roots_text,
                source_keys(muscle),
            )
            for muscle in topic.muscles
        ),
    )
    made = []
    for motion in motions_of(known):
        roles = {muscle: action.role for muscle in topic.muscles if (action := muscle.action(*motion)) is not None}
        movers = tuple(muscle for muscle, role in roles.items() if role is Role.PRIME_MOVER)
        helping = tuple(muscle for muscle, role in roles.items() if role is Role.ASSISTS)
        against = names_of(course, antagonists(known, motion)) if movers else ()
        if movers or helping:
            made.append((motion_name(course, motion), _all_or(topic, movers), _all_or(topic, helping), against))
    actions = Table("actions", ("motion", "prime_movers", "assisting", "works_against"), tuple(made))
    facts: tuple[tuple[str, Cell], ...] = (
        ("note", item.note if item else ""),
        ("to_remember", tuple(f"{muscle.full_name}: {muscle.hook}" for muscle in topic.muscles if muscle.hook)),
    )
    nerves = tuple(nerve for muscle in topic.muscles for nerve in muscle.nerves)
    return sheet(Kind.MUSCLE, topic.name, facts, (members, actions), (*topic.muscles, *nerves))


def _all_or(topic: Topic, muscles: tuple[Muscle, ...]) -> Cell:
    return topic.name if muscles == topic.muscles else tuple(muscle.full_name for muscle in muscles)


def muscle_rows(muscles: tuple[Muscle, ...], course: Course, title: str = "muscles", supply: str = "nerve") -> Table:
    """Return a list of muscles with nerve, roots and what they do; ``supply`` heads the column of the nerves."""
    return Table(
        title,
        ("muscle", supply, "also", "roots", "does", "sources"),
        tuple(
            (
                muscle.full_name,
                nerve_names(muscle),
                other_nerve_names(muscle),
                muscle.roots_text,
                prime_motions(course, muscle),
                source_keys(muscle),
            )
            for muscle in muscles
        ),
    )
