"""Detected landmarks as a camera sees them that leans: levelled, they tell the same working group."""

from dataclasses import replace

import numpy as np
import pytest

from motionlabel.kinematics import levelled_body, measure_angles, zero_by_standing
from motionlabel.kinematics.gravity import turned
from motionlabel.mechanics import muscle_work
from motionlabel.movement import find_phases
from tests.end_to_end.accuracy import score_work, truth_of
from tests.end_to_end.conftest import DEMO
from tests.end_to_end.test_accuracy import study_of

pytestmark = pytest.mark.slow


@pytest.mark.parametrize("roll_deg", [0.0, 10.0, -15.0])
@pytest.mark.parametrize("name", ["squat_side", "hip_abduction_front", "knee_flexion_side"])
def test_working_group(name, roll_deg):
    level = study_of(name)
    size = np.array([level.video.width, level.video.height])
    roll = np.radians(-roll_deg)
    landmarks = replace(
        level.landmarks,
        image_px=turned(level.landmarks.image_px - size / 2, roll) + 1.5 * size,
        world_m=turned(level.landmarks.world_m, roll),
    )
    body = levelled_body(landmarks, replace(level.video, width=3 * size[0], height=3 * size[1]))
    assert np.degrees(body.camera.roll_rad) == pytest.approx(roll_deg, abs=2.5)
    angles = zero_by_standing(measure_angles(body), body)
    phases, work = muscle_work(body, angles, find_phases(angles, body))
    study = replace(level, body=body, angles=angles, phases=phases, work=work)
    score = score_work(study, truth_of(DEMO / f"{name}.mp4"))
    assert score.total > 50
    assert score.share(score.right) >= 0.85
    assert score.share(score.antagonist) <= 0.05
