"""Lays out a clip's drawing: sets every card and gives it its place, once, before the first frame is drawn."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from motionlabel.drawing.angle import AngleTrace, angle_trace
from motionlabel.drawing.canvas import Canvas
from motionlabel.drawing.geometry import Limb, joint_point, limb_of
from motionlabel.drawing.parts import (
    AnglePart,
    CautionPart,
    LabelPart,
    NotePart,
    NumberPart,
    OverlayPart,
    accent,
)
from motionlabel.drawing.placement import Place, anchor_of, best_pair, good_places
from motionlabel.drawing.plan import SHORTEST_S, Detail, Label, LabelOptions, is_hip, plan_labels
from motionlabel.drawing.shapes import Box, CardImage, Point
from motionlabel.drawing.space import Space
from motionlabel.drawing.typeset import (
    LabelSetting,
    Scale,
    arrange_label,
    draw_label,
    measures,
    set_note,
)
from motionlabel.drawing.wording import Line, caution_lines, label_text, notes_for
from motionlabel.records import Array

# widths that are tried, as shares of the shorter side: own convention
_LABEL_WIDTHS = (0.27, 0.30, 0.33, 0.36, 0.40, 0.46, 0.54, 0.64, 0.80)
_NOTE_WIDTHS = (0.34, 0.50, 0.75, 0.97)
_CAUTION_WIDTHS = (0.30, 0.34, 0.46, 0.62, 0.80, 0.97)

# costs beside those of a place: own conventions
_LESS_DETAIL = 1.0  # of the second label
_LESS_DETAIL_FIRST = 1.3
_SMALLER = 0.12
_AREA = 0.6
_SLENDER = 1.5  # height against width from which a card is tall
_TALL = 0.2
_UNEVEN = 0.04
_DELAYED = 1.0  # a label that has to wait for the caution to go
_OVER_JOINT = 0.5  # a caution over a labelled joint
_NOTE_WAITS = 0.1  # a note that has to wait for the caution to go
_NOTE_S = 6.0  # a note is read once for a set of labels, then it makes room
_BRIEF = 0.4  # weight of what the caution covers, as it soon goes
_SAME_AGAIN = 0.3  # saved where the same label stood the time before

_ARC = 0.085  # radius of the arc and of the mark of a joint as shares of body height: own convention
_MARK = 0.020
_JOINT = 0.060  # a card keeps so far from a labelled joint
_ARC_OF_SHORTER = 0.16  # but no arc is larger than this share of the shorter side


@dataclass(frozen=True, slots=True, eq=False)
class _Target:
    """A label with where it points."""

    label: Label
    joints: tuple[Array, ...]
    limb: Limb | None
    trace: AngleTrace | None

    def keep(self, space: Space, start: int, stop: int, joint_px: float, number_px: float) -> Space:
        """Return the space in which the joint stays free during some frames and, if it may be, its number."""
        span = slice(max(start, self.label.start), min(stop, self.label.stop))
        for joint in self.joints:
            space = space.with_kept(joint[span], joint_px)
        if self.trace is not None:
            shown = self.trace.shown[span]
            space = space.with_used(self.trace.number[span][shown], number_px)
        return space


def lay_out(canvas: Canvas, options: LabelOptions, caution: bool) -> tuple[OverlayPart, ...]:
    """Return the parts of a clip's drawing, those in front last."""
    targets = [_target(canvas, label) for label in plan_labels(canvas.study, options).labels]
    labels = _label_parts(canvas, targets, options.detail)
    warning = _caution_part(canvas, labels, targets) if caution else None
    if warning is not None:
        labels = [_after(part, warning.box, canvas.caution_frames) for part in labels]
    angles = [
        AnglePart(part.label, target.limb, target.trace, part.start, part.mark_px, canvas.line_px)
        for part, target in ((part, _target_of(part, targets)) for part in labels)
        if target.limb is not None and target.trace is not None
    ]
    note = _note_part(canvas, labels, targets, angles, warning)
    cards = [(part.box, part.start, part.label.stop) for part in labels]
    if warning is not None:
        cards.append((warning.box, 0, canvas.caution_frames))
    if note is not None:
        cards += [(note.box, start, stop) for start, stop in note.spans]
    numbers = [
        NumberPart(part.label, part.trace, _beside_cards(part.trace, cards, canvas), part.start, canvas.sizes.text)
        for part in angles
    ]
    ends: list[OverlayPart] = [part for part in (note, warning) if part is not None]
    return (*angles, *labels, *numbers, *ends)


def _target(canvas: Canvas, label: Label) -> _Target:
    joints = tuple(joint_point(canvas.points, axis) for axis in label.axes)
    limb = limb_of(canvas.points, label.axis)
    radius = min(_ARC * canvas.stature, _ARC_OF_SHORTER * canvas.shorter)
    trace = angle_trace(canvas.study, label, limb, radius, canvas.sizes.text) if limb is not None else None
    return _Target(label, joints, limb, trace)


def _target_of(part: LabelPart, targets: list[_Target]) -> _Target:
    return next(t for t in targets if t.label.axes == part.label.axes and t.label.beats == part.label.beats)


def _label_parts(canvas: Canvas, targets: list[_Target], detail: Detail) -> list[LabelPart]:
    parts: list[LabelPart] = []
    waiting = list(targets)
    while waiting:
        target = waiting.pop(0)
        partner = next((other for other in waiting if _together(target.label, other.label)), None)
        found = _placed(canvas, target, partner, targets, parts, detail)
        if partner is not None and len(found) == 2:
            waiting.remove(partner)
        if not found:
            waiting = _halves(canvas, target) + waiting
        parts += found
    return parts


def _together(one: Label, other: Label) -> bool:
    return one.start < other.stop and other.start < one.stop


def _halves(canvas: Canvas, target: _Target) -> list[_Target]:
    """Return a label in two spans, to be placed one after the other; none where they are too short to read.

    Where no place leaves head and joint free, there is rather no label than one over them.
    """
    label = target.label
    middle = (label.start + label.stop) // 2
    if middle - label.start < SHORTEST_S * canvas.study.video.fps:
        return []
    return [replace(target, label=replace(label, stop=middle)), replace(target, label=replace(label, start=middle))]


@dataclass(frozen=True, slots=True, eq=False)
class _Choice:
    setting: LabelSetting
    place: Place


def _placed(
    canvas: Canvas,
    target: _Target,
    partner: _Target | None,
    targets: list[_Target],
    earlier: list[LabelPart],
    detail: Detail,
) -> list[LabelPart]:
    """Return the placed label, with its partner where both find room; empty where it finds none."""
    mine = _choices(canvas, target, targets, earlier, detail)
    its = _choices(canvas, partner, targets, earlier, detail) if partner is not None and mine else []
    if partner is not None and its:
        joints = _mean_joint(target), _mean_joint(partner)
        places = [choice.place for choice in mine], [choice.place for choice in its]
        pair = best_pair(*places, joints, canvas.sizes.margin, 1.5 * _JOINT * canvas.stature)
        if pair is not None:
            return [_part(canvas, target, mine[pair[0]]), _part(canvas, partner, its[pair[1]])]
    return [_part(canvas, target, min(mine, key=lambda c: c.place.cost))] if mine else []


def _part(canvas: Canvas, target: _Target, choice: _Choice) -> LabelPart:
    label, box = target.label, choice.place.box
    return LabelPart(
        label=label,
        card=draw_label(choice.setting, canvas.theme, accent(canvas.theme, label.slot)),
        box=box,
        anchor=anchor_of(box, _mean_joint(target)),
        joint=target.joints[0],
        start=label.start,
        mark_px=max(4.0, _MARK * canvas.stature),
        line_px=canvas.line_px * 0.8,
        words=canvas.course.words,
    )


def _mean_joint(target: _Target) -> Point:
    track = target.joints[0][target.label.start : target.label.stop]
    x, y = track[np.isfinite(track).all(axis=1)].mean(axis=0).tolist()
    return x, y


def _space_for(canvas: Canvas, target: _Target, targets: list[_Target], earlier: list[LabelPart]) -> Space:
    label = target.label
    space = canvas.space(label.start, label.stop)
    for other in targets:
        if _together(other.label, label):
            space = other.keep(space, label.start, label.stop, _JOINT * canvas.stature, canvas.number_px)
    for part in earlier:
        if _together(part.label, label):
            space = space.with_card(part.box, canvas.sizes.margin)
    return space


def _choices(
    canvas: Canvas, target: _Target, targets: list[_Target], earlier: list[LabelPart], detail: Detail
) -> list[_Choice]:
    """Weigh place against size of type and detail, in every combination; none where nobody is seen."""
    label = target.label
    if not np.isfinite(target.joints[0][label.start : label.stop]).any():
        return []
    space, joint = _space_for(canvas, target, targets, earlier), _mean_joint(target)
    before = next((p for p in reversed(earlier) if p.label.axes == label.axes and p.label.groups == label.groups), None)
    choices: list[_Choice] = []
    levels, drop = tuple(Detail), _LESS_DETAIL if label.slot else _LESS_DETAIL_FIRST
    for less, level in enumerate(reversed(levels[: levels.index(detail) + 1])):
        text = label_text(label, level, canvas.course)
        for smaller, scale in enumerate(Scale):
            sizes = measures(canvas.theme, canvas.shorter, scale)
            for share in _LABEL_WIDTHS:
                width = round(share * canvas.shorter)
                setting = arrange_label(text, width, sizes)
                if setting is None:
                    continue
                area = setting.width * setting.height / (canvas.width * canvas.height)
                extra = less * drop + smaller * _SMALLER + area * _AREA + _shape_cost(setting)
                for place in good_places(space, setting.width, setting.height, sizes.margin, joint):
                    stays = _SAME_AGAIN if before is not None and place.box == before.box else 0.0
                    choices.append(_Choice(setting, replace(place, cost=place.cost + extra - stays)))
    return choices


def _shape_cost(setting: LabelSetting) -> float:
    """Cost of a tall narrow card, and of a band that some phases do not fill."""
    rows = [len(setting.bands[phase]) + len(setting.terms[phase]) for phase in setting.bands if not phase.pauses]
    slender = max(0.0, setting.height / setting.width - _SLENDER)
    return _TALL * slender + _UNEVEN * (max(rows, default=0) - min(rows, default=0))


def _caution_part(canvas: Canvas, labels: list[LabelPart], targets: list[_Target]) -> CautionPart:
    """Place the caution off the head, if possible off labels and joints too; else in the middle of the lower edge."""
    stop = max(1, canvas.caution_frames)
    bare = canvas.space(0, stop)
    apart = bare
    for target in targets:
        apart = target.keep(apart, 0, stop, _JOINT * canvas.stature, canvas.number_px)
    shown = [part.box for part in labels if part.label.start < stop]
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


def _after(part: LabelPart, box: Box, frames: int) -> LabelPart:
    return replace(part, start=max(part.start, frames)) if part.box.meets(box) else part


def _beside_cards(trace: AngleTrace, cards: list[tuple[Box, int, int]], canvas: Canvas) -> NDArray[np.bool_]:
    """Return (F,) whether a number lies beside all cards, each with its frames: over one it could not be read."""
    beside = np.asarray(np.isfinite(trace.number).all(axis=1))
    x, y = np.nan_to_num(trace.number).T
    half_width, half_height = canvas.number_px, canvas.sizes.text * 0.7
    for box, start, stop in cards:
        across = (x > box.x - half_width) & (x < box.right + half_width)
        down = (y > box.y - half_height) & (y < box.bottom + half_height)
        beside[start:stop] &= ~(across & down)[start:stop]
    return beside


def _note_part(
    canvas: Canvas,
    labels: list[LabelPart],
    targets: list[_Target],
    angles: list[AnglePart],
    warning: CautionPart | None,
) -> NotePart | None:
    at_hip = any(is_hip(part.label) and part.trace.shown[part.start : part.label.stop].any() for part in angles)
    lines = notes_for(tuple(part.label for part in labels), at_hip, canvas.course.words)
    if not lines:
        return None
    spans = _joined([(part.start, part.label.stop) for part in labels], gap=2 * SHORTEST_S * canvas.study.video.fps)
    bare = canvas.space(spans[0][0], spans[-1][1])
    for part in labels:
        bare = bare.with_card(part.box, canvas.sizes.margin)
    space = bare
    for target in targets:
        frames = len(canvas.study.landmarks)
        space = target.keep(space, 0, frames, _JOINT * canvas.stature, canvas.number_px)
    beside = (warning.box,) if warning is not None else ()
    note = _best_note(canvas, space, lines, _NOTE_WIDTHS, beside, waits=_NOTE_WAITS)
    note = note or _best_note(canvas, bare, lines, _NOTE_WIDTHS, beside, waits=_NOTE_WAITS)
    if note is None:
        return None
    if warning is not None and note.box.meets(warning.box, canvas.sizes.margin):
        spans = [(max(start, canvas.caution_frames), stop) for start, stop in spans]
    frames = round(_NOTE_S * canvas.study.video.fps)
    spans = [(start, min(stop, start + frames)) for start, stop in spans]
    return NotePart(note.card, note.box, tuple(span for span in spans if span[0] < span[1]))


@dataclass(frozen=True, slots=True, eq=False)
class _Note:
    card: CardImage
    box: Box
    cost: float


def _best_note(
    canvas: Canvas,
    space: Space,
    lines: tuple[Line, ...],
    widths: tuple[float, ...],
    beside: Sequence[Box],
    weight: float = 1.0,
    waits: float = _DELAYED,
) -> _Note | None:
    """Set and place plain lines; ``weight`` is that of the place, ``waits`` the cost of meeting a box."""
    best: _Note | None = None
    for smaller, scale in enumerate(Scale):
        sizes = measures(canvas.theme, canvas.shorter, scale)
        for share in widths:
            width = min(round(share * canvas.shorter), canvas.width - 2 * sizes.margin)
            card = set_note(lines, width, sizes, canvas.theme)
            extra = smaller * _SMALLER + card.width * card.height / (canvas.width * canvas.height) * _AREA
            for place in good_places(space, card.width, card.height, sizes.margin, None):
                hit = sum(place.box.meets(box, sizes.margin) for box in beside)
                cost = place.cost * weight + extra + waits * hit
                if best is None or cost < best.cost:
                    best = _Note(card, place.box, cost)
    return best


def _joined(spans: list[tuple[int, int]], gap: float) -> list[tuple[int, int]]:
    joined: list[tuple[int, int]] = []
    for start, stop in sorted(spans):
        if joined and start - joined[-1][1] < gap:
            joined[-1] = (joined[-1][0], max(stop, joined[-1][1]))
        else:
            joined.append((start, stop))
    return joined
