"""The exact joint centres of the demo clips, and the phases in which the truth is sure of the working group."""

import numpy as np

from motionlabel.body import Axis, Centre
from motionlabel.records import BodyTrack
from tests.synthetic_body import body_of
from tests.truth_study import truth

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


def true_body(name: str) -> BodyTrack:
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


def scored(name: str) -> list[tuple[dict, range]]:
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
