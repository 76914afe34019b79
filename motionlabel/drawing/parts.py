"""The parts of the drawing: each says which shapes belong to an instant."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from motionlabel.anatomy import ENGLISH, Words
from motionlabel.body import Landmark
from motionlabel.drawing.angle import AngleTrace
from motionlabel.drawing.geometry import Limb
from motionlabel.drawing.plan import Detail, Label
from motionlabel.drawing.shapes import (
    ArcLine,
    Box,
    CardImage,
    Dashes,
    Form,
    JointMark,
    Point,
    Polyline,
    Shape,
    TextCard,
)
from motionlabel.drawing.theme import Colour, Theme
from motionlabel.drawing.typeset import LabelCard, set_number
from motionlabel.drawing.wording import degrees_text, phase_text
from motionlabel.records import Array, Study

CAUTION_S = 3.0
"""How long the caution is shown, seconds. *Source*: own convention."""
_FADE_S = 0.4


@dataclass(frozen=True, slots=True)
class Instant:
    """A read-only view of a study at one frame.

    Attributes
    ----------
    study
        What was found in the clip.
    frame
        Number of the frame.
    time_s
        Its time in the clip, seconds.
    """

    study: Study
    frame: int
    time_s: float

    @property
    def has_person(self) -> bool:
        """Whether the person is in the picture."""
        track = self.study.landmarks
        return 0 <= self.frame < len(track) and bool(np.isfinite(track.image_px[self.frame, Landmark.LEFT_HIP, 0]))


class OverlayPart(Protocol):
    """Something that is drawn over the picture."""

    def place(self, instant: Instant, theme: Theme) -> Iterable[Shape]:
        """Return the shapes of an instant, those in front last."""
        ...


def accent(theme: Theme, slot: int) -> Colour:
    """Return the colour of the first or second label."""
    return theme.second if slot else theme.first


def _at(track: Array, frame: int) -> Point | None:
    x, y = track[frame].tolist()
    return (x, y) if np.isfinite(x) and np.isfinite(y) else None


@dataclass(frozen=True, slots=True, eq=False)
class LabelPart:
    """One label: its card, and the thin line from the card to the joint.

    Attributes
    ----------
    label, card, box
        What is shown, and where; ``box`` never moves.
    anchor
        Point of the card's edge where the line starts.
    joint
        (F, 2) pixels, where the line ends.
    start
        First frame in which the card is shown: later than the label's where the caution needs the place.
    mark_px, line_px
        Radius of the joint mark and width of the line.
    words
        Words of the phases.
    detail
        How much the card had room for.
    """

    label: Label
    card: LabelCard
    box: Box
    anchor: Point
    joint: Array
    start: int
    mark_px: float
    line_px: float
    words: Words = ENGLISH
    detail: Detail = Detail.ATTACHMENTS

    def place(self, instant: Instant, theme: Theme) -> Iterable[Shape]:
        """Return line, joint mark, still card and the band of the phase."""
        if not (self.start <= instant.frame < self.label.stop and instant.has_person):
            return
        colour = accent(theme, self.label.slot)
        joint = _at(self.joint, instant.frame)
        if joint is not None:
            end = short_of(self.anchor, joint, self.mark_px)
            yield Polyline((self.anchor, end), colour, theme.casing, self.line_px)
            form = Form.SQUARE if self.label.slot else Form.RING
            yield JointMark(joint, self.mark_px, form, colour, theme.casing, self.line_px * 1.3)
        yield TextCard(self.box.x, self.box.y, self.card.still)
        band = self.card.phases[phase_text(self.label, self.label.beat_at(instant.frame), self.words)]
        yield TextCard(self.box.x + self.card.gap.x, self.box.y + self.card.gap.y, band)


@dataclass(frozen=True, slots=True, eq=False)
class AnglePart:
    """The limb about a labelled joint and, where the angle can be trusted and seen, its arc.

    ``limb_px`` is the width of the limb's lines; 0 leaves them out, where muscles take their place.
    """

    label: Label
    limb: Limb
    trace: AngleTrace
    start: int
    mark_px: float
    line_px: float
    limb_px: float

    def place(self, instant: Instant, theme: Theme) -> Iterable[Shape]:
        """Return limb, the line of angle 0, arc."""
        if not (self.start <= instant.frame < self.label.stop and instant.has_person):
            return
        frame = instant.frame
        ends = [_at(track, frame) for track in (self.limb.proximal, self.limb.joint, self.limb.distal)]
        if any(end is None for end in ends):
            return
        proximal, joint, distal = (end for end in ends if end is not None)
        for end in (proximal, distal) if self.limb_px else ():
            yield Polyline((end, short_of(end, joint, self.mark_px)), theme.text, theme.casing, self.limb_px)
        if self.trace.shown[frame] and self.trace.in_plane[frame]:
            colour = accent(theme, self.label.slot)
            zero, radius = self.limb.zero[frame], self.trace.radius
            stop = joint[0] + zero[0] * radius * 1.35, joint[1] + zero[1] * radius * 1.35
            yield Dashes(
                short_of(stop, joint, self.mark_px * 1.4),
                stop,
                theme.text,
                theme.casing,
                self.line_px * 0.7,
                radius / 6,
            )
            start = float(np.arctan2(zero[1], zero[0]))
            sweep = float(self.limb.sweep_rad[frame])
            yield ArcLine(joint, radius, start, sweep, colour, theme.casing, self.line_px * 1.4)


@dataclass(frozen=True, slots=True, eq=False)
class NumberPart:
    """The number at a labelled joint, shown only where it can be trusted and ``beside`` (F,) is true."""

    label: Label
    trace: AngleTrace
    beside: NDArray[np.bool_]
    start: int
    text_px: int

    def place(self, instant: Instant, theme: Theme) -> Iterable[Shape]:
        """Return the number on a small card."""
        frame = instant.frame
        if not (self.start <= frame < self.label.stop and instant.has_person):
            return
        if self.trace.shown[frame] and self.beside[frame]:
            degrees = int(self.trace.degrees[frame])
            number = set_number(degrees_text(degrees), self.text_px, theme, accent(theme, self.label.slot))
            x, y = self.trace.number[frame].tolist()
            yield TextCard(round(x - number.width / 2), round(y - number.height / 2), number)


@dataclass(frozen=True, slots=True, eq=False)
class NotePart:
    """What holds for all labels, said once while any is shown."""

    card: CardImage
    box: Box
    spans: tuple[tuple[int, int], ...]

    def place(self, instant: Instant, theme: Theme) -> Iterable[Shape]:
        """Return the card."""
        if instant.has_person and any(start <= instant.frame < stop for start, stop in self.spans):
            yield TextCard(self.box.x, self.box.y, self.card)


@dataclass(frozen=True, slots=True, eq=False)
class CautionPart:
    """The caution over the first seconds; it fades out."""

    card: CardImage
    box: Box

    def place(self, instant: Instant, theme: Theme) -> Iterable[Shape]:
        """Return the card, fading at its end."""
        left = CAUTION_S - instant.time_s
        if left > 0:
            yield TextCard(self.box.x, self.box.y, self.card, min(1.0, left / _FADE_S))


def short_of(start: Point, stop: Point, distance: float) -> Point:
    """Return the point on the way from ``start`` to ``stop`` that lies ``distance`` before ``stop``."""
    dx, dy = stop[0] - start[0], stop[1] - start[1]
    length = float(np.hypot(dx, dy))
    share = max(0.0, 1.0 - distance / length) if length > 0 else 0.0
    return start[0] + dx * share, start[1] + dy * share
