"""Lays out a clip's drawing: sets every card and gives it its place, once, before the first frame is drawn."""

from dataclasses import dataclass, replace
from itertools import product

import numpy as np
from numpy.typing import NDArray

from motionlabel.drawing.angle import AngleTrace
from motionlabel.drawing.canvas import Canvas
from motionlabel.drawing.lengths import with_lengths
from motionlabel.drawing.muscles import body_parts
from motionlabel.drawing.notes import AREA, SMALLER, caution_part, note_parts
from motionlabel.drawing.parts import AnglePart, LabelPart, NumberPart, OverlayPart, accent
from motionlabel.drawing.placement import Place, anchor_of, best_pair, good_places
from motionlabel.drawing.plan import SHORTEST_S, Detail, Label, LabelOptions, Show, plan_labels
from motionlabel.drawing.shapes import Box
from motionlabel.drawing.space import Space
from motionlabel.drawing.tags import Taken, after_notes, seen_on_body, tag_parts
from motionlabel.drawing.targets import JOINT, Target, mean_joint, target_of, target_of_part
from motionlabel.drawing.typeset import LabelSetting, Scale, arrange_label, draw_label, measures
from motionlabel.drawing.wording import label_text

# widths that are tried, as shares of the shorter side: own convention
_LABEL_WIDTHS = (0.27, 0.30, 0.33, 0.36, 0.40, 0.46, 0.54, 0.64, 0.80)

# costs beside those of a place: own conventions
_LESS_DETAIL = (0.0, 1.0, 2.6)  # without attachments; without muscles and nerve too
_FIRST = 1.8  # times as much for the first label
_WITHOUT_OWN = 0.3  # a card that leaves out what single muscles do
_SLENDER = 1.5  # height against width from which a card is tall
_TALL = 0.2
_UNEVEN = 0.04
_SAME_AGAIN = 0.3  # saved where the same label stood the time before

_MARK = 0.020  # radius of the mark of a joint as a share of body height: own convention
_SMALL_MARK = 0.7  # of it where muscles are drawn


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """A clip's drawing with every place decided.

    Attributes
    ----------
    parts
        What is drawn, those in front last.
    left_out
        Labels, or parts of their time, for which no place leaves head and joints free.
    """

    parts: tuple[OverlayPart, ...]
    left_out: tuple[Label, ...]


def lay_out(canvas: Canvas, options: LabelOptions, caution: bool) -> Layout:
    """Decide what is drawn where."""
    plan = plan_labels(canvas.study, options)
    shown = [
        label if options.detail is Detail.MOTION else with_lengths(label, canvas.study, canvas.course)
        for label in plan.labels
    ]
    targets = [target_of(canvas, label) for label in shown]
    labels, left_out = _label_parts(canvas, targets, options.detail)
    warning = caution_part(canvas, labels, targets) if caution else None
    if warning is not None:
        labels = [_after(part, warning.box, canvas.caution_frames) for part in labels]
    limb_px = canvas.line_px
    if options.show is Show.MUSCLES:
        # muscles need the place
        limb_px, labels = 0.0, [replace(part, mark_px=part.mark_px * _SMALL_MARK) for part in labels]
    angles = [
        AnglePart(part.label, target.limb, target.trace, part.start, part.mark_px, canvas.line_px, limb_px)
        for part, target in ((part, target_of_part(part, targets)) for part in labels)
        if target.limb is not None and target.trace is not None
    ]
    body = body_parts(canvas, labels, options) if options.show is Show.MUSCLES else ()
    cards = [Taken(part.box, part.start, part.label.stop) for part in labels]
    silent = [part.label for part in labels if part.detail is Detail.MOTION]
    tags = tag_parts(canvas, body, targets, cards, silent)
    notes = note_parts(canvas, labels, targets, angles, warning, tags, schematic=bool(body))
    passing = [Taken(note.box, start, stop) for note in notes for start, stop in note.spans]
    if warning is not None:
        passing.append(Taken(warning.box, 0, canvas.caution_frames))
    tags = after_notes(tags, passing)
    cards += [*(Taken(tag.box, tag.start, tag.stop) for tag in tags), *passing]
    numbers = [
        NumberPart(part.label, part.trace, _beside_cards(part.trace, cards, canvas), part.start, canvas.sizes.text)
        for part in angles
    ]
    ends: list[OverlayPart] = [*notes, *([warning] if warning is not None else [])]
    return Layout((*angles, *seen_on_body(body, tags), *labels, *tags, *numbers, *ends), left_out)


def _label_parts(canvas: Canvas, targets: list[Target], detail: Detail) -> tuple[list[LabelPart], tuple[Label, ...]]:
    parts: list[LabelPart] = []
    left_out: list[Label] = []
    waiting = list(targets)
    while waiting:
        target = waiting.pop(0)
        partner = next((other for other in waiting if _together(target.label, other.label)), None)
        found = _placed(canvas, target, partner, targets, parts, detail)
        if partner is not None and len(found) == 2:
            waiting.remove(partner)
        if not found:
            halves = _halves(canvas, target)
            waiting = halves + waiting
            left_out += [] if halves else [target.label]
        parts += found
    return parts, tuple(left_out)


def _together(one: Label, other: Label) -> bool:
    return one.start < other.stop and other.start < one.stop


def _halves(canvas: Canvas, target: Target) -> list[Target]:
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
    level: Detail


def _placed(
    canvas: Canvas,
    target: Target,
    partner: Target | None,
    targets: list[Target],
    earlier: list[LabelPart],
    detail: Detail,
) -> list[LabelPart]:
    """Return the placed label, with its partner where both find room; empty where it finds none."""
    mine = _choices(canvas, target, targets, earlier, detail)
    its = _choices(canvas, partner, targets, earlier, detail) if partner is not None and mine else []
    if partner is not None and its:
        joints = mean_joint(target), mean_joint(partner)
        places = [choice.place for choice in mine], [choice.place for choice in its]
        pair = best_pair(*places, joints, canvas.sizes.margin, 1.5 * JOINT * canvas.stature)
        if pair is not None:
            return [_part(canvas, target, mine[pair[0]]), _part(canvas, partner, its[pair[1]])]
    return [_part(canvas, target, min(mine, key=lambda c: c.place.cost))] if mine else []


def _part(canvas: Canvas, target: Target, choice: _Choice) -> LabelPart:
    label, box = target.label, choice.place.box
    return LabelPart(
        label=label,
        card=draw_label(choice.setting, canvas.theme, accent(canvas.theme, label.slot)),
        box=box,
        anchor=anchor_of(box, mean_joint(target)),
        joint=target.joints[0],
        start=label.start,
        mark_px=max(4.0, _MARK * canvas.stature),
        line_px=canvas.line_px * 0.8,
        words=canvas.course.words,
        detail=choice.level,
    )


def _space_for(canvas: Canvas, target: Target, targets: list[Target], earlier: list[LabelPart]) -> Space:
    label = target.label
    space = canvas.space(label.start, label.stop)
    for other in targets:
        if _together(other.label, label):
            space = other.keep(space, label.start, label.stop, JOINT * canvas.stature, canvas.number_px)
    for part in earlier:
        if _together(part.label, label):
            space = space.with_card(part.box, canvas.sizes.margin)
    return space


def _choices(
    canvas: Canvas, target: Target, targets: list[Target], earlier: list[LabelPart], detail: Detail
) -> list[_Choice]:
    """Weigh place against size of type and detail, in every combination; none where nobody is seen."""
    label = target.label
    if not np.isfinite(target.joints[0][label.start : label.stop]).any():
        return []
    space, joint = _space_for(canvas, target, targets, earlier), mean_joint(target)
    before = next((p for p in reversed(earlier) if p.label.axes == label.axes and p.label.groups == label.groups), None)
    choices: list[_Choice] = []
    levels, weight = tuple(Detail), 1.0 if label.slot else _FIRST
    for less, level in enumerate(reversed(levels[: levels.index(detail) + 1])):
        text = label_text(label, level, canvas.course)
        variants = [(text, 0.0), (text.without_own(), _WITHOUT_OWN)] if text.has_own else [(text, 0.0)]
        for smaller, scale in enumerate(Scale):
            sizes = measures(canvas.theme, canvas.shorter, scale)
            for (words, lacks), share in product(variants, _LABEL_WIDTHS):
                width = round(share * canvas.shorter)
                setting = arrange_label(words, width, sizes)
                if setting is None:
                    continue
                area = setting.width * setting.height / (canvas.width * canvas.height)
                extra = _LESS_DETAIL[less] * weight + lacks + smaller * SMALLER + area * AREA + _shape_cost(setting)
                for place in good_places(space, setting.width, setting.height, sizes.margin, joint):
                    stays = _SAME_AGAIN if before is not None and place.box == before.box else 0.0
                    choices.append(_Choice(setting, replace(place, cost=place.cost + extra - stays), level))
    return choices


def _shape_cost(setting: LabelSetting) -> float:
    """Cost of a tall narrow card, and of a band that some phases do not fill."""
    rows = [len(setting.bands[phase]) + len(setting.terms[phase]) for phase in setting.bands if not phase.pauses]
    slender = max(0.0, setting.height / setting.width - _SLENDER)
    return _TALL * slender + _UNEVEN * (max(rows, default=0) - min(rows, default=0))


def _after(part: LabelPart, box: Box, frames: int) -> LabelPart:
    return replace(part, start=max(part.start, frames)) if part.box.meets(box) else part


def _beside_cards(trace: AngleTrace, cards: list[Taken], canvas: Canvas) -> NDArray[np.bool_]:
    """Return (F,) whether a number lies beside all cards, each with its frames: over one it could not be read."""
    beside = np.asarray(np.isfinite(trace.number).all(axis=1))
    x, y = np.nan_to_num(trace.number).T
    half_width, half_height = canvas.number_px, canvas.sizes.text * 0.7
    for card in cards:
        box = card.box
        across = (x > box.x - half_width) & (x < box.right + half_width)
        down = (y > box.y - half_height) & (y < box.bottom + half_height)
        beside[card.start : card.stop] &= ~(across & down)[card.start : card.stop]
    return beside
