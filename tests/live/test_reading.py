"""What is said of a move that has only begun, of a camera that leans, and what counts as a repetition."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from motionlabel.body import Axis, Joint, Motion, MotionAxis, Side, WorkingGroup
from motionlabel.kinematics.gravity import turned
from motionlabel.live.analyst import Memory, looked, taken_in
from motionlabel.live.reading import LAG_S, _repetitions
from motionlabel.records import Phase
from tests.live.played import sights


def _read(seen, every=4):
    """Readings of every fourth sight, without delay, and what is remembered at the end."""
    memory, found = Memory(), []
    for number, sight in enumerate(seen):
        memory = taken_in(memory, sight)
        if number % every == 0:
            memory, reading = looked(memory)
            found.append(reading)
    return found, memory


def _said(readings, joint, motion):
    """Groups said of a motion at the moment that is spoken of, in order; ``None`` = it cannot be told."""
    return [
        one.work.working_group
        for reading in readings
        for one in reading.at(float(reading.seen_s[-1]) - LAG_S).statements
        if one.axis.joint is joint and one.motion is motion
    ]


def test_a_clear_load_speaks_for_the_first_curl_at_once():
    readings, _ = _read(sights("elbow_curl_side")[:50])
    said = _said(readings, Joint.ELBOW, Motion.FLEXION)
    assert said[:2] == [WorkingGroup.ELBOW_FLEXORS] * 2


@pytest.mark.slow
def test_a_foot_in_the_air_is_not_said_to_bear_the_body():
    """The standing foot of this clip is lost again and again while the other is lifted."""
    readings, _ = _read(sights("knee_flexion_side")[:75])
    curl = [
        one
        for reading in readings
        for one in reading.statements
        if one.axis.joint is Joint.KNEE and abs(one.excursion_rad) > np.radians(45.0)
    ]
    assert {one.work.working_group for one in curl if one.motion is Motion.FLEXION} == {WorkingGroup.KNEE_FLEXORS}


@pytest.mark.slow
@pytest.mark.parametrize("lean_deg", [-8.0, 8.0])
def test_a_camera_that_leans_is_levelled(lean_deg):
    roll = np.radians(lean_deg)
    seen = []
    for sight in sights("hip_abduction_front")[:110]:
        middle = 0.5 * np.array([sight.width, sight.height])
        image, world = turned(sight.seen.image_px - middle, -roll) + middle, turned(sight.seen.world_m, -roll)
        seen.append(replace(sight, seen=replace(sight.seen, image_px=image, world_m=world)))
    readings, memory = _read(seen)
    assert np.degrees(memory.carried.roll_rad) == pytest.approx(lean_deg, abs=3.0)
    said = _said(readings, Joint.HIP, Motion.ABDUCTION)
    assert len(said) > 3
    assert set(said[1:]) == {WorkingGroup.HIP_ABDUCTORS}


HIP, KNEE, SHOULDER = (MotionAxis(joint, Side.RIGHT, Axis.FLEXION) for joint in (Joint.HIP, Joint.KNEE, Joint.SHOULDER))


def _moves(*rows):
    """Moves of a study: axis, motion, first frame, stop, repetition, degrees."""
    return SimpleNamespace(
        phases=[
            Phase(axis, motion, start, stop, number, np.radians(size))
            for axis, motion, start, stop, number, size in rows
        ]
    )


DOWN = (Phase(HIP, Motion.FLEXION, 0, 30, 1, 1.5), Phase(KNEE, Motion.FLEXION, 0, 30, 1, 1.6))


@pytest.mark.parametrize(
    ("before", "starts"),
    [((), [10, 50]), (DOWN, [50])],
)
def test_the_way_up_is_no_repetition_once_the_way_down_is_known(before, starts):
    study = _moves(
        (HIP, Motion.EXTENSION, 10, 40, 1, -85.0),
        (KNEE, Motion.EXTENSION, 11, 40, 1, -90.0),
        (HIP, Motion.FLEXION, 50, 80, 2, 85.0),
        (KNEE, Motion.FLEXION, 51, 80, 2, 90.0),
    )
    assert [one.start for one in _repetitions(study, before)] == starts


@pytest.mark.parametrize(("held", "starts"), [(HIP, []), (SHOULDER, [50])])
def test_what_bends_while_the_same_limb_is_held_is_no_new_repetition(held, starts):
    before = (*DOWN, Phase(SHOULDER, Motion.FLEXION, 0, 30, 1, 1.5))
    study = _moves((held, Motion.HOLD, 30, 90, 1, 0.0), (KNEE, Motion.FLEXION, 50, 70, 2, 80.0))
    assert [one.start for one in _repetitions(study, before)] == starts


def test_a_quick_repetition_opens_with_the_first_move_of_each_joint():
    study = _moves((HIP, Motion.FLEXION, 10, 18, 1, 60.0), (HIP, Motion.EXTENSION, 18, 26, 1, -60.0))
    (found,) = _repetitions(study, ())
    assert [move.motion for move in found.opening] == [Motion.FLEXION]
