"""The atlas: every muscle, nerve and collective name of the data files, checked once.

The files lie beside this module (``README.md`` there explains their columns).
"""

import difflib
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from math import inf
from pathlib import Path
from types import MappingProxyType
from typing import TypeVar

from motionlabel.anatomy.bones import Bone
from motionlabel.anatomy.muscle import Action, Collective, Muscle, Nerve, Source, full_name
from motionlabel.anatomy.posture import MEASURED, AngleRange
from motionlabel.anatomy.table import Row, read_named_rows, read_rows
from motionlabel.anatomy.terms import Articulation, Movement, Reading, Role

Item = TypeVar("Item")

DATA_FOLDER = Path(__file__).parent
"""Where the data files lie."""

_SOURCE = ("citation", "reading", "licence", "address")
_NERVE = ("name", "short", "roots", "roots_note", "parent", "course", "sign", "hook", "also_supplies", "sources")
_MUSCLE = (
    *("name", "part", "label", "region", "proximal", "distal", "proximal_bones", "distal_bones"),
    *(
        "proximal_short",
        "distal_short",
        "nerves",
        "also_nerves",
        "nerve_note",
        "roots",
        "other_roots",
        "roots_note",
        "actions",
    ),
    *("hook", "conditions", "dispute", "checks", "sources"),
)
_ACTION = ("joint", "motion", "role", "condition", "when")
_RANGE = ("joint", "motion", "from", "to")
_COLLECTIVE = ("name", "label", "members", "proximal_short", "distal_short", "note")


@dataclass(frozen=True, slots=True)
class Atlas:
    """All muscles, nerves, collective names and sources, each by its full name.

    Attributes
    ----------
    muscles
        In the order of the files; the key of a part is e.g. ``"biceps femoris (short head)"``.
    nerves, collectives, sources
        By name; sources by their key.
    """

    muscles: Mapping[str, Muscle]
    nerves: Mapping[str, Nerve]
    collectives: Mapping[str, Collective]
    sources: Mapping[str, Source]


@cache
def atlas() -> Atlas:
    """Return the atlas of the package; read and checked at the first call.

    Raises
    ------
    BadSettingsError
        A row is wrong; the message names file, row and column.
    """
    return read_atlas(DATA_FOLDER)


def read_atlas(folder: Path) -> Atlas:
    """Read an atlas from the files of a folder.

    Parameters
    ----------
    folder
        Holds ``sources.toml``, ``nerves.toml``, ``collectives.toml`` and ``muscles/*.toml``.

    Raises
    ------
    BadSettingsError
        A row is wrong; the message names file, row and column.
    """
    sources = {key: _source(key, row) for key, row in read_named_rows(folder / "sources.toml", _SOURCE).items()}
    muscle_rows = [
        row for path in sorted((folder / "muscles").glob("*.toml")) for row in read_rows(path, "muscle", _MUSCLE)
    ]
    supplied = _supplied(muscle_rows)
    nerves = _by_name(
        (row, row.text("name"), _nerve(row, supplied, sources))
        for row in read_rows(folder / "nerves.toml", "nerve", _NERVE)
    )
    muscles = _by_name((row, _full_name(row), _muscle(row, nerves, sources)) for row in muscle_rows)
    collectives = _by_name(
        (row, row.text("name"), _collective(row, muscles))
        for row in read_rows(folder / "collectives.toml", "collective", _COLLECTIVE)
    )
    return Atlas(
        muscles=MappingProxyType(muscles),
        nerves=MappingProxyType(nerves),
        collectives=MappingProxyType(collectives),
        sources=MappingProxyType(sources),
    )


def find(known: Mapping[str, Item], name: str, row: Row, column: str) -> Item:
    """Return what a row refers to by name.

    Raises
    ------
    BadSettingsError
        There is no such name; the message suggests the nearest.
    """
    if name not in known:
        near = difflib.get_close_matches(name, known, n=1)
        row.refuse(column, f"{name!r} has no row of its own{f'; did you mean {near[0]!r}?' if near else ''}")
    return known[name]


def _by_name(rows: Iterable[tuple[Row, str, Item]]) -> dict[str, Item]:
    found: dict[str, Item] = {}
    for row, name, item in rows:
        if name in found:
            row.refuse("name", f"{name!r} has a row already")
        found[name] = item
    return found


def _full_name(row: Row) -> str:
    return full_name(row.text("name"), row.optional_text("part"))


def _supplied(muscle_rows: Iterable[Row]) -> Mapping[str, list[str]]:
    """Names of the muscles that each nerve supplies."""
    supplied = defaultdict(list)
    for row in muscle_rows:
        for nerve in row.texts("nerves") + row.optional_texts("also_nerves"):
            supplied[nerve].append(_full_name(row))
    return supplied


def _sources(row: Row, sources: Mapping[str, Source]) -> tuple[Source, ...]:
    return tuple(find(sources, key, row, "sources") for key in row.texts("sources"))


def _source(key: str, row: Row) -> Source:
    return Source(
        key=key,
        citation=row.text("citation"),
        reading=row.choice("reading", Reading),
        licence=row.optional_text("licence"),
        address=row.optional_text("address"),
    )


def _nerve(row: Row, supplied: Mapping[str, list[str]], sources: Mapping[str, Source]) -> Nerve:
    return Nerve(
        name=row.text("name"),
        short=row.text("short"),
        roots=row.roots("roots"),
        roots_note=row.optional_text("roots_note"),
        parent=row.optional_text("parent"),
        course=row.text("course"),
        sign=row.text("sign"),
        hook=row.optional_text("hook"),
        muscles=tuple(supplied.get(row.text("name"), ())),
        also_supplies=row.optional_text("also_supplies"),
        sources=_sources(row, sources),
    )


def _action(row: Row) -> Action:
    return Action(
        joint=row.choice("joint", Articulation),
        motion=row.choice("motion", Movement),
        role=row.choice("role", Role),
        condition=row.optional_text("condition"),
        when=ranges(row),
    )


def ranges(row: Row) -> tuple[AngleRange, ...]:
    """Return the ranges of joint angles in the column ``when`` of a row.

    Raises
    ------
    BadSettingsError
        A range is empty, open on both sides, or of an angle that is not measured.
    """
    return tuple(_range(inner) for inner in row.optional_rows("when", _RANGE))


def _range(row: Row) -> AngleRange:
    start, stop = row.optional_number("from"), row.optional_number("to")
    if start is None and stop is None:
        row.refuse("from", "a range needs from, to or both, in degrees")
    found = AngleRange(
        joint=row.choice("joint", Articulation),
        motion=row.choice("motion", Movement),
        start=-inf if start is None else start,
        stop=inf if stop is None else stop,
    )
    if (found.joint, found.motion) not in MEASURED:
        row.refuse(
            "motion", f"no angle of {found.joint} {found.motion} is measured; name the motion that makes it grow"
        )
    if found.start >= found.stop:
        row.refuse("to", f"{found.stop:g} does not lie above {found.start:g}")
    return found


def _muscle(row: Row, nerves: Mapping[str, Nerve], sources: Mapping[str, Source]) -> Muscle:
    actions = tuple(_action(inner) for inner in row.rows("actions", _ACTION))
    if len({(action.joint, action.motion, action.when) for action in actions}) < len(actions):
        row.refuse("actions", "the same movement of a joint is listed twice for the same posture")
    return Muscle(
        name=row.text("name"),
        part=row.optional_text("part"),
        label=row.optional_text("label") or _full_name(row),
        region=row.text("region"),
        proximal_attachment=row.text("proximal"),
        distal_attachment=row.text("distal"),
        proximal_bones=row.optional_choices("proximal_bones", Bone),
        distal_bones=row.optional_choices("distal_bones", Bone),
        proximal_short=row.optional_text("proximal_short"),
        distal_short=row.optional_text("distal_short"),
        nerves=tuple(find(nerves, name, row, "nerves") for name in row.texts("nerves")),
        also_nerves=tuple(find(nerves, name, row, "also_nerves") for name in row.optional_texts("also_nerves")),
        nerve_note=row.optional_text("nerve_note"),
        roots=row.roots("roots"),
        other_roots=row.optional_roots("other_roots"),
        roots_note=row.optional_text("roots_note"),
        actions=actions,
        hook=row.text("hook"),
        conditions=row.optional_text("conditions"),
        dispute=row.optional_text("dispute"),
        checks=row.optional_texts("checks"),
        sources=_sources(row, sources),
    )


def _collective(row: Row, muscles: Mapping[str, Muscle]) -> Collective:
    return Collective(
        name=row.text("name"),
        label=row.optional_text("label") or row.text("name"),
        muscles=tuple(find(muscles, name, row, "members") for name in row.texts("members")),
        proximal_short=row.text("proximal_short"),
        distal_short=row.text("distal_short"),
        note=row.optional_text("note"),
    )
