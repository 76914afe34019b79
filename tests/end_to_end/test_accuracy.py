"""What the program says of the demo clips against their truth, through detection and all stages.

The bars are what the project promises; they are not what happens to pass. Source of the truth:
demo_clips/README.md.
"""

import numpy as np
import pytest

from motionlabel.body import Axis, Joint, MotionAxis
from motionlabel.kinematics import body_from_landmarks, measure_angles, zero_by_standing
from motionlabel.mechanics import muscle_work
from motionlabel.movement import find_phases
from motionlabel.pose import smooth_track, track_clip
from motionlabel.records import Study
from motionlabel.video import FileSource
from tests.end_to_end.accuracy import (
    alarms_at_rest,
    angle_error,
    near_side,
    score_work,
    true_repetitions,
    truth_of,
)
from tests.end_to_end.conftest import DEMO

CLIPS = (
    "squat_side",
    "squat_three_quarter",
    "hip_abduction_front",
    "knee_flexion_side",
    "heel_raise_side",
    "elbow_curl_side",
    "shoulder_abduction_front",
)
KNEE_RMS_DEG = {"squat_side": 7.0, "front_kick_side": 7.0, "knee_flexion_side": 11.0}

pytestmark = pytest.mark.slow

_studies: dict[str, Study] = {}


def study_of(name: str) -> Study:
    """Study a demo clip once."""
    if name not in _studies:
        clip = DEMO / f"{name}.mp4"
        with FileSource(clip) as source:
            video = source.facts
        found = track_clip(clip, "full")
        landmarks = smooth_track(found.landmarks)
        body = body_from_landmarks(landmarks, video)
        angles = zero_by_standing(measure_angles(body), body)
        phases, work = muscle_work(body, angles, find_phases(angles, body))
        _studies[name] = Study(video, found.person, landmarks, body, angles, phases, work, "")
    return _studies[name]


@pytest.mark.parametrize("name", CLIPS)
def test_working_group(name):
    study, truth = study_of(name), truth_of(DEMO / f"{name}.mp4")
    score = score_work(study, truth)
    assert score.total > 50
    assert score.share(score.right) >= 0.85
    assert score.share(score.antagonist) <= 0.05
    assert study.phases.repetitions == true_repetitions(truth)
    assert alarms_at_rest(study, truth) <= 0.05


@pytest.mark.parametrize("name", KNEE_RMS_DEG)
def test_near_knee(name):
    truth = truth_of(DEMO / f"{name}.mp4")
    error = angle_error(study_of(name), truth, MotionAxis(Joint.KNEE, near_side(truth), Axis.FLEXION))
    assert np.isfinite(error).mean() > 0.95
    assert np.sqrt(np.nanmean(np.square(error))) <= KNEE_RMS_DEG[name]


def test_quiet_standing_is_neither_motion_nor_work():
    study = study_of("standing_still")
    assert len(study.phases) == 0
    assert len(study.work) == 0
