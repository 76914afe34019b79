"""Ways to pose the synthetic body for an exercise: balanced on its feet, rolled over, limbs that reach a place.

All exercises share one clock: rest, out, held, back, rest.
"""

from collections.abc import Mapping

import numpy as np

from motionlabel.body import Centre
from motionlabel.mechanics.masses import locate_masses
from motionlabel.records import BodyTrack
from tests.synthetic_body import (
    FOREARM,
    HAND,
    HEEL_BEHIND,
    SHANK,
    STATURE_M,
    THIGH,
    UPPER_ARM,
    body_of,
    clock,
    posed_body,
    ramp,
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


def between(start: float, stop: float) -> np.ndarray:
    """(F,) value that goes from ``start`` to ``stop`` and back with the movement."""
    return start + (stop - start) * SHARE


def _com_x(body: BodyTrack) -> np.ndarray:
    return locate_masses(body.centres_m, body.time_s).body_com_m[:, 0]


def standing(
    angles: Angles, stance: str = "", over: float | np.ndarray = 0.04, pitch: float | np.ndarray = 0.0
) -> BodyTrack:
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


def place(x: np.ndarray | float, y: np.ndarray | float) -> np.ndarray:
    return np.stack(np.broadcast_arrays(np.asarray(x, float), np.asarray(y, float)), axis=-1)


def trunk_up(lean: np.ndarray | float) -> np.ndarray:
    return place(np.sin(np.radians(lean)), np.cos(np.radians(lean)))
