"""Chooses the place of a card: once for its whole showing time, at the picture's edges, off the body.

Every place along the four edges is weighed. Head, labelled joints and other cards are never covered;
of the places left, the one with the least cost wins;
two cards at a time are weighed together. The costs are own conventions.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from motionlabel.drawing.shapes import Box, Point
from motionlabel.drawing.space import Space, share_covered

_OVER_BODY = 50.0  # a card wholly over the body
_TOUCHES_BODY = 0.15
_FAR = 1.0  # as far from the joint as the shorter side
_OVER_HEAD = 0.6  # the line to the joint crosses the head
_CROSSING = 0.4  # the lines of two cards cross
_LOW = 0.05  # a card that points nowhere lies rather low
_STEPS = 24  # points at which a line is tried against the head


@dataclass(frozen=True, slots=True)
class Place:
    """A place and what it costs; less is better."""

    box: Box
    cost: float
    body_share: float


def good_places(space: Space, width: int, height: int, margin: int, joint: Point | None) -> list[Place]:
    """Return the best place in every stretch of the picture's edges, the best of all first.

    Parameters
    ----------
    space
        What is taken during the showing time.
    width, height
        Pixels of the card.
    margin
        Pixels kept to the picture's edge.
    joint
        Mean place of the joint that the card points to; ``None`` for a card that points nowhere.
    """
    if width > space.width - 2 * margin or height > space.height - 2 * margin:
        return []
    spots = _edge_spots(space, width, height, margin)
    spots = spots[share_covered(space.kept_table, spots, width, height, space.cell) == 0]
    if not len(spots):
        return []
    shares = share_covered(space.body_table, spots, width, height, space.cell)
    costs = _OVER_BODY * shares + _TOUCHES_BODY * (shares > 0)
    if joint is not None:
        near = _nearest_edge_points(spots, width, height, joint)
        away = np.hypot(*(near - np.array(joint)).T)
        costs = costs + _FAR * away / min(space.width, space.height) + _OVER_HEAD * _crosses(space, near, joint)
    else:
        costs = costs + _LOW * (1 - spots[:, 1] / space.height)
    stretch = _stretch_of(space, spots, width, height)
    order = np.argsort(costs, kind="stable")
    _, first = np.unique(stretch[order], return_index=True)
    return [
        Place(Box(int(spots[i, 0]), int(spots[i, 1]), width, height), float(costs[i]), float(shares[i]))
        for i in order[np.sort(first)]
    ]


def best_pair(
    first: list[Place], second: list[Place], joints: tuple[Point, Point], gap: int, near: float
) -> tuple[int, int] | None:
    """Return which places of two cards together cost least without meeting, ``None`` where all meet.

    ``joints`` are the mean places of their joints. Lines that cross, or that pass the other card's joint nearer
    than ``near`` pixels, cost more.
    """
    if not first or not second:
        return None
    one, two = _edges(first)[:, None], _edges(second)[None]
    low, high = slice(0, 2), slice(2, 4)
    meet = ((one[..., low] < two[..., high] + gap) & (two[..., low] < one[..., high] + gap)).all(axis=2)
    costs = np.array([p.cost for p in first])[:, None] + np.array([p.cost for p in second])[None]
    ends = [np.array([anchor_of(p.box, joint) for p in places]) for places, joint in zip((first, second), joints)]
    costs = costs + _CROSSING * _lines_cross(ends[0][:, None], np.array(joints[0]), ends[1][None], np.array(joints[1]))
    for mine, other in ((0, 1), (1, 0)):
        astray = _distance_to_line(np.array(joints[other]), ends[mine], np.array(joints[mine])) < near
        costs = costs + _CROSSING * (astray[:, None] if mine == 0 else astray[None])
    costs = np.where(meet, np.inf, costs)
    i, j = np.unravel_index(int(np.argmin(costs)), costs.shape)
    return (int(i), int(j)) if np.isfinite(costs[i, j]) else None


def _distance_to_line(point: NDArray, starts: NDArray, stop: NDArray) -> NDArray[np.float64]:
    """Return the distance of a point to the lines from (N, 2) starts to one stop."""
    along = stop - starts
    share = ((point - starts) * along).sum(axis=1) / np.maximum(1e-9, (along**2).sum(axis=1))
    nearest = starts + along * np.clip(share, 0.0, 1.0)[:, None]
    return np.hypot(*(point - nearest).T)


def _lines_cross(
    a: NDArray[np.float64], b: NDArray[np.float64], c: NDArray[np.float64], d: NDArray[np.float64]
) -> NDArray[np.bool_]:
    """Return whether the lines from a to b and from c to d cross; (..., 2) points are broadcast."""

    def side(start: NDArray, stop: NDArray, point: NDArray) -> NDArray:
        along, off = stop - start, point - start
        return np.sign(along[..., 0] * off[..., 1] - along[..., 1] * off[..., 0])

    return (side(a, b, c) != side(a, b, d)) & (side(c, d, a) != side(c, d, b))


def _edges(places: list[Place]) -> NDArray[np.int_]:
    return np.array([(p.box.x, p.box.y, p.box.right, p.box.bottom) for p in places])


def anchor_of(box: Box, joint: Point) -> Point:
    """Return the point of a card's edge from which its line starts."""
    near = _nearest_edge_points(np.array([[box.x, box.y]]), box.width, box.height, joint)[0]
    return float(near[0]), float(near[1])


def _edge_spots(space: Space, width: int, height: int, margin: int) -> NDArray[np.int_]:
    step = max(1, int(space.cell))
    last_x, last_y = space.width - margin - width, space.height - margin - height
    xs = np.unique(np.append(np.arange(margin, last_x + 1, step), last_x))
    ys = np.unique(np.append(np.arange(margin, last_y + 1, step), last_y))
    sides = [np.stack([np.full_like(ys, x), ys], axis=1) for x in (margin, last_x)]
    ends = [np.stack([xs, np.full_like(xs, y)], axis=1) for y in (margin, last_y)]
    return np.concatenate(sides + ends)


def _stretch_of(space: Space, spots: NDArray[np.int_], width: int, height: int) -> NDArray[np.int_]:
    """Return the number of the ninth of the picture in which the middle of each card lies."""
    across = (spots[:, 0] + width / 2) * 3 // space.width
    down = (spots[:, 1] + height / 2) * 3 // space.height
    return (across + 3 * down).astype(int)


def _nearest_edge_points(spots: NDArray[np.int_], width: int, height: int, joint: Point) -> NDArray[np.float64]:
    low = spots.astype(float)
    return np.clip(np.array(joint), low, low + np.array([width - 1, height - 1]))


def _crosses(space: Space, starts: NDArray[np.float64], joint: Point) -> NDArray[np.float64]:
    """Return 1 for every line from a start to the joint that passes the head, else 0."""
    share = np.linspace(0.0, 1.0, _STEPS)[None, :, None]
    way = starts[:, None] * (1 - share) + np.array(joint) * share
    cells = (way / space.cell).astype(int)
    rows, columns = space.head.shape
    inside = space.head[np.clip(cells[..., 1], 0, rows - 1), np.clip(cells[..., 0], 0, columns - 1)]
    return inside.any(axis=1).astype(float)
