"""Moments that the muscles must make about each axis."""

from functools import cache

import numpy as np

from motionlabel.body import PHASE_AXES, Axis, Centre, Joint, MotionAxis, Segment, Side
from motionlabel.kinematics.rotations import cross, unit
from motionlabel.mechanics.masses import Masses
from motionlabel.mechanics.support import POINTS
from motionlabel.records import Array

GRAVITY_M_S2 = 9.81

_CHAIN: dict[Joint, tuple[str, ...]] = {
    Joint.HIP: ("THIGH", "SHANK", "FOOT"),
    Joint.KNEE: ("SHANK", "FOOT"),
    Joint.ANKLE: ("FOOT",),
    Joint.SHOULDER: ("UPPER_ARM", "FOREARM", "HAND"),
    Joint.ELBOW: ("FOREARM", "HAND"),
}
_CONTACTS: dict[Joint, tuple[str, ...]] = {
    Joint.HIP: ("knee", "heel", "forefoot"),
    Joint.KNEE: ("heel", "forefoot"),
    Joint.ANKLE: ("heel", "forefoot"),
    Joint.SHOULDER: ("elbow", "hand"),
    Joint.ELBOW: ("hand",),
}
_BENT_RAD = np.radians(20.0)

LIMB_AXES = tuple(axis for axis in PHASE_AXES if axis.joint in _CHAIN)
"""Axes whose moment is worked out; the trunk's is not, since its own bending is hardly seen."""


@cache
def distal_segments(axis: MotionAxis) -> list[Segment]:
    """Segments of the limb beyond a joint."""
    return [Segment[f"{axis.side}_{part}".upper()] for part in _CHAIN[axis.joint]]


@cache
def distal_contacts(axis: MotionAxis) -> list[int]:
    """Columns of ``POINTS`` on the limb beyond a joint."""
    wanted = {f"{axis.side} {part}" for part in _CONTACTS[axis.joint]}
    return [column for column, point in enumerate(POINTS) if point.name in wanted]


def joint_moment(
    centres_m: Array, places: Array, masses: Masses, force: Array, axis: MotionAxis, inertial: Array
) -> Array:
    """Return the moment vector that muscles must make on the limb beyond a joint.

    Moment of gravity, contact forces and inertia of everything beyond the joint, with the sign turned:
    ``-sum r x (m g + F - m a) + I alpha``.

    Parameters
    ----------
    centres_m
        (F, J, 3) joint centres, metres.
    places
        (F, C, 3) where each contact meets the ground (``contact_places``).
    masses
        Segment masses in fractions of body mass.
    force
        (F, C) vertical contact forces, body weights; NaN = unknown.
    axis
        Joint and side.
    inertial
        (F,) 1 where inertia counts, 0 where the limb carries weight and its acceleration is noise.

    Returns
    -------
    (F, 3) body weight x metre, levelled frame; NaN where the limb carries an unknown share.
    """
    joint = centres_m[:, None, Centre[f"{axis.side}_{axis.joint}".upper()]]
    segments, contacts = distal_segments(axis), distal_contacts(axis)
    pull = -inertial[:, None, None] * masses.com_acceleration[:, segments] / GRAVITY_M_S2
    pull[:, :, 1] -= 1.0
    weight = masses.fraction[segments, None] * pull
    external = np.einsum("fsi->fi", cross(masses.com_m[:, segments] - joint, weight))
    external -= inertial[:, None] * np.einsum("fsi->fi", masses.spin[:, segments]) / GRAVITY_M_S2
    arm = places[:, contacts] - joint
    # a vertical push: its cross product with the arm has two parts
    own = force[:, contacts]
    external[:, 0] -= np.where(own != 0.0, arm[:, :, 2] * own, 0.0).sum(axis=1)
    external[:, 2] += np.where(own != 0.0, arm[:, :, 0] * own, 0.0).sum(axis=1)
    return np.asarray(-external)


def rotation_axis(centres_m: Array, trunk: Array, flexion_rad: Array, axis: MotionAxis) -> Array:
    """Return the unit vector about which a right-handed turn of the limb is the axis's positive motion.

    Flexion turns about the person's rightward axis; a bent knee or elbow about its own hinge. Abduction
    turns about the trunk's forward axis carried along by the flexion (Grood & Suntay 1983).

    Parameters
    ----------
    centres_m
        (F, J, 3) joint centres.
    trunk
        (F, 3, 3) trunk in levelled frame, columns forward, up, right.
    flexion_rad
        (F,) flexion of the same joint, radians; only read for abduction.
    axis
        Joint, side and axis.

    Returns
    -------
    (F, 3) in the levelled frame.
    """
    rightward = trunk[:, :, 2]
    side = axis.side.upper()

    def line(start: str, end: str) -> Array:
        return unit(centres_m[:, Centre[f"{side}_{end}"]] - centres_m[:, Centre[f"{side}_{start}"]])

    if axis.joint in (Joint.HIP, Joint.SHOULDER):
        if axis.axis is Axis.FLEXION:
            return rightward
        turned = np.cos(flexion_rad)[:, None] * trunk[:, :, 0] + np.sin(flexion_rad)[:, None] * trunk[:, :, 1]
        return -turned if axis.side is Side.RIGHT else turned
    if axis.joint is Joint.ANKLE:
        return rightward
    near, far = (
        (line("HIP", "KNEE"), line("KNEE", "ANKLE"))
        if axis.joint is Joint.KNEE
        else (line("SHOULDER", "ELBOW"), line("ELBOW", "WRIST"))
    )
    sign = -1.0 if axis.joint is Joint.KNEE else 1.0
    straight = sign * unit(rightward - (rightward * near).sum(axis=1, keepdims=True) * near)
    normal = cross(near, far)
    bend = np.arctan2(np.linalg.norm(normal, axis=1), (near * far).sum(axis=1))
    hinge = unit(normal)
    agrees = (hinge * straight).sum(axis=1) > 0.0
    own = (bend > _BENT_RAD) & (agrees | (axis.joint is Joint.ELBOW))
    return np.where(own[:, None], hinge, straight)


def reference_moment(masses_fraction: Array, axis: MotionAxis) -> float:
    """Moment of the limb beyond a joint held out level and straight, fraction of body weight x height.

    The measure of what counts as a load at that joint.
    *Source*: segment masses after de Leva 1996; lengths after Drillis & Contini 1966 (from memory).
    """
    length = {"THIGH": 0.245, "SHANK": 0.246, "UPPER_ARM": 0.186, "FOREARM": 0.146, "HAND": 0.05}
    reach, moment = 0.0, 0.0
    for part in _CHAIN[axis.joint]:
        segment = Segment[f"{axis.side}_{part}".upper()]
        # the foot stands across the shank: its mass centre is about 0.04 beyond the ankle (own estimate)
        middle = 0.04 if part == "FOOT" else 0.45 * length[part]
        moment += masses_fraction[segment] * (reach + middle)
        reach += length.get(part, 0.0)
    return float(moment)
