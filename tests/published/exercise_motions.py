"""Exercises of the table as motions of the synthetic body, slow enough that the load decides.

Each is drawn after the words of the table: who lies, stands or kneels where, what moves. Angles and
proportions are own estimates; the table's answer does not hang on a few degrees.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from motionlabel.body import Centre
from motionlabel.mechanics import Carrier
from motionlabel.records import BodyTrack
from tests.published.exercise_poses import (
    BACK,
    HELD,
    OUT,
    TIME_S,
    Span,
    arm_to,
    between,
    leg_to,
    on_one_leg_from_the_front,
    place,
    rolled,
    standing,
    trunk_up,
)
from tests.synthetic_body import ANKLE_HEIGHT, HEEL_BEHIND, STATURE_M, TRUNK, posed_body, ramp, squat


@dataclass(frozen=True)
class Exercise:
    """An exercise and when its phases happen.

    Attributes
    ----------
    body
        Makes the motion.
    spans
        Seconds of each phase, by the table's name of the phase.
    stated
        What an educator would state to carry the body, where it is not found.
    """

    body: Callable[[], BodyTrack]
    spans: Mapping[str, Span]
    stated: tuple[Carrier, ...] = ()


# standing ---------------------------------------------------------------------------------------------------


def hip_hinge() -> BodyTrack:
    return standing({"hip_flexion": between(0, 95), "knee_flexion": between(0, 45), "shoulder_flexion": between(0, 60)})


def forward_bend() -> BodyTrack:
    return standing({"hip_flexion": between(0, 80), "shoulder_flexion": between(0, 80)})


def heel_raise() -> BodyTrack:
    return standing({}, over=between(0.04, 0.07), pitch=between(0, 30))


def on_the_heels() -> BodyTrack:
    return standing({}, over=between(0.02, -HEEL_BEHIND), pitch=between(0, -18))


def knee_up() -> BodyTrack:
    return standing({"right_hip_flexion": between(0, 90), "right_knee_flexion": between(0, 90)}, stance="left")


def leg_back() -> BodyTrack:
    return standing({"right_hip_flexion": between(0, -25)}, stance="left")


def heel_to_buttock() -> BodyTrack:
    return standing({"right_knee_flexion": between(0, 100)}, stance="left")


def front_kick() -> BodyTrack:
    hip = ramp(TIME_S, [(0.6, 0), (1.5, 75), (3.4, 75), (4.5, 0)])
    knee = ramp(TIME_S, [(0.6, 0), (1.5, 95), (1.8, 95), (2.4, 20), (2.8, 20), (3.4, 90), (3.6, 90), (4.5, 0)])
    return standing({"right_hip_flexion": hip, "right_knee_flexion": knee}, stance="left")


def leg_out() -> BodyTrack:
    return on_one_leg_from_the_front({"left_hip_abduction": between(0, 35)})


def one_leg_stance() -> BodyTrack:
    angles = {"left_hip_flexion": between(0, 50), "left_knee_flexion": between(0, 80)}
    return on_one_leg_from_the_front({**angles, "right_hip_abduction": between(0, -12)})


def curl() -> BodyTrack:
    return standing({"elbow_flexion": between(5, 130)})


def front_raise() -> BodyTrack:
    return standing({"shoulder_flexion": between(0, 90)})


def lateral_raise() -> BodyTrack:
    return posed_body(TIME_S, {"shoulder_abduction": between(5, 90)}, facing=90.0)


def press() -> BodyTrack:
    shoulder, elbow = arm_to(place(0, 0), place(0.02, between(0.12, 0.37)), 0.0)
    return standing({"shoulder_flexion": shoulder % 360, "elbow_flexion": elbow})


def overhead_extension() -> BodyTrack:
    return standing({"shoulder_flexion": 170.0, "elbow_flexion": between(10, 120)})


BENT_OVER = {"hip_flexion": 75.0, "knee_flexion": 30.0}


def kickback() -> BodyTrack:
    return standing({**BENT_OVER, "shoulder_flexion": -20.0, "elbow_flexion": between(75, 10)})


def bent_over_row() -> BodyTrack:
    return standing({**BENT_OVER, "shoulder_flexion": between(55, -15), "elbow_flexion": between(0, 75)})


def two_leg_squat() -> BodyTrack:
    return squat(TIME_S, between(0, 100))


# feet apart -------------------------------------------------------------------------------------------------


def feet_apart(lean: float, hip_height: np.ndarray) -> BodyTrack:
    """Left foot in front and flat, right foot behind on its toes."""
    pitch = between(30, 50)
    turn = np.radians(pitch)
    rear_foot = place(
        -0.11 * np.cos(turn) + ANKLE_HEIGHT * np.sin(turn), 0.11 * np.sin(turn) + ANKLE_HEIGHT * np.cos(turn)
    )
    hip = place(between(0.03, 0.10), hip_height)
    front_hip, front_knee = leg_to(hip, place(0.22, ANKLE_HEIGHT), lean)
    rear_hip, rear_knee = leg_to(hip, place(-0.17, 0.0) + rear_foot, lean)
    angles = {
        "left_hip_flexion": front_hip,
        "left_knee_flexion": front_knee,
        "left_ankle_dorsiflexion": front_knee - front_hip + lean,
        "right_hip_flexion": rear_hip,
        "right_knee_flexion": rear_knee,
        "right_ankle_dorsiflexion": rear_knee - rear_hip + lean - pitch,
    }
    return posed_body(TIME_S, angles, lean=lean, fixed=Centre.LEFT_HEEL)


def lunge() -> BodyTrack:
    return feet_apart(15.0, between(0.455, 0.32))


def split_squat() -> BodyTrack:
    return feet_apart(3.0, between(0.455, 0.32))


SEAT_OFF, STOOD, SITTING, SEATED = 1.6, 2.7, 3.1, 4.2


def sit_to_stand() -> BodyTrack:
    risen = ramp(TIME_S, [(SEAT_OFF, 0.0), (STOOD, 1.0), (SITTING, 1.0), (SEATED, 0.0)])
    lean = ramp(TIME_S, [(0.8, 0), (1.7, 45), (STOOD, 2), (SITTING, 2), (4.1, 45), (4.9, 0)])
    hip, knee = leg_to(place(-0.17 + 0.19 * risen, 0.28 + 0.245 * risen), place(0.0, ANKLE_HEIGHT), lean)
    angles = {"hip_flexion": hip, "knee_flexion": knee, "ankle_dorsiflexion": knee - hip + lean}
    return posed_body(TIME_S, {**angles, "shoulder_flexion": 30.0}, lean=lean, fixed=Centre.LEFT_HEEL)


STEP = 0.11


def step_up() -> BodyTrack:
    lean = between(18, 4)
    hip = place(between(0.02, 0.05), between(0.50, 0.62))
    angles = {}
    on_step = place(0.05, STEP + ANKLE_HEIGHT)
    trailing = place(between(-0.12, 0.03), between(ANKLE_HEIGHT, STEP + ANKLE_HEIGHT + 0.02))
    for side, ankle in (("right", on_step), ("left", trailing)):
        flexion, bend = leg_to(hip, ankle, lean)
        angles |= {f"{side}_hip_flexion": flexion, f"{side}_knee_flexion": bend}
        angles[f"{side}_ankle_dorsiflexion"] = bend - flexion + lean
    body = posed_body(TIME_S, angles, lean=lean, fixed=Centre.RIGHT_HEEL)
    return body


def wall_sit() -> BodyTrack:
    hip, knee = leg_to(place(-0.22, between(0.45, 0.29)), place(0.0, ANKLE_HEIGHT), 0.0)
    angles = {"hip_flexion": hip, "knee_flexion": knee, "ankle_dorsiflexion": knee - hip}
    return posed_body(TIME_S, angles, fixed=Centre.LEFT_HEEL)


def seated_knee_extension() -> BodyTrack:
    return posed_body(TIME_S, {"hip_flexion": 90.0, "left_knee_flexion": 90.0, "right_knee_flexion": between(90, 10)})


def pull_up() -> BodyTrack:
    shoulder, elbow = arm_to(place(0, 0), place(0.05, between(0.38, 0.16)), 0.0)
    angles = {"shoulder_flexion": shoulder % 360, "elbow_flexion": elbow, "knee_flexion": 30.0}
    return posed_body(TIME_S, angles, fixed=Centre.LEFT_HAND)


# lying, kneeling, on the hands --------------------------------------------------------------------------------


def straight_leg_raise() -> BodyTrack:
    return posed_body(TIME_S, {"right_hip_flexion": between(0, 70)}, lean=-90.0)


def flutter() -> BodyTrack:
    return posed_body(TIME_S, {"left_hip_flexion": between(35, 12), "right_hip_flexion": between(12, 50)}, lean=-90.0)


def bridge() -> BodyTrack:
    lean = between(-90, -113)
    hip, knee = leg_to(place(0.0, 0.05) - TRUNK * trunk_up(lean), place(0.50, ANKLE_HEIGHT), lean)
    angles = {"hip_flexion": hip, "knee_flexion": knee, "ankle_dorsiflexion": knee - hip + lean}
    return posed_body(TIME_S, angles, lean=lean, fixed=Centre.LEFT_HEEL)


def sit_up() -> BodyTrack:
    lean = between(-90, -20)
    hip, knee = leg_to(place(0.0, 0.06), place(0.25, ANKLE_HEIGHT), lean)
    angles = {"hip_flexion": hip, "knee_flexion": knee, "ankle_dorsiflexion": knee - hip + lean}
    return posed_body(TIME_S, {**angles, "shoulder_flexion": 60.0}, lean=lean, fixed=Centre.LEFT_HEEL)


def prone_leg_raise() -> BodyTrack:
    return posed_body(TIME_S, {"right_hip_flexion": between(0, -25), "ankle_dorsiflexion": -60.0}, lean=90.0)


ON_ALL_FOURS = 64.0


def donkey_kick() -> BodyTrack:
    angles = {
        "hip_flexion": ON_ALL_FOURS,
        "right_hip_flexion": between(ON_ALL_FOURS, -15),
        "knee_flexion": 90.0,
        "ankle_dorsiflexion": -70.0,
        "shoulder_flexion": ON_ALL_FOURS,
    }
    return posed_body(TIME_S, angles, lean=ON_ALL_FOURS, fixed=Centre.LEFT_KNEE)


def push_up() -> BodyTrack:
    lean = between(66, 82)
    body = posed_body(TIME_S, {}, lean=lean, fixed=Centre.LEFT_TOE)
    shoulder = body.centres_m[:, Centre.LEFT_SHOULDER, :2] / STATURE_M
    floor = body.centres_m[0, Centre.LEFT_TOE, 1] / STATURE_M
    hand = place(shoulder[0, 0] - 0.02, floor + 0.01)
    flexion, bend = arm_to(shoulder, hand, lean)
    return posed_body(TIME_S, {"shoulder_flexion": flexion, "elbow_flexion": bend}, lean=lean, fixed=Centre.LEFT_TOE)


def side_lying_raise() -> BodyTrack:
    return rolled(posed_body(TIME_S, {"right_hip_abduction": between(0, 35)}, facing=90.0), 90.0, Centre.LEFT_HIP)


def side_plank() -> BodyTrack:
    angles = {"right_hip_abduction": between(0, 35), "left_shoulder_abduction": 80.0, "left_elbow_flexion": 90.0}
    body = posed_body(TIME_S, angles, facing=90.0)
    x, y, _ = body.centres_m[0, Centre.LEFT_ELBOW] - body.centres_m[0, Centre.LEFT_HEEL]
    # elbow and foot on the ground
    return rolled(body, np.degrees(np.arctan2(y, x)), Centre.LEFT_HEEL)


_DOWN_FIRST = {"lowering": OUT, "raising": BACK, "whole movement": HELD}
_UP_FIRST = {"raising": OUT, "lowering": BACK, "whole movement": HELD}

EXERCISES: Mapping[str, Exercise] = {
    "squat (two-leg, bodyweight)": Exercise(two_leg_squat, _DOWN_FIRST),
    "deadlift / hip hinge": Exercise(hip_hinge, _DOWN_FIRST),
    "standing forward bend": Exercise(forward_bend, _DOWN_FIRST),
    "heel raise (standing)": Exercise(heel_raise, _UP_FIRST),
    "toe walk": Exercise(heel_raise, {"stance on the toes": HELD}),
    "heel walk": Exercise(on_the_heels, {"stance on the heel": HELD}),
    "marching on the spot (high knees)": Exercise(knee_up, {"knee up": OUT, "leg down": BACK}),
    "standing hip extension (kickback)": Exercise(leg_back, {"leg back": OUT, "leg forward to neutral": BACK}),
    "standing heel-to-buttock curl": Exercise(heel_to_buttock, {"raising the heel": OUT, "lowering the heel": BACK}),
    "front kick": Exercise(
        front_kick,
        {
            "chamber (thigh up)": (0.6, 1.5),
            "snap (extension)": (1.8, 2.4),
            "recoil": (2.8, 3.4),
            "leg lowering": (3.4, 4.5),
        },
    ),
    "standing hip abduction": Exercise(leg_out, {"leg out": OUT, "leg back": BACK}),
    "single-leg stance": Exercise(one_leg_stance, {"hold": HELD}),
    "elbow curl (standing)": Exercise(curl, _UP_FIRST),
    "front raise": Exercise(front_raise, _UP_FIRST),
    "lateral raise": Exercise(lateral_raise, _UP_FIRST),
    "shoulder press (overhead)": Exercise(press, _UP_FIRST),
    "triceps extension (overhead)": Exercise(overhead_extension, _DOWN_FIRST),
    "triceps kickback": Exercise(kickback, _UP_FIRST),
    "row (bent-over)": Exercise(bent_over_row, {"pulling": OUT, "lowering": BACK, "whole movement": HELD}),
    "forward lunge (front leg)": Exercise(lunge, _DOWN_FIRST),
    "split squat (rear leg)": Exercise(split_squat, _DOWN_FIRST),
    "sit-to-stand": Exercise(sit_to_stand, {"standing up": (1.8, STOOD), "sitting down": (SITTING, 4.0)}),
    "step-up": Exercise(step_up, {"stepping up (lead leg)": OUT, "stepping down (support leg)": BACK}),
    "wall sit": Exercise(wall_sit, {"hold": HELD}, stated=(Carrier.FEET,)),
    "seated knee extension": Exercise(seated_knee_extension, _UP_FIRST),
    "pull-up": Exercise(pull_up, _UP_FIRST, stated=(Carrier.HANDS,)),
    "straight-leg raise (supine)": Exercise(straight_leg_raise, _UP_FIRST),
    "supine scissor (flutter)": Exercise(flutter, {"leg rising": OUT, "leg lowering": BACK}),
    "glute bridge": Exercise(bridge, _UP_FIRST),
    "sit-up (full)": Exercise(sit_up, {"raising, second part": (1.6, 2.3), "lowering": BACK}),
    "prone leg raise (hip extension)": Exercise(prone_leg_raise, _UP_FIRST),
    "donkey kick (all fours)": Exercise(donkey_kick, {"leg up": OUT, "leg down": BACK}),
    "push-up": Exercise(push_up, _DOWN_FIRST),
    "side-lying leg raise": Exercise(side_lying_raise, _UP_FIRST),
    "side plank with leg raise": Exercise(side_plank, {"raising the top leg": OUT, "lowering the top leg": BACK}),
}
"""By the table's name of the exercise."""
