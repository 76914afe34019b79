"""Turns of a limb, or of the trunk, about its own long axis, and of a raised arm in the horizontal plane.

One camera sees how a thigh is turned only from where the bent shank points, an upper arm only from where
the bent forearm points: with a straight limb these angles are unknown (NaN).
*Source*: Grood & Suntay 1983 and Wu et al. 2002, 2005 (ISB) for sequence and signs; the horizontal plane
from the arm held out sideways as in the neutral-zero method (AAOS).
"""

import numpy as np
from numpy.typing import NDArray

from motionlabel.body import Side
from motionlabel.kinematics.rotations import unit
from motionlabel.records import Array

_LEAST_BEND_RAD = np.radians(30.0)
"""A limb bent less shows nothing of its turn: 2 deg of noise would be 4 (own convention)."""

_RAISED_RAD = np.radians(60.0)
_OVERHEAD_RAD = np.radians(150.0)
"""Between these elevations the plane of a raised arm can be told (own convention)."""


def unturned_frame(flexion: Array, abduction: Array, side: Side, sideways: NDArray[np.bool_]) -> Array:
    """Return a limb that is flexed and abducted but not turned about itself, in the proximal frame.

    Parameters
    ----------
    flexion, abduction
        (F,) radians, as ``swing_angles`` or, where ``sideways``, as ``frontal_swing_angles`` gives them.
    side
        Left or right.
    sideways
        (F,) where abduction comes before flexion.

    Returns
    -------
    (F, 3, 3) rotations; columns forward, up along the limb, right.
    """
    outward = abduction if side is Side.RIGHT else -abduction
    flexed, abducted = _about_right(flexion), _about_forward(-outward)
    return np.where(sideways[:, None, None], abducted @ flexed, flexed @ abducted)


def internal_rotation(far_in_unturned: Array, side: Side, bends_forward: bool) -> Array:
    """Return how far a limb is turned inward about itself.

    Parameters
    ----------
    far_in_unturned
        (F, 3) direction of the segment beyond its hinge, in the frame of ``unturned_frame``.
    side
        Left or right.
    bends_forward
        Whether the hinge bends forward (elbow) or backward (knee).

    Returns
    -------
    (F,) radians, the front of the limb towards the midline positive; NaN where the hinge is bent by less
    than 30 deg.
    """
    far = unit(far_in_unturned) * (1.0 if bends_forward else -1.0)
    inward = far[:, 2] if side is Side.LEFT else -far[:, 2]
    bent = np.hypot(far[:, 0], far[:, 2]) > np.sin(_LEAST_BEND_RAD)
    return np.where(bent, np.arctan2(inward, far[:, 0]), np.nan)


def horizontal_adduction(arm_in_trunk: Array, side: Side) -> Array:
    """Return where a raised arm points in the trunk's horizontal plane.

    Parameters
    ----------
    arm_in_trunk
        (F, 3) direction of the upper arm in the trunk's frame.
    side
        Left or right.

    Returns
    -------
    (F,) radians, 0 straight out to the side, forward and across positive; NaN unless the arm is raised by
    60 to 150 deg.
    """
    arm = unit(arm_in_trunk)
    outward = arm[:, 2] if side is Side.RIGHT else -arm[:, 2]
    elevation = np.arccos(np.clip(-arm[:, 1], -1.0, 1.0))
    raised = (elevation > _RAISED_RAD) & (elevation < _OVERHEAD_RAD)
    return np.where(raised, np.arctan2(arm[:, 0], outward), np.nan)


def turn_between(lower_in_trunk: Array, upper_in_trunk: Array) -> Array:
    """Return how far one line across the trunk is turned against another about the trunk's long axis.

    Parameters
    ----------
    lower_in_trunk, upper_in_trunk
        (F, 3) lines from left to right, e.g. hips and shoulders, in the trunk's frame.

    Returns
    -------
    (F,) radians, the upper line turned to the person's left positive.
    """
    lower, upper = (np.arctan2(line[:, 0], line[:, 2]) for line in (lower_in_trunk, upper_in_trunk))
    return (upper - lower + np.pi) % (2.0 * np.pi) - np.pi


def _about_right(angle: Array) -> Array:
    cos, sin, zero, one = np.cos(angle), np.sin(angle), np.zeros_like(angle), np.ones_like(angle)
    return _rows((cos, -sin, zero), (sin, cos, zero), (zero, zero, one))


def _about_forward(angle: Array) -> Array:
    cos, sin, zero, one = np.cos(angle), np.sin(angle), np.zeros_like(angle), np.ones_like(angle)
    return _rows((one, zero, zero), (zero, cos, -sin), (zero, sin, cos))


def _rows(*rows: tuple[Array, Array, Array]) -> Array:
    return np.stack([np.stack(row, axis=-1) for row in rows], axis=-2)
