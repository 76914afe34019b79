"""The lines of muscles and nerves in pixels of the annotated picture, and which of them are sure enough."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from motionlabel.anatomy import Muscle, Nerve
from motionlabel.body import Side
from motionlabel.drawing.belly import BELLY_SHARE, SHEET_SHARE, Belly, joined_belly, shape_belly
from motionlabel.drawing.canvas import Canvas
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

    The latest answers are kept, as several parts ask for the same frame.

    Parameters
    ----------
    canvas
        The annotated picture.
    """

    def __init__(self, canvas: Canvas) -> None:
        self._musculature = Musculature(canvas.study)
        self._scale = canvas.scale
        self._most_spread = MOST_SPREAD * canvas.stature
        # bound here, so that the answers are forgotten with the object
        self.muscle = lru_cache(maxsize=128)(self._muscle)
        self.nerve = lru_cache(maxsize=32)(self._nerve)
        self.attachments = lru_cache(maxsize=128)(self._attachments)
        self.belly = lru_cache(maxsize=128)(self._belly)

    def _muscle(self, muscle: Muscle, side: Side, frame: int) -> tuple[PlacedLine, ...]:
        """Return the lines of a muscle; empty where it is not known."""
        return tuple(self._line(line) for line in self._musculature.muscle(muscle, side, frame))

    def _belly(self, muscle: Muscle, side: Side, frame: int, half_px: float) -> PlacedBelly | None:
        """Return the belly of a muscle with its depth; ``None`` where there is none or it is seen end on."""
        lines = self.muscle(muscle, side, frame)
        share = BELLY_SHARE if len(lines) == 1 else SHEET_SHARE
        found = (shape_belly(line.points_px, line.fullness, half_px, share) for line in lines)
        bellies = [belly for belly in found if belly is not None]
        if not bellies:
            return None
        return PlacedBelly(joined_belly(bellies), float(np.mean([line.depth_m for line in lines])))

    def _nerve(self, nerve: Nerve, muscle: Muscle, side: Side, frame: int) -> PlacedLine | None:
        """Return the line of a nerve to a muscle; ``None`` where it is not known."""
        line = self._musculature.nerve(nerve, muscle, side, frame)
        return None if line is None else self._line(line)

    def _attachments(self, muscle: Muscle, side: Side, frame: int) -> tuple[BodyPoint, ...]:
        """Return the attachments of a muscle that are known, proximal first."""
        return tuple(
            replace(point, point_px=self._pixels(point.point_px), sigma_px=point.sigma_px * self._scale)
            for point in self._musculature.attachments(muscle, side, frame)
        )

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
