"""What is said of a move that has only begun, and of a camera that leans."""

from dataclasses import replace

import numpy as np
import pytest

from motionlabel.body import Joint, Motion, WorkingGroup
from motionlabel.kinematics.gravity import turned
from motionlabel.live.analyst import Memory, looked, taken_in
from motionlabel.live.reading import LAG_S
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
