"""The lines of action of all muscles, read once from the files of ``paths/`` and checked."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from functools import cache
from itertools import pairwise
from pathlib import Path
from types import MappingProxyType

import numpy as np

from motionlabel.anatomy import Muscle, atlas
from motionlabel.anatomy.atlas import find
from motionlabel.anatomy.table import Row, read_rows
from motionlabel.musculature.bone import Bone, Hinge
from motionlabel.musculature.line import Line, Origin, PathPoint

FOLDER = Path(__file__).parent / "paths"

_LINE = ("muscle", "name", "source", "points")
_POINT = ("bone", "at", "source", "while", "from_deg", "to_deg", "moves_with", "track", "drawn_only")

_FARTHEST = 2.5
"""No point of a muscle lies farther from the origin of its bone's frame, in lengths (own convention)."""


def lines_of(muscle: Muscle) -> tuple[Line, ...]:
    """Return the lines of action of a muscle; empty where none is known (``README.md`` lists them).

    Raises
    ------
    BadSettingsError
        A row of the files is wrong; the message names file, row and column.
    """
    return _lines().get(muscle.full_name, ())


def all_lines() -> Mapping[str, tuple[Line, ...]]:
    """Return the lines of every muscle that has one, by its full name. Errors as ``lines_of``."""
    return _lines()


@cache
def _lines() -> Mapping[str, tuple[Line, ...]]:
    return read_lines(sorted(FOLDER.glob("*.toml")), atlas().muscles)


def read_lines(files: Sequence[Path], muscles: Mapping[str, Muscle]) -> Mapping[str, tuple[Line, ...]]:
    """Read lines of action.

    Parameters
    ----------
    files
        TOML files of ``[[line]]`` rows.
    muscles
        The muscles of the atlas by full name.

    Raises
    ------
    BadSettingsError
        A row is wrong; the message names file, row and column.
    """
    found: dict[str, list[Line]] = defaultdict(list)
    for path in files:
        for row in read_rows(path, "line", _LINE):
            line = _line(row, muscles)
            if line.name in {other.name for other in found[line.muscle]}:
                row.refuse("name", f"{line.muscle!r} has a line {line.name!r} already")
            found[line.muscle].append(line)
    return MappingProxyType({muscle: tuple(lines) for muscle, lines in found.items()})


def _line(row: Row, muscles: Mapping[str, Muscle]) -> Line:
    muscle = find(muscles, row.text("muscle"), row, "muscle")
    source = row.choice("source", Origin)
    points = tuple(_point(inner, source) for inner in row.rows("points", _POINT))
    if len(points) < 2:
        row.refuse("points", "a line needs at least two points")
    for end in (points[0], points[-1]):
        if end.hinge is not None and end.track is None:
            row.refuse("points", "an attachment cannot come and go with an angle")
    return Line(muscle.full_name, row.optional_text("name"), points)


def _point(row: Row, source: Origin) -> PathPoint:
    bone = row.choice("bone", Bone)
    origin = row.optional_choice("source", Origin) or source
    moves_with = row.optional_choice("moves_with", Hinge)
    if moves_with is not None:
        track = row.table("track", 4)
        if len(track) < 2 or any(b[0] <= a[0] for a, b in pairwise(track)):
            row.refuse("track", "at least two rows with growing angles are needed")
        values = np.array(track)
        _check_near(row, "track", values[:, 1:])
        return PathPoint(
            bone, values[0, 1:], origin, moves_with, (-np.inf, np.inf), np.radians(values[:, 0]), values[:, 1:]
        )
    at = np.array(row.numbers("at", 3))
    _check_near(row, "at", at)
    hinge = row.optional_choice("while", Hinge)
    if hinge is None:
        return PathPoint(bone, at, origin, drawn_only=row.flag("drawn_only"))
    low, high = row.number("from_deg"), row.number("to_deg")
    if low >= high:
        row.refuse("to_deg", f"{high:g} is not above from_deg {low:g}")
    return PathPoint(bone, at, origin, hinge, (np.radians(low), np.radians(high)))


def _check_near(row: Row, column: str, at: np.ndarray) -> None:
    if not np.isfinite(at).all() or np.abs(at).max() > _FARTHEST:
        row.refuse(column, f"a point more than {_FARTHEST:g} bone lengths away is a slip")
