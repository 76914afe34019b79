"""Which parts of the picture the body needs during a span of time, on a coarse grid.

The grid is filled once for a span; then every place for a card is weighed at once with summed-area
tables (Crow 1984, Summed-area tables for texture mapping).
"""

from dataclasses import dataclass, replace
from functools import cached_property

import cv2
import numpy as np
from numpy.typing import NDArray

from motionlabel.body import Landmark
from motionlabel.drawing.shapes import Box
from motionlabel.records import Array

Grid = NDArray[np.uint8]

CELLS = 120
"""Cells along the shorter side. *Source*: own convention."""
_MOST_FRAMES = 3000  # longer spans are thinned out to about this many; own convention

# half thickness of the limbs as a share of body height, clothes included: own convention, checked
# by eye on demo_clips
_CAPSULES = (
    ("SHOULDER", "ELBOW", 0.038),
    ("ELBOW", "WRIST", 0.032),
    ("WRIST", "INDEX", 0.030),
    ("HIP", "KNEE", 0.058),
    ("KNEE", "ANKLE", 0.042),
    ("ANKLE", "FOOT_INDEX", 0.030),
    ("HEEL", "FOOT_INDEX", 0.028),
    ("SHOULDER", "HIP", 0.060),
)
_HEAD = (Landmark.NOSE, Landmark.LEFT_EAR, Landmark.RIGHT_EAR)
_HEAD_RADIUS = 0.085
_NOSE_RADIUS = 0.025


@dataclass(frozen=True, eq=False)
class Space:
    """What is taken during a span, as grids of 0 and 1 over the picture.

    Attributes
    ----------
    cell
        Pixels of a cell.
    width, height
        Pixels of the picture.
    body
        Cells that any part of the body passes.
    kept
        Cells that must stay free: head, joints that are labelled, cards already placed.
    head
        Cells the head passes.
    """

    cell: float
    width: int
    height: int
    body: Grid
    kept: Grid
    head: Grid

    @cached_property
    def body_table(self) -> NDArray[np.int64]:
        """Summed-area table of ``body``."""
        return _table(self.body)

    @cached_property
    def kept_table(self) -> NDArray[np.int64]:
        """Summed-area table of ``kept``."""
        return _table(self.kept)

    def with_card(self, box: Box, gap: int) -> "Space":
        """Return the space with a card taken, and a gap about it."""
        kept = self.kept.copy()
        kept[_cells(box.y - gap, box.bottom + gap, self.cell), _cells(box.x - gap, box.right + gap, self.cell)] = 1
        return replace(self, kept=kept)

    def with_kept(self, centres: Array, radius: float) -> "Space":
        """Return the space with discs kept free about (F, 2) points; NaN points are left out."""
        return replace(self, kept=_with_discs(self.kept, centres, radius, self.cell))

    def with_used(self, centres: Array, radius: float) -> "Space":
        """Return the space with discs about (F, 2) points that are better left free, like the body."""
        return replace(self, body=_with_discs(self.body, centres, radius, self.cell))


def space_of(points: Array, stature_px: float, width: int, height: int) -> Space:
    """Return what the body needs.

    Parameters
    ----------
    points
        (F, L, 2) pixels of the frames of the span; NaN = nobody.
    stature_px
        Body height in pixels; limbs are as thick as it says.
    width, height
        Pixels of the picture.
    """
    cell = min(width, height) / CELLS
    shape = (int(np.ceil(height / cell)), int(np.ceil(width / cell)))
    body, head = np.zeros(shape, np.uint8), np.zeros(shape, np.uint8)
    seen = points[np.isfinite(points).all(axis=(1, 2))]
    seen = seen[:: max(1, len(seen) // _MOST_FRAMES)]
    for first, second, thick in _CAPSULES:
        for side in ("LEFT", "RIGHT"):
            ends = seen[:, [Landmark[f"{side}_{first}"], Landmark[f"{side}_{second}"]]]
            _lines(body, ends, thick * stature_px, cell)
    for across in ("SHOULDER", "HIP"):
        _lines(body, seen[:, [Landmark[f"LEFT_{across}"], Landmark[f"RIGHT_{across}"]]], 0.06 * stature_px, cell)
    shoulders = seen[:, [Landmark.LEFT_SHOULDER, Landmark.RIGHT_SHOULDER]].mean(axis=1)
    heads = seen[:, _HEAD].mean(axis=1)
    _lines(body, np.stack([shoulders, heads], axis=1), 0.04 * stature_px, cell)
    _discs(head, heads, _HEAD_RADIUS * stature_px, cell)
    _discs(head, seen[:, Landmark.NOSE], _NOSE_RADIUS * stature_px, cell)
    return Space(cell, width, height, body | head, head.copy(), head)


def _cells(start: float, stop: float, cell: float) -> slice:
    return slice(max(0, int(start // cell)), max(0, int(np.ceil(stop / cell))))


def _lines(grid: Grid, ends: Array, radius: float, cell: float) -> None:
    thickness = max(1, int(np.ceil(2 * radius / cell)))
    for pair in np.round(ends / cell * 16).astype(np.int32):
        cv2.line(grid, pair[0].tolist(), pair[1].tolist(), (1,), thickness, cv2.LINE_8, 4)


def _with_discs(grid: Grid, centres: Array, radius: float, cell: float) -> Grid:
    marked = grid.copy()
    _discs(marked, centres, radius, cell)
    return marked


def _discs(grid: Grid, centres: Array, radius: float, cell: float) -> None:
    size = max(1, int(np.ceil(radius / cell * 16)))
    for x, y in np.round(centres[np.isfinite(centres).all(axis=1)] / cell * 16).astype(int).tolist():
        cv2.circle(grid, (x, y), size, (1,), cv2.FILLED, cv2.LINE_8, 4)


def _table(grid: Grid) -> NDArray[np.int64]:
    return np.pad(grid.astype(np.int64).cumsum(axis=0).cumsum(axis=1), ((1, 0), (1, 0)))


def share_covered(table: NDArray[np.int64], spots: NDArray[np.int_], width: int, height: int, cell: float) -> Array:
    """Return for every box the share of its cells that are taken.

    Parameters
    ----------
    table
        Summed-area table of a grid of 0 and 1.
    spots
        (B, 2) pixels of top left corners.
    width, height
        Pixels of the box.
    cell
        Pixels of a cell.
    """
    rows, columns = table.shape[0] - 1, table.shape[1] - 1
    left = np.clip((spots[:, 0] // cell).astype(int), 0, columns)
    top = np.clip((spots[:, 1] // cell).astype(int), 0, rows)
    right = np.clip(np.ceil((spots[:, 0] + width) / cell).astype(int), 0, columns)
    bottom = np.clip(np.ceil((spots[:, 1] + height) / cell).astype(int), 0, rows)
    taken = table[bottom, right] - table[top, right] - table[bottom, left] + table[top, left]
    return taken / np.maximum(1, (right - left) * (bottom - top))
