"""The parts that are drawn on the body: muscles, nerves and the bone points of their attachments."""

from collections.abc import Iterable, Mapping, Sequence
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
_STEADY_M = 0.08  # a depth that changes less than this is taken as the same through a label's time
_DOT = 0.009  # radius of a bone point as a share of body height
_TWIGS = 0.016  # length of the twigs in which a nerve ends
_SPREAD_RAD = np.radians(32.0)


@dataclass(frozen=True, slots=True)
class Look:
    """What stays the same of a muscle while its label is shown, so that it neither jumps nor flickers.

    Attributes
    ----------
    half_px
        Half thickness of its lines at anatomical length, pixels.
    depth_m
        Mean depth before the bone.
    turns
        Whether the depth changes so much that each frame has its own.
    """

    half_px: float
    depth_m: float
    turns: bool


@dataclass(frozen=True, slots=True, eq=False)
class MusclePart:
    """The muscles of one name on one side.

    Attributes
    ----------
    label, taught
        Whose card names it; what is drawn.
    lines
        Where the lines lie.
    looks
        How each muscle looks; one that is too uncertain has none and is not drawn.
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
    looks: Mapping[Muscle, Look]
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
        for muscle, look in self.looks.items():
            placed = self._placed(muscle, instant.frame)
            if placed is not None:
                state = state_at(self.label, self.taught.group, muscle, instant.frame)
                depth_m = placed.depth_m if look.turns else look.depth_m
                shown.append((depth_m, placed.belly, state, state not in signed))
                signed.add(state)
        behind_m = _BEHIND_THIN_M if self.label.axis.joint in _THIN else _BEHIND_M
        for depth_m, belly, state, signs in sorted(shown, key=lambda one: one[0]):
            before = not self.taught.hidden and depth_m >= behind_m
            yield from belly_shapes(belly, state, before, theme, self.line_px, signs)

    def point_at(self, frame: int) -> Point | None:
        """Return the middle of the first belly, for the line of its name."""
        for muscle in self.looks:
            placed = self._placed(muscle, frame)
            if placed is not None:
                x, y = placed.belly.middle.tolist()
                return x, y
        return None

    def _placed(self, muscle: Muscle, frame: int) -> PlacedBelly | None:
        return self.lines.belly(muscle, self.taught.side, frame, self.looks[muscle].half_px)


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

    def spread_px(self, frame: int) -> float:
        """Return how uncertain its place is, pixels; NaN where it is not known."""
        line = self._line(frame)
        return np.nan if line is None else line.sigma_px

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
    # a label whose time the caution takes up is never shown
    for part in (part for part in labels if part.start < part.label.stop):
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
    looks = {}
    for muscle in taught.item.muscles:
        look = _look(canvas, [lines.muscle(muscle, taught.side, frame) for frame in _frames(part)], lines)
        if look is not None:
            looks[muscle] = look
    if not looks:
        return None
    on_card = any(phase.own for phase in part.card.phases)
    words = "" if on_card else steady_length(part.label, taught.group, taught.item, canvas.course.words)
    return MusclePart(part.label, taught, lines, looks, part.start, canvas.line_px * 0.55, words)


def _look(canvas: Canvas, found: Sequence[Sequence[PlacedLine]], lines: BodyLines) -> Look | None:
    """Return the look of a muscle from its lines in some frames; ``None`` where they are too uncertain."""
    if not lines.are_sure([float(np.mean([line.sigma_px for line in one])) if one else np.nan for one in found]):
        return None
    seen = [one for one in found if one]
    # the longest is the least foreshortened
    longest = max(length_px(line) / line_ratio(line.fullness) for one in seen for line in one)
    half = min(_SLENDER * float(np.sqrt(longest * canvas.stature)), _THICKEST * canvas.stature)
    depths = [float(np.mean([line.depth_m for line in one])) for one in seen]
    count = max(len(one) for one in seen)
    return Look(half / count**_FAN, float(np.mean(depths)), max(depths) - min(depths) >= _STEADY_M)


def _frames(part: LabelPart) -> Sequence[int]:
    return sampled(part.start, part.label.stop)


def _nerve_parts(canvas: Canvas, part: LabelPart, lines: BodyLines) -> list[NervePart]:
    found = (
        NervePart(part.label, taught, lines, part.start, canvas.line_px * 0.5, _TWIGS * canvas.stature)
        for taught in nerves_of(part.label, canvas)
    )
    return [nerve for nerve in found if lines.are_sure([nerve.spread_px(frame) for frame in _frames(part)])]


def _bone_parts(canvas: Canvas, part: LabelPart, drawn: Sequence[MusclePart], lines: BodyLines) -> list[BonePart]:
    """Return both attachments of every drawn name, each bone point once; of a collective those of its first muscle."""
    found: dict[tuple[str, str], BonePart] = {}
    for muscles in drawn:
        muscle, side = next(iter(muscles.looks)), muscles.taught.side
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
