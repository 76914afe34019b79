"""One made-up study with everything in it: unknown values, a hold, an unknown group."""

import math

import numpy as np
import pytest

from motionlabel.body import AXES, Centre, Contraction, Landmark, Motion, Segment, WorkingGroup
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

FRAMES = 30


@pytest.fixture
def study() -> Study:
    random = np.random.default_rng(7)
    time_s = np.arange(FRAMES) / 30.0

    def array(*shape):
        values = random.normal(size=(FRAMES, *shape))
        values[3] = np.nan
        return values

    angles = array(len(AXES))
    return Study(
        video=VideoFacts("clip.mp4", 640, 480, (30000, 1001), 1.0, True, "ab" * 32),
        person=PersonChoice(2, 1, "Of 2 people the one who moves most was followed."),
        landmarks=LandmarkTrack(
            time_s, array(len(Landmark), 2), array(len(Landmark), 3), np.ones((FRAMES, len(Landmark)))
        ),
        body=BodyTrack(
            time_s,
            array(len(Centre), 3),
            array(len(Segment), 3, 3),
            array(len(Centre)),
            array(len(Centre)),
            1.75,
            CameraModel(200.0, 0.01, 640, 480),
        ),
        angles=AngleTrack(time_s, angles, array(len(AXES)), np.abs(array(len(AXES))), np.abs(array(len(AXES)))),
        phases=PhaseTable(
            (
                Phase(AXES[0], Motion.FLEXION, 0, 12, 1, 1.2),
                Phase(AXES[0], Motion.EXTENSION, 12, 30, 1, -1.2),
                Phase(AXES[1], Motion.HOLD, 5, 30, None, math.nan),
            )
        ),
        work=WorkTable(
            (
                Work(WorkingGroup.HIP_EXTENSORS, Contraction.ECCENTRIC, -3.2, 0.4, ("left foot", "right foot"), 0.9),
                Work(WorkingGroup.HIP_EXTENSORS, Contraction.CONCENTRIC, -3.1, 0.4, ("left foot",), 0.9),
                Work(None, Contraction.UNKNOWN, math.nan, math.nan, (), 0.0),
            ),
            ("Body weight alone loads the joints.",),
        ),
        model_sha256="cd" * 32,
        versions={"motionlabel": "0.1.0"},
        settings={"smoothing.cutoff_hz": "6.0"},
    )
