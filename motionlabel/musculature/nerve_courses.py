"""The courses of the nerves, from the plexus on, read once from ``nerves.toml`` and checked."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType

import numpy as np

from motionlabel.anatomy import Nerve, atlas
from motionlabel.anatomy.atlas import find
from motionlabel.anatomy.table import Row, read_rows
from motionlabel.musculature.bone import Bone
from motionlabel.musculature.line import Origin, PathPoint

FILE = Path(__file__).parent / "nerves.toml"

_COURSE = ("nerve", "after", "leaves_after", "points")
_POINT = ("bone", "at", "landmark")


@dataclass(frozen=True, eq=False)
class Course:
    """Where a nerve runs; own estimate from bony landmarks.

    Attributes
    ----------
    nerve
        Its name in the atlas.
    points
        From the plexus to its end.
    landmarks
        What each point lies beside.
    """

    nerve: str
    points: tuple[PathPoint, ...]
    landmarks: tuple[str, ...]


def course_of(nerve: Nerve) -> Course | None:
    """Return the course of a nerve; ``None`` where none is known.

    Raises
    ------
    BadSettingsError
        A row of the file is wrong; the message names file, row and column.
    """
    return _courses().get(nerve.name)


@cache
def _courses() -> Mapping[str, Course]:
    return read_courses(FILE, atlas().nerves)


def read_courses(path: Path, nerves: Mapping[str, Nerve]) -> Mapping[str, Course]:
    """Read the courses of a file; a nerve that continues another must come after it.

    Raises
    ------
    BadSettingsError
        A row is wrong; the message names file, row and column.
    """
    found: dict[str, Course] = {}
    for row in read_rows(path, "course", _COURSE):
        name = find(nerves, row.text("nerve"), row, "nerve").name
        if name in found:
            row.refuse("nerve", f"{name!r} has a course already")
        inner = row.rows("points", _POINT)
        points, landmarks = tuple(_point(part) for part in inner), tuple(part.text("landmark") for part in inner)
        before = row.optional_text("after")
        if before:
            parent = find(found, before, row, "after")
            shared = round(row.optional_number("leaves_after") or len(parent.points))
            if not 1 <= shared <= len(parent.points):
                row.refuse("leaves_after", f"{before!r} has {len(parent.points)} points")
            points, landmarks = parent.points[:shared] + points, parent.landmarks[:shared] + landmarks
        if len(points) < 2:
            row.refuse("points", "a course needs at least two points")
        found[name] = Course(name, points, landmarks)
    return MappingProxyType(found)


def _point(row: Row) -> PathPoint:
    return PathPoint(row.choice("bone", Bone), np.array(row.numbers("at", 3)), Origin.ESTIMATE)
