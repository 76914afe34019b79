"""The fact sheets of a motion, of a joint, of a bone and of the two-joint muscles."""

from motionlabel.anatomy.bones import LARGE_JOINTS
from motionlabel.anatomy.course import Course
from motionlabel.anatomy.facts import GroupFacts
from motionlabel.anatomy.index import is_at
from motionlabel.anatomy.loss import AnyMotion, antagonists, motions_of, movers_of
from motionlabel.anatomy.muscle import Muscle
from motionlabel.anatomy.muscle_sheet import muscle_rows
from motionlabel.anatomy.nerve_sheet import nerve_rows
from motionlabel.anatomy.sheet import (
    Cell,
    Sheet,
    Table,
    motion_name,
    names_of,
    nerve_names,
    other_nerve_names,
    sheet,
    source_keys,
    when_text,
)
from motionlabel.anatomy.spelling import tokens
from motionlabel.anatomy.terms import Articulation, Movement, Role
from motionlabel.anatomy.topic import Kind, Topic

_DIGITS = (Articulation.FINGERS, Articulation.TOES_2_5)
_SPINE = (Articulation.TRUNK, Articulation.NECK)
_LIMB_ROOTS = (Articulation.HIP, Articulation.SHOULDER)


def motion_sheet(topic: Topic, course: Course) -> Sheet:
    """Return plane and axis of a motion, who makes it, helps, works against it and steadies the rest."""
    (motion,) = topic.motions
    known = course.atlas
    measured = next((facts for facts in course.motions.values() if motion in facts.movements), None)
    facts: tuple[tuple[str, Cell], ...] = (
        *_plane(measured, course),
        ("antagonists", _antagonists(course, motion)),
    )
    tables = [
        Table(key, ("muscle", "nerve", "also", "roots", "when", "sources"), _movers(course, motion, role))
        for key, role in (
            ("prime_movers", Role.PRIME_MOVER),
            ("assisting", Role.ASSISTS),
            ("stabilising", Role.STABILISES),
        )
    ]
    muscles = tuple(m for role in Role for m in movers_of(known, motion, role))
    return sheet(
        Kind.MOTION, motion_name(course, motion), facts, tables, (*muscles, *(n for m in muscles for n in m.nerves))
    )


def _antagonists(course: Course, motion: AnyMotion) -> Cell:
    if motion[1] is Movement.LATERAL_FLEXION:
        return course.words("the same muscles of the other side")
    return names_of(course, antagonists(course.atlas, motion))


def _plane(measured: GroupFacts | None, course: Course) -> tuple[tuple[str, Cell], ...]:
    if measured is None:
        return ()
    return (
        ("plane", course.words(measured.plane)),
        ("axis", measured.axis),
        ("stabilisers", tuple(item.label for item in measured.stabilisers)),
        ("holding_still", measured.holding),
    )


def _movers(course: Course, motion: AnyMotion, role: Role) -> tuple[tuple[Cell, ...], ...]:
    rows: list[tuple[Cell, ...]] = []
    for muscle in movers_of(course.atlas, motion, role):
        when = tuple(
            f"{course.words(action.role)}: {text}" if action.role is not role else text
            for action in muscle.actions
            if (action.joint, action.motion) == motion and (text := when_text(course, action))
        )
        rows.append(
            (
                muscle.full_name,
                nerve_names(muscle),
                other_nerve_names(muscle),
                muscle.roots_text,
                "; ".join(when),
                source_keys(muscle),
            )
        )
    return tuple(rows)


def motion_rows(motions: tuple[AnyMotion, ...], course: Course) -> Table:
    """Return a list of motions with prime movers and assisting muscles."""
    return Table(
        "motions",
        ("motion", "prime_movers", "assisting"),
        tuple(
            (
                motion_name(course, motion),
                names_of(course, movers_of(course.atlas, motion, Role.PRIME_MOVER)),
                names_of(course, movers_of(course.atlas, motion, Role.ASSISTS)),
            )
            for motion in motions
        ),
    )


def joint_sheet(topic: Topic, course: Course) -> Sheet:
    """Return the motions of a joint."""
    motions = tuple(motion for motion in motions_of(course.atlas) if motion[0] in topic.joints)
    muscles = tuple(m for motion in motions for role in Role for m in movers_of(course.atlas, motion, role))
    return sheet(Kind.JOINT, topic.name, (), (motion_rows(motions, course),), muscles)


def matches_sheet(topic: Topic, course: Course) -> Sheet:
    """Return a list of what fits, to ask further."""
    tables = (
        muscle_rows(topic.muscles, course),
        nerve_rows(topic.nerves),
        Table("bones", ("bone",), tuple((course.words(bone),) for bone in topic.bones)),
        motion_rows(topic.motions, course),
    )
    movers = tuple(m for motion in topic.motions for role in Role for m in movers_of(course.atlas, motion, role))
    return sheet(Kind.MATCHES, topic.name, (), tables, (*topic.muscles, *topic.nerves, *movers))


def bone_sheet(topic: Topic, course: Course) -> Sheet:
    """Return the muscles that attach to bones, or to a place that the attachments name."""
    bones, place = set(topic.bones), tokens(topic.name)
    tables, shown = [], []
    for key in ("proximal", "distal"):
        found = [
            (muscle, text)
            for muscle in course.atlas.muscles.values()
            for text, at in ((getattr(muscle, f"{key}_attachment"), getattr(muscle, f"{key}_bones")),)
            if (bones & set(at) if bones else is_at(text, place))
        ]
        rows = tuple(
            (muscle.full_name, text, nerve_names(muscle), other_nerve_names(muscle), source_keys(muscle))
            for muscle, text in found
        )
        tables.append(Table(f"{key}_attachment", ("muscle", "where", "nerve", "also", "sources"), rows))
        shown += [muscle for muscle, _ in found]
    return sheet(Kind.BONE, topic.name, (), tables, shown)


def two_joint_sheet(topic: Topic, course: Course) -> Sheet:
    """Return the muscles that cross two joints, as their bones tell; with joints named, those that cross all."""
    asked = set(topic.joints)
    rows: dict[str, list[Muscle]] = {
        "across_two_large_joints": [],
        "across_a_limb_joint_and_the_digits": [],
        "across_the_spine_and_a_limb_joint": [],
    }
    for muscle in course.atlas.muscles.values():
        crossed = set(muscle.joints)
        if not asked <= crossed:
            continue
        large = crossed & set(LARGE_JOINTS)
        if len(large) > 1:
            rows["across_two_large_joints"].append(muscle)
        elif large and crossed & set(_DIGITS):
            rows["across_a_limb_joint_and_the_digits"].append(muscle)
        elif crossed & set(_LIMB_ROOTS) and crossed & set(_SPINE):
            rows["across_the_spine_and_a_limb_joint"].append(muscle)
    tables = [
        Table(key, ("muscle", "joints_crossed", "does", "sources"), tuple(_crossing(m, course) for m in muscles))
        for key, muscles in rows.items()
    ]
    return sheet(Kind.TWO_JOINT, course.words(topic.name), (), tables, [m for part in rows.values() for m in part])


def _crossing(muscle: Muscle, course: Course) -> tuple[Cell, ...]:
    actions = tuple(
        f"{motion_name(course, (action.joint, action.motion))}"
        for action in muscle.actions
        if action.joint in LARGE_JOINTS and action.role is not Role.STABILISES
    )
    crossed = tuple(course.words(joint) for joint in muscle.joints)
    return muscle.full_name, crossed, tuple(dict.fromkeys(actions)), source_keys(muscle)
