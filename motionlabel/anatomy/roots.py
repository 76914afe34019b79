"""Spinal roots: ``"L5-S2"``, ``"(C4) C5-C6"``, ``"segmental"``, ``"CN XI"``.

Roots in brackets are given by some sources only; a label leaves them out.
"""

import re
from dataclasses import dataclass

LEVELS: tuple[str, ...] = tuple(
    f"{region}{level}" for region, count in (("C", 8), ("T", 12), ("L", 5), ("S", 5)) for level in range(1, count + 1)
)
"""Spinal nerves from head to tail."""

_SEGMENTAL = "segmental"
_CRANIAL = re.compile(r"CN [IVX]+")
_PIECE = re.compile(r"(?P<open>\()?(?P<first>[CTLS]\d+)(?:-(?P<last>[CTLS]\d+))?(?P<close>\))?")


@dataclass(frozen=True, slots=True)
class Roots:
    """The roots of a nerve or muscle.

    Attributes
    ----------
    levels
        Spinal nerves from head to tail; empty where the supply is segmental or cranial.
    also
        Spinal nerves that only some sources give.
    special
        ``"segmental"``, a cranial nerve such as ``"CN XI"``, or empty.
    """

    levels: tuple[str, ...]
    also: tuple[str, ...] = ()
    special: str = ""

    @property
    def text(self) -> str:
        """The form on a label, e.g. ``"L5-S2"`` or ``"C5, C7-T1"``; what only some give is left out."""
        return self.special or _spell(self.levels)


def roots_in_full(roots: Roots, others: tuple[Roots, ...]) -> str:
    """Return roots with what other texts give, e.g. ``"L5-S2; some texts L5-S1"``.

    Parameters
    ----------
    roots
        As most give them; those in brackets become ``"some texts C4-C6"``.
    others
        What single texts give instead.
    """
    readings = [other.text for other in others]
    if roots.also:
        wider = {*roots.levels, *roots.also}
        readings.insert(0, _spell(tuple(level for level in LEVELS if level in wider)))
    readings = [reading for reading in dict.fromkeys(readings) if reading != roots.text]
    return "; ".join([roots.text, *(f"some texts {reading}" for reading in readings)])


def roots_from_text(text: str) -> Roots:
    """Read roots as the anatomy files write them.

    Raises
    ------
    ValueError
        A piece is not a spinal nerve or an ascending range of them.
    """
    if text == _SEGMENTAL or _CRANIAL.fullmatch(text):
        return Roots(levels=(), special=text)
    sure: list[str] = []
    doubtful: list[str] = []
    for piece in text.split():
        match = _PIECE.fullmatch(piece)
        if match is None or bool(match["open"]) != bool(match["close"]):
            raise ValueError(f"{piece!r} is not a root; write L5-S2, (C4) C5-C6, segmental or CN XI")
        (doubtful if match["open"] else sure).extend(_range(match["first"], match["last"] or match["first"]))
    if not sure:
        raise ValueError(f"{text!r} names no root outside brackets")
    return Roots(levels=tuple(sure), also=tuple(doubtful))


def union(first: Roots, second: Roots) -> Roots:
    """Return the roots of two supplies together; what either surely has is sure."""
    special = first.special or second.special
    if special and first != second:
        raise ValueError(f"{first.special or first.levels} and {second.special or second.levels} cannot be joined")
    sure = {*first.levels, *second.levels}
    doubtful = {*first.also, *second.also} - sure
    return Roots(
        levels=tuple(level for level in LEVELS if level in sure),
        also=tuple(level for level in LEVELS if level in doubtful),
        special=special,
    )


def _range(first: str, last: str) -> tuple[str, ...]:
    for level in (first, last):
        if level not in LEVELS:
            raise ValueError(f"there is no spinal nerve {level}")
    start, stop = LEVELS.index(first), LEVELS.index(last)
    if stop < start:
        raise ValueError(f"{first}-{last} runs from tail to head")
    return LEVELS[start : stop + 1]


def _spell(levels: tuple[str, ...]) -> str:
    runs: list[list[str]] = []
    for level in levels:
        if runs and LEVELS.index(level) == LEVELS.index(runs[-1][-1]) + 1:
            runs[-1].append(level)
        else:
            runs.append([level])
    return ", ".join(run[0] if len(run) == 1 else f"{run[0]}-{run[-1]}" for run in runs)
