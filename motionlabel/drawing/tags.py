"""Names beside the body, tied to what they name by a thin line; only where there is room, and each holds still.

A name never covers the body at any time while it is shown; one without room nearby is left out.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from motionlabel.anatomy import Muscle
from motionlabel.drawing.canvas import Canvas
from motionlabel.drawing.lines import sampled
from motionlabel.drawing.muscles import BodyPart, BonePart, MusclePart, NervePart
from motionlabel.drawing.parts import Instant, short_of
from motionlabel.drawing.placement import anchor_of
from motionlabel.drawing.plan import Label
from motionlabel.drawing.shapes import Box, CardImage, Polyline, Shape, TextCard
from motionlabel.drawing.space import share_covered
from motionlabel.drawing.targets import JOINT, Target
from motionlabel.drawing.theme import Colour, Theme
from motionlabel.drawing.typeset import Scale, measures, set_tag

# own conventions
MOST_NAMES = 5
"""Names at once; more are not read."""
# how far from what it names, shares of the shorter side
_REACH = 0.32
_REACH_NERVE = 0.24
_REACH_BONE = 0.18
_CROSSING = 0.25  # cost of crossing the line of another name, in the same unit
_THROUGH = 0.6  # cost of a line that passes another name or card


@dataclass(frozen=True, slots=True)
class Taken:
    """A box that is taken from frame ``start`` up to ``stop``."""

    box: Box
    start: int
    stop: int


@dataclass(frozen=True, slots=True, eq=False)
class TagPart:
    """A name in a fixed place with a line to what it names."""

    named: BodyPart
    card: CardImage
    box: Box
    start: int
    stop: int
    line_px: float
    gap_px: float

    def place(self, instant: Instant, theme: Theme) -> Iterable[Shape]:
        """Return line and card."""
        if not (self.start <= instant.frame < self.stop and instant.has_person):
            return
        point = self.named.point_at(instant.frame)
        if point is None:
            return
        start = anchor_of(self.box, point)
        yield Polyline((start, short_of(start, point, self.gap_px)), theme.text, theme.casing, self.line_px)
        yield TextCard(self.box.x, self.box.y, self.card)


def tag_parts(
    canvas: Canvas,
    body: Sequence[BodyPart],
    targets: Sequence[Target],
    taken: Sequence[Taken],
    silent: Sequence[Label],
) -> tuple[TagPart, ...]:
    """Name what is drawn on the body, as far as there is room.

    Parameters
    ----------
    canvas
        The annotated picture.
    body
        What is drawn on the body.
    targets
        Where the labels point; joints and numbers stay free.
    taken
        Cards that have their place already.
    silent
        Labels whose card had no room for the names of its muscles.
    """
    placed: list[TagPart] = []
    for part in _in_turn(body, silent):
        for words in _words(part):
            if len(placed) < MOST_NAMES and not any(tag.named is part for tag in placed):
                placed += _placed(canvas, part, words, targets, taken, placed)
    return tuple(placed)


def after_notes(tags: Sequence[TagPart], passing: Sequence[Taken]) -> tuple[TagPart, ...]:
    """Return the names, each shown only when the caution and the notes that it meets have gone."""
    shown = []
    for tag in tags:
        met = [card.stop for card in passing if card.box.meets(tag.box) and card.start < tag.stop]
        start = max([tag.start, *(stop for stop in met if stop > tag.start)])
        if start < tag.stop:
            shown.append(replace(tag, start=start))
    return tuple(shown)


def seen_on_body(body: Sequence[BodyPart], tags: Sequence[TagPart]) -> tuple[BodyPart, ...]:
    """Return what is drawn on the body: a bone point only if its name found room, as a mere dot teaches nothing."""
    named = {id(tag.named) for tag in tags}
    return tuple(part for part in body if not isinstance(part, BonePart) or id(part) in named)


def _in_turn(body: Sequence[BodyPart], silent: Sequence[Label]) -> list[BodyPart]:
    """Return the parts in the order in which they are named: muscles first, then nerves, then bone points.

    Of the muscles those go first that no card names.
    """

    def turn(part: BodyPart) -> int:
        match part:
            case MusclePart():
                return 1 if part.label not in silent else 0
            case BonePart():
                return 3
        return 2

    return sorted(body, key=turn)


def _words(part: BodyPart) -> tuple[str, ...]:
    """Return what is written, the longer form first."""
    if isinstance(part, BonePart):
        return (part.name,)
    if isinstance(part, NervePart):
        return (part.taught.nerve.name,)
    item = part.taught.item
    name = item.label if isinstance(item, Muscle) else item.name
    return (f"{name}\n{part.length_words}", name) if part.length_words else (name,)


def _reach(part: BodyPart) -> float:
    match part:
        case BonePart():
            return _REACH_BONE
        case NervePart():
            return _REACH_NERVE
    return _REACH


def _swatch(part: BodyPart, theme: Theme) -> tuple[Colour, Colour]:
    if isinstance(part, BonePart):
        return theme.tendon, theme.casing
    return (theme.muscle, theme.tendon) if isinstance(part, MusclePart) else (theme.nerve, theme.nerve_rim)


def _placed(
    canvas: Canvas,
    part: BodyPart,
    words: str,
    targets: Sequence[Target],
    taken: Sequence[Taken],
    placed: Sequence[TagPart],
) -> list[TagPart]:
    start, stop = part.start, part.label.stop
    points = [point for frame in sampled(start, stop) if (point := part.point_at(frame)) is not None]
    if not points or any(
        _words(tag.named)[-1] == _words(part)[-1] and tag.start < stop and start < tag.stop for tag in placed
    ):
        return []
    goal = np.mean(points, axis=0)
    sizes = measures(canvas.theme, canvas.shorter, Scale.SMALLEST)
    card = set_tag(words, sizes, canvas.theme, *_swatch(part, canvas.theme))
    space = canvas.space(start, stop)
    for target in targets:
        if target.label.start < stop and start < target.label.stop:
            space = target.keep(space, start, stop, JOINT * canvas.stature, canvas.number_px)
    boxes = [one.box for one in taken if one.start < stop and start < one.stop]
    others = [tag for tag in placed if tag.start < stop and start < tag.stop]
    for box in (*boxes, *(tag.box for tag in others)):
        space = space.with_card(box, max(2, sizes.margin // 2))
    spots = _spots(canvas, card, sizes.margin, goal)
    free = (share_covered(space.kept_table, spots, card.width, card.height, space.cell) == 0) & (
        share_covered(space.body_table, spots, card.width, card.height, space.cell) == 0
    )
    spots = spots[free]
    if not len(spots):
        return []
    near = np.clip(goal, spots, spots + np.array([card.width - 1, card.height - 1]))
    away = np.hypot(*(near - goal).T) / canvas.shorter
    cost = away + _THROUGH * _passes(near, goal, boxes + [tag.box for tag in others])
    for tag in others:
        end = np.mean([p for f in sampled(start, stop) if (p := tag.named.point_at(f)) is not None] or [goal], axis=0)
        cost = cost + _CROSSING * _cross(near, goal, np.array(anchor_of(tag.box, tuple(end.tolist()))), end)
    best = int(np.argmin(cost))
    if cost[best] > _reach(part):
        return []
    x, y = spots[best].tolist()
    gap = (
        part.dot_px
        if isinstance(part, BonePart)
        else 0.8 * max(look.half_px for look in part.looks.values())
        if isinstance(part, MusclePart)
        else 0.0
    )
    return [TagPart(part, card, Box(x, y, card.width, card.height), start, stop, canvas.line_px * 0.4, gap)]


def _spots(canvas: Canvas, card: CardImage, margin: int, goal: NDArray) -> NDArray[np.int_]:
    """Return (S, 2) corners of a card all about what it names."""
    reach = _REACH * canvas.shorter
    step = max(2, canvas.shorter // 120)
    low = np.maximum(goal - reach - (card.width, card.height), margin)
    high = np.minimum(goal + reach, (canvas.width - margin - card.width, canvas.height - margin - card.height))
    xs, ys = (np.arange(low[i], high[i] + 1, step).astype(int) for i in (0, 1))
    return np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)


def _passes(starts: NDArray, stop: NDArray, boxes: Sequence[Box]) -> NDArray[np.float64]:
    """Return 1 for every line from a start to one stop that passes a box."""
    share = np.linspace(0.05, 0.95, 19)[None, :, None]
    way = starts[:, None] * (1 - share) + stop * share
    hit = np.zeros(len(starts), dtype=bool)
    for box in boxes:
        across = (way[..., 0] >= box.x) & (way[..., 0] < box.right)
        hit |= (across & (way[..., 1] >= box.y) & (way[..., 1] < box.bottom)).any(axis=1)
    return hit.astype(float)


def _cross(starts: NDArray, stop: NDArray, other_start: NDArray, other_stop: NDArray) -> NDArray[np.float64]:
    def side(a: NDArray, b: NDArray, c: NDArray) -> NDArray:
        along, off = b - a, c - a
        return np.sign(along[..., 0] * off[..., 1] - along[..., 1] * off[..., 0])

    apart = side(starts, stop, other_start) != side(starts, stop, other_stop)
    across = side(other_start, other_stop, starts) != side(other_start, other_stop, stop)
    return (apart & across).astype(float)
