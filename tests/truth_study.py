"""Studies made from the exact truth of the demo clips: what a perfect measurement would give."""

import json
from functools import cache
from pathlib import Path

import numpy as np

from motionlabel.body import (
    AXES,
    AXIS_INDEX,
    Axis,
    Centre,
    Contraction,
    Joint,
    Landmark,
    Motion,
    MotionAxis,
    Side,
    WorkingGroup,
)
from motionlabel.records import (
    AngleTrack,
    BodyTrack,
    CameraModel,
    LandmarkTrack,
    PersonChoice,
    Phase,
    PhaseTable,
    Study,
    VideoFacts,
    Work,
    WorkTable,
)
from tests.synthetic_body import body_of

DEMO_CLIPS = Path(__file__).resolve().parents[1] / "demo_clips"

_ASSUMPTION = "Assumes body weight only."
_SIGMA_RAD = np.radians(3.0)
_POINTS = {
    "nose": "NOSE",
    "left_eye": "LEFT_EYE_INNER LEFT_EYE LEFT_EYE_OUTER",
    "right_eye": "RIGHT_EYE_INNER RIGHT_EYE RIGHT_EYE_OUTER",
    "left_ear": "LEFT_EAR",
    "right_ear": "RIGHT_EAR",
    **{f"{s}_{p}": f"{s}_{p}".upper() for s in ("left", "right") for p in ("shoulder", "elbow", "wrist")},
    **{
        f"{s}_{p}": f"{s}_{p}".upper()
        for s in ("left", "right")
        for p in ("hip", "knee", "ankle", "heel", "foot_index")
    },
    **{f"{s}_hand_tip": " ".join(f"{s}_{p}".upper() for p in ("pinky", "index", "thumb")) for s in ("left", "right")},
}
_CENTRES = {
    "head": "HEAD",
    **{
        f"{s}_{p}": f"{s}_{p}".upper() for s in ("left", "right") for p in ("shoulder", "elbow", "wrist", "hip", "knee")
    },
    **{f"{s}_{p}": f"{s}_{p}".upper() for s in ("left", "right") for p in ("ankle", "heel")},
    **{f"{s}_hand_tip": f"{s}_hand".upper() for s in ("left", "right")},
    **{f"{s}_foot_index": f"{s}_toe".upper() for s in ("left", "right")},
}
# demand of a group of one side, % of body weight x height: round figures for ranking, own convention
_DEMAND = {Joint.HIP: 4.0, Joint.KNEE: 3.5, Joint.ANKLE: 3.0, Joint.TRUNK: 5.0, Joint.SHOULDER: 0.9, Joint.ELBOW: 0.25}


@cache
def truth(name: str) -> dict:
    """Return the truth of a demo clip as it lies in its file."""
    return json.loads((DEMO_CLIPS / f"{name}.truth.json").read_text(encoding="utf-8"))


@cache
def truth_study(name: str) -> Study:
    """Return the study of a demo clip as a perfect measurement would give it."""
    facts = truth(name)
    frames, fps = facts["frames"], facts["fps"]
    time_s = np.arange(frames) / fps
    width, height = facts["image_size"]
    video = VideoFacts(f"{name}.mp4", width, height, (fps, 1), frames / fps, False, "0" * 64)
    phases, work = _tables(facts)
    return Study(
        video=video,
        person=PersonChoice(),
        landmarks=_landmarks(facts, time_s),
        body=_body(facts, time_s),
        angles=_angles(facts, time_s),
        phases=phases,
        work=work,
        model_sha256="0" * 64,
    )


def _landmarks(facts: dict, time_s: np.ndarray) -> LandmarkTrack:
    frames = len(time_s)
    image_px = np.full((frames, len(Landmark), 2), np.nan)
    world_m = np.full((frames, len(Landmark), 3), np.nan)
    turn = np.array(facts["camera"]["R_world_to_camera"])
    middle = np.array(facts["joints_3d"]["mid_pelvis"])
    for name, targets in _POINTS.items():
        for target in targets.split():
            image_px[:, Landmark[target]] = facts["joints_2d"][name]
            world_m[:, Landmark[target]] = (np.array(facts["joints_3d"][name]) - middle) @ turn.T
    for side, x in (("LEFT", 0.3), ("RIGHT", 0.7)):
        nose = image_px[:, Landmark.NOSE]
        image_px[:, Landmark[f"MOUTH_{side}"]] = nose + np.array([2 * x - 1, 6])
        world_m[:, Landmark[f"MOUTH_{side}"]] = world_m[:, Landmark.NOSE]
    return LandmarkTrack(time_s, image_px, world_m, np.ones((frames, len(Landmark))))


def _body(facts: dict, time_s: np.ndarray) -> BodyTrack:
    frames = len(time_s)
    turn = np.array(facts["camera"]["R_world_to_camera"])
    levelled = np.diag([1.0, -1.0, -1.0])  # x right, y up, z towards the camera
    centres = np.full((frames, len(Centre), 3), np.nan)
    for name, target in _CENTRES.items():
        centres[:, Centre[target]] = np.array(facts["joints_3d"][name]) @ turn.T @ levelled
    width, height = facts["image_size"]
    px_per_m = facts["camera"]["K"][0][0] / facts["camera"]["distance_m"]
    # as the pipeline has it: what is seen comes from the picture, only depth from space
    for name, target in _CENTRES.items():
        centres[:, Centre[target], :2] = np.array(facts["joints_2d"][name]) * np.array([1.0, -1.0]) / px_per_m
    for side in ("LEFT", "RIGHT"):
        heel, toe = centres[:, Centre[f"{side}_HEEL"]], centres[:, Centre[f"{side}_TOE"]]
        centres[:, Centre[f"{side}_BALL"]] = heel + 0.75 * (toe - heel)
    rotations = body_of(time_s, centres).segment_rotations
    sigma = np.full((frames, len(Centre)), 0.01)
    camera = CameraModel(px_per_m, 0.0, width, height)
    return BodyTrack(time_s, centres, rotations, sigma, sigma * 3, facts["stature_m"], camera)


def _angles(facts: dict, time_s: np.ndarray) -> AngleTrack:
    angle = np.full((len(time_s), len(AXES)), np.nan)
    for axis, column in AXIS_INDEX.items():
        if axis.name in facts["angles"]:
            degrees = np.array(facts["angles"][axis.name])
            if axis.joint is Joint.HIP and axis.axis is Axis.FLEXION:
                degrees = degrees + np.array(facts["angles"]["trunk_flexion"])
            angle[:, column] = np.radians(degrees)
    sigma = np.where(np.isfinite(angle), _SIGMA_RAD, np.nan)
    return AngleTrack(time_s, angle, np.gradient(angle, time_s, axis=0), sigma, sigma / 2)


def _tables(facts: dict) -> tuple[PhaseTable, WorkTable]:
    rows = []
    repetition = 0
    for span in facts["phases"]:
        if any("hold" not in action["motion"] for action in span["actions"]):
            repetition += 1
        for action in span["actions"]:
            if action["group"] in set(WorkingGroup):
                rows.append(_row(action, span["start"], span["end"] + 1, max(1, (repetition + 1) // 2)))
    rows.sort(key=lambda row: row[0].start)
    return PhaseTable(tuple(p for p, _ in rows)), WorkTable(tuple(w for _, w in rows), (_ASSUMPTION,))


def _row(action: dict, start: int, stop: int, repetition: int) -> tuple[Phase, Work]:
    group = WorkingGroup(action["group"])
    axis, sign = _axis_of(group, Joint(action["joint"]), Side(action["side"]))
    held = "hold" in action["motion"]
    motion = Motion.HOLD if held else Motion(action["motion"].removeprefix(f"{action['joint']} "))
    contraction = Contraction(action["contraction"])
    demand = sign * _DEMAND[axis.joint] * (0.6 if action["role"] == "stabiliser" else 1.0)
    work = Work(group, contraction, demand, abs(demand) / 5, ("left foot", "right foot"), 0.9)
    return Phase(axis, motion, start, stop, repetition, 0.0 if held else 1.0), work


def _axis_of(group: WorkingGroup, joint: Joint, side: Side) -> tuple[MotionAxis, int]:
    for axis in AXES:
        if axis.joint is joint and axis.side is side:
            for sign in (1, -1):
                if axis.group(sign) is group:
                    return axis, sign
    raise ValueError(f"no axis of the {side} {joint} for {group}")
