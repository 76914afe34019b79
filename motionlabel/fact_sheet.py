"""Fact sheets as text for people and as JSON for machines."""

import io
import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from rich.console import Console
from rich.padding import Padding
from rich.table import Table as RichTable
from rich.text import Text

from motionlabel.anatomy.sheet import Cell, Sheet, Table
from motionlabel.anatomy.topic import Answer
from motionlabel.anatomy.words import Words

WIDTH = 80
"""Columns of a text that goes to a file."""


def facts_text(answer: Answer, sheets: Sequence[Sheet], words: Words, width: int = WIDTH, styled: bool = False) -> str:
    """Return fact sheets as text.

    Parameters
    ----------
    answer, sheets
        How the question was understood, and the sheets.
    words
        What is said instead of the fixed words.
    width
        Columns.
    styled
        Whether headings are set off by control codes of a terminal.
    """
    page = io.StringIO()
    console = Console(
        file=page,
        width=width,
        force_terminal=styled,
        no_color=True,
        color_system="standard" if styled else None,
        highlight=False,
        emoji=False,
        markup=False,
        legacy_windows=False,
    )
    if reading := reading_of(answer):
        console.print(Text(f"{reading}\n"))
    for place, sheet in enumerate(sheets):
        if place:
            console.print()
        kind = "" if sheet.name == words(sheet.kind) else f" ({words(sheet.kind)})"
        console.print(Text(f"{sheet.name}{kind}", style="bold"))
        numbers = {source.key: number for number, source in enumerate(sheet.sources, start=1)}
        if sheet.facts:
            console.print(_facts(sheet, words))
        for table in sheet.tables:
            console.print(Text(f"\n{_heading(table.key, words)}", style="bold"))
            console.print(Padding(_grid(table, numbers, words, width), (0, 0, 0, len(_INDENT))))
        console.print(Text(f"\n{_heading('sources', words)}", style="bold"))
        console.print(_citations(sheet, words))
    # what rich pads with blanks to the width is of no use in a file
    return "\n".join(line.rstrip() for line in page.getvalue().splitlines())


def reading_of(answer: Answer) -> str:
    """Return how a question was read where that differs from how it was asked; else an empty text."""
    if answer.is_guess:
        return f"Nothing is called {answer.query!r}. Did you mean {answer.read_as!r}? This is what is known of it:"
    return f"{answer.query!r} is read as {answer.read_as!r}." if answer.read_as else ""


def facts_json(answer: Answer, sheets: Sequence[Sheet]) -> str:
    """Return fact sheets as JSON; the keys are stable, see README.md."""
    document = {
        "query": answer.query,
        "read_as": answer.read_as or answer.query,
        "is_guess": answer.is_guess,
        "sheets": [_document(sheet) for sheet in sheets],
    }
    return json.dumps(document, indent=2, ensure_ascii=False)


def _document(sheet: Sheet) -> dict[str, Any]:
    return {
        "kind": str(sheet.kind),
        "name": sheet.name,
        "facts": dict(sheet.facts),
        "tables": {table.key: [dict(zip(table.columns, row)) for row in table.rows] for table in sheet.tables},
        "sources": [
            {
                "key": source.key,
                "citation": source.citation,
                "reading": str(source.reading),
                "licence": source.licence,
                "address": source.address,
            }
            for source in sheet.sources
        ],
    }


def _heading(key: str, words: Words) -> str:
    said = words(key.replace("_", " "))
    return said[:1].upper() + said[1:]


def _said(cell: Cell) -> str:
    return cell if isinstance(cell, str) else ", ".join(cell)


def _facts(sheet: Sheet, words: Words) -> RichTable:
    grid = RichTable.grid(padding=(0, 2, 0, 0))
    grid.add_column(no_wrap=True)
    grid.add_column()
    for key, value in sheet.facts:
        texts = (value,) if isinstance(value, str) else value
        said = "\n".join(texts) if any(len(text) > _LONG for text in texts) else _said(value)
        grid.add_row(Text(f"  {_heading(key, words)}", style="dim"), Text(said))
    return grid


_INDENT = "  "
_GAP = 2
"""Blanks before a table, and between its columns."""

_SOURCES = "sources"
"""The column whose keys become numbers of the list at the end."""

_LONG = 40
"""Texts of a list that are longer stand on lines of their own (own convention)."""


def _citations(sheet: Sheet, words: Words) -> RichTable:
    grid = RichTable.grid(padding=(0, 1, 0, 0))
    grid.add_column(justify="right", width=4)
    grid.add_column()
    for number, source in enumerate(sheet.sources, start=1):
        grid.add_row(f"{number}", Text(f"{source.citation} ({words(source.reading)})"))
    return grid


def _runs(numbers: Iterable[int]) -> str:
    """Return numbers in short, e.g. ``"1-3, 7"``."""
    runs: list[list[int]] = []
    for number in sorted(numbers):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(f"{run[0]}-{run[-1]}" if len(run) > 1 else f"{run[0]}" for run in runs)


def _grid(table: Table, numbers: Mapping[str, int], words: Words, width: int) -> RichTable:
    """Return a table with sources as numbers; columns in which nothing stands are left out."""
    used = [i for i in range(len(table.columns)) if any(row[i] for row in table.rows)]
    headings = [_heading(table.columns[i], words) for i in used]
    rows = [
        [_runs(numbers[key] for key in row[i]) if table.columns[i] == _SOURCES else _said(row[i]) for i in used]
        for row in table.rows
    ]
    room = width - len(_INDENT) - len(used) * _GAP
    grid = RichTable(box=None, padding=(0, _GAP, 0, 0), pad_edge=False, header_style="dim")
    for heading, chars in zip(headings, _widths(list(zip(headings, *rows)), room)):
        grid.add_column(heading, overflow="fold", width=chars)
    for row in rows:
        grid.add_row(*(Text(cell) for cell in row))
    return grid


def _widths(columns: Sequence[Sequence[str]], room: int) -> list[int]:
    """Return widths that break no word if there is room, and give the rest to the columns that lack most."""
    whole = [max(len(text) for text in texts) for texts in columns]
    widths = [max(len(word) for text in texts for word in text.split()) for texts in columns]
    while sum(widths) > room:
        widths[widths.index(max(widths))] -= 1
    while sum(widths) < room and widths != whole:
        lacking = [full / width for full, width in zip(whole, widths)]
        widths[lacking.index(max(lacking))] += 1
    return widths
