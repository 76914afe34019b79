"""Places what is said once: the caution of the first seconds, and the note that holds for all labels."""

from collections.abc import Sequence
from dataclasses import dataclass

from motionlabel.drawing.canvas import Canvas
from motionlabel.drawing.parts import AnglePart, CautionPart, LabelPart, NotePart
from motionlabel.drawing.placement import good_places
from motionlabel.drawing.plan import SHORTEST_S, is_hip
from motionlabel.drawing.shapes import Box, CardImage
from motionlabel.drawing.space import Space
from motionlabel.drawing.tags import TagPart
from motionlabel.drawing.targets import JOINT, Target
from motionlabel.drawing.typeset import Scale, measures, set_note
from motionlabel.drawing.wording import Line, caution_lines, notes_for

# widths that are tried, as shares of the shorter side: own convention
_NOTE_WIDTHS = (0.34, 0.50, 0.75, 0.97)
_CAUTION_WIDTHS = (0.30, 0.34, 0.46, 0.62, 0.80, 0.97)

# costs beside those of a place: own conventions
SMALLER = 0.12
"""Of a card in the smallest type."""
AREA = 0.6
"""Of a card as large as the picture."""
_DELAYED = 1.0  # a label of a joint that is held, if it has to wait for the caution to go
_MOVER_DELAYED = 2.0  # a label of a joint that moves likewise
_OVER_JOINT = 0.5  # a caution over a labelled joint
_NOTE_WAITS = 0.1  # a note that has to wait for the caution to go
_NAME_WAITS = 0.5  # a name that has to wait for a note to go
_NOTE_S = 6.0  # a note is read once for a set of labels, then it makes room
_LINE_S = 3.5  # as long for a single line of it
_BRIEF = 0.4  # weight of what the caution covers, as it soon goes


def caution_part(canvas: Canvas, labels: list[LabelPart], targets: list[Target]) -> CautionPart:
    """Place the caution off the head, if possible off labels and joints too; else in the middle of the lower edge."""
    stop = max(1, canvas.caution_frames)
    bare = canvas.space(0, stop)
    apart = bare
    for target in targets:
        apart = target.keep(apart, 0, stop, JOINT * canvas.stature, canvas.number_px)
    shown = [(part.box, _MOVER_DELAYED if part.label.moves else _DELAYED) for part in labels if part.label.start < stop]
    found = [
        (note, over)
        for space, over in ((apart, 0.0), (bare, _OVER_JOINT))
        if (note := _best_note(canvas, space, caution_lines(), _CAUTION_WIDTHS, shown, _BRIEF)) is not None
    ]
    if found:
        note, _ = min(found, key=lambda one: one[0].cost + one[1])
        return CautionPart(note.card, note.box)
    sizes = measures(canvas.theme, canvas.shorter, Scale.SMALLEST)
    card = set_note(caution_lines(), canvas.width - 2 * sizes.margin, sizes, canvas.theme)
    top = max(0, canvas.height - sizes.margin - card.height)
    return CautionPart(card, Box((canvas.width - card.width) // 2, top, card.width, card.height))


def note_parts(
    canvas: Canvas,
    labels: list[LabelPart],
    targets: list[Target],
    angles: list[AnglePart],
    warning: CautionPart | None,
    tags: Sequence[TagPart],
    schematic: bool,
) -> list[NotePart]:
    """Place what holds for all labels; ``schematic`` where muscles are drawn.

    All lines stand on one card or, where that would cover the body, one after the other on small ones.
    """
    at_hip = any(is_hip(part.label) and part.trace.shown[part.start : part.label.stop].any() for part in angles)
    lines = notes_for(tuple(part.label for part in labels), at_hip, schematic, canvas.course.words)
    if not lines:
        return []
    spans = _joined([(part.start, part.label.stop) for part in labels], gap=2 * SHORTEST_S * canvas.study.video.fps)
    bare = canvas.space(spans[0][0], spans[-1][1])
    for part in labels:
        bare = bare.with_card(part.box, canvas.sizes.margin)
    space = bare
    for target in targets:
        frames = len(canvas.study.landmarks)
        space = target.keep(space, 0, frames, JOINT * canvas.stature, canvas.number_px)
    boxes = [(warning.box, _NOTE_WAITS)] if warning is not None else []
    boxes += [(tag.box, _NAME_WAITS) for tag in tags]
    together = _note(canvas, space, bare, lines, boxes)
    singles = [_note(canvas, space, bare, (line,), boxes) for line in lines]
    if together is not None and (_is_clear(together, tags) or len(lines) == 1):
        return _shown_after(canvas, [together], spans, warning)
    return _shown_after(canvas, [note for note in singles if note is not None], spans, warning)


def _is_clear(note: "_Note", tags: Sequence[TagPart]) -> bool:
    return note.body_share == 0 and not any(note.box.meets(tag.box) for tag in tags)


def _note(
    canvas: Canvas, space: Space, bare: Space, lines: tuple[Line, ...], boxes: Sequence[tuple[Box, float]]
) -> "_Note | None":
    """Place lines off the joints or, where that cannot be, over one."""
    found = _best_note(canvas, space, lines, _NOTE_WIDTHS, boxes)
    return found or _best_note(canvas, bare, lines, _NOTE_WIDTHS, boxes)


def _shown_after(
    canvas: Canvas, notes: "list[_Note]", spans: list[tuple[int, int]], warning: CautionPart | None
) -> list[NotePart]:
    """Return notes one after the other at the begin of every span, after the caution if they meet it."""
    late = warning is not None and any(note.box.meets(warning.box, canvas.sizes.margin) for note in notes)
    parts = []
    for i, note in enumerate(notes):
        shown = []
        for start, stop in spans:
            begin = max(start, canvas.caution_frames if late else 0)
            # in a short span each line has its share of it
            longest = round((_NOTE_S if len(notes) == 1 else _LINE_S) * canvas.study.video.fps)
            frames = max(0, min(longest, (stop - begin) // len(notes)))
            shown += [(begin + i * frames, begin + (i + 1) * frames)] if frames else []
        if shown:
            parts.append(NotePart(note.card, note.box, tuple(shown)))
    return parts


@dataclass(frozen=True, slots=True, eq=False)
class _Note:
    card: CardImage
    box: Box
    cost: float
    body_share: float


def _best_note(
    canvas: Canvas,
    space: Space,
    lines: tuple[Line, ...],
    widths: tuple[float, ...],
    beside: Sequence[tuple[Box, float]],
    weight: float = 1.0,
) -> _Note | None:
    """Set and place plain lines; ``beside`` are boxes with the cost of meeting them."""
    best: _Note | None = None
    for smaller, scale in enumerate(Scale):
        sizes = measures(canvas.theme, canvas.shorter, scale)
        for share in widths:
            width = min(round(share * canvas.shorter), canvas.width - 2 * sizes.margin)
            card = set_note(lines, width, sizes, canvas.theme)
            extra = smaller * SMALLER + card.width * card.height / (canvas.width * canvas.height) * AREA
            for place in good_places(space, card.width, card.height, sizes.margin, None):
                hit = sum(waits for box, waits in beside if place.box.meets(box, sizes.margin))
                cost = place.cost * weight + extra + hit
                if best is None or cost < best.cost:
                    best = _Note(card, place.box, cost, place.body_share)
    return best


def _joined(spans: list[tuple[int, int]], gap: float) -> list[tuple[int, int]]:
    joined: list[tuple[int, int]] = []
    for start, stop in sorted(spans):
        if joined and start - joined[-1][1] < gap:
            joined[-1] = (joined[-1][0], max(stop, joined[-1][1]))
        else:
            joined.append((start, stop))
    return joined
