"""The form of one muscle line: tendons, a tapered belly between them, and the signs of how it works.

A belly takes the whole change of length, its tendons none, and its volume stays: so a shorter one is fuller
(thickness squared times length is constant).
State is told by form, as in the marks of the cards (``marks``): full with heads pointing inwards
(shortening), striped with heads pointing outwards (lengthening), full between bars (same length), empty
(not asked for).

*Source* of all shares in this module: own conventions; the belly is schematic.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from motionlabel.body import Contraction
from motionlabel.drawing.shapes import Patch, Shape, Strokes
from motionlabel.drawing.theme import Colour, Theme
from motionlabel.records import Array

BELLY_SHARE = 0.6
"""Share of the belly in a line of anatomical length; the rest is tendon."""
SHEET_SHARE = 0.82
"""The same in a broad muscle of several lines, whose tendons are short."""
_MIDDLE = 0.47  # where along the line its middle lies: bellies lie rather proximal
_SHORTEST = 2.5  # length of a line in half thicknesses below which nothing is drawn
_STEPS = 25
_TAPER = 0.75  # exponent of the spindle, as in the marks
_TURN = np.linspace(-1.0, 1.0, _STEPS)
_PROFILE = (1.0 - _TURN**2) ** _TAPER
_STRIPE = 0.55  # distance of the stripes of a lengthening belly in half thicknesses
_SLANT = 0.35  # how far a stripe leans along the belly, in half thicknesses
_SIGN = 0.16  # heads and bars are no larger than this share of a belly's length
_HEAD = 0.95  # length of a head in half thicknesses
_BEHIND_OPACITY, _IDLE_OPACITY, _FULL_OPACITY = 0.30, 0.22, 0.86
_LINE = 0.32  # lines are no wider than this share of a half thickness
_DASHES = 9  # of the rim of a belly behind the bone, on each side


@dataclass(frozen=True, slots=True, eq=False)
class Belly:
    """One muscle in the picture.

    Attributes
    ----------
    axis
        (N, 2) pixels, middle line of the belly, proximal to distal.
    edges
        Both edges, each (N, 2), proximal to distal.
    tendons
        Lines from the belly to the attachments, each (M, 2).
    """

    axis: Array
    edges: tuple[Array, Array]
    tendons: tuple[Array, ...]

    @property
    def middle(self) -> Array:
        """(2,) middle of the belly."""
        return self.axis[len(self.axis) // 2]

    @property
    def thickness(self) -> float:
        """Half thickness in the middle, pixels."""
        one, other = (edge[len(edge) // 2] for edge in self.edges)
        return float(np.hypot(*(one - other))) / 2

    @property
    def outline(self) -> Array:
        """(2N, 2) corners."""
        one, other = self.edges
        return np.concatenate([one, other[::-1]])


def shape_belly(points_px: Array, fullness: float, half_px: float, belly_share: float = BELLY_SHARE) -> Belly | None:
    """Return the belly of a line; ``None`` where the line is too short in the picture to show one.

    Parameters
    ----------
    points_px
        (K, 2) pixels, proximal to distal.
    fullness
        Thickness against that at anatomical length.
    half_px
        Half thickness at anatomical length, pixels.
    belly_share
        Share of the belly in the line at anatomical length.
    """
    steps = np.hypot(*np.diff(points_px, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    length = float(along[-1])
    if length < _SHORTEST * half_px:
        return None
    belly = belly_share * fullness**-2
    share = belly / (belly + 1.0 - belly_share)
    half = half_px * fullness
    start = np.clip(_MIDDLE - share / 2, 0.0, 1.0 - share)
    place = (start + share * (_TURN + 1.0) / 2) * length
    axis = _along(points_px, along, place)
    across = _normals(axis) * (half * _PROFILE)[:, None]
    tendons = (
        np.concatenate([points_px[along < place[0]], axis[:1]]),
        np.concatenate([axis[-1:], points_px[along > place[-1]]]),
    )
    return Belly(axis, (axis + across, axis - across), tendons)


def joined_belly(bellies: Sequence[Belly]) -> Belly:
    """Return one belly for several lines of a muscle: a sheet between the outer edges of the outermost two."""
    if len(bellies) == 1:
        return bellies[0]
    axis = np.mean([belly.axis for belly in bellies], axis=0)
    normal = _normals(axis)
    middle = len(axis) // 2
    sheet = [np.concatenate([belly.edges[i] for belly in bellies]).reshape(-1, len(axis), 2) for i in (0, 1)]
    aside = ((np.concatenate(sheet) - axis) * normal).sum(axis=2)
    outermost = np.concatenate(sheet)
    # the line that lies outermost in the middle makes the whole edge, so that it stays smooth
    one, other = outermost[aside[:, middle].argmax()], outermost[aside[:, middle].argmin()]
    return Belly(axis, (one, other), tuple(tendon for belly in bellies for tendon in belly.tendons))


def _normals(axis: Array) -> Array:
    """Return (N, 2) unit vectors across a line."""
    tangent = np.empty_like(axis)
    tangent[1:-1] = axis[2:] - axis[:-2]
    tangent[0], tangent[-1] = axis[1] - axis[0], axis[-1] - axis[-2]
    normal = tangent[:, ::-1] / np.maximum(np.hypot(tangent[:, 0], tangent[:, 1]), 1e-9)[:, None]
    normal[:, 0] *= -1.0
    return normal


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
        Width of rim and tendons, pixels.
    signed
        Whether heads or bars are drawn: of several muscles of one name one has them.
    """
    line_px = min(line_px, max(1.0, belly.thickness * _LINE))
    works = state not in (Contraction.FREE, Contraction.UNKNOWN)
    opacity = _FULL_OPACITY if works and before else _BEHIND_OPACITY if works else _IDLE_OPACITY
    yield Patch(belly.outline, theme.muscle, opacity)
    if state is Contraction.ECCENTRIC:
        yield Strokes(tuple(_stripes(belly)), theme.lengthening, None, max(1.0, line_px * 0.7))
    rim, tendons = np.concatenate([belly.outline, belly.outline[:1]]), (t for t in belly.tendons if len(t) > 1)
    if before:
        yield Strokes((rim, *tendons), theme.tendon, theme.casing, line_px)
    else:
        yield Strokes(belly.edges, theme.casing, None, line_px + 2.0)
        yield Strokes((*tendons, *_dashed(belly.edges)), theme.tendon, None, line_px)
    if works and signed:
        yield from _signs(belly, state, theme, line_px)


def line_ratio(fullness: float) -> float:
    """Return the length of a whole line, tendons and belly, against its anatomical length."""
    return 1.0 - BELLY_SHARE + BELLY_SHARE * fullness**-2


def _along(points: Array, along: Array, place: Array) -> Array:
    found = np.empty((len(place), 2))
    found[:, 0], found[:, 1] = np.interp(place, along, points[:, 0]), np.interp(place, along, points[:, 1])
    return found


def _weights(places: Array) -> Array:
    """Return (P, N) weights that take an edge to its points at some places, given as shares of its length."""
    index = np.clip(places, 0.0, 1.0) * (_STEPS - 1)
    return np.maximum(0.0, 1.0 - np.abs(index[:, None] - np.arange(_STEPS)))


def _stripes(belly: Belly) -> Array:
    """Return (S, 2, 2) slanted lines across the belly."""
    length = float(np.hypot(*np.diff(belly.axis, axis=0).T).sum())
    thick = max(belly.thickness, 2.0)
    count = max(2, int(length / (_STRIPE * 2 * thick)))
    lean = _SLANT * thick / length
    places = (np.arange(count) + 0.5) / count
    one, other = belly.edges
    return np.stack([_weights(places - lean) @ one, _weights(places + lean) @ other], axis=1)


_DASH_BOUNDS = np.linspace(0.0, 1.0, 2 * _DASHES)
_DASH_WEIGHTS = _weights(np.linspace(_DASH_BOUNDS[::2], _DASH_BOUNDS[1::2], 3, axis=1).ravel())


def _dashed(edges: tuple[Array, Array]) -> Array:
    """Return (D, 3, 2) dashes along both edges."""
    return np.concatenate([_DASH_WEIGHTS @ edge for edge in edges]).reshape(-1, 3, 2)


def _signs(belly: Belly, state: Contraction, theme: Theme, line_px: float) -> Iterator[Shape]:
    """Return heads or bars at both ends of the belly, as in the mark of the card."""
    axis = belly.axis
    length = float(np.hypot(*np.diff(axis, axis=0).T).sum())
    thick = max(min(belly.thickness, _SIGN * length), 2.0 * line_px)
    inwards = np.stack([axis[1] - axis[0], axis[-2] - axis[-1]])
    inwards /= np.maximum(np.hypot(*inwards.T)[:, None], 1e-9)
    ends, across = axis[[0, -1]], np.stack([-inwards[:, 1], inwards[:, 0]], axis=1) * thick
    if state is Contraction.ISOMETRIC:
        bars = np.stack([ends - 0.9 * across, ends + 0.9 * across], axis=1)
        yield Strokes(tuple(bars), theme.holding, theme.casing, line_px * 1.3)
        return
    head = thick * _HEAD
    tip, base = (0.0, -head) if state is Contraction.CONCENTRIC else (-head - line_px, -line_px)
    base_points = ends + inwards * base
    corners = np.stack([ends + inwards * tip, base_points + 0.6 * across, base_points - 0.6 * across], axis=1)
    colour: Colour = theme.shortening if state is Contraction.CONCENTRIC else theme.lengthening
    yield Strokes(tuple(corners[:, [0, 1, 2, 0, 1]]), theme.casing, None, max(2.0, line_px * 0.8))
    for head_corners in corners:
        yield Patch(head_corners, colour)
