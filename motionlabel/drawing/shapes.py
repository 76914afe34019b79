"""What the painter can paint: plain data, in pixels of the annotated picture.

Coordinates are (x, y) pixels, x right, y down; they may lie between pixels. Colours are red, green, blue.
"""

from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from motionlabel.drawing.theme import Colour
from motionlabel.records import Array

Point = tuple[float, float]


class Form(Enum):
    """Form of a mark, so that colour is never the only sign: rings and squares on joints, dots on bones."""

    RING = "ring"
    SQUARE = "square"
    DOT = "dot"


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle: left, top, width and height, whole pixels."""

    x: int
    y: int
    width: int
    height: int

    @property
    def right(self) -> int:
        """First column to the right of the box."""
        return self.x + self.width

    @property
    def bottom(self) -> int:
        """First row below the box."""
        return self.y + self.height

    def meets(self, other: "Box", gap: int = 0) -> bool:
        """Return whether two boxes overlap or come nearer than ``gap`` pixels."""
        return (
            self.x < other.right + gap
            and other.x < self.right + gap
            and self.y < other.bottom + gap
            and other.y < self.bottom + gap
        )


@dataclass(frozen=True, slots=True)
class Polyline:
    """A line through points, with a casing so that it shows on any footage."""

    points: tuple[Point, ...]
    colour: Colour
    casing: Colour
    width: float


@dataclass(frozen=True, slots=True)
class Dashes:
    """A straight dashed line, with casing."""

    start: Point
    stop: Point
    colour: Colour
    casing: Colour
    width: float
    dash: float


@dataclass(frozen=True, slots=True, eq=False)
class Strokes:
    """Several lines of one look, each (N, 2); without casing where that is ``None``."""

    paths: tuple[Array, ...]
    colour: Colour
    casing: Colour | None
    width: float


@dataclass(frozen=True, slots=True, eq=False)
class Patch:
    """An area with (N, 2) corners, filled; ``opacity`` 1 hides what is below it."""

    corners: Array
    colour: Colour
    opacity: float = 1.0


@dataclass(frozen=True, slots=True)
class ArcLine:
    """A part of a circle from ``start_rad`` over ``sweep_rad``; 0 is to the right, positive turns clockwise."""

    centre: Point
    radius: float
    start_rad: float
    sweep_rad: float
    colour: Colour
    casing: Colour
    width: float


@dataclass(frozen=True, slots=True)
class JointMark:
    """The mark on a joint, an open ring or square, or on a bone, a full dot, of outer size ``radius``."""

    centre: Point
    radius: float
    form: Form
    colour: Colour
    casing: Colour
    width: float


@dataclass(frozen=True, slots=True, eq=False)
class CardImage:
    """A card ready to be laid over a picture.

    Attributes
    ----------
    ink
        (H, W, 3) uint8 BGR, already multiplied by how much it hides.
    rest
        (H, W, 3) uint8, share of the picture that stays visible, 255 = all.
    """

    ink: NDArray[np.uint8]
    rest: NDArray[np.uint8]

    @property
    def width(self) -> int:
        """Pixels."""
        return self.ink.shape[1]

    @property
    def height(self) -> int:
        """Pixels."""
        return self.ink.shape[0]


@dataclass(frozen=True, slots=True, eq=False)
class TextCard:
    """A card with its top left corner at (x, y); ``opacity`` fades the whole card."""

    x: int
    y: int
    image: CardImage
    opacity: float = 1.0


Shape = Polyline | Dashes | Strokes | Patch | ArcLine | JointMark | TextCard
