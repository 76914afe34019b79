"""Depth of a body segment from what one camera knows of it.

Three things speak of the depth ``dz`` of a segment whose picture is ``(dx, dy)``:

* its length is known, so what is missing in the picture must be depth (either sign);
* the landmarker's estimated depth, whose direction is good and whose size shrinks, so deeper than
  estimated is likelier than shallower;
* limbs move mostly in or near the person's own sagittal plane.

Their joint density over ``dz`` is worked out on a grid and steadied in time; its peak is the depth and
its spread the uncertainty. Each of them alone fails in some view: length ruins straight limbs,
estimated depth shrinks ranges, the sagittal plane says nothing in a front view.
*Source*: own method; the spreads were set once on demo_clips.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import uniform_filter1d

from motionlabel.kinematics.known import known_median, known_quantile
from motionlabel.kinematics.rotations import cross
from motionlabel.records import Array

_GRID = np.linspace(-1.05, 1.05, 43, dtype=np.float32)
"""Candidate depths, in lengths of the segment."""

_LENGTH_SPREAD = 0.06
_TRUSTED = 0.8
"""Share of the longest picture in a segment's length, the rest is the usual length (measured on demo_clips)."""

_NEAR_SHARE, _FAR_SHARE = 0.8, 0.95
"""A tethered limb bears its own weight along: of each segment's depth so much counts (leg masses and their places,
de Leva 1996)."""

_FLAT = 0.92
"""A straight limb whose picture reaches this share of its length has no depth to speak of."""

_BIAS_REACH = 0.25
"""Change of estimated depth, in lengths, over which the bias fades (measured on demo_clips)."""

_FEWEST = 5
"""Frames that make a bias believable (own convention)."""
_SHALLOWER_SPREAD = 0.15
_DEEPER_SPREAD = 0.30
_STEADY_S = 0.25
_PEAK_REACH = 0.2
_BLOCK = 32  # frames whose grids fit the cache: 256 took 1.6 times as long (measured)

_FORBIDDEN = np.float32(np.sin(np.radians(6.0)))
"""Sine of the bend to the wrong side that counts as one standard deviation."""


@dataclass(frozen=True)
class Hinge:
    """How two segments of a limb are likely to stand to each other.

    Attributes
    ----------
    straight_rad
        Bend from which a limb is plainly less likely than a straight one.
    weight
        How much so; larger bends matter ever less.
    forbidden
        The turn of the far segment about the rightward axis that the joint does not allow: 1 forwards
        (a knee), 0 none.
    """

    straight_rad: float
    weight: float
    forbidden: float


KNEE = Hinge(straight_rad=np.radians(25.0), weight=1.0, forbidden=1.0)
ELBOW = Hinge(straight_rad=np.radians(12.0), weight=4.0, forbidden=0.0)
"""Set once on demo_clips: arms are estimated worse in depth, so their straightness counts more."""


@dataclass(frozen=True)
class Evidence:
    """What speaks for each candidate depth of one segment.

    Attributes
    ----------
    cost
        (F, G) minus twice the log density of each candidate, steadied in time.
    picture
        (F, 2) end minus start in the picture, lengths of the segment; 0 where unknown.
    known
        (F,) where the picture shows the segment.
    length
        Length of the person's segment, the unit of the input.
    window
        Frames over which a result is steadied.
    """

    cost: NDArray[np.float32]
    picture: NDArray[np.float32]
    known: NDArray[np.bool_]
    length: float
    window: int


def gather_evidence(
    picture: Array, estimated: Array, bias: float, rightward: Array, length: float, lateral_spread: float, fps: float
) -> Evidence:
    """Weigh the candidate depths of a segment's end against its start.

    Parameters
    ----------
    picture
        (F, 2) end minus start in the picture plane, levelled, any unit of length; NaN = unknown.
    estimated
        (F,) the landmarker's depth difference in the same unit, towards the camera positive.
    bias
        Its bias where the segment lies in the picture plane (see ``depth_bias``).
    rightward
        (F, 3) unit vector from the person's left to right.
    length
        Usual length of the segment in the same unit.
    lateral_spread
        Standard deviation of the lean out of the sagittal plane, fraction of the length.
    fps
        Frames per second.
    """
    known = np.asarray(np.isfinite(picture).all(axis=1) & np.isfinite(estimated))
    length = _own_length(picture, length)
    # single precision: the grid is the largest thing in memory
    flat = (np.where(known[:, None], picture, 0.0) / length).astype(np.float32)
    guess = (np.where(known, _unbiased(estimated, bias, length), 0.0)[:, None] / length).astype(np.float32)
    grid = _GRID[None, :]

    span = np.sqrt(np.square(flat).sum(axis=1)[:, None] + np.square(grid))
    cost = np.square((span - np.maximum(1.0, np.hypot(*flat.T))[:, None]) / _LENGTH_SPREAD)
    deeper = (grid - guess) * np.sign(guess) > 0
    cost += np.square((grid - guess) / np.where(deeper, _DEEPER_SPREAD, _SHALLOWER_SPREAD))
    across = rightward.astype(np.float32)
    lean = (flat * across[:, :2]).sum(axis=1)[:, None] + grid * across[:, 2:]
    # long tails (Student, 2 degrees of freedom): a leg that is plainly abducted is not pulled back
    cost += 3.0 * np.log1p(np.square(lean / lateral_spread) / 2.0)
    cost[~known] = 0.0
    window = max(1, round(_STEADY_S * fps))
    return Evidence(uniform_filter1d(cost, window, axis=0, mode="nearest"), flat, known, length, window)


def settle(evidence: Evidence) -> tuple[Array, Array]:
    """Return the depth of a segment by itself, and its standard deviation.

    Returns
    -------
    depth, sigma
        (F,) each, in the unit of the evidence, towards the camera positive; NaN where unknown.
    """
    density = _density(evidence.cost)
    return _peak_and_spread(density, evidence.cost.argmin(axis=1), evidence)


@dataclass(frozen=True)
class Tether:
    """Where the far end of a limb is likely to lie in depth against its near end.

    Attributes
    ----------
    depth
        (F,) towards the camera positive, unit of the evidence.
    spread
        Its standard deviation; long tails.
    holds
        (F,) where it says anything.
    """

    depth: Array
    spread: float
    holds: NDArray[np.bool_]


def settle_limb(
    near: Evidence, far: Evidence, rightward: Array, hinge: Hinge, tether: Tether | None = None
) -> list[tuple[Array, Array]]:
    """Return depth and standard deviation of two segments that a hinge joins.

    Limbs are straight oftener than a little bent, and a knee does not bend forwards: without this the
    noise of depth makes every straight leg look bent from the front.

    Parameters
    ----------
    near, far
        Evidence of the two segments.
    rightward
        (F, 3) unit vector from the person's left to right.
    hinge
        The joint between them.
    tether
        What else is known of the far end.

    Returns
    -------
    (depth, sigma) of the near and of the far segment, as from ``settle``.
    """
    frames = len(near.known)
    peaks = np.empty((2, frames), dtype=int)
    densities = np.empty((2, frames, len(_GRID)), dtype=np.float32)
    for start in range(0, frames, _BLOCK):
        block = slice(start, start + _BLOCK)
        first, second = (_directions(e.picture[block]) for e in (near, far))
        cosine = first @ second.swapaxes(1, 2)
        cost = near.cost[block, :, None] + far.cost[block, None, :]
        # 2 (1 - cos) is the square of a small bend
        cost += np.float32(hinge.weight) * np.log1p((1.0 - cosine) * np.float32(2.0 / hinge.straight_rad**2))
        if hinge.forbidden:
            across = cross(second, np.broadcast_to(rightward[block, None, :], second.shape).astype(np.float32))
            forwards = np.float32(hinge.forbidden) * (first @ across.swapaxes(1, 2))
            cost += np.square(np.maximum(forwards, 0.0) / _FORBIDDEN)
        if tether is not None:
            reach = (
                np.float32(_NEAR_SHARE * near.length) * _GRID[:, None]
                + np.float32(_FAR_SHARE * far.length) * _GRID[None, :]
            )
            off = (reach - tether.depth[block, None, None].astype(np.float32)) / np.float32(tether.spread)
            cost += 3.0 * np.log1p(np.square(off) / 2.0) * tether.holds[block, None, None]
        cost[~(near.known & far.known)[block]] = 0.0
        cost -= cost.min(axis=(1, 2), keepdims=True)
        flat = cost.reshape(len(cost), -1).argmin(axis=1)
        peaks[0, block], peaks[1, block] = np.divmod(flat, len(_GRID))
        density = np.exp(-0.5 * cost)
        densities[0, block], densities[1, block] = density.sum(axis=2), density.sum(axis=1)
    densities /= densities.sum(axis=2, keepdims=True)
    both = near.known & far.known
    return [
        _peak_and_spread(
            np.where(both[:, None], density, _density(evidence.cost)),
            np.where(both, peak, evidence.cost.argmin(axis=1)),
            evidence,
        )
        for density, peak, evidence in zip(densities, peaks, (near, far))
    ]


def _directions(picture: NDArray[np.float32]) -> NDArray[np.float32]:
    """(F, G, 3) unit vectors of a segment for every candidate depth."""
    lines = np.empty((len(picture), len(_GRID), 3), dtype=np.float32)
    lines[:, :, :2] = picture[:, None, :]
    lines[:, :, 2] = _GRID
    length = np.sqrt(np.square(picture).sum(axis=1)[:, None] + np.square(_GRID))
    return lines / np.maximum(length, np.float32(1e-6))[:, :, None]


def _density(cost: NDArray[np.float32]) -> NDArray[np.float32]:
    density = np.exp(-0.5 * (cost - cost.min(axis=1, keepdims=True)))
    return density / density.sum(axis=1, keepdims=True)


def _peak_and_spread(density: NDArray[np.float32], peak: NDArray[np.intp], evidence: Evidence) -> tuple[Array, Array]:
    grid = _GRID[None, :]
    near = density * (np.abs(grid - _GRID[peak][:, None]) < _PEAK_REACH)
    depth = (near * grid).sum(axis=1) / np.maximum(near.sum(axis=1), 1e-12)
    sigma = np.sqrt((density * np.square(grid - depth[:, None])).sum(axis=1))
    known = evidence.known
    depth, sigma = (_steady(v.astype(float), known, evidence.window) * evidence.length for v in (depth, sigma))
    depth[~known] = sigma[~known] = np.nan
    return depth, sigma


def _steady(values: Array, known: NDArray[np.bool_], window: int) -> Array:
    """Average over a running window, in which unknown frames count as their known neighbours."""
    frames = np.arange(len(values))
    filled = np.interp(frames, frames[known], values[known]) if known.any() else values
    return uniform_filter1d(filled, window, mode="nearest")


def _own_length(picture: Array, usual: float) -> float:
    """Length of this person's segment: near its longest picture, unless that is so short that it never lay flat."""
    lengths = np.hypot(*picture.T)
    longest = known_quantile(lengths, 0.95) if np.isfinite(lengths).any() else usual
    away = longest / usual - 1.0
    # a picture two spreads short says nothing of the length
    own = min(away, _LENGTH_SPREAD) if away > -_LENGTH_SPREAD else -max(0.0, 2.0 * _LENGTH_SPREAD + away)
    return float(usual * (1.0 + _TRUSTED * own))


def _unbiased(estimated: Array, bias: float, length: float) -> Array:
    """Take the bias off where the segment still lies about as it did when the bias was seen."""
    return estimated - bias * np.exp(-np.square((estimated - bias) / (_BIAS_REACH * length)))


def depth_bias(pictures: list[Array], estimated: list[Array], lengths: list[float]) -> list[float]:
    """Return the landmarker's depth bias of each segment of a limb, from where the limb has no depth.

    A limb that is straight in the picture and as long as it can be lies in the picture plane; what is
    estimated there is bias (it makes straight legs look bent from the front).

    Parameters
    ----------
    pictures
        (F, 2) for each segment, near to far.
    estimated
        (F,) for each segment.
    lengths
        Usual length of each segment.

    Returns
    -------
    One bias a segment, at most 0.3 of its length; zero if the limb never lies in the picture plane.
    """
    spans = [np.hypot(*picture.T) for picture in pictures]
    lying = np.all([span > _FLAT * length for span, length in zip(spans, lengths)], axis=0)
    for near, far, near_span, far_span in zip(pictures, pictures[1:], spans, spans[1:]):
        lying &= (near * far).sum(axis=1) > np.cos(np.radians(8.0)) * near_span * far_span
    if np.count_nonzero(lying) < _FEWEST:
        return [0.0] * len(pictures)
    return [
        float(np.clip(known_median(depth[lying]), -0.3 * length, 0.3 * length))
        for depth, length in zip(estimated, lengths)
    ]
