"""A label names the muscles of its typical posture, decided once."""

from dataclasses import replace

import numpy as np
import pytest

from motionlabel.anatomy import Articulation, Movement
from motionlabel.body import AXES, AXIS_INDEX, Axis, Joint, MotionAxis, Side
from motionlabel.drawing.plan import Detail, LabelOptions, plan_labels
from motionlabel.drawing.posture import typical_posture
from motionlabel.drawing.wording import label_text
from motionlabel.records import AngleTrack, Study
from tests.truth_study import truth_study

KNEES = [MotionAxis(Joint.KNEE, side, Axis.FLEXION) for side in (Side.LEFT, Side.RIGHT)]
KNEE = (Articulation.KNEE, Movement.FLEXION)


def _track(frames: int = 10) -> AngleTrack:
    shape = (frames, len(AXES))
    return AngleTrack(
        np.arange(frames) / 30.0, np.zeros(shape), np.zeros(shape), np.full(shape, np.radians(5.0)), np.zeros(shape)
    )


def _with_knees(study: Study, degrees: float) -> Study:
    angles = study.angles.angle_rad.copy()
    for axis in KNEES:
        angles[:, AXIS_INDEX[axis]] = np.radians(degrees)
    return replace(study, angles=replace(study.angles, angle_rad=angles))


def _first_lines(study: Study, detail: Detail = Detail.NERVE) -> list[str]:
    return [label_text(label, detail).below[0].text for label in plan_labels(study, LabelOptions()).labels]


def test_posture_is_the_median_over_the_spans_of_one_side():
    track = _track()
    track.angle_rad[:, AXIS_INDEX[KNEES[0]]] = np.radians([0, 0, 80, 90, 100, 0, 0, 0, 0, 0])
    track.angle_rad[3, AXIS_INDEX[KNEES[0]]] = np.nan
    posture = typical_posture(track, Side.LEFT, [(2, 5)])
    assert posture.of(*KNEE) == pytest.approx(90.0)
    assert typical_posture(track, Side.RIGHT, [(2, 5)]).of(*KNEE) == 0.0


@pytest.mark.parametrize(("sigma_deg", "angle"), [(5.0, 90.0), (45.0, 0.0), (np.nan, 0.0)])
def test_angle_that_is_hardly_known_says_nothing(sigma_deg, angle):
    track = _track()
    column = AXIS_INDEX[KNEES[0]]
    track.angle_rad[:, column] = np.radians(90.0)
    track.sigma_rad[:, column] = np.radians(sigma_deg)
    assert typical_posture(track, Side.LEFT, [(0, 10)]).of(*KNEE) == pytest.approx(angle)


def test_heel_raise_names_soleus_alone_when_the_knee_is_bent():
    study = truth_study("heel_raise_side")
    assert _first_lines(study) == ["Gastrocnemius, soleus"]
    assert _first_lines(_with_knees(study, 90.0)) == ["Soleus"]


def test_squat_adds_adductor_magnus_and_says_the_same_in_every_phase():
    labels = plan_labels(truth_study("squat_side"), LabelOptions()).labels
    hip = next(label for label in labels if label.axis.joint is Joint.HIP)
    assert len(hip.beats) > 1
    assert label_text(hip, Detail.NERVE).below[0].text == "Gluteus maximus, hamstrings, adductor magnus"
