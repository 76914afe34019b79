"""The lines of muscles and nerves in pixels of the annotated picture, and which of them are sure enough."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from motionlabel.anatomy import Muscle, Nerve
from motionlabel.body import Side
from motionlabel.drawing.belly import BELLY_SHARE, SHEET_SHARE, Belly, joined_belly, shape_belly
from motionlabel.drawing.canvas import Canvas
from motionlabel.drawing.renamed import Renamed
from motionlabel.musculature import BodyPoint, Musculature, PlacedLine
from motionlabel.records import Array

MOST_SPREAD = 0.030
"""A line whose place is less certain, in the middle of its time, is not drawn; share of body height.

Decided once for the whole time, so that nothing comes and goes from frame to frame. *Source*: own convention."""
_SEEN = 0.5  # and it must be known in this share of that time
SAMPLES = 12
"""Frames of a span that are looked at for what stays the same in it. *Source*: own convention."""


@dataclass(frozen=True, slots=True, eq=False)
class PlacedBelly:
    """A belly and how far it lies before (> 0) or behind the bone, metres."""

    belly: Belly
    depth_m: float


class BodyLines:
    """Muscles, nerves and attachments of one study at any frame.

    The answers of the latest frame are kept, as several parts ask for the same.

    Parameters
    ----------
    canvas
        The annotated picture.
    """

    def __init__(self, canvas: Canvas) -> None:
        self._musculature = Musculature(canvas.study)
        self._renamed = Renamed(canvas.course)
        self._scale = canvas.scale
        self._most_spread = MOST_SPREAD * canvas.stature
        self._frame = -1
        self._bellies: dict[tuple[int, Side, float], PlacedBelly | None] = {}
        self._nerves: dict[tuple[int, int, Side], PlacedLine | None] = {}

    def muscle(self, muscle: Muscle, side: Side, frame: int) -> tuple[PlacedLine, ...]:
        """Return the lines of a muscle; empty where it is not known."""
        return tuple(self._line(line) for line in self._musculature.muscle(self._renamed.muscle(muscle), side, frame))

    def belly(self, muscle: Muscle, side: Side, frame: int, half_px: float) -> PlacedBelly | None:
        """Return the belly of a muscle with its depth; ``None`` where there is none or it is seen end on."""
        self._turn_to(frame)
        # muscles live as long as their atlas; their own hash goes through all their facts
        key = id(muscle), side, half_px
        if key not in self._bellies:
            self._bellies[key] = self._new_belly(muscle, side, frame, half_px)
        return self._bellies[key]

    def nerve(self, nerve: Nerve, muscle: Muscle, side: Side, frame: int) -> PlacedLine | None:
        """Return the line of a nerve to a muscle; ``None`` where it is not known."""
        self._turn_to(frame)
        key = id(nerve), id(muscle), side
        if key not in self._nerves:
            line = self._musculature.nerve(self._renamed.nerve(nerve), self._renamed.muscle(muscle), side, frame)
            self._nerves[key] = None if line is None else self._line(line)
        return self._nerves[key]

    def attachments(self, muscle: Muscle, side: Side, frame: int) -> tuple[BodyPoint, ...]:
        """Return the attachments of a muscle that are known, proximal first, in the words of the course."""
        found = self._musculature.attachments(self._renamed.muscle(muscle), side, frame)
        names = (muscle.proximal_short, muscle.distal_short) if len(found) == 2 else ("", "")
        return tuple(
            replace(
                point,
                name=name or point.name,
                point_px=self._pixels(point.point_px),
                sigma_px=point.sigma_px * self._scale,
            )
            for point, name in zip(found, names)
        )

    def _turn_to(self, frame: int) -> None:
        if frame != self._frame:
            self._frame, self._bellies, self._nerves = frame, {}, {}

    def _new_belly(self, muscle: Muscle, side: Side, frame: int, half_px: float) -> PlacedBelly | None:
        lines = self.muscle(muscle, side, frame)
        share = BELLY_SHARE if len(lines) == 1 else SHEET_SHARE
        found = (shape_belly(line.points_px, line.fullness, half_px, share) for line in lines)
        bellies = [belly for belly in found if belly is not None]
        if not bellies:
            return None
        return PlacedBelly(joined_belly(bellies), float(np.mean([line.depth_m for line in lines])))

    def _line(self, line: PlacedLine) -> PlacedLine:
        return replace(line, points_px=self._pixels(line.points_px), sigma_px=line.sigma_px * self._scale)

    def _pixels(self, points: Array) -> Array:
        return (np.asarray(points, dtype=np.float64) + 0.5) * self._scale - 0.5

    def are_sure(self, spreads_px: Sequence[float]) -> bool:
        """Return whether something with these spreads, NaN where it is not known, is drawn."""
        known = np.asarray(spreads_px)[np.isfinite(spreads_px)]
        return len(known) >= max(1.0, _SEEN * len(spreads_px)) and float(np.median(known)) <= self._most_spread


def sampled(start: int, stop: int) -> Sequence[int]:
    """Return up to ``SAMPLES`` frames spread over a span."""
    return np.unique(np.linspace(start, max(start, stop - 1), SAMPLES).astype(int)).tolist()


def length_px(line: PlacedLine) -> float:
    """Return how long a line is in the picture."""
    return float(np.hypot(*np.diff(line.points_px, axis=0).T).sum())
