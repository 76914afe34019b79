"""The working group on the demo clips, from their exact joint centres.

What is left when the landmarks are perfect: phases, support, moments and the decision.
"""

from functools import cache

import numpy as np
import pytest

from motionlabel.body import Axis, Centre, Contraction, Side
from motionlabel.kinematics import measure_angles
from motionlabel.mechanics import muscle_work
from motionlabel.movement import find_phases
from motionlabel.records import BodyTrack, PhaseTable, WorkTable
from tests.synthetic_body import body_of
from tests.truth_study import DEMO_CLIPS, truth

EDGE = 0.15
"""Share of a phase at both ends that is not compared: one frame more or less there is a matter of taste."""

UPRIGHT = [
    "squat_side",
    "squat_three_quarter",
    "hip_abduction_front",
    "knee_flexion_side",
    "heel_raise_side",
    "toe_raise_side",
    "front_kick_side",
    "elbow_curl_side",
    "shoulder_abduction_front",
]
ON_THE_FLOOR = ["side_lying_leg_raise", "leg_scissor_supine", "mountain_climber_side"]
AXIS_OF_GROUP = {
    "flexors": Axis.FLEXION,
    "extensors": Axis.FLEXION,
    "abductors": Axis.ABDUCTION,
    "adductors": Axis.ABDUCTION,
    "plantarflexors": Axis.DORSIFLEXION,
    "dorsiflexors": Axis.DORSIFLEXION,
}
WORKING = {Contraction.CONCENTRIC, Contraction.ECCENTRIC, Contraction.ISOMETRIC}


def _body(name: str) -> BodyTrack:
    """Exact joint centres in the levelled frame of the clip's camera."""
    facts = truth(name)
    to_the_right = np.array(facts["camera"]["R_world_to_camera"])[0]  # level: the cameras do not roll
    up = np.array([0.0, 0.0, 1.0])
    levelled = np.column_stack([to_the_right, up, np.cross(to_the_right, up)])
    points = {joint: np.array(path) @ levelled for joint, path in facts["joints_3d"].items()}
    centres = np.empty((facts["frames"], len(Centre), 3))
    centres[:, Centre.HEAD] = 0.5 * (points["left_ear"] + points["right_ear"])
    other_names = {"hand": "hand_tip", "toe": "foot_index"}
    for centre in Centre:
        side, _, part = centre.name.lower().partition("_")
        if part:
            centres[:, centre] = points[f"{side}_{other_names.get(part, part)}"]
    return body_of(np.arange(facts["frames"]) / facts["fps"], centres, stature_m=facts["stature_m"])


@cache
def _work(name: str) -> tuple[PhaseTable, WorkTable]:
    body = _body(name)
    angles = measure_angles(body)
    return muscle_work(body, angles, find_phases(angles, body))


def _scored(name: str) -> list[tuple[dict, range]]:
    """Prime movers whose group the truth is sure of, with the inner frames of their phase."""
    result = []
    for span in truth(name)["phases"]:
        length = span["end"] - span["start"] + 1
        edge = max(2, round(EDGE * length))
        frames = range(span["start"] + edge, span["end"] - edge + 1)
        for action in span["actions"]:
            if action["role"] == "prime mover" and action.get("group_scored", True) and len(frames):
                result.append((action, frames))
    return result


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
    for action, frames in _scored(name):
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
    for action, frames in _scored(name):
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
    assert all(_scored(name) for name in UPRIGHT + ON_THE_FLOOR)


@pytest.mark.parametrize("name", ["squat_side", "squat_three_quarter"])
def test_in_the_descent_of_a_squat_the_hip_flexes_and_its_extensors_lengthen(name):
    for action, frames in _scored(name):
        if action["joint"] == "hip" and action["motion"] == "hip flexion":
            middle = frames[len(frames) // 2]
            assert _claims(name, action, middle) == {("hip extensors", "eccentric")}
