"""How the head is turned, from the points of the face in the picture; and the neck angles that follow.

A rigid face is fitted to its 11 points in the picture (orthographic, free scale). Estimated depth is left
out: it shows a quarter of a turn of the head and nothing of its tilt to the side.
*Source*: own method; orthographic pose from points is common practice.
"""

import numpy as np

from motionlabel.body import Landmark
from motionlabel.records import Array

# Forward, up and right of the middle of the ears, in widths between the ears, of a head that looks straight
# ahead. Measured on demo_clips: means of the landmarker's own world points, made symmetrical.
_FACE: dict[Landmark, tuple[float, float, float]] = {
    Landmark.NOSE: (0.83, 0.02, 0.0),
    Landmark.LEFT_EYE_INNER: (0.67, 0.24, -0.11),
    Landmark.LEFT_EYE: (0.67, 0.24, -0.11),
    Landmark.LEFT_EYE_OUTER: (0.67, 0.25, -0.11),
    Landmark.RIGHT_EYE_INNER: (0.67, 0.24, 0.11),
    Landmark.RIGHT_EYE: (0.67, 0.24, 0.11),
    Landmark.RIGHT_EYE_OUTER: (0.67, 0.25, 0.11),
    Landmark.LEFT_EAR: (0.0, 0.0, -0.5),
    Landmark.RIGHT_EAR: (0.0, 0.0, 0.5),
    Landmark.MOUTH_LEFT: (0.61, -0.21, -0.14),
    Landmark.MOUTH_RIGHT: (0.61, -0.21, 0.14),
}

_FACING = 0.5
"""Share of the shoulder line in the picture from which tilt and turn of the head can be seen (own convention)."""

_UPRIGHT = 0.5
# spreads in degrees (measured on rendered bodies): side view, what a front view adds, and a view from behind
_FLEXION_DEG = (6.0, 8.0)
_BEND_DEG = 8.0
_OBLIQUE_BEND_DEG = 25.0
_TURN_DEG = 11.0
_BEHIND_DEG = 10.0


def head_frames(picture: Array) -> Array:
    """Return the frame of the head.

    Parameters
    ----------
    picture
        (F, L, 2) landmarks in the picture, x right, y up, any unit; NaN = not seen.

    Returns
    -------
    (F, 3, 3) head in levelled frame, columns forward, up, right; NaN where a point of the face is not seen
    or all fall on one line.
    """
    model = np.array(list(_FACE.values()))
    model -= model.mean(axis=0)
    points = picture[:, list(_FACE)]
    points = points - points.mean(axis=1, keepdims=True)
    seen = np.isfinite(points).all(axis=(1, 2))
    frames = np.full((len(picture), 3, 3), np.nan)
    affine = np.einsum("fni,jn->fij", points[seen], np.linalg.pinv(model))
    left, spread, right = np.linalg.svd(affine, full_matrices=False)
    rows = left @ right
    rows[spread[:, 1] <= 1e-3 * np.maximum(spread[:, 0], 1e-9)] = np.nan
    frames[seen] = np.concatenate([rows, np.cross(rows[:, 0], rows[:, 1])[:, None]], axis=1)
    return frames


def neck_angles(trunk: Array, head: Array) -> tuple[Array, Array, Array]:
    """Return flexion, lateral bend and rotation of the head against the trunk, in this sequence.

    Parameters
    ----------
    trunk, head
        (F, 3, 3) in levelled frame, columns forward, up, right.

    Returns
    -------
    flexion, bend, turn
        (F,) radians; chin to the chest, ear to the left shoulder and face to the left are positive.
    """
    relative = np.swapaxes(trunk, 1, 2) @ head
    flexion = np.arctan2(relative[:, 0, 1], relative[:, 1, 1])
    bend = np.arcsin(np.clip(-relative[:, 2, 1], -1.0, 1.0))
    turn = np.arctan2(-relative[:, 2, 0], relative[:, 2, 2])
    return flexion, bend, turn


def measure_neck(trunk: Array, head: Array) -> tuple[tuple[Array, Array], tuple[Array, Array], tuple[Array, Array]]:
    """Return angle and standard deviation of neck flexion, lateral bend and rotation.

    Each is (F,) radians. In a side view tilt and turn of the head are NaN, and flexion is so for a lying person
    in any other view: the picture hardly shows them.
    """
    flexion, bend, turn = neck_angles(trunk, head)
    facing = np.abs(trunk[:, 0, 2])
    behind = np.where(trunk[:, 2, 0] < 0.0, _BEHIND_DEG * facing, 0.0)
    behind[trunk[:, 1, 1] < _UPRIGHT] = _BEHIND_DEG
    across = np.where(facing > _FACING, 1.0, np.nan)
    # a lying person who is not seen from the side: the depth of the trunk decides
    flexion = np.where((trunk[:, 1, 1] < _UPRIGHT) & (facing > _FACING), np.nan, flexion)
    lean = np.hypot(_FLEXION_DEG[0] + _FLEXION_DEG[1] * facing, behind)
    tilt = np.hypot(_BEND_DEG + _OBLIQUE_BEND_DEG * (1.0 - facing), behind)
    return (
        (flexion, np.radians(lean)),
        (bend * across, np.radians(tilt)),
        (turn * across, np.radians(np.hypot(_TURN_DEG, 2.0 * behind))),
    )
