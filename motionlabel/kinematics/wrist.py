"""Hand against forearm, as far as a side view shows it."""

import numpy as np

from motionlabel.body import Centre, Segment, Side
from motionlabel.kinematics.known import known_quantile
from motionlabel.kinematics.proportions import LIMBS
from motionlabel.records import Array, BodyTrack

_IN_PICTURE = 0.8
_HAND_IN_PICTURE = 0.6
"""Share of the usual length of forearm and hand that the picture must show (own convention)."""

_SIDE_VIEW = 0.7
_SIGMA_RAD = np.radians(12.0)
"""Measured on rendered bodies: 1 to 10 deg root mean square in the near arm, 3 to 16 in the far one."""


def wrist_flexion(body: BodyTrack, side: Side) -> tuple[Array, Array]:
    """Return how far the hand bends against the forearm in the picture.

    Which way the palm faces is not seen: the landmarks of thumb, index and little finger do not follow a
    turn of the forearm. The palm is taken to face the way the elbow bends (supinated), so that the sign
    is wrong for a pronated forearm; the standard deviation reaches over to the other sign.

    Parameters
    ----------
    body
        Joint centres.
    side
        Left or right.

    Returns
    -------
    angle, sigma
        (F,) radians, palm to the forearm positive; NaN unless a side view shows forearm and hand.
    """
    elbow, wrist, hand = (
        body.centres_m[:, Centre[f"{side}_{part}".upper()], :2] for part in ("elbow", "wrist", "hand")
    )
    forearm, palm = wrist - elbow, hand - wrist
    reach = np.linalg.norm(palm, axis=1)
    usual = known_quantile(reach, 0.75)
    rightward = body.segment_rotations[:, Segment.TRUNK, 2, 2]
    seen = np.linalg.norm(forearm, axis=1) > _IN_PICTURE * LIMBS["LEFT_ELBOW_WRIST"].length * body.stature_m
    seen &= (reach > _HAND_IN_PICTURE * usual) & (np.abs(rightward) > _SIDE_VIEW)
    bend = np.arctan2(forearm[:, 0] * palm[:, 1] - forearm[:, 1] * palm[:, 0], (forearm * palm).sum(axis=1))
    # flexion turns about the rightward axis: anticlockwise where that points to the camera
    angle = np.where(seen, np.sign(rightward) * bend, np.nan)
    return angle, np.hypot(_SIGMA_RAD, angle)
