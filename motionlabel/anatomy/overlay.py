"""A teacher's own file over the atlas: other names and texts, fewer muscles, other words."""

import difflib
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, TypeVar

from motionlabel.anatomy.atlas import Atlas
from motionlabel.anatomy.facts import GroupFacts, facts_of_motion
from motionlabel.anatomy.muscle import Collective, Muscle, Nerve, full_name
from motionlabel.anatomy.table import Row
from motionlabel.anatomy.words import FIXED_WORDS, Words
from motionlabel.body import Joint, Motion
from motionlabel.errors import BadSettingsError

Item = TypeVar("Item", Muscle, Nerve, Collective)
_Changes = Mapping[str, Mapping[str, Any]]

# columns that a teacher may change -> fields of the record
_MUSCLE = {
    **{column: column for column in ("name", "part", "label", "region", "proximal_short", "distal_short")},
    **{column: column for column in ("nerve_note", "roots_note", "hook", "conditions", "dispute")},
    "proximal": "proximal_attachment",
    "distal": "distal_attachment",
}
_NERVE = {column: column for column in ("name", "short", "roots_note", "course", "sign", "hook", "also_supplies")}
_COLLECTIVE = {column: column for column in ("name", "label", "proximal_short", "distal_short", "note")}
_MOTION = {column: column for column in ("axis", "holding")}
_ROOTS = "roots"
_TABLES = ("only", "muscle", "nerve", "collective", "motion", "words")


@dataclass(frozen=True, slots=True)
class Overlay:
    """What a teacher's file changes.

    Attributes
    ----------
    only
        Keys of the muscles that are taught; empty = those of the level.
    muscles, nerves, collectives, motions
        Changed fields by the key of the atlas (a motion's key is e.g. ``"hip flexion"``).
    words
        What is said instead of the fixed words.
    """

    only: frozenset[str] = frozenset()
    muscles: _Changes = field(default_factory=dict)
    nerves: _Changes = field(default_factory=dict)
    collectives: _Changes = field(default_factory=dict)
    motions: _Changes = field(default_factory=dict)
    words: Words = field(default_factory=Words)

    def laid_over(self, whole: Atlas, taught: Iterable[str]) -> Atlas:
        """Return the atlas with the changes; its nerves list only muscles that are taught."""
        kept = frozenset(taught)
        nerves = {
            key: replace(
                nerve,
                muscles=tuple(name for name in nerve.muscles if name in kept),
                **self.nerves.get(key, {}),
            )
            for key, nerve in whole.nerves.items()
        }
        muscles = {
            key: replace(
                muscle,
                nerves=tuple(nerves[nerve.name] for nerve in muscle.nerves),
                also_nerves=tuple(nerves[nerve.name] for nerve in muscle.also_nerves),
                **self.muscles.get(key, {}),
            )
            for key, muscle in whole.muscles.items()
        }
        collectives = {
            key: replace(
                item,
                muscles=tuple(muscles[muscle.full_name] for muscle in item.muscles),
                **self.collectives.get(key, {}),
            )
            for key, item in whole.collectives.items()
        }
        return replace(whole, muscles=muscles, nerves=nerves, collectives=collectives)

    def motion(self, facts: GroupFacts) -> GroupFacts:
        """Return the facts of a motion with the changes."""
        return replace(facts, **self.motions.get(f"{facts.joint} {facts.motion}", {}))


def muscles_named(name: str, whole: Atlas) -> frozenset[str]:
    """Return the keys that a name stands for: a part, all parts of a muscle, the members of a collective name."""
    if name in whole.muscles:
        return frozenset([name])
    if name in whole.collectives:
        return frozenset(muscle.full_name for muscle in whole.collectives[name].muscles)
    return frozenset(key for key, muscle in whole.muscles.items() if muscle.name == name)


def read_overlay(path: Path, whole: Atlas) -> Overlay:
    """Read a teacher's file and check it against the atlas.

    Raises
    ------
    BadSettingsError
        The file cannot be read, or a name, row or column is not known; the message says which and suggests
        the nearest.
    """
    content = _load(path)
    for table in content:
        if table not in _TABLES:
            raise BadSettingsError(f"{path}: there is no table {table!r}; {_hint(table, _TABLES)}")
    file = _File(path, content)
    muscles = {
        key: _muscle_changes(row, whole.muscles[key])
        for key, row in file.rows("muscle", whole.muscles, (*_MUSCLE, _ROOTS))
    }
    nerves = {
        key: _nerve_changes(row, whole.nerves[key]) for key, row in file.rows("nerve", whole.nerves, (*_NERVE, _ROOTS))
    }
    collectives = {
        key: _collective_changes(row, whole.collectives[key])
        for key, row in file.rows("collective", whole.collectives, _COLLECTIVE)
    }
    motion_names = [f"{joint} {motion}" for joint in Joint for motion in Motion if facts_of_motion(joint, motion)]
    motions = {key: _texts(row, _MOTION) for key, row in file.rows("motion", motion_names, _MOTION)}
    overlay = Overlay(file.only(whole), muscles, nerves, collectives, motions, file.words(whole))
    laid = overlay.laid_over(whole, whole.muscles)
    _refuse_same_names(path, "muscle", {key: muscle.full_name for key, muscle in laid.muscles.items()})
    _refuse_same_names(path, "nerve", {key: nerve.name for key, nerve in laid.nerves.items()})
    _refuse_same_names(path, "collective", {key: item.name for key, item in laid.collectives.items()})
    return overlay


def _load(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise BadSettingsError(
            f"The anatomy file {path} cannot be read ({error.strerror}); check the path after --anatomy."
        ) from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise BadSettingsError(f"The anatomy file {path} is not valid TOML: {error}; correct that line.") from None


@dataclass(frozen=True, slots=True)
class _File:
    """A teacher's file as TOML gives it."""

    path: Path
    content: Mapping[str, Any]

    def table(self, name: str) -> dict[str, Any]:
        table = self.content.get(name, {})
        if not isinstance(table, dict):
            raise BadSettingsError(f"{self.path}: write {name} as a table, [{name}]")
        return table

    def rows(self, kind: str, known: Iterable[str], columns: Iterable[str]) -> Iterable[tuple[str, Row]]:
        """Return the rows of one table by their key of the atlas."""
        names = tuple(known)
        for key, cells in self.table(kind).items():
            if key not in names:
                raise BadSettingsError(f"{self.path}: there is no {kind} {key!r} in the atlas; {_hint(key, names)}")
            if not isinstance(cells, dict):
                raise BadSettingsError(f'{self.path}: write [{kind}."{key}"] as a table with its columns below')
            yield key, Row(f"{self.path}, {kind} ({key})", cells, tuple(columns))

    def only(self, whole: Atlas) -> frozenset[str]:
        """Return the keys of the muscles that are taught."""
        if "only" not in self.content:
            return frozenset()
        names = Row(f"{self.path}, list of muscles", {"only": self.content["only"]}, ("only",)).texts("only")
        found: set[str] = set()
        for name in names:
            keys = muscles_named(name, whole)
            if not keys:
                known = (*whole.muscles, *whole.collectives, *(muscle.name for muscle in whole.muscles.values()))
                raise BadSettingsError(f"{self.path}, only: there is no muscle {name!r}; {_hint(name, known)}")
            found |= keys
        return frozenset(found)

    def words(self, whole: Atlas) -> Words:
        """Return what is said instead of fixed words."""
        known = FIXED_WORDS | _words_of(whole)
        cells = self.table("words")
        for word in cells:
            if word not in known:
                raise BadSettingsError(f"{self.path}, words: {word!r} is said nowhere; {_hint(word, known)}")
        row = Row(f"{self.path}, words", cells, tuple(cells))
        return Words({word: row.text(word) for word in cells})


def _words_of(whole: Atlas) -> frozenset[str]:
    """Words that the data files add to the fixed ones."""
    conditions = (action.condition for muscle in whole.muscles.values() for action in muscle.actions)
    regions = (muscle.region for muscle in whole.muscles.values())
    parents = (nerve.parent for nerve in whole.nerves.values() if nerve.parent not in whole.nerves)
    return frozenset((*conditions, *regions, *parents)) - {""}


def _texts(row: Row, columns: Mapping[str, str]) -> dict[str, Any]:
    given = {name: row.optional_text(column) for column, name in columns.items()}
    return {name: text for name, text in given.items() if text}


def _muscle_changes(row: Row, muscle: Muscle) -> dict[str, Any]:
    """Return changed fields; a short form that is not given follows the long one."""
    changes = _texts(row, _MUSCLE)
    if row.optional_text(_ROOTS):
        changes |= {"roots": row.roots(_ROOTS), "other_roots": ()}
    if "name" in changes or "part" in changes:
        # a new name leaves no English part behind
        changes.setdefault("part", "" if "name" in changes else muscle.part)
        changes.setdefault("label", full_name(changes.get("name", muscle.name), changes["part"]))
    for end in ("proximal", "distal"):
        if f"{end}_attachment" in changes and getattr(muscle, f"{end}_short"):
            changes.setdefault(f"{end}_short", changes[f"{end}_attachment"])
    return changes


def _nerve_changes(row: Row, nerve: Nerve) -> dict[str, Any]:
    changes = _texts(row, _NERVE)
    if row.optional_text(_ROOTS):
        changes["roots"] = row.roots(_ROOTS)
    if "name" in changes:
        changes.setdefault("short", changes["name"])
    return changes


def _collective_changes(row: Row, item: Collective) -> dict[str, Any]:
    changes = _texts(row, _COLLECTIVE)
    if "name" in changes:
        changes.setdefault("label", changes["name"])
    return changes


def _refuse_same_names(path: Path, kind: str, names: Mapping[str, str]) -> None:
    seen: dict[str, str] = {}
    for key, name in names.items():
        if name in seen:
            raise BadSettingsError(
                f"{path}, {kind} ({key}), column 'name': {name!r} is the name of {seen[name]!r} already; "
                "give each its own name or part"
            )
        seen[name] = key


def _hint(word: str, known: Iterable[str]) -> str:
    near = difflib.get_close_matches(word, tuple(known), n=1, cutoff=0.5)
    return f"did you mean {near[0]!r}?" if near else "see 'motionlabel facts' for the names"
