"""Paints shapes on a picture. It decides nothing: places, sizes and colours come with the shapes."""

from collections.abc import Iterable

import cv2
import numpy as np
from numpy.typing import NDArray

from motionlabel.drawing.shapes import ArcLine, Dashes, Form, JointMark, Patch, Polyline, Shape, Strokes, TextCard
from motionlabel.drawing.theme import Colour

_SHIFT = 4
_ONE = 1 << _SHIFT  # sub-pixels of a pixel
_ARC_STEP_RAD = np.radians(6.0)

Image = NDArray[np.uint8]


def paint(image: Image, shapes: Iterable[Shape]) -> None:
    """Paint shapes in their order on a (H, W, 3) uint8 BGR picture, in place; parts outside are cut off."""
    for shape in shapes:
        match shape:
            case TextCard():
                _paint_card(image, shape)
            case Polyline():
                _paint_line(image, np.array(shape.points), shape.colour, shape.casing, shape.width)
            case Dashes():
                _paint_dashes(image, shape)
            case Strokes():
                _paint_strokes(image, [_fixed(path) for path in shape.paths], shape)
            case Patch():
                _paint_patch(image, shape)
            case ArcLine():
                _paint_line(image, _arc_points(shape), shape.colour, shape.casing, shape.width)
            case JointMark():
                _paint_mark(image, shape)


def _bgr(colour: Colour) -> Colour:
    return colour[2], colour[1], colour[0]


def _fixed(points: NDArray) -> NDArray[np.int32]:
    # half a sub-pixel is added for rounding; below 0, outside the picture, it does not matter
    return (points * _ONE + 0.5).astype(np.int32).reshape(-1, 1, 2)


def _widths(width: float) -> tuple[int, int]:
    inner = max(1, round(width))
    return inner + 2 * max(1, round(width / 3)), inner


def _paint_line(
    image: Image, points: NDArray, colour: Colour, casing: Colour, width: float, closed: bool = False
) -> None:
    path = [_fixed(points)]
    outer, inner = _widths(width)
    cv2.polylines(image, path, closed, _bgr(casing), outer, cv2.LINE_AA, _SHIFT)
    cv2.polylines(image, path, closed, _bgr(colour), inner, cv2.LINE_AA, _SHIFT)


def _paint_dashes(image: Image, line: Dashes) -> None:
    start, stop = np.array(line.start), np.array(line.stop)
    length = float(np.hypot(*(stop - start)))
    if length < 1.0:
        return
    edges = np.arange(0.0, length - line.dash / 2, line.dash)
    starts, stops = edges[::2], np.minimum(edges[::2] + line.dash, length)
    direction = (stop - start) / length
    paths = [_fixed(np.array([start + direction * a, start + direction * b])) for a, b in zip(starts, stops)]
    _paint_strokes(image, paths, line)


def _paint_strokes(image: Image, paths: list[NDArray[np.int32]], look: Strokes | Dashes) -> None:
    outer, inner = _widths(look.width)
    if look.casing is not None:
        cv2.polylines(image, paths, False, _bgr(look.casing), outer, cv2.LINE_AA, _SHIFT)
    cv2.polylines(image, paths, False, _bgr(look.colour), inner, cv2.LINE_AA, _SHIFT)


def _paint_patch(image: Image, patch: Patch) -> None:
    """Fill an area; where it is seen through, only its own surroundings are blended."""
    if patch.opacity >= 1.0:
        cv2.fillPoly(image, [_fixed(patch.corners)], _bgr(patch.colour), cv2.LINE_AA, _SHIFT)
        return
    height, width = image.shape[:2]
    left, top = np.maximum(np.floor(patch.corners.min(axis=0)).astype(int) - 1, 0).tolist()
    right, bottom = np.minimum(np.ceil(patch.corners.max(axis=0)).astype(int) + 2, (width, height)).tolist()
    if left >= right or top >= bottom:
        return
    under = image[top:bottom, left:right]
    over = under.copy()
    cv2.fillPoly(over, [_fixed(patch.corners - (left, top))], _bgr(patch.colour), cv2.LINE_AA, _SHIFT)
    image[top:bottom, left:right] = _faded(under, over, patch.opacity)


def _arc_points(arc: ArcLine) -> NDArray:
    steps = max(2, int(abs(arc.sweep_rad) / _ARC_STEP_RAD) + 2)
    angle = arc.start_rad + np.linspace(0.0, arc.sweep_rad, steps)
    return np.array(arc.centre) + arc.radius * np.stack([np.cos(angle), np.sin(angle)], axis=1)


def _paint_mark(image: Image, mark: JointMark) -> None:
    outer, inner = _widths(mark.width)
    if mark.form is Form.DOT:
        (x, y), radius = _fixed(np.array(mark.centre))[0, 0].tolist(), mark.radius
        for size, colour in ((radius, mark.casing), (radius - max(1.0, mark.width / 3), mark.colour)):
            cv2.circle(image, (x, y), round(size * _ONE), _bgr(colour), cv2.FILLED, cv2.LINE_AA, _SHIFT)
        return
    if mark.form is Form.RING:
        (x, y), radius = _fixed(np.array(mark.centre))[0, 0].tolist(), round(mark.radius * _ONE)
        cv2.circle(image, (x, y), radius, _bgr(mark.casing), outer, cv2.LINE_AA, _SHIFT)
        cv2.circle(image, (x, y), radius, _bgr(mark.colour), inner, cv2.LINE_AA, _SHIFT)
        return
    side = mark.radius * 0.9
    corners = np.array(mark.centre) + side * np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)])
    _paint_line(image, corners, mark.colour, mark.casing, mark.width, closed=True)


def _paint_card(image: Image, card: TextCard) -> None:
    height, width = image.shape[:2]
    left, top = max(card.x, 0), max(card.y, 0)
    right, bottom = min(card.x + card.image.width, width), min(card.y + card.image.height, height)
    if left >= right or top >= bottom:
        return
    part = (slice(top - card.y, bottom - card.y), slice(left - card.x, right - card.x))
    under = image[top:bottom, left:right]
    over = cv2.add(cv2.multiply(under, card.image.rest[part], scale=1 / 255), card.image.ink[part])
    image[top:bottom, left:right] = over if card.opacity >= 1.0 else _faded(under, over, card.opacity)


def _faded(under: Image, over: NDArray, opacity: float) -> NDArray:
    return cv2.addWeighted(over, opacity, under, 1.0 - opacity, 0.0)
