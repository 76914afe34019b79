"""Where joints, limbs and angles lie in the picture, for all frames at once.

Points are (F, L, 2) pixels of the annotated picture, NaN where nobody was found; NaN passes through.
"""

from dataclasses import dataclass

import numpy as np

from motionlabel.body import Axis, Joint, Landmark, MotionAxis, Side, sided
from motionlabel.records import Array, Study

_LIMBS = {
    Joint.HIP: ("shoulder", "hip", "knee"),
    Joint.KNEE: ("hip", "knee", "ankle"),
    Joint.ANKLE: ("knee", "ankle", "foot_index"),
    Joint.SHOULDER: ("hip", "shoulder", "elbow"),
    Joint.ELBOW: ("shoulder", "elbow", "wrist"),
}


@dataclass(frozen=True, slots=True)
class Limb:
    """A joint with the parts on both sides of it, over time.

    Attributes
    ----------
    joint
        (F, 2) the joint.
    proximal, distal
        (F, 2) the points that end the two segments.
    zero, reach
        (F, 2) unit vectors: where the distal segment would lie at an angle of 0, and where it lies.
    """

    joint: Array
    proximal: Array
    distal: Array
    zero: Array
    reach: Array

    @property
    def sweep_rad(self) -> Array:
        """(F,) angle in the picture from ``zero`` to ``reach``, positive clockwise."""
        cross = self.zero[:, 0] * self.reach[:, 1] - self.zero[:, 1] * self.reach[:, 0]
        return np.arctan2(cross, (self.zero * self.reach).sum(axis=1))


def unit(vector: Array) -> Array:
    """Return (F, 2) vectors of length 1; NaN where the length is 0."""
    length = np.linalg.norm(vector, axis=-1, keepdims=True)
    return np.divide(vector, length, out=np.full_like(vector, np.nan), where=length > 0)


def joint_point(points: Array, axis: MotionAxis) -> Array:
    """Return the (F, 2) place a label of this axis points to; the middle of the trunk for the trunk."""
    if axis.joint is Joint.TRUNK:
        corners = [Landmark.LEFT_SHOULDER, Landmark.RIGHT_SHOULDER, Landmark.LEFT_HIP, Landmark.RIGHT_HIP]
        return points[:, corners].mean(axis=1)
    return points[:, sided(Landmark, axis.side, axis.joint)]


def limb_of(points: Array, axis: MotionAxis) -> Limb | None:
    """Return the limb about a joint, ``None`` for the trunk, whose zero no landmark shows."""
    if axis.joint is Joint.TRUNK:
        return None
    proximal, joint, distal = (points[:, sided(Landmark, axis.side, part)] for part in _LIMBS[axis.joint])
    if axis.axis is Axis.ABDUCTION:
        trunk = _middle(points, "hip") - _middle(points, "shoulder")
        return Limb(joint, proximal, distal, unit(trunk), unit(distal - joint))
    zero = unit(joint - proximal)
    if axis.joint is Joint.ANKLE:
        heel = points[:, sided(Landmark, axis.side, "heel")]
        sole = unit(distal - heel)
        # the foot is drawn along its sole, so that the arc ends on it
        along = joint + sole * np.linalg.norm(distal - joint, axis=1, keepdims=True)
        return Limb(joint, proximal, along, _square_to(zero, sole), sole)
    return Limb(joint, proximal, distal, zero, unit(distal - joint))


def stature_px(study: Study, scale: float) -> float:
    """Return the person's body height in pixels of the annotated picture; NaN where nobody was measured."""
    return study.body.camera.px_per_m * study.body.stature_m * scale


def _middle(points: Array, part: str) -> Array:
    return (points[:, sided(Landmark, Side.LEFT, part)] + points[:, sided(Landmark, Side.RIGHT, part)]) / 2


def _square_to(direction: Array, like: Array) -> Array:
    turned = np.stack([-direction[:, 1], direction[:, 0]], axis=1)
    return turned * np.sign((turned * like).sum(axis=1, keepdims=True))
