"""Angles that follow from the inclinations of straight segments, foot flat: no source is needed.

Knee flexion is thigh plus shank inclination (leaning opposite ways), the hip's thigh plus trunk
inclination, ankle dorsiflexion the shank's.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from motionlabel.body import AXES, AXIS_INDEX, Centre
from motionlabel.kinematics import body_from_landmarks, measure_angles
from motionlabel.records import BodyTrack
from tests.synthetic_body import (
    ANKLE_HEIGHT,
    BALL_AT,
    FOOT,
    FOREARM,
    FORWARD,
    HALF_HIPS,
    HALF_SHOULDERS,
    HAND,
    HEAD,
    HEEL_BEHIND,
    RIGHT,
    SHANK,
    STATURE_M,
    THIGH,
    TRUNK,
    UPPER_ARM,
    body_of,
    clock,
    facts_of,
    landmarks_of,
)

EXACT_DEG = 1e-6
# side view: what is left is rounding of the depth grid, as in tests/kinematics
FROM_LANDMARKS_DEG = 0.5

# thigh from the vertical (hip behind the knee), shank forward, trunk forward -> knee, thigh to trunk, ankle
POSES = [
    ((90.0, 25.0, 40.0), (115.0, 130.0, 25.0)),
    ((0.0, 0.0, 0.0), (0.0, 0.0, 0.0)),
    ((20.0, 0.0, 70.0), (20.0, 90.0, 0.0)),
    ((60.0, 35.0, 10.0), (95.0, 70.0, 35.0)),
    ((105.0, 32.0, 45.0), (137.0, 150.0, 32.0)),
    ((-10.0, 12.0, 0.0), (2.0, -10.0, 12.0)),
]
poses = pytest.mark.parametrize(("inclined", "expected"), POSES)
NAMES = ("knee_flexion", "hip_flexion", "ankle_dorsiflexion")


def _inclined(thigh: float, shank: float, trunk: float, facing: float = 0.0) -> BodyTrack:
    """Body of straight lines leaning by so many degrees, feet flat, arms hanging along the vertical."""

    def leaning(length: float, degrees: float) -> np.ndarray:
        return length * np.array([np.sin(np.radians(degrees)), np.cos(np.radians(degrees)), 0.0])

    ankle = np.array([0.0, ANKLE_HEIGHT, 0.0])
    knee = ankle + leaning(SHANK, shank)
    hip = knee + leaning(THIGH, -thigh)
    shoulder = hip + leaning(TRUNK, trunk)
    heel = np.array([-HEEL_BEHIND, 0.0, 0.0])
    elbow = shoulder - leaning(UPPER_ARM, 0.0)
    wrist = elbow - leaning(FOREARM, 0.0)
    parts = {
        "HIP": (hip, HALF_HIPS),
        "KNEE": (knee, HALF_HIPS),
        "ANKLE": (ankle, HALF_HIPS),
        "HEEL": (heel, HALF_HIPS),
        "TOE": (heel + FOOT * FORWARD, HALF_HIPS),
        "BALL": (heel + BALL_AT * FOOT * FORWARD, HALF_HIPS),
        "SHOULDER": (shoulder, HALF_SHOULDERS),
        "ELBOW": (elbow, HALF_SHOULDERS),
        "WRIST": (wrist, HALF_SHOULDERS),
        "HAND": (wrist - leaning(HAND, 0.0), HALF_SHOULDERS),
    }
    places = np.zeros((len(Centre), 3))
    places[Centre.HEAD] = shoulder + leaning(HEAD, trunk)
    for part, (place, half) in parts.items():
        for side, outward in (("LEFT", -half), ("RIGHT", half)):
            places[Centre[f"{side}_{part}"]] = place + outward * RIGHT
    cos, sin = np.cos(np.radians(facing)), np.sin(np.radians(facing))
    turned = places @ np.array([[cos, 0.0, -sin], [0.0, 1.0, 0.0], [sin, 0.0, cos]]).T
    time_s = clock(1.0)
    return body_of(time_s, np.repeat(turned[None] * STATURE_M, len(time_s), axis=0))


def _measured(body: BodyTrack, side: str) -> np.ndarray:
    columns = {axis.name: AXIS_INDEX[axis] for axis in AXES}
    angle = np.degrees(measure_angles(body).angle_rad)
    return np.array([angle[:, columns[f"{side}_{name}"]] for name in NAMES]).T


@poses
@pytest.mark.parametrize("facing", [0.0, 37.0, 180.0])
@pytest.mark.parametrize("side", ["left", "right"])
def test_angles_follow_from_the_inclinations(inclined, expected, facing, side):
    body = _inclined(*inclined, facing)
    assert_allclose(_measured(body, side), np.broadcast_to(expected, (len(body), 3)), atol=EXACT_DEG)


@poses
@pytest.mark.parametrize("side", ["left", "right"])
def test_the_same_from_landmarks_in_a_side_view(inclined, expected, side):
    body = _inclined(*inclined)
    found = body_from_landmarks(landmarks_of(body), facts_of(body))
    assert_allclose(_measured(found, side), np.broadcast_to(expected, (len(body), 3)), atol=FROM_LANDMARKS_DEG)
