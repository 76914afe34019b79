"""The form of one muscle line: tendons, a tapered belly between them, and the signs of how it works.

A belly takes the whole change of length, its tendons none, and its volume stays: so a shorter one is fuller.
State is told by form, as in the marks of the cards (``marks``): full with heads pointing inwards
(shortening), striped with heads pointing outwards (lengthening), full between bars (same length), empty
(not asked for).

*Source* of all shares in this module: own conventions; the belly is schematic.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from motionlabel.body import Contraction
from motionlabel.drawing.shapes import Patch, Shape, Strokes
from motionlabel.drawing.theme import Colour, Theme
from motionlabel.records import Array

BELLY_SHARE = 0.62
"""Share of the belly in a line of anatomical length; the rest is tendon."""
_MIDDLE = 0.47  # where along the line its middle lies: bellies lie rather proximal
_SHARES = (0.30, 0.86)  # least and largest share of the belly
_STEPS = 25
_TAPER = 0.75  # exponent of the spindle, as in the marks
_STRIPE = 0.55  # distance of the stripes of a lengthening belly in half thicknesses
_SLANT = 0.35  # how far a stripe leans along the belly, in half thicknesses
_HEAD = 0.95  # length of a head in half thicknesses
_BEHIND_OPACITY, _IDLE_OPACITY, _FULL_OPACITY = 0.30, 0.22, 0.86
_DASHES = 9  # of the rim of a belly behind the bone, on each side


@dataclass(frozen=True, slots=True, eq=False)
class Belly:
    """One muscle line in the picture.

    Attributes
    ----------
    axis
        (N, 2) pixels, middle line of the belly, proximal to distal.
    normal
        (N, 2) unit vectors across it.
    half
        (N,) half thickness, pixels.
    tendons
        Two (M, 2) lines, proximal and distal.
    """

    axis: Array
    normal: Array
    half: Array
    tendons: tuple[Array, Array]

    @property
    def middle(self) -> Array:
        """(2,) middle of the belly."""
        return self.axis[len(self.axis) // 2]

    @property
    def thickness(self) -> float:
        """Largest half thickness, pixels."""
        return float(self.half.max())

    @property
    def edges(self) -> tuple[Array, Array]:
        """Both edges, each (N, 2), proximal to distal."""
        across = self.normal * self.half[:, None]
        return self.axis + across, self.axis - across

    @property
    def outline(self) -> Array:
        """(2N, 2) corners."""
        one, other = self.edges
        return np.concatenate([one, other[::-1]])


def shape_belly(points_px: Array, length_ratio: float, half_px: float) -> Belly | None:
    """Return the belly of a line; ``None`` where the line is too short in the picture to show one.

    Parameters
    ----------
    points_px
        (K, 2) pixels, proximal to distal.
    length_ratio
        Length of the line against its anatomical length.
    half_px
        Half thickness at anatomical length, pixels.
    """
    steps = np.hypot(*np.diff(points_px, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    length = float(along[-1])
    if length < 4.0 * half_px:
        return None
    share = float(np.clip(1.0 - (1.0 - BELLY_SHARE) / length_ratio, *_SHARES))
    # constant volume: thickness squared times length of the belly
    half = half_px * np.sqrt(BELLY_SHARE / (share * length_ratio))
    start = np.clip(_MIDDLE - share / 2, 0.0, 1.0 - share)
    turn = np.linspace(-1.0, 1.0, _STEPS)
    place = (start + share * (turn + 1.0) / 2) * length
    axis = _along(points_px, along, place)
    tangent = np.gradient(axis, axis=0)
    tangent /= np.maximum(np.hypot(*tangent.T)[:, None], 1e-9)
    normal = np.stack([-tangent[:, 1], tangent[:, 0]], axis=1)
    tendons = (
        np.concatenate([points_px[along < place[0]], axis[:1]]),
        np.concatenate([axis[-1:], points_px[along > place[-1]]]),
    )
    return Belly(axis, normal, half * (1.0 - turn**2) ** _TAPER, tendons)


def belly_shapes(
    belly: Belly, state: Contraction, before: bool, theme: Theme, line_px: float, signed: bool = True
) -> Iterator[Shape]:
    """Return the shapes of a belly, those in front last.

    Parameters
    ----------
    belly
        Its form.
    state
        How it works; ``FREE`` and ``UNKNOWN`` are drawn alike, empty.
    before
        Whether it lies before the bone; behind it the belly is faint and its rim dashed.
    theme
        Colours.
    line_px
        Width of the tendons, pixels.
    signed
        Whether heads or bars are drawn: of several lines of one muscle only one has them.
    """
    works = state not in (Contraction.FREE, Contraction.UNKNOWN)
    opacity = _FULL_OPACITY if works and before else _BEHIND_OPACITY if works else _IDLE_OPACITY
    edges = belly.edges
    tendons = tuple(tendon for tendon in belly.tendons if len(tendon) > 1)
    if tendons:
        yield Strokes(tendons, theme.tendon, theme.casing, line_px)
    yield Patch(belly.outline, theme.muscle, opacity)
    if state is Contraction.ECCENTRIC:
        yield Strokes(_stripes(belly), theme.lengthening, None, max(1.0, line_px * 0.7))
    yield Strokes(edges if before else _dashed(edges), theme.tendon, theme.casing, max(1.0, line_px * 0.6))
    if works and signed:
        yield from _signs(belly, state, theme, line_px)


def _along(points: Array, along: Array, place: Array) -> Array:
    return np.stack([np.interp(place, along, points[:, i]) for i in (0, 1)], axis=1)


def _stripes(belly: Belly) -> tuple[Array, ...]:
    """Return slanted lines across the belly."""
    length = float(np.hypot(*np.diff(belly.axis, axis=0).T).sum())
    thick = max(belly.thickness, 2.0)
    count = max(2, int(length / (_STRIPE * 2 * thick)))
    lean = _SLANT * thick / length * (_STEPS - 1)
    places = (np.arange(count) + 0.5) / count * (_STEPS - 1)
    index = np.arange(_STEPS, dtype=float)
    one, other = belly.edges
    starts, stops = (
        _along(edge, index, np.clip(places + shift, 0, _STEPS - 1)) for edge, shift in ((one, -lean), (other, lean))
    )
    return tuple(np.stack([start, stop]) for start, stop in zip(starts, stops))


def _dashed(edges: tuple[Array, Array]) -> tuple[Array, ...]:
    index = np.arange(_STEPS, dtype=float)
    bounds = np.linspace(0.0, _STEPS - 1, 2 * _DASHES)
    return tuple(
        _along(edge, index, np.linspace(start, stop, 4))
        for edge in edges
        for start, stop in zip(bounds[::2], bounds[1::2])
    )


def _signs(belly: Belly, state: Contraction, theme: Theme, line_px: float) -> Iterator[Shape]:
    """Return heads or bars at both ends of the belly, as in the mark of the card."""
    thick = max(belly.thickness, 2.0 * line_px)
    for end, inwards in ((0, belly.axis[1] - belly.axis[0]), (-1, belly.axis[-2] - belly.axis[-1])):
        point, normal = belly.axis[end], belly.normal[end]
        inwards = inwards / max(float(np.hypot(*inwards)), 1e-9)
        if state is Contraction.ISOMETRIC:
            across = normal * thick * 0.9
            yield Strokes((np.stack([point - across, point + across]),), theme.holding, theme.casing, line_px * 1.3)
            continue
        head = thick * _HEAD
        tip, base = (0.0, -head) if state is Contraction.CONCENTRIC else (-head - line_px, -line_px)
        yield from _head(point + inwards * tip, point + inwards * base, normal * thick * 0.6, state, theme, line_px)


def _head(tip: Array, base: Array, across: Array, state: Contraction, theme: Theme, line_px: float) -> Iterator[Shape]:
    corners = np.stack([tip, base + across, base - across])
    colour: Colour = theme.shortening if state is Contraction.CONCENTRIC else theme.lengthening
    yield Strokes((np.concatenate([corners, corners[:2]]),), theme.casing, None, max(2.0, line_px * 0.8))
    yield Patch(corners, colour)
