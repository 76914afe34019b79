"""Every muscle group drawn on a synthetic pose, with its nerves: pictures, and that each group lies where it should."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace

import cv2
import numpy as np
import pytest

from motionlabel.anatomy import whole_course
from motionlabel.body import (
    PHASE_AXES,
    Centre,
    Contraction,
    Joint,
    Motion,
    MotionAxis,
    Segment,
    Side,
    WorkingGroup,
)
from motionlabel.drawing import Detail, LabelOptions, load_theme
from motionlabel.drawing.canvas import Canvas
from motionlabel.drawing.muscles import BodyPart, MusclePart, body_parts
from motionlabel.drawing.painter import paint
from motionlabel.drawing.parts import Instant, LabelPart
from motionlabel.drawing.plan import Beat, Label, Rank
from motionlabel.drawing.shapes import Box, CardImage
from motionlabel.drawing.typeset import LabelCard
from motionlabel.kinematics import measure_angles
from motionlabel.records import CameraModel, PersonChoice, PhaseTable, Study, WorkTable
from tests.synthetic_body import FLOOR_PX, PX_PER_M, SIZE, clock, facts_of, landmarks_of, posed_body

SLATE = load_theme("slate")
PICTURE_PX = 800
SCALE_PX_PER_M = 420.0
HALF_CROP_PX = 130
SIDE, FRONT, REAR = 0.0, 90.0, 270.0
SHORTENS, LENGTHENS, HOLDS = Contraction.CONCENTRIC, Contraction.ECCENTRIC, Contraction.ISOMETRIC
LIMBS = [
    (f"{side}_{one}", f"{side}_{other}", width)
    for side in ("LEFT", "RIGHT")
    for one, other, width in (
        ("HIP", "KNEE", 55),
        ("KNEE", "ANKLE", 38),
        ("HEEL", "TOE", 23),
        ("SHOULDER", "ELBOW", 34),
        ("ELBOW", "HAND", 25),
        ("SHOULDER", "HIP", 63),
    )
] + [("LEFT_SHOULDER", "RIGHT_SHOULDER", 42), ("LEFT_HIP", "RIGHT_HIP", 50)]


@dataclass(frozen=True)
class Pose:
    """A group at work: how the body stands, and how the group works."""

    group: WorkingGroup
    facing: float
    state: Contraction
    degrees: dict[str, float] = field(default_factory=dict)
    lean: float = 0.0


G = WorkingGroup
POSES = (
    Pose(G.HIP_FLEXORS, SIDE, SHORTENS, {"right_hip_flexion": 60, "right_knee_flexion": 60}),
    Pose(G.HIP_EXTENSORS, SIDE, LENGTHENS, {"hip_flexion": 85, "knee_flexion": 90, "ankle_dorsiflexion": 20}, 25),
    Pose(G.HIP_ABDUCTORS, FRONT, SHORTENS, {"right_hip_abduction": 28}),
    Pose(G.HIP_ADDUCTORS, FRONT, LENGTHENS, {"hip_abduction": 18}),
    Pose(G.KNEE_FLEXORS, SIDE, SHORTENS, {"right_knee_flexion": 85}),
    Pose(G.KNEE_EXTENSORS, SIDE, LENGTHENS, {"hip_flexion": 60, "knee_flexion": 70}),
    Pose(G.ANKLE_DORSIFLEXORS, SIDE, SHORTENS, {"ankle_dorsiflexion": 15}),
    Pose(G.ANKLE_PLANTARFLEXORS, SIDE, HOLDS, {"ankle_dorsiflexion": -25}),
    Pose(G.SHOULDER_FLEXORS, SIDE, HOLDS, {"right_shoulder_flexion": 80}),
    Pose(G.SHOULDER_EXTENSORS, SIDE, SHORTENS, {"right_shoulder_flexion": -35}),
    Pose(G.SHOULDER_ABDUCTORS, FRONT, HOLDS, {"shoulder_abduction": 80}),
    Pose(G.SHOULDER_ADDUCTORS, FRONT, LENGTHENS, {"shoulder_abduction": 60}),
    Pose(G.ELBOW_FLEXORS, SIDE, SHORTENS, {"right_elbow_flexion": 95, "right_shoulder_flexion": 20}),
    Pose(G.ELBOW_EXTENSORS, SIDE, LENGTHENS, {"right_elbow_flexion": 70, "right_shoulder_flexion": 40}),
    Pose(G.TRUNK_FLEXORS, FRONT, HOLDS),
    Pose(G.TRUNK_EXTENSORS, REAR, HOLDS),
    Pose(G.TRUNK_LEFT_LATERAL_FLEXORS, FRONT, HOLDS),
    Pose(G.TRUNK_RIGHT_LATERAL_FLEXORS, FRONT, HOLDS),
)


def posed(pose: Pose) -> Study:
    """Return a study of a body that keeps a pose, standing in the middle of the picture."""
    body = posed_body(clock(0.3), pose.degrees, facing=pose.facing, lean=pose.lean)
    track = landmarks_of(body)
    share, middle = SCALE_PX_PER_M / PX_PER_M, PICTURE_PX / 2
    floor = PICTURE_PX - 30.0
    image = (track.image_px - (SIZE[0] / 2, FLOOR_PX)) * share + (middle, floor)
    centres = body.centres_m + np.array([middle, -floor, 0.0]) / SCALE_PX_PER_M
    body.segment_rotations[:, Segment.HEAD] = body.segment_rotations[:, Segment.TRUNK]
    body = replace(body, centres_m=centres, camera=CameraModel(SCALE_PX_PER_M, 0.0, PICTURE_PX, PICTURE_PX))
    return Study(
        video=replace(facts_of(body), width=PICTURE_PX, height=PICTURE_PX),
        person=PersonChoice(),
        landmarks=replace(track, image_px=image),
        body=body,
        angles=measure_angles(body),
        phases=PhaseTable(()),
        work=WorkTable((), ()),
        model_sha256="0" * 64,
    )


def axis_of(group: WorkingGroup, side: Side) -> MotionAxis:
    return next(
        axis
        for axis in PHASE_AXES
        if axis.side in (side, Side.MIDLINE) and group in (axis.group(1.0), axis.group(-1.0))
    )


def drawn(pose: Pose, study: Study) -> tuple[BodyPart, ...]:
    """Return what is drawn of a group, as if its label had found a place."""
    axis, frames = axis_of(pose.group, Side.RIGHT), len(study.landmarks)
    beat = Beat(0, frames, Motion.HOLD, pose.group, pose.state)
    label = Label((axis,), (pose.group,), (beat,), Rank.WORKS, 1.0, 0, frames)
    blank = CardImage(np.zeros((1, 1, 3), np.uint8), np.zeros((1, 1, 3), np.uint8))
    card = LabelCard(blank, Box(0, 0, 1, 1), {})
    part = LabelPart(label, card, Box(0, 0, 1, 1), (0.0, 0.0), np.zeros((frames, 2)), 0, 5.0, 2.0)
    canvas = Canvas(study, SLATE, PICTURE_PX, PICTURE_PX, 1, whole_course())
    return body_parts(canvas, [part], LabelOptions(Detail.NERVE))


def pixels(study: Study, centre: str) -> np.ndarray:
    return study.body.centres_m[0, Centre[centre], :2] * (SCALE_PX_PER_M, -SCALE_PX_PER_M)


def figure(study: Study) -> np.ndarray:
    """Return a picture of a plain body."""
    picture = np.full((PICTURE_PX, PICTURE_PX, 3), 170, np.uint8)
    for one, other, width in LIMBS:
        ends = [tuple(np.round(pixels(study, name) * 16).astype(int).tolist()) for name in (one, other)]
        cv2.line(picture, *ends, (140, 150, 160), width, cv2.LINE_AA, 4)
    x, y = np.round(pixels(study, "HEAD") * 16).astype(int).tolist()
    cv2.circle(picture, (x, y), 42 * 16, (140, 150, 160), cv2.FILLED, cv2.LINE_AA, 4)
    return picture


def middle_of(pose: Pose, study: Study) -> tuple[int, int]:
    """Return the middle of the limb that the group lies along."""
    joint = axis_of(pose.group, Side.RIGHT).joint
    ends = {
        Joint.HIP: ("RIGHT_HIP",),
        Joint.KNEE: ("RIGHT_HIP", "RIGHT_KNEE"),
        Joint.ANKLE: ("RIGHT_KNEE", "RIGHT_ANKLE"),
        Joint.SHOULDER: ("RIGHT_SHOULDER",),
        Joint.ELBOW: ("RIGHT_SHOULDER", "RIGHT_ELBOW"),
        Joint.TRUNK: ("LEFT_SHOULDER", "RIGHT_SHOULDER", "LEFT_HIP", "RIGHT_HIP"),
    }[joint]
    x, y = np.round(np.mean([pixels(study, end) for end in ends], axis=0)).astype(int).tolist()
    return x, y


@pytest.mark.parametrize("pose", POSES, ids=lambda pose: pose.group.replace(" ", "_"))
def test_group(pose: Pose, same_picture: Callable[[str, np.ndarray], None]) -> None:
    study = posed(pose)
    parts = drawn(pose, study)
    assert [part for part in parts if isinstance(part, MusclePart)], "nothing is drawn of this group"
    picture = figure(study)
    for part in parts:
        paint(picture, part.place(Instant(study, 2, 0.1), SLATE))
    x, y = middle_of(pose, study)
    crop = picture[y - HALF_CROP_PX : y + HALF_CROP_PX, x - HALF_CROP_PX : x + HALF_CROP_PX]
    same_picture(f"group_{pose.group.replace(' ', '_')}", crop)


def test_every_group_has_a_pose() -> None:
    assert {pose.group for pose in POSES} == set(WorkingGroup)


def painted_side(pose: Pose, near: str, far: str) -> float:
    """Return the mean place of a group's pixels across a limb, pixels to the right of the way from far to near."""
    study = posed(pose)
    bare = np.full((PICTURE_PX, PICTURE_PX, 3), 170, np.uint8)
    picture = bare.copy()
    for part in drawn(pose, study):
        if isinstance(part, MusclePart):
            paint(picture, part.place(Instant(study, 2, 0.1), SLATE))
    y, x = np.nonzero((picture != bare).any(axis=2))
    start, stop = pixels(study, far), pixels(study, near)
    along = (stop - start) / np.hypot(*(stop - start))
    places = np.stack([x, y], axis=1) - start
    inside = (places @ along > 0.2 * np.hypot(*(stop - start))) & (places @ along < 0.8 * np.hypot(*(stop - start)))
    return float((places[inside] @ np.array([-along[1], along[0]])).mean())


@pytest.mark.parametrize(
    ("group", "limb", "sign"),
    [
        # the body faces the right edge of the picture: front of a limb is to the right of the way up
        (G.KNEE_EXTENSORS, ("RIGHT_HIP", "RIGHT_KNEE"), 1.0),
        (G.KNEE_FLEXORS, ("RIGHT_HIP", "RIGHT_KNEE"), -1.0),
        (G.ANKLE_PLANTARFLEXORS, ("RIGHT_KNEE", "RIGHT_ANKLE"), -1.0),
        (G.ANKLE_DORSIFLEXORS, ("RIGHT_KNEE", "RIGHT_ANKLE"), 1.0),
        (G.ELBOW_FLEXORS, ("RIGHT_SHOULDER", "RIGHT_ELBOW"), 1.0),
        (G.ELBOW_EXTENSORS, ("RIGHT_SHOULDER", "RIGHT_ELBOW"), -1.0),
        # seen from the front the right leg is on the left, and its inner side to the right
        (G.HIP_ADDUCTORS, ("RIGHT_HIP", "RIGHT_KNEE"), 1.0),
    ],
)
def test_painted_on_the_right_side_of_the_limb(group: WorkingGroup, limb: tuple[str, str], sign: float) -> None:
    pose = next(pose for pose in POSES if pose.group is group)
    assert sign * painted_side(pose, *limb) > 1.0
