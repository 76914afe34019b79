"""Exercises of the table as motions of the synthetic body, slow enough that the load decides.

Each is drawn after the words of the table: who lies, stands or kneels where, what moves. Angles and
proportions are own estimates; the table's answer does not hang on a few degrees.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from motionlabel.body import Centre
from motionlabel.mechanics.masses import locate_masses
from motionlabel.records import BodyTrack
from tests.synthetic_body import (
    ANKLE_HEIGHT,
    FOREARM,
    HAND,
    HEEL_BEHIND,
    SHANK,
    STATURE_M,
    THIGH,
    TRUNK,
    UPPER_ARM,
    body_of,
    clock,
    posed_body,
    ramp,
    squat,
)

Span = tuple[float, float]
Angles = Mapping[str, np.ndarray | float]

OUT: Span = (1.0, 2.3)
HELD: Span = (2.3, 3.0)
BACK: Span = (3.0, 4.3)
TIME_S = clock(5.3)
SHARE = ramp(TIME_S, [(OUT[0], 0.0), (OUT[1], 1.0), (BACK[0], 1.0), (BACK[1], 0.0)])
"""(F,) how far the movement has gone: out, held, back."""

_LEAN_STEPS = 6
_NUDGE_DEG = 0.5


@dataclass(frozen=True)
class Exercise:
    """An exercise and when its phases happen.

    Attributes
    ----------
    body
        Makes the motion.
    spans
        Seconds of each phase, by the table's name of the phase.
    """

    body: Callable[[], BodyTrack]
    spans: Mapping[str, Span]


def between(start: float, stop: float) -> np.ndarray:
    """(F,) value that goes from ``start`` to ``stop`` and back with the movement."""
    return start + (stop - start) * SHARE


def _com_x(body: BodyTrack) -> np.ndarray:
    return locate_masses(body.centres_m, body.time_s).body_com_m[:, 0]


def standing(angles: Angles, stance: str = "", over: float | np.ndarray = 0.04, pitch: float | np.ndarray = 0.0):
    """Stand with the mass centre over the foot; seen from the side.

    Parameters
    ----------
    angles
        As for ``posed_body``; those of hip and knee may have a side.
    stance
        ``"left"`` or ``"right"`` for standing on one leg.
    over
        Where the mass centre is over the foot, statures in front of the ankle of a flat foot.
    pitch
        How far the heel is up, degrees; negative stands on the heel.
    """
    side = stance or "left"
    knee = angles.get(f"{side}_knee_flexion", angles.get("knee_flexion", 0.0))
    hip = angles.get(f"{side}_hip_flexion", angles.get("hip_flexion", 0.0))
    fixed = Centre[f"{side}_{'toe' if np.max(pitch) > 0 else 'heel'}".upper()]
    ankle = f"{stance}_ankle_dorsiflexion" if stance else "ankle_dorsiflexion"

    def pose(lean: np.ndarray) -> BodyTrack:
        return posed_body(TIME_S, {**angles, ankle: knee - hip + lean - pitch}, lean=lean, fixed=fixed)

    def miss(lean: np.ndarray) -> np.ndarray:
        body = pose(lean)
        flat = body.centres_m[0, Centre[f"{side}_heel".upper()], 0] + HEEL_BEHIND * STATURE_M
        return _com_x(body) - flat - over * STATURE_M

    lean = np.zeros(len(TIME_S))
    for _ in range(_LEAN_STEPS):
        error = miss(lean)
        lean = lean - error * _NUDGE_DEG / (miss(lean + _NUDGE_DEG) - error)
    return pose(lean)


def rolled(body: BodyTrack, degrees: float | np.ndarray, about: Centre) -> BodyTrack:
    """Turn a body clockwise in the picture about one of its points."""
    turn = -np.radians(np.broadcast_to(np.asarray(degrees, dtype=float), (len(body),)))
    pivot = body.centres_m[:, about]
    offset = body.centres_m - pivot[:, None]
    cos, sin = np.cos(turn)[:, None], np.sin(turn)[:, None]
    turned = offset.copy()
    turned[:, :, 0] = cos * offset[:, :, 0] - sin * offset[:, :, 1]
    turned[:, :, 1] = sin * offset[:, :, 0] + cos * offset[:, :, 1]
    centres = turned + body.centres_m[0, about]
    centres[:, :, 1] -= centres[0, :, 1].min()
    return body_of(body.time_s, centres, stature_m=body.stature_m)


def on_one_leg_from_the_front(angles: Angles) -> BodyTrack:
    """Stand on the right leg, facing the camera, leaning so that the mass centre is over the foot."""
    body = posed_body(TIME_S, angles, facing=90.0, fixed=Centre.RIGHT_ANKLE)
    # on two legs at first and at last
    on_leg = ramp(TIME_S, [(0.4, 0.0), (OUT[0], 1.0), (BACK[1], 1.0), (4.9, 0.0)])
    com = locate_masses(body.centres_m, body.time_s).body_com_m - body.centres_m[:, Centre.RIGHT_ANKLE]
    return rolled(body, -np.degrees(np.arctan2(com[:, 0], com[:, 1])) * on_leg, Centre.RIGHT_ANKLE)


def _bent(upper: float, lower: float, reach: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Bend of a two-segment limb that spans ``reach``, and the angle between upper segment and reach, degrees."""
    inner = (upper**2 + lower**2 - reach**2) / (2.0 * upper * lower)
    at_root = (upper**2 + reach**2 - lower**2) / (2.0 * upper * reach)
    return 180.0 - np.degrees(np.arccos(np.clip(inner, -1, 1))), np.degrees(np.arccos(np.clip(at_root, -1, 1)))


def leg_to(hip: np.ndarray, ankle: np.ndarray, lean: np.ndarray | float) -> tuple[np.ndarray, np.ndarray]:
    """Hip and knee flexion that bring the ankle to a place (statures, x forward and y up), knee in front."""
    line = np.asarray(ankle) - np.asarray(hip)
    bend, root = _bent(THIGH, SHANK, np.hypot(line[..., 0], line[..., 1]))
    return np.degrees(np.arctan2(line[..., 0], -line[..., 1])) + root + lean, bend


def arm_to(shoulder: np.ndarray, hand: np.ndarray, lean: np.ndarray | float) -> tuple[np.ndarray, np.ndarray]:
    """Shoulder and elbow flexion that bring the hand to a place, the wrist straight, elbow behind."""
    line = np.asarray(hand) - np.asarray(shoulder)
    bend, root = _bent(UPPER_ARM, FOREARM + HAND, np.hypot(line[..., 0], line[..., 1]))
    return np.degrees(np.arctan2(line[..., 0], -line[..., 1])) - root + lean, bend


def _path(x: np.ndarray | float, y: np.ndarray | float) -> np.ndarray:
    return np.stack(np.broadcast_arrays(np.asarray(x, float), np.asarray(y, float)), axis=-1)


def _up(lean: np.ndarray | float) -> np.ndarray:
    return _path(np.sin(np.radians(lean)), np.cos(np.radians(lean)))


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
    shoulder, elbow = arm_to(_path(0, 0), _path(0.02, between(0.12, 0.37)), 0.0)
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
    rear_foot = _path(
        -0.11 * np.cos(turn) + ANKLE_HEIGHT * np.sin(turn), 0.11 * np.sin(turn) + ANKLE_HEIGHT * np.cos(turn)
    )
    hip = _path(between(0.03, 0.10), hip_height)
    front_hip, front_knee = leg_to(hip, _path(0.22, ANKLE_HEIGHT), lean)
    rear_hip, rear_knee = leg_to(hip, _path(-0.17, 0.0) + rear_foot, lean)
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
    hip, knee = leg_to(_path(-0.17 + 0.19 * risen, 0.28 + 0.245 * risen), _path(0.0, ANKLE_HEIGHT), lean)
    angles = {"hip_flexion": hip, "knee_flexion": knee, "ankle_dorsiflexion": knee - hip + lean}
    return posed_body(TIME_S, {**angles, "shoulder_flexion": 30.0}, lean=lean, fixed=Centre.LEFT_HEEL)


STEP = 0.11


def step_up() -> BodyTrack:
    lean = between(18, 4)
    hip = _path(between(0.02, 0.05), between(0.50, 0.62))
    angles = {}
    on_step = _path(0.05, STEP + ANKLE_HEIGHT)
    trailing = _path(between(-0.12, 0.03), between(ANKLE_HEIGHT, STEP + ANKLE_HEIGHT + 0.02))
    for side, ankle in (("right", on_step), ("left", trailing)):
        flexion, bend = leg_to(hip, ankle, lean)
        angles |= {f"{side}_hip_flexion": flexion, f"{side}_knee_flexion": bend}
        angles[f"{side}_ankle_dorsiflexion"] = bend - flexion + lean
    body = posed_body(TIME_S, angles, lean=lean, fixed=Centre.RIGHT_HEEL)
    return body


def wall_sit() -> BodyTrack:
    hip, knee = leg_to(_path(-0.22, between(0.45, 0.29)), _path(0.0, ANKLE_HEIGHT), 0.0)
    angles = {"hip_flexion": hip, "knee_flexion": knee, "ankle_dorsiflexion": knee - hip}
    return posed_body(TIME_S, angles, fixed=Centre.LEFT_HEEL)


def seated_knee_extension() -> BodyTrack:
    return posed_body(TIME_S, {"hip_flexion": 90.0, "left_knee_flexion": 90.0, "right_knee_flexion": between(90, 10)})


def pull_up() -> BodyTrack:
    shoulder, elbow = arm_to(_path(0, 0), _path(0.05, between(0.38, 0.16)), 0.0)
    angles = {"shoulder_flexion": shoulder % 360, "elbow_flexion": elbow, "knee_flexion": 30.0}
    return posed_body(TIME_S, angles, fixed=Centre.LEFT_HAND)


# lying, kneeling, on the hands --------------------------------------------------------------------------------


def straight_leg_raise() -> BodyTrack:
    return posed_body(TIME_S, {"right_hip_flexion": between(0, 70)}, lean=-90.0)


def flutter() -> BodyTrack:
    return posed_body(TIME_S, {"left_hip_flexion": between(35, 12), "right_hip_flexion": between(12, 50)}, lean=-90.0)


def bridge() -> BodyTrack:
    lean = between(-90, -113)
    hip, knee = leg_to(_path(0.0, 0.05) - TRUNK * _up(lean), _path(0.50, ANKLE_HEIGHT), lean)
    angles = {"hip_flexion": hip, "knee_flexion": knee, "ankle_dorsiflexion": knee - hip + lean}
    return posed_body(TIME_S, angles, lean=lean, fixed=Centre.LEFT_HEEL)


def sit_up() -> BodyTrack:
    lean = between(-90, -20)
    hip, knee = leg_to(_path(0.0, 0.06), _path(0.25, ANKLE_HEIGHT), lean)
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
    hand = _path(shoulder[0, 0] - 0.02, floor + 0.01)
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
    "wall sit": Exercise(wall_sit, {"hold": HELD}),
    "seated knee extension": Exercise(seated_knee_extension, _UP_FIRST),
    "pull-up": Exercise(pull_up, _UP_FIRST),
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
