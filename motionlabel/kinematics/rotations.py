"""Segment frames and the anatomical angles between them.

Frames follow ISB: x forward, y up along the segment, z to the right; columns of the rotation are these
axes in the levelled frame. Angle sequence of hip and shoulder: flexion, then abduction (then
rotation), i.e. the Cardan sequence z-x-y.
*Source*: Grood & Suntay 1983; Wu et al. 2002, 2005 (ISB); signs as in goniometry.
"""

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from motionlabel.body import Side
from motionlabel.records import Array

Float = TypeVar("Float", bound=np.floating)


def unit(vectors: Array) -> Array:
    """Scale the last axis to length 1; NaN stays NaN, and no length has no direction: NaN."""
    with np.errstate(invalid="ignore"):
        return np.asarray(vectors / np.sqrt(np.einsum("...i,...i->...", vectors, vectors))[..., None])


def cross(a: NDArray[Float], b: NDArray[Float]) -> NDArray[Float]:
    """Return the (..., 3) vector product; for a few hundred vectors much quicker than ``np.cross``."""
    (ax, ay, az), (bx, by, bz) = np.moveaxis(a, -1, 0), np.moveaxis(b, -1, 0)
    return np.stack([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx], axis=-1)


def level_forward(rightward: Array) -> Array:
    """Return the (..., 3) horizontal direction that somebody with this rightward axis faces, at most of length 1."""
    return np.stack([rightward[..., 2], np.zeros(rightward.shape[:-1]), -rightward[..., 0]], axis=-1)


def segment_frame(up: Array, rightward: Array) -> Array:
    """Return the frame of a segment from its long axis and the person's rightward axis.

    Parameters
    ----------
    up
        (..., 3) long axis, from the far to the near end, any length.
    rightward
        (..., 3) direction to the person's right; need not be perpendicular.

    Returns
    -------
    (..., 3, 3) segment in levelled frame, columns forward, up, right.
    """
    y = unit(up)
    x = unit(cross(y, rightward))
    return np.stack([x, y, cross(x, y)], axis=-1)


def swing_angles(direction_in_proximal: Array, side: Side) -> tuple[Array, Array]:
    """Return flexion and abduction of a limb that hangs down at zero.

    Parameters
    ----------
    direction_in_proximal
        (..., 3) direction from the near to the far joint in the proximal frame (forward, up, right).
    side
        Left or right; abduction is away from the midline on both.

    Returns
    -------
    flexion, abduction
        (...) radians; abduction within +-pi/2, flexion within +-pi.
    """
    d = unit(direction_in_proximal)
    outward = d[..., 2] if side is Side.RIGHT else -d[..., 2]
    return np.arctan2(d[..., 0], -d[..., 1]), np.arcsin(np.clip(outward, -1.0, 1.0))


def frontal_swing_angles(direction_in_proximal: Array, side: Side) -> tuple[Array, Array]:
    """Return flexion and abduction of a limb raised sideways: abduction first, then flexion.

    The sequence of ``swing_angles`` is singular for an arm held out level, and calls one raised sideways
    above the shoulder 180 deg flexed; this one is smooth there.

    Parameters
    ----------
    direction_in_proximal
        (..., 3) direction from the near to the far joint in the proximal frame (forward, up, right).
    side
        Left or right.

    Returns
    -------
    flexion, abduction
        (...) radians; flexion within +-pi/2, abduction within +-pi.
    """
    d = unit(direction_in_proximal)
    outward = d[..., 2] if side is Side.RIGHT else -d[..., 2]
    return np.arcsin(np.clip(d[..., 0], -1.0, 1.0)), np.arctan2(outward, -d[..., 1])


def hinge_angle(near: Array, far: Array, rightward: Array) -> Array:
    """Return how far two directions in line bend against each other.

    Parameters
    ----------
    near, far
        (..., 3) directions of the near and the far segment, both pointing away from the trunk.
    rightward
        (..., 3) direction to the person's right.

    Returns
    -------
    (...) radians, positive where the far segment turns forward about the rightward axis. Beyond 30 deg
    the whole angle in space counts, whatever its plane; below 10 deg only its part about the rightward
    axis, so that noise about a straight limb averages out instead of looking like a bend.
    """
    a, b = unit(near), unit(far)
    normal = cross(a, b)
    hinge = unit(rightward - (rightward * a).sum(axis=-1, keepdims=True) * a)
    along = (normal * hinge).sum(axis=-1)
    cosine = (a * b).sum(axis=-1)
    whole = np.arctan2(np.linalg.norm(normal, axis=-1), cosine) * np.sign(along)
    signed = np.arctan2(along, cosine)
    share = np.clip((np.degrees(np.abs(whole)) - 10.0) / 20.0, 0.0, 1.0)
    return share * whole + (1.0 - share) * signed
