"""The summary in words: what was seen, in whose body, how sure; no number without its definition."""

import dataclasses

import numpy as np
import pytest

from motionlabel.anatomy import Words
from motionlabel.body import AXES, AXIS_INDEX, Axis, Contraction, Joint, Motion, MotionAxis, Side, WorkingGroup
from motionlabel.mechanics.stance import SwingDrop
from motionlabel.records import (
    AngleTrack,
    CameraModel,
    LandmarkTrack,
    PersonChoice,
    Phase,
    PhaseTable,
    VideoFacts,
    Work,
    WorkTable,
)
from motionlabel.summary import summary

FRAMES = 90
LEFT_HIP = MotionAxis(Joint.HIP, Side.LEFT, Axis.FLEXION)
RIGHT_HIP = MotionAxis(Joint.HIP, Side.RIGHT, Axis.FLEXION)
LEFT_KNEE = MotionAxis(Joint.KNEE, Side.LEFT, Axis.FLEXION)
RIGHT_ELBOW = MotionAxis(Joint.ELBOW, Side.RIGHT, Axis.FLEXION)


@dataclasses.dataclass(frozen=True)
class Levelled:
    """The part of a body that the summary reads."""

    camera: CameraModel


@dataclasses.dataclass(frozen=True)
class Seen:
    """The parts of a study that the summary reads."""

    video: VideoFacts
    person: PersonChoice
    landmarks: LandmarkTrack
    angles: AngleTrack
    phases: PhaseTable
    work: WorkTable
    body: Levelled = Levelled(CameraModel(200.0, 0.0, 640, 480))
    settings: dict[str, str] = dataclasses.field(default_factory=dict)


@pytest.fixture
def seen():
    time_s = np.arange(FRAMES) / 30.0
    image_px = np.zeros((FRAMES, 33, 2))
    image_px[30:45] = np.nan
    angle = np.full((FRAMES, len(AXES)), np.nan)
    angle[:, AXIS_INDEX[LEFT_HIP]] = np.radians(np.linspace(5, 95, FRAMES))
    angle[:, AXIS_INDEX[RIGHT_HIP]] = np.radians(np.linspace(5, 90, FRAMES))
    sigma = np.full_like(angle, np.radians(6.0))

    def work(group, contraction, demand=1.0):
        return Work(group, contraction, demand, 0.1, (), 0.9)

    phases = (
        Phase(LEFT_HIP, Motion.FLEXION, 0, 45, 1, 0.8),
        Phase(RIGHT_HIP, Motion.FLEXION, 0, 45, 1, 0.8),
        Phase(RIGHT_ELBOW, Motion.FLEXION, 0, 20, None, 0.8),
        Phase(LEFT_KNEE, Motion.HOLD, 0, 30, None, 0.0),
        Phase(LEFT_HIP, Motion.EXTENSION, 45, 90, 2, -0.8),
    )
    rows = (
        work(WorkingGroup.HIP_EXTENSORS, Contraction.ECCENTRIC, -4.0),
        work(WorkingGroup.HIP_EXTENSORS, Contraction.ECCENTRIC, -4.0),
        work(None, Contraction.UNKNOWN, np.nan),
        work(WorkingGroup.KNEE_EXTENSORS, Contraction.ISOMETRIC, -1.0),
        work(WorkingGroup.HIP_EXTENSORS, Contraction.CONCENTRIC, -4.0),
    )
    return Seen(
        VideoFacts("squat.mp4", 640, 480, (30, 1), 3.0, False, "0"),
        PersonChoice(2, 1, "2 people were seen; number 1, who moves most, was followed."),
        LandmarkTrack(time_s, image_px, np.zeros((FRAMES, 33, 3)), np.ones((FRAMES, 33))),
        AngleTrack(time_s, angle, angle, sigma, sigma),
        PhaseTable(phases),
        WorkTable(rows, ("Body weight alone is assumed as the load.",)),
    )


@pytest.mark.parametrize(
    "line",
    [
        "squat.mp4: 3.0 s, 2 repetitions.",
        "2 people were seen; number 1, who moves most, was followed.",
        "No person was found at 1.0-1.5 s; there the clip is left as it is.",
        "  left hip: flexion and extension, from 5 to 95 degrees (give or take 6), thigh against trunk",
        "  moving, but too uncertain from this view for a range: right elbow flexion",
        "  hip extensors, left and right: lengthening under load (eccentric) during flexion; "
        "shortening (concentric) during extension",
        "  knee extensors, left: holding (isometric)",
        "  cannot tell from this view: right elbow flexion",
        "Body weight alone is assumed as the load.",
        "This is a teaching aid and no medical advice. Stop an exercise that hurts.",
    ],
)
def test_lines(seen, line):
    assert line in summary(seen)


@pytest.mark.parametrize(("toes_deg", "bound"), [(30.0, True), (5.0, False)])
def test_the_range_of_a_risen_heel_is_a_lower_bound(seen, toes_deg, bound):
    ankle = MotionAxis(Joint.ANKLE, Side.RIGHT, Axis.DORSIFLEXION)
    seen.angles.angle_rad[:, AXIS_INDEX[ankle]] = np.radians(np.linspace(0, -25, FRAMES))
    seen.angles.angle_rad[:, AXIS_INDEX[MotionAxis(Joint.MTP, Side.RIGHT, Axis.EXTENSION)]] = np.radians(toes_deg)
    phases = PhaseTable((Phase(ankle, Motion.PLANTARFLEXION, 0, FRAMES, 1, -0.4),))
    work = Work(WorkingGroup.ANKLE_PLANTARFLEXORS, Contraction.CONCENTRIC, -4.0, 0.1, (), 0.9)
    lines = summary(dataclasses.replace(seen, phases=phases, work=WorkTable((work,), ())))
    (line,) = [line for line in lines if line.startswith("  right ankle:")]
    assert "from -25 to 0 degrees" in line
    assert line.endswith("; a lower bound: heels rise by more than the picture shows of them") == bound


def test_what_bears_most_comes_first(seen):
    lines = summary(seen)
    groups = [i for i, line in enumerate(lines) if "extensors" in line]
    assert "hip" in lines[groups[0]]


def test_pelvis_is_described_and_not_diagnosed(seen, monkeypatch):
    drop = SwingDrop(Side.LEFT, np.radians(7.0), np.radians(5.0))
    monkeypatch.setattr("motionlabel.summary.swing_drops", lambda body, angles: (drop,))
    lines = summary(seen)
    assert (
        "Standing on the right leg: pelvis 7 degrees lower on the left, the swing side (give or take 5); "
        "the abductors of the right, standing hip hold it level." in lines
    )
    assert not any(word in line.lower() for line in lines for word in ("sign", "weak", "trendelenburg", "nerve"))


@pytest.mark.parametrize(
    ("roll_deg", "stated", "words"),
    [
        (8.0, "auto", "leaned 8 degrees to the right, as the person shows"),
        (-12.0, "-12.0", "leaned 12 degrees to the left, as the settings say"),
        (0.0, "auto", None),
    ],
)
def test_a_leaning_camera_is_told(seen, roll_deg, stated, words):
    camera = CameraModel(200.0, np.radians(roll_deg), 640, 480)
    seen = dataclasses.replace(seen, body=Levelled(camera), settings={"camera.roll_deg": stated})
    told = [line for line in summary(seen) if "camera" in line]
    assert not told if words is None else words in told[0]


def test_a_side_that_only_holds_has_a_line_of_its_own(seen):
    rows = list(seen.work)
    phases = list(seen.phases)
    phases[1] = dataclasses.replace(phases[1], motion=Motion.HOLD)
    rows[1] = dataclasses.replace(rows[1], contraction=Contraction.ISOMETRIC)
    lines = summary(dataclasses.replace(seen, phases=PhaseTable(tuple(phases)), work=WorkTable(tuple(rows), ())))
    assert "  hip extensors, right: holding (isometric)" in lines
    assert any(line.startswith("  hip extensors, left: lengthening") for line in lines)


def test_nothing_seen_is_said_in_words(seen):
    empty = dataclasses.replace(seen, phases=PhaseTable(()), work=WorkTable((), ()))
    lines = summary(empty)
    assert "squat.mp4: 3.0 s, no repeated movement." in lines
    assert "No motion was seen." in lines
    assert "No working group is named." in lines


def test_a_teachers_words_are_used(seen):
    words = Words({"left hip": "linke Hüfte", "flexion": "Beugung", "and": "und", "left": "links", "right": "rechts"})
    said = "\n".join(summary(seen, words))
    assert "linke Hüfte: Beugung und extension, from" in said
    assert ", links und rechts: " in said
    assert "left hip" not in said
