"""The working group on the demo clips, from their exact joint centres.

What is left when the landmarks are perfect: phases, support, moments and the decision.
"""

from functools import cache

import numpy as np
import pytest

from motionlabel.body import Contraction, Side
from motionlabel.kinematics import measure_angles
from motionlabel.mechanics import muscle_work
from motionlabel.movement import find_phases
from motionlabel.records import PhaseTable, WorkTable
from tests.truth_clips import AXIS_OF_GROUP, ON_THE_FLOOR, UPRIGHT, scored, true_body
from tests.truth_study import DEMO_CLIPS

WORKING = {Contraction.CONCENTRIC, Contraction.ECCENTRIC, Contraction.ISOMETRIC}


@cache
def _work(name: str) -> tuple[PhaseTable, WorkTable]:
    body = true_body(name)
    angles = measure_angles(body)
    return muscle_work(body, angles, find_phases(angles, body))


def _claims(name: str, action: dict, frame: int) -> set[tuple[str, str]]:
    """Groups named for the action's joint, side and axis at a frame, with their contraction."""
    kind = next(kind for kind in AXIS_OF_GROUP if action["group"].endswith(f" {kind}"))
    return {
        (work.working_group.value, work.contraction.value)
        for phase, work in zip(*_work(name))
        if work.contraction in WORKING
        and (phase.axis.joint, phase.axis.side) == (action["joint"], Side(action["side"]))
        and phase.axis.axis is AXIS_OF_GROUP[kind]
        and frame in phase
    }


def _shares(name: str) -> tuple[float, float]:
    """Shares of frames with the right group alone, and with a wrong one."""
    right = wrong = total = 0
    for action, frames in scored(name):
        good = {action["group"]} | {group for group, _ in action.get("also", ())}
        for frame in frames:
            groups = {group for group, _ in _claims(name, action, frame)}
            total += 1
            right += bool(groups) and groups <= good
            wrong += bool(groups - good)
    return right / total, wrong / total


@pytest.mark.parametrize("name", UPRIGHT + ON_THE_FLOOR)
def test_working_group(name):
    right, wrong = _shares(name)
    assert right >= 0.9
    assert wrong <= 0.05


@pytest.mark.parametrize("name", UPRIGHT + ON_THE_FLOOR)
def test_group_and_contraction_agree_in_every_phase(name):
    for action, frames in scored(name):
        accepted = {(action["group"], action["contraction"])} | {tuple(also) for also in action.get("also", ())}
        agree = [bool(_claims(name, action, frame) & accepted) for frame in frames]
        assert np.mean(agree) > 0.5, f"frames {frames}: {action['side']} {action['motion']}"


def test_standing_still_is_no_work():
    phases, work = _work("standing_still")
    assert not len(phases)
    assert not len(work)


def test_every_clip_is_compared():
    names = {path.name.removesuffix(".truth.json") for path in DEMO_CLIPS.glob("*.truth.json")}
    assert names == {*UPRIGHT, *ON_THE_FLOOR, "standing_still"}
    assert all(scored(name) for name in UPRIGHT + ON_THE_FLOOR)


@pytest.mark.parametrize("name", ["squat_side", "squat_three_quarter"])
def test_in_the_descent_of_a_squat_the_hip_flexes_and_its_extensors_lengthen(name):
    for action, frames in scored(name):
        if action["joint"] == "hip" and action["motion"] == "hip flexion":
            middle = frames[len(frames) // 2]
            assert _claims(name, action, middle) == {("hip extensors", "eccentric")}
