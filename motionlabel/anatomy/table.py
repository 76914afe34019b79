"""Reading a TOML file of rows, so that a slip is reported with file, row and column."""

import difflib
import tomllib
from collections.abc import Sequence
from enum import StrEnum
from pathlib import Path
from typing import Any, NoReturn, TypeVar

from motionlabel.anatomy.roots import Roots, roots_from_text
from motionlabel.errors import BadSettingsError

Choice = TypeVar("Choice", bound=StrEnum)


class Row:
    """One row of an anatomy file; its columns are taken by name and type.

    Parameters
    ----------
    place
        File and row for messages, e.g. ``"hip.toml, muscle 3 (gluteus medius)"``.
    cells
        The columns as TOML gives them.
    columns
        The columns such a row may have.

    Raises
    ------
    BadSettingsError
        A column is unknown.
    """

    def __init__(self, place: str, cells: dict[str, Any], columns: Sequence[str]) -> None:
        self.place = place
        self._cells = cells
        for column in cells:
            if column not in columns:
                near = difflib.get_close_matches(column, columns, n=1)
                self.refuse(column, f"there is no such column{f'; did you mean {near[0]!r}?' if near else ''}")

    def refuse(self, column: str, why: str) -> NoReturn:
        """Raise the error that names file, row and column."""
        raise BadSettingsError(f"{self.place}, column {column!r}: {why}")

    def text(self, column: str) -> str:
        """Return a text that must be there."""
        value = self._cells.get(column)
        if not isinstance(value, str) or not value.strip():
            self.refuse(column, "a text is needed here" if value is None else f"{value!r} is not a text")
        return value

    def optional_text(self, column: str) -> str:
        """Return a text, or an empty one where the column is left out."""
        return self.text(column) if column in self._cells else ""

    def number(self, column: str) -> float:
        """Return a number that must be there."""
        value = self._cells.get(column)
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.refuse(column, "a number is needed here" if value is None else f"{value!r} is not a number")
        return float(value)

    def optional_number(self, column: str) -> float | None:
        """Return a number, or ``None`` where the column is left out."""
        return self.number(column) if column in self._cells else None

    def flag(self, column: str) -> bool:
        """Return true or false; false where the column is left out."""
        value = self._cells.get(column, False)
        if not isinstance(value, bool):
            self.refuse(column, f"{value!r} is neither true nor false")
        return value

    def numbers(self, column: str, count: int) -> tuple[float, ...]:
        """Return a list of so many numbers."""
        return self._numbers(column, self._cells.get(column), count)

    def table(self, column: str, count: int) -> tuple[tuple[float, ...], ...]:
        """Return a list of lists of so many numbers each."""
        value = self._cells.get(column)
        if not isinstance(value, list) or not value:
            self.refuse(column, f"a list of lists of {count} numbers is needed here")
        return tuple(self._numbers(column, item, count) for item in value)

    def _numbers(self, column: str, value: Any, count: int) -> tuple[float, ...]:
        numbers = value if isinstance(value, list) else []
        if len(numbers) != count or any(isinstance(n, bool) or not isinstance(n, int | float) for n in numbers):
            self.refuse(column, f"{count} numbers are needed here")
        return tuple(float(n) for n in numbers)

    def texts(self, column: str) -> tuple[str, ...]:
        """Return a list of at least one text."""
        value = self._cells.get(column)
        if not isinstance(value, list) or not value or not all(isinstance(item, str) and item for item in value):
            self.refuse(column, "a list of texts is needed here")
        return tuple(value)

    def optional_texts(self, column: str) -> tuple[str, ...]:
        """Return a list of texts, or an empty one where the column is left out."""
        return self.texts(column) if column in self._cells else ()

    def choice(self, column: str, choices: type[Choice]) -> Choice:
        """Return one of the words of an enum."""
        word = self.text(column)
        if word not in list(choices):
            near = difflib.get_close_matches(word, [str(choice) for choice in choices], n=1)
            self.refuse(column, f"{word!r} is not known; {f'did you mean {near[0]!r}?' if near else list_of(choices)}")
        return choices(word)

    def optional_choice(self, column: str, choices: type[Choice]) -> Choice | None:
        """Return one of the words of an enum, or ``None`` where the column is left out."""
        return self.choice(column, choices) if column in self._cells else None

    def optional_choices(self, column: str, choices: type[Choice]) -> tuple[Choice, ...]:
        """Return words of an enum, or none where the column is left out."""
        words = self.optional_texts(column)
        return tuple(Row(self.place, {column: word}, (column,)).choice(column, choices) for word in words)

    def roots(self, column: str) -> Roots:
        """Return spinal roots."""
        try:
            return roots_from_text(self.text(column))
        except ValueError as error:
            self.refuse(column, str(error))

    def optional_roots(self, column: str) -> tuple[Roots, ...]:
        """Return a list of spinal roots, or an empty one where the column is left out."""
        try:
            return tuple(roots_from_text(text) for text in self.optional_texts(column))
        except ValueError as error:
            self.refuse(column, str(error))

    def rows(self, column: str, columns: Sequence[str]) -> tuple["Row", ...]:
        """Return a list of at least one inner row."""
        value = self._cells.get(column)
        if not isinstance(value, list) or not value or not all(isinstance(item, dict) for item in value):
            self.refuse(column, "a list of { ... } is needed here")
        return tuple(Row(f"{self.place}, {column} {i}", item, columns) for i, item in enumerate(value, start=1))

    def optional_rows(self, column: str, columns: Sequence[str]) -> tuple["Row", ...]:
        """Return a list of inner rows, or an empty one where the column is left out."""
        return self.rows(column, columns) if column in self._cells else ()


def list_of(choices: type[StrEnum]) -> str:
    """Return the words of an enum as a sentence part."""
    return f"use one of {', '.join(choices)}"


def _load(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise BadSettingsError(f"{path.name} is missing from {path.parent}; install motionlabel again") from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise BadSettingsError(f"{path.name} is not valid TOML: {error}; correct that line") from None


def read_rows(path: Path, kind: str, columns: Sequence[str]) -> tuple[Row, ...]:
    """Return the ``[[kind]]`` rows of a file.

    Raises
    ------
    BadSettingsError
        The file is missing or is not TOML, holds something else, or a column is unknown.
    """
    content = _load(path)
    rows = content.get(kind)
    if set(content) != {kind} or not isinstance(rows, list):
        raise BadSettingsError(f"{path.name} must hold nothing but [[{kind}]] rows")
    return tuple(
        Row(f"{path.name}, {kind} {i} ({_title(cells)})", cells, columns) for i, cells in enumerate(rows, start=1)
    )


def _title(cells: dict[str, Any]) -> Any:
    return next((cells[column] for column in ("muscle", "nerve", "name", "motion") if cells.get(column)), "no name")


def read_named_rows(path: Path, columns: Sequence[str]) -> dict[str, Row]:
    """Return the ``[key]`` tables of a file by their key.

    Raises
    ------
    BadSettingsError
        As ``read_rows``.
    """
    content = _load(path)
    for key, cells in content.items():
        if not isinstance(cells, dict):
            raise BadSettingsError(f"{path.name}: {key!r} must be a [{key}] table")
    return {key: Row(f"{path.name}, {key}", cells, columns) for key, cells in content.items()}
