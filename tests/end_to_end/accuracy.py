"""Holds a study against the truth of its clip: share of frames with the right working group, angle errors.

Only the inner 70 % of a phase count, since a phase's edges are a matter of convention; so do only the
prime movers whose group a moment decides.
"""

import json
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from motionlabel.body import AXIS_INDEX, Axis, Contraction, Joint, Motion, MotionAxis, Side
from motionlabel.records import Study

WORKING = (Contraction.CONCENTRIC, Contraction.ECCENTRIC, Contraction.ISOMETRIC)
_EDGE = 0.15


def truth_of(clip: Path) -> dict:
    return json.loads(clip.with_suffix(".truth.json").read_text())


@dataclass
class WorkScore:
    """Frames by what was said of them."""

    total: int = 0
    right: int = 0
    right_with_contraction: int = 0
    antagonist: int = 0
    silent: int = 0
    motion: int = 0
    motion_total: int = 0

    def share(self, count: int) -> float:
        return count / self.total if self.total else float("nan")


def score_work(study: Study, truth: dict) -> WorkScore:
    score = WorkScore()
    for phase in truth["phases"]:
        edge = max(2, round(_EDGE * (phase["end"] - phase["start"] + 1)))
        frames = range(phase["start"] + edge, phase["end"] - edge + 1)
        for action in phase["actions"]:
            if action["role"] == "prime mover":
                _score_action(study, action, frames, score)
    return score


def _score_action(study: Study, action: dict, frames: range, score: WorkScore) -> None:
    hold = action["motion"].startswith("hold")
    motion = Motion.HOLD if hold else Motion(action["motion"].removeprefix(f"{action['joint']} "))
    right = {(action["group"], action["contraction"]), *map(tuple, action.get("also", ()))}
    axis = _axis_of(action, motion)
    for frame in frames:
        rows = [(p, w) for p, w in study.active(frame) if p.axis == axis]
        score.motion_total += 1
        score.motion += any(p.motion is motion for p, _ in rows)
        if action.get("group_scored", True) is False:
            continue
        named = [w for _, w in rows if w.working_group is not None and w.contraction in WORKING]
        score.total += 1
        score.silent += not named
        good = [w for w in named if any(w.working_group == group for group, _ in right)]
        score.right += bool(good)
        score.antagonist += bool(named) and not good
        score.right_with_contraction += any((w.working_group, w.contraction) in right for w in named)


def _axis_of(action: dict, motion: Motion) -> MotionAxis:
    joint, side = Joint(action["joint"]), Side(action["side"])
    if joint is Joint.ANKLE:
        return MotionAxis(joint, side, Axis.DORSIFLEXION)
    sideways = ("abductors", "adductors") if motion is Motion.HOLD else (Motion.ABDUCTION, Motion.ADDUCTION)
    told = action["group"] if motion is Motion.HOLD else motion
    return MotionAxis(joint, side, Axis.ABDUCTION if str(told).endswith(sideways) else Axis.FLEXION)


def true_repetitions(truth: dict) -> int:
    """How often the commonest moving phase occurs."""
    names = [
        phase["name"]
        for phase in truth["phases"]
        if any(a["role"] == "prime mover" and not a["motion"].startswith("hold") for a in phase["actions"])
    ]
    return max((names.count(name) for name in set(names)), default=0)


def alarms_at_rest(study: Study, truth: dict) -> float:
    """Share of quiet frames in which an axis that truly rests is said to move."""
    quiet = alarmed = 0
    for phase in truth["phases"]:
        if phase["actions"] or phase["name"] in ("weight shift", "single-leg stance", "plank"):
            continue
        edge = max(2, round(_EDGE * (phase["end"] - phase["start"] + 1)))
        for frame in range(phase["start"] + edge, phase["end"] - edge + 1):
            moving = [p.axis for p, w in study.active(frame) if p.motion is not Motion.HOLD]
            still = [a for a in moving if _rests(truth, a, phase["start"], phase["end"] + 1)]
            quiet += 1
            alarmed += bool(still)
    return alarmed / quiet if quiet else float("nan")


def _rests(truth: dict, axis: MotionAxis, start: int, stop: int) -> bool:
    angle = true_angle(truth, axis)
    return angle is not None and float(np.ptp(angle[start:stop])) < 2.0


def true_angle(truth: dict, axis: MotionAxis) -> np.ndarray | None:
    """Degrees, as landmarks can see them: the hip is thigh against trunk; ``None`` where the truth has none."""
    angles = truth["angles"]
    if axis.name not in angles:
        return None
    values = np.array(angles[axis.name], float)
    if axis.joint is Joint.HIP and axis.axis is Axis.FLEXION:
        values = values + np.array(angles["trunk_flexion"], float)
    return values


def angle_error(study: Study, truth: dict, axis: MotionAxis) -> np.ndarray:
    """(F,) measured minus true, degrees; NaN where unknown."""
    true = true_angle(truth, axis)
    assert true is not None
    return np.degrees(study.angles.angle_rad[:, AXIS_INDEX[axis]]) - true


def near_side(truth: dict) -> Side:
    """The side whose hip is closer to the camera."""
    rotation = np.array(truth["camera"]["R_world_to_camera"])
    depth = {s: (np.array(truth["joints_3d"][f"{s}_hip"]) @ rotation.T)[:, 2].mean() for s in (Side.LEFT, Side.RIGHT)}
    return min(depth, key=lambda side: depth[side])
