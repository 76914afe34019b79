"""A fact sheet: headed facts, tables and sources, ready to be printed or written for machines."""

from collections.abc import Iterable
from dataclasses import dataclass

from motionlabel.anatomy.atlas import atlas
from motionlabel.anatomy.course import Course
from motionlabel.anatomy.loss import AnyMotion
from motionlabel.anatomy.muscle import Action, Collective, Muscle, Nerve, Source
from motionlabel.anatomy.terms import Movement, Role
from motionlabel.anatomy.topic import Kind

Cell = str | tuple[str, ...]
"""A text, or a list of them."""


@dataclass(frozen=True, slots=True)
class Table:
    """One table of a fact sheet.

    Attributes
    ----------
    key
        Its stable name; the heading is the same with spaces.
    columns
        Stable names of its columns.
    rows
        Cells in the order of the columns.
    """

    key: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """What is known of one thing that was asked for.

    Attributes
    ----------
    kind, name
        What it is.
    facts
        Stable name and value; empty values are left out.
    tables
        Its tables; empty ones are left out.
    sources
        Where all of it comes from.
    """

    kind: Kind
    name: str
    facts: tuple[tuple[str, Cell], ...]
    tables: tuple[Table, ...]
    sources: tuple[Source, ...]


def sheet(
    kind: Kind,
    name: str,
    facts: Iterable[tuple[str, Cell]],
    tables: Iterable[Table],
    shown: Iterable[Muscle | Nerve],
) -> Sheet:
    """Return a sheet without its empty facts and tables, with the sources of all that it shows."""
    return Sheet(
        kind=kind,
        name=name,
        facts=tuple((key, value) for key, value in facts if value),
        tables=tuple(table for table in tables if table.rows),
        sources=tuple(dict.fromkeys(source for item in shown for source in item.sources)),
    )


def motion_name(course: Course, motion: AnyMotion) -> str:
    """Return a motion in words; put together where a teacher replaced only its parts."""
    joint, movement = motion
    whole = f"{joint} {movement}"
    return course.words(whole) if whole in course.words.instead else f"{course.words(joint)} {course.words(movement)}"


def names_of(course: Course, muscles: Iterable[Muscle]) -> tuple[str, ...]:
    """Return names of muscles; where all members of a collective name are there, that name, the largest first."""
    left = dict.fromkeys(muscles)
    names: dict[Muscle, str] = {muscle: muscle.full_name for muscle in left}
    taken: set[Muscle] = set()
    whole = atlas().collectives
    # a collective name is no name for only those of its members that are taught
    complete = [item for key, item in course.atlas.collectives.items() if _size(item) == _size(whole[key])]
    for item in sorted(complete, key=_size, reverse=True):
        if _size(item) > 1 and all(muscle in left and muscle not in taken for muscle in item.muscles):
            first, *others = sorted(item.muscles, key=list(left).index)
            names[first] = item.name
            taken.update(item.muscles)
            for muscle in others:
                del names[muscle]
    return tuple(names.values())


def _size(item: Collective) -> int:
    return len(item.muscles)


def nerve_names(muscle: Muscle) -> Cell:
    """Return the nerves that regularly supply a muscle."""
    return tuple(nerve.name for nerve in muscle.nerves)


def other_nerve_names(muscle: Muscle) -> Cell:
    """Return the nerves that supply a smaller part of a muscle, or supply it in some people."""
    return tuple(nerve.name for nerve in muscle.also_nerves)


def prime_motions(course: Course, muscle: Muscle) -> Cell:
    """Return the motions of which a muscle is a prime mover, or else those that it assists."""
    for role in (Role.PRIME_MOVER, Role.ASSISTS):
        motions = dict.fromkeys((a.joint, a.motion) for a in muscle.actions if a.role is role)
        if motions:
            names = tuple(motion_name(course, motion) for motion in motions)
            return names if role is Role.PRIME_MOVER else (f"{course.words(role)}: {names[0]}", *names[1:])
    return ()


def source_keys(item: Muscle | Nerve) -> Cell:
    """Return the keys of the sources of a row."""
    return tuple(source.key for source in item.sources)


def when_text(course: Course, action: Action) -> str:
    """Return on what an action depends: its condition, and its ranges of joint angles in brackets."""
    ranges = ", ".join(
        part.text.replace(f"{part.joint} {part.motion}", motion_name(course, (part.joint, part.motion)))
        for part in action.when
    )
    condition = course.words(action.condition)
    return f"{condition} ({ranges})" if condition and ranges else condition or ranges


def brace(movement: Movement) -> bool:
    """Return whether it is no movement but the bracing of a part."""
    return movement is Movement.STABILISATION
