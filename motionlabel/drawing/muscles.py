"""The parts that are drawn on the body: muscles, nerves and the bone points of their attachments."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from motionlabel.anatomy import Muscle
from motionlabel.body import Contraction, Joint
from motionlabel.drawing.belly import (
    belly_shapes,
    line_ratio,
)
from motionlabel.drawing.canvas import Canvas
from motionlabel.drawing.lines import BodyLines, PlacedBelly, length_px, sampled
from motionlabel.drawing.parts import Instant, LabelPart
from motionlabel.drawing.plan import Detail, Label, LabelOptions
from motionlabel.drawing.shapes import Form, JointMark, Point, Shape, Strokes
from motionlabel.drawing.taught import Taught, TaughtNerve, nerves_of, state_at, taught_of
from motionlabel.drawing.theme import Theme
from motionlabel.drawing.wording import steady_length
from motionlabel.musculature import PlacedLine
from motionlabel.records import Array

# own conventions, as is everything about the looks of a schematic muscle
_SLENDER = 0.046  # half thickness of a belly as a share of the geometric mean of its line's length and body height
_THICKEST = 0.024  # but at most this share of body height
_FAN = 0.5  # several lines of one muscle are thinner by their number to this power
_BEHIND_M = -0.030  # mean depth below which a belly lies behind the bone, about a third of half a thigh
_BEHIND_THIN_M = -0.015  # the same in shank and arm
_THIN = (Joint.ANKLE, Joint.ELBOW)
_SEEN = 0.5  # a muscle is drawn if it is known in this share of a label's time
_DOT = 0.009  # radius of a bone point as a share of body height
_TWIGS = 0.016  # length of the twigs in which a nerve ends
_SPREAD_RAD = np.radians(32.0)


@dataclass(frozen=True, slots=True, eq=False)
class MusclePart:
    """The muscles of one name on one side.

    Attributes
    ----------
    label, taught
        Whose card names it; what is drawn.
    lines
        Where the lines lie.
    half_px
        Half thickness at anatomical length of each muscle's lines, pixels; a muscle without one is not drawn.
    start
        First frame.
    line_px
        Width of rim and tendons.
    length_words
        What its length does whatever the phase, where the card has no room to say it; may be empty.
    """

    label: Label
    taught: Taught
    lines: BodyLines
    half_px: Mapping[Muscle, float]
    start: int
    line_px: float
    length_words: str

    def place(self, instant: Instant, theme: Theme) -> Iterable[Shape]:
        """Return the bellies, the deepest first."""
        if not (self.start <= instant.frame < self.label.stop and instant.has_person):
            return
        shown = []
        signed: set[Contraction] = set()
        # a state is signed once, on the first muscle that has it, wherever that lies in depth
        for muscle in self.half_px:
            placed = self._placed(muscle, instant.frame)
            if placed is not None:
                state = state_at(self.label, self.taught.group, muscle, instant.frame)
                shown.append((placed, state, state not in signed))
                signed.add(state)
        behind_m = _BEHIND_THIN_M if self.label.axis.joint in _THIN else _BEHIND_M
        for placed, state, signs in sorted(shown, key=lambda one: one[0].depth_m):
            before = not self.taught.hidden and placed.depth_m >= behind_m
            yield from belly_shapes(placed.belly, state, before, theme, self.line_px, signs)

    def point_at(self, frame: int) -> Point | None:
        """Return the middle of the first belly, for the line of its name."""
        for muscle in self.half_px:
            placed = self._placed(muscle, frame)
            if placed is not None:
                x, y = placed.belly.middle.tolist()
                return x, y
        return None

    def _placed(self, muscle: Muscle, frame: int) -> PlacedBelly | None:
        return self.lines.belly(muscle, self.taught.side, frame, self.half_px[muscle])


@dataclass(frozen=True, slots=True, eq=False)
class NervePart:
    """A nerve from its plexus to a muscle, in which it ends with twigs."""

    label: Label
    taught: TaughtNerve
    lines: BodyLines
    start: int
    line_px: float
    twig_px: float

    def place(self, instant: Instant, theme: Theme) -> Iterable[Shape]:
        """Return the line and its twigs."""
        if not (self.start <= instant.frame < self.label.stop and instant.has_person):
            return
        line = self._line(instant.frame)
        if line is not None:
            yield Strokes((line.points_px, *self._twigs(line.points_px)), theme.nerve, theme.nerve_rim, self.line_px)

    def point_at(self, frame: int) -> Point | None:
        """Return a point of the nerve before it reaches the muscle, for the line of its name."""
        line = self._line(frame)
        if line is None:
            return None
        x, y = line.points_px[len(line.points_px) * 3 // 5].tolist()
        return x, y

    def _line(self, frame: int) -> PlacedLine | None:
        return self.lines.nerve(self.taught.nerve, self.taught.muscle, self.taught.side, frame)

    def _twigs(self, points: Array) -> tuple[Array, ...]:
        end, way = points[-1], points[-1] - points[-3]
        ahead = way / max(float(np.hypot(*way)), 1e-9) * self.twig_px
        cos, sin = np.cos(_SPREAD_RAD), np.sin(_SPREAD_RAD)
        turns = (np.array([[cos, -sin], [sin, cos]]), np.array([[cos, sin], [-sin, cos]]))
        return tuple(np.stack([end, end + turn @ ahead]) for turn in turns)


@dataclass(frozen=True, slots=True, eq=False)
class BonePart:
    """One attachment of a muscle: a dot on the bone."""

    label: Label
    taught: Taught
    muscle: Muscle
    name: str
    lines: BodyLines
    start: int
    dot_px: float
    line_px: float

    def place(self, instant: Instant, theme: Theme) -> Iterable[Shape]:
        """Return the dot."""
        if not (self.start <= instant.frame < self.label.stop and instant.has_person):
            return
        point = self.point_at(instant.frame)
        if point is not None:
            yield JointMark(point, self.dot_px, Form.DOT, theme.tendon, theme.casing, self.line_px)

    def point_at(self, frame: int) -> Point | None:
        """Return the middle of the dot."""
        for found in self.lines.attachments(self.muscle, self.taught.side, frame):
            if found.name == self.name:
                x, y = np.asarray(found.point_px).tolist()
                return x, y
        return None


BodyPart = MusclePart | NervePart | BonePart


def body_parts(canvas: Canvas, labels: Sequence[LabelPart], options: LabelOptions) -> tuple[BodyPart, ...]:
    """Return what is drawn on the body for the labels that found a place, those in front last."""
    lines = BodyLines(canvas)
    muscles: list[BodyPart] = []
    nerves: list[BodyPart] = []
    bones: list[BodyPart] = []
    for part in labels:
        drawn = [
            m for m in (_muscle_part(canvas, part, taught, lines) for taught in taught_of(part.label, canvas)) if m
        ]
        muscles += drawn
        if options.detail is not Detail.MOTION:
            nerves += _nerve_parts(canvas, part, lines)
        if options.detail is Detail.ATTACHMENTS:
            bones += _bone_parts(canvas, part, drawn, lines)
    # a nerve lies over the muscles, so that it can be followed; a bone point over both
    return (*muscles, *nerves, *bones)


def _muscle_part(canvas: Canvas, part: LabelPart, taught: Taught, lines: BodyLines) -> MusclePart | None:
    frames = list(sampled(part.start, part.label.stop))
    half_px: dict[Muscle, float] = {}
    for muscle in taught.item.muscles:
        seen = [found for found in (lines.muscle(muscle, taught.side, frame) for frame in frames) if found]
        if len(seen) >= _SEEN * len(frames) and seen:
            # the longest is the least foreshortened
            longest = max(length_px(line) / line_ratio(line.fullness) for found in seen for line in found)
            count = max(len(found) for found in seen)
            half = min(_SLENDER * float(np.sqrt(longest * canvas.stature)), _THICKEST * canvas.stature)
            half_px[muscle] = half / count**_FAN
    if not half_px:
        return None
    on_card = any(phase.own for phase in part.card.phases)
    words = "" if on_card else steady_length(part.label, taught.group, taught.item)
    return MusclePart(part.label, taught, lines, half_px, part.start, canvas.line_px * 0.55, words)


def _nerve_parts(canvas: Canvas, part: LabelPart, lines: BodyLines) -> list[NervePart]:
    found = (
        NervePart(part.label, taught, lines, part.start, canvas.line_px * 0.5, _TWIGS * canvas.stature)
        for taught in nerves_of(part.label, canvas)
    )
    return [nerve for nerve in found if _mostly(part, nerve.point_at)]


def _bone_parts(canvas: Canvas, part: LabelPart, drawn: Sequence[MusclePart], lines: BodyLines) -> list[BonePart]:
    """Return both attachments of every drawn name, each bone point once; of a collective those of its first muscle."""
    found: dict[tuple[str, str], BonePart] = {}
    for muscles in drawn:
        muscle, side = next(iter(muscles.half_px)), muscles.taught.side
        frame = (part.start + part.label.stop) // 2
        for point in lines.attachments(muscle, side, frame):
            found.setdefault(
                (point.name, side),
                BonePart(
                    part.label,
                    muscles.taught,
                    muscle,
                    point.name,
                    lines,
                    part.start,
                    max(3.0, _DOT * canvas.stature),
                    canvas.line_px * 0.7,
                ),
            )
    return list(found.values())


def _mostly(part: LabelPart, point_at: Callable[[int], Point | None]) -> bool:
    frames = list(sampled(part.start, part.label.stop))
    return sum(point_at(frame) is not None for frame in frames) >= _SEEN * len(frames)
