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

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import uniform_filter1d

from motionlabel.records import Array

_GRID = np.linspace(-1.05, 1.05, 43)
"""Candidate depths, in lengths of the segment."""

_LENGTH_SPREAD = 0.06
_FLAT = 0.92
"""A straight limb whose picture reaches this share of its length has no depth to speak of."""

_BIAS_REACH = 0.25
"""Change of estimated depth, in lengths, over which the bias fades (measured on demo_clips)."""

_FEWEST = 5
"""Frames that make a bias believable (own convention)."""
_SHALLOWER_SPREAD = 0.15
_DEEPER_SPREAD = 0.30
_STEADY_S = 0.25


def segment_depth(
    picture: Array, estimated: Array, bias: float, rightward: Array, length: float, lateral_spread: float, fps: float
) -> tuple[Array, Array]:
    """Return the depth of a segment's end against its start, and its standard deviation.

    Parameters
    ----------
    picture
        (F, 2) end minus start in the picture plane, levelled, any unit of length.
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

    Returns
    -------
    depth, sigma
        (F,) each, same unit, towards the camera positive; NaN where the picture is unknown.
    """
    known = np.isfinite(picture).all(axis=1) & np.isfinite(estimated)
    length = _own_length(picture, length)
    # single precision: the grid is the largest thing in memory
    flat = (np.where(known[:, None], picture, 0.0) / length).astype(np.float32)
    guess = (np.where(known, _unbiased(estimated, bias, length), 0.0)[:, None] / length).astype(np.float32)
    grid = _GRID[None, :].astype(np.float32)

    span = np.sqrt(np.square(flat).sum(axis=1)[:, None] + np.square(grid))
    cost = np.square((span - np.maximum(1.0, np.hypot(*flat.T))[:, None]) / _LENGTH_SPREAD)
    deeper = (grid - guess) * np.sign(guess) > 0
    cost += np.square((grid - guess) / np.where(deeper, _DEEPER_SPREAD, _SHALLOWER_SPREAD))
    across = rightward.astype(np.float32)
    lean = (flat * across[:, :2]).sum(axis=1)[:, None] + grid * across[:, 2:]
    # long tails (Student, 2 degrees of freedom): a leg that is plainly abducted is not pulled back
    cost += 3.0 * np.log1p(np.square(lean / lateral_spread) / 2.0)
    cost[~known] = 0.0
    cost = uniform_filter1d(cost, max(1, round(_STEADY_S * fps)), axis=0, mode="nearest")

    density = np.exp(-0.5 * (cost - cost.min(axis=1, keepdims=True)))
    density /= density.sum(axis=1, keepdims=True)
    peak = _GRID[cost.argmin(axis=1)]
    near = density * (np.abs(grid - peak[:, None]) < 0.2)
    depth = (near * grid).sum(axis=1) / near.sum(axis=1)
    sigma = np.sqrt((density * np.square(grid - depth[:, None])).sum(axis=1))
    depth, sigma = (_steady(v, known, max(1, round(_STEADY_S * fps))) for v in (depth, sigma))
    depth[~known] = sigma[~known] = np.nan
    return depth.astype(float) * length, sigma.astype(float) * length


def _steady(values: Array, known: NDArray[np.bool_], window: int) -> Array:
    """Average over a running window, in which unknown frames count as their known neighbours."""
    frames = np.arange(len(values))
    filled = np.interp(frames, frames[known], values[known]) if known.any() else values
    return uniform_filter1d(filled, window, mode="nearest")


def _own_length(picture: Array, usual: float) -> float:
    """Length of this person's segment: between the usual one and its longest picture."""
    longest = float(np.nanpercentile(np.hypot(*picture.T), 95)) if np.isfinite(picture).any() else usual
    near_usual = np.clip(longest, (1.0 - _LENGTH_SPREAD) * usual, (1.0 + _LENGTH_SPREAD) * usual)
    return float(0.5 * (near_usual + usual))


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
        float(np.clip(np.nanmedian(depth[lying]), -0.3 * length, 0.3 * length))
        for depth, length in zip(estimated, lengths)
    ]
