"""A body of usual proportions, posed by joint angles: what lengths and moment arms are computed on.

Right side; the left mirrors it. Axes: x forward, y up, z to the side meant.
*Source* of lengths and joint centres: legs and trunk gait2392 (Delp 1990; CC BY 3.0), the knee's hinge fitted
to its sliding knee; arm MyoSim myoarm (Apache-2.0). See ``README.md``.
"""

from collections.abc import Mapping
from functools import lru_cache

import numpy as np

from motionlabel.musculature.bone import Bone, Freedom, Hinge
from motionlabel.musculature.line import BonePlace, Bones, Flexions
from motionlabel.records import Array

Posture = Mapping[Freedom, float]
"""Joint angles of one side, radians; a missing one is 0."""

PELVIS_M, FEMUR_M, TIBIA_M, FOOT_M = 0.1670, 0.4088, 0.4164, 0.2038
THORAX_M, SHOULDERS_M, HUMERUS_M, FOREARM_M, HAND_M = 0.5198, 0.3400, 0.2907, 0.2581, 0.0785
"""Lengths that points are counted in: between the hip centres; hip to knee; knee to ankle; heel to ball;
mid-hip to mid-shoulder; between the shoulder centres; shoulder to elbow; elbow to wrist; wrist to the third
metacarpal's head (own estimate). *Source*: see the module."""

PELVIS_OF_FEMUR = 0.409
"""Distance of the hip centres in femur lengths. *Source*: gait2392."""

LUMBOSACRAL = np.array([-0.1796, 0.8838, 0.0])
"""The joint about which the trunk bends, pelvis frame. *Source*: gait2392."""

_LUMBOSACRAL_OF_THORAX = np.array([-0.0061, -0.7147, 0.0])
SHOULDER_OF_THORAX = np.array([0.0, 0.0, 0.3271])
STERNOCLAVICULAR = np.array([0.0460, 0.0267, 0.0491])
"""Where the clavicle begins, thorax frame. *Source*: MyoSim myoarm."""

HEAD_OF_THORAX = np.array([0.03, 0.39, 0.0])
"""Middle of the ears, thorax frame: own estimate."""

_ANKLE_AXIS = np.array([-0.105, -0.174, 0.979])
_SUBTALAR_AXIS = np.array([0.787, 0.605, -0.121])
_SUBTALAR = np.array([-0.2393, -0.2058, 0.0389])
BALL_OF_FOOT = np.array([0.6380, -0.2157, 0.0442])
_CARRYING = (np.radians(12.5), np.radians(3.0))
"""The straight forearm leaves the line of the humerus outward and forward. *Source*: MyoSim myoarm."""

_RADIUS_ORIGIN = np.array([-0.0017, -0.0574, 0.0685])
_RADIUS_AXIS = np.array([0.0547, 0.9970, 0.0550])
"""The radius turns about a line from the capitulum to the head of the ulna, forearm frame. *Source*: myoarm."""

_RHYTHM, _SETTING_RAD = 1.0 / 3.0, np.radians(30.0)
"""The scapula turns by a third of the arm's elevation, beyond the first 30 degrees.
*Source*: Inman, Saunders, Abbott 1944, from memory."""


def turn(axis: Array, angle: float) -> Array:
    """Return the (3, 3) rotation about an axis (any length), radians (Rodrigues)."""
    x, y, z = axis / np.linalg.norm(axis)
    cross = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    return np.eye(3) + np.sin(angle) * cross + (1.0 - np.cos(angle)) * (cross @ cross)


def about_forward(angle: float) -> Array:
    """Return the (3, 3) rotation about x: up turns outward."""
    c, s = np.cos(angle), np.sin(angle)
    return np.array([[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]])


def about_up(angle: float) -> Array:
    """Return the (3, 3) rotation about y: outward turns forward."""
    c, s = np.cos(angle), np.sin(angle)
    return np.array([[c, 0.0, s], [0.0, 1.0, 0.0], [-s, 0.0, c]])


def about_outward(angle: float) -> Array:
    """Return the (3, 3) rotation about z: forward turns up."""
    c, s = np.cos(angle), np.sin(angle)
    return np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])


def scapular_turn(elevation_rad: float) -> float:
    """Return how far the scapula turns upward with the arm raised so far, radians."""
    return _RHYTHM * max(0.0, elevation_rad - _SETTING_RAD)


def flexions_of(posture: Posture) -> Flexions:
    """Return the flexions that switch via points."""
    return {
        Hinge.HIP: posture.get(Freedom.HIP_FLEXION, 0.0),
        Hinge.KNEE: posture.get(Freedom.KNEE_FLEXION, 0.0),
        Hinge.ELBOW: posture.get(Freedom.ELBOW_FLEXION, 0.0),
    }


def posed(posture: Posture) -> Bones:
    """Return the bones of the right side of a body of usual size.

    Parameters
    ----------
    posture
        Joint angles, radians; a missing one is 0.

    Returns
    -------
    All bones, metres about the middle of the hips, axes of the pelvis.
    """
    return {**_leg(posture), **_trunk_and_arm(posture)}


def _place(origin: Array, rotation: Array, length: float) -> BonePlace:
    return BonePlace(origin, rotation * length)


def _leg(posture: Posture) -> dict[Bone, BonePlace]:
    def angle(freedom: Freedom) -> float:
        return posture.get(freedom, 0.0)

    pelvis = _place(np.zeros(3), np.eye(3), PELVIS_M)
    thigh = about_outward(angle(Freedom.HIP_FLEXION)) @ about_forward(-angle(Freedom.HIP_ABDUCTION))
    thigh = thigh @ about_up(angle(Freedom.HIP_ROTATION))
    femur = _place(pelvis.point(np.array([0.0, 0.0, 0.5])), thigh, FEMUR_M)
    shank = thigh @ about_outward(-angle(Freedom.KNEE_FLEXION)) @ about_up(angle(Freedom.KNEE_ROTATION))
    tibia = _place(femur.point(np.array([0.0, -1.0, 0.0])), shank, TIBIA_M)
    ankle = tibia.point(np.array([0.0, -1.0, 0.0]))
    tarsus = shank @ turn(_ANKLE_AXIS, angle(Freedom.ANKLE_DORSIFLEXION))
    sole = tarsus @ turn(_SUBTALAR_AXIS, angle(Freedom.SUBTALAR_INVERSION))
    # the foot turns about the subtalar joint, not about the ankle
    foot = _place(ankle + FOOT_M * (tarsus - sole) @ _SUBTALAR, sole, FOOT_M)
    toes = _place(foot.point(BALL_OF_FOOT), sole, FOOT_M)
    return {Bone.PELVIS: pelvis, Bone.FEMUR: femur, Bone.TIBIA: tibia, Bone.FOOT: foot, Bone.TOES: toes}


def _trunk_and_arm(posture: Posture) -> dict[Bone, BonePlace]:
    def angle(freedom: Freedom) -> float:
        return posture.get(freedom, 0.0)

    joint = PELVIS_M * LUMBOSACRAL

    def spine(share: float) -> Array:
        bent = about_outward(-share * angle(Freedom.TRUNK_FLEXION)) @ about_forward(share * angle(Freedom.TRUNK_BEND))
        return bent @ about_up(-share * angle(Freedom.TRUNK_ROTATION))

    half, chest = spine(0.5), spine(1.0)
    lumbar = _place(joint - half @ joint, half, PELVIS_M)
    thorax = _place(joint - THORAX_M * chest @ _LUMBOSACRAL_OF_THORAX, chest, THORAX_M)
    raised = about_outward(angle(Freedom.SHOULDER_FLEXION)) @ about_forward(-angle(Freedom.SHOULDER_ABDUCTION))
    elevation = float(np.arccos(np.clip(raised[1, 1], -1.0, 1.0)))
    upper_arm = chest @ raised @ about_up(angle(Freedom.SHOULDER_ROTATION))
    shoulder = thorax.point(SHOULDER_OF_THORAX)
    girdle = {
        Bone.SCAPULA: _place(shoulder, chest @ about_forward(-scapular_turn(elevation)), SHOULDERS_M),
        Bone.CLAVICLE: _place(
            thorax.point(STERNOCLAVICULAR), chest @ about_forward(-0.5 * scapular_turn(elevation)), SHOULDERS_M
        ),
    }
    humerus = _place(shoulder, upper_arm, HUMERUS_M)
    forearm = upper_arm @ about_outward(angle(Freedom.ELBOW_FLEXION)) @ _carrying()
    elbow = humerus.point(np.array([0.0, -1.0, 0.0]))
    ulna = _place(elbow, forearm, FOREARM_M)
    spun = forearm @ turn(_RADIUS_AXIS, angle(Freedom.PRONATION))
    radius = _place(elbow + FOREARM_M * (forearm - spun) @ _RADIUS_ORIGIN, spun, FOREARM_M)
    palm = spun @ about_forward(angle(Freedom.WRIST_FLEXION)) @ about_outward(angle(Freedom.RADIAL_DEVIATION))
    return {
        Bone.LUMBAR: lumbar,
        Bone.THORAX: thorax,
        Bone.SKULL: _place(thorax.point(HEAD_OF_THORAX), chest, THORAX_M),
        **girdle,
        Bone.HUMERUS: humerus,
        Bone.ULNA: ulna,
        Bone.RADIUS: radius,
        Bone.HAND: _place(ulna.point(np.array([0.0, -1.0, 0.0])), palm, HAND_M),
    }


@lru_cache(maxsize=1)
def _carrying() -> Array:
    outward, forward = _CARRYING
    up = -np.array([np.sin(forward), -np.cos(forward) * np.cos(outward), np.sin(outward)])
    up /= np.linalg.norm(up)
    side = np.array([0.0, 0.0, 1.0]) - up[2] * up
    side /= np.linalg.norm(side)
    return np.stack([np.cross(up, side), up, side], axis=1)
