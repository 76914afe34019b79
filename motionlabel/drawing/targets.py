"""Where a label points: its joints over time, with the limb and the number beside the first of them."""

from dataclasses import dataclass

import numpy as np

from motionlabel.drawing.angle import AngleTrace, angle_trace
from motionlabel.drawing.canvas import Canvas
from motionlabel.drawing.geometry import Limb, joint_point, limb_of
from motionlabel.drawing.parts import LabelPart
from motionlabel.drawing.plan import Label
from motionlabel.drawing.shapes import Point
from motionlabel.drawing.space import Space
from motionlabel.records import Array

_ARC = 0.085  # radius of the arc and of the mark of a joint as shares of body height: own convention
JOINT = 0.060
"""A card keeps so far from a labelled joint, share of body height. *Source*: own convention."""
_ARC_OF_SHORTER = 0.16  # but no arc is larger than this share of the shorter side


@dataclass(frozen=True, slots=True, eq=False)
class Target:
    """A label with where it points."""

    label: Label
    joints: tuple[Array, ...]
    limb: Limb | None
    trace: AngleTrace | None

    def keep(self, space: Space, start: int, stop: int, joint_px: float, number_px: float) -> Space:
        """Return the space in which the joint stays free during some frames and, if it may be, its number."""
        span = slice(max(start, self.label.start), min(stop, self.label.stop))
        for joint in self.joints:
            space = space.with_kept(joint[span], joint_px)
        if self.trace is not None:
            shown = self.trace.shown[span]
            space = space.with_used(self.trace.number[span][shown], number_px)
        return space


def target_of(canvas: Canvas, label: Label) -> Target:
    """Return where a label points."""
    joints = tuple(joint_point(canvas.points, axis) for axis in label.axes)
    limb = limb_of(canvas.points, label.axis)
    radius = min(_ARC * canvas.stature, _ARC_OF_SHORTER * canvas.shorter)
    trace = angle_trace(canvas.study, label, limb, radius, canvas.sizes.text) if limb is not None else None
    return Target(label, joints, limb, trace)


def target_of_part(part: LabelPart, targets: list[Target]) -> Target:
    """Return the target of a placed label."""
    return next(t for t in targets if t.label.axes == part.label.axes and t.label.beats == part.label.beats)


def mean_joint(target: Target) -> Point:
    """Return the mean place of its first joint while it is shown."""
    track = target.joints[0][target.label.start : target.label.stop]
    x, y = track[np.isfinite(track).all(axis=1)].mean(axis=0).tolist()
    return x, y
