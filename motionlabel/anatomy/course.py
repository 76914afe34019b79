"""What a course teaches: the atlas at one level, with a teacher's own file laid over it."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache
from pathlib import Path

from motionlabel.anatomy.atlas import DATA_FOLDER, Atlas, atlas
from motionlabel.anatomy.facts import GroupFacts, read_facts
from motionlabel.anatomy.overlay import Overlay, muscles_named, read_overlay
from motionlabel.anatomy.words import ENGLISH, Words
from motionlabel.body import Joint, Motion, WorkingGroup
from motionlabel.errors import BadSettingsError


class Level(StrEnum):
    """How much of the atlas is taught."""

    ESSENTIAL = "essential"
    COMPLETE = "complete"


def level_named(name: str) -> Level:
    """Return the level of that name; ``ValueError`` lists the choices."""
    if name not in list(Level):
        raise ValueError(f"level must be one of {', '.join(Level)}, not {name!r}")
    return Level(name)


@dataclass(frozen=True, slots=True)
class Course:
    """What labels, summary and fact sheets speak of.

    Attributes
    ----------
    atlas
        Muscles, nerves, collective names and sources. The keys stay those of the atlas; the names may be
        a teacher's own.
    motions
        What is known of each measured motion.
    words
        What is said instead of the fixed words.
    """

    atlas: Atlas
    motions: Mapping[tuple[Joint, Motion], GroupFacts]
    words: Words

    def facts_of(self, group: WorkingGroup) -> GroupFacts:
        """Return what to teach of a working group; its muscles may be none at this level."""
        return next(facts for facts in self.motions.values() if facts.group is group)


@cache
def whole_course() -> Course:
    """Return the complete atlas in its own words; read at the first call."""
    return read_course()


def read_course(level: Level = Level.COMPLETE, own_file: Path | None = None) -> Course:
    """Read what a course teaches.

    Parameters
    ----------
    level
        How much of the atlas; the list of muscles in the own file wins over it.
    own_file
        A teacher's file; ``None`` = the atlas as it is.

    Raises
    ------
    BadSettingsError
        A file cannot be read or a row is wrong; the message names file, row and column.
    """
    whole = atlas()
    overlay = Overlay() if own_file is None else read_overlay(own_file, whole)
    kept = overlay.only or _muscles_of(level, whole)
    told = overlay.laid_over(whole, kept)
    motions = read_facts(DATA_FOLDER / "motions.toml", told)
    muscles = {key: muscle for key, muscle in told.muscles.items() if key in kept}
    taught = frozenset(muscles.values())
    return Course(
        atlas=replace(
            told,
            muscles=muscles,
            nerves={key: nerve for key, nerve in told.nerves.items() if _is_taught(key, told)},
            collectives={
                key: replace(item, muscles=left)
                for key, item in told.collectives.items()
                if (left := tuple(muscle for muscle in item.muscles if muscle in taught))
            },
        ),
        motions={key: overlay.motion(facts.limited_to(taught)) for key, facts in motions.items()},
        words=overlay.words or ENGLISH,
    )


def _is_taught(key: str, told: Atlas) -> bool:
    """Whether a nerve or one of its branches supplies a muscle that is taught."""
    return bool(told.nerves[key].muscles) or any(
        _is_taught(branch, told) for branch, nerve in told.nerves.items() if nerve.parent == key
    )


def _muscles_of(level: Level, whole: Atlas) -> frozenset[str]:
    if level is Level.COMPLETE:
        return frozenset(whole.muscles)
    path = DATA_FOLDER / "levels" / f"{level}.toml"
    names = tomllib.loads(path.read_text(encoding="utf-8"))["muscles"]
    found: set[str] = set()
    for name in names:
        keys = muscles_named(name, whole)
        if not keys:
            raise BadSettingsError(f"{path.name}, muscles: {name!r} is no muscle of the atlas; correct the name")
        found |= keys
    return frozenset(found)
