"""What the load asks of the muscles about each axis, frame by frame, with its uncertainty."""

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from motionlabel.body import AXIS_INDEX, Axis, Centre, Joint, MotionAxis, Segment
from motionlabel.mechanics.masses import Masses, locate_masses
from motionlabel.mechanics.moments import (
    LIMB_AXES,
    distal_contacts,
    distal_segments,
    joint_moment,
    reference_moment,
    rotation_axis,
)
from motionlabel.mechanics.support import POINTS, Support, find_contacts, share_weight
from motionlabel.movement.quiet import Rest
from motionlabel.pose.smoothing import smooth_values
from motionlabel.records import AngleTrack, Array, BodyTrack

_CUTOFF_HZ = 4.0
"""Cut-off for loads (measured on demo_clips; accelerations from 6 Hz landmarks are mostly noise)."""

_SAMPLES = 8
_SEED = 20_011
_OWN_SHARE = 0.6
"""Neighbouring landmarks err alike; this share of their spread is each one's own (measured on demo_clips)."""

_FOOT_SHARE = 0.4
"""The landmarks of one foot err together; this share is each one's own (measured on demo_clips)."""

_FRICTION = 0.03
"""Horizontal share of a contact force in slow exercise (own estimate)."""

_FORE_AND_AFT = 0.5
"""Least part of the forward direction in the picture plane for a balance fore and aft (a view 30 deg off front)."""

_DEPTH_LEVER = 0.04
"""Spread of a lever arm that points at the camera, statures (measured on demo_clips)."""

_THRESHOLD_SHARE = 0.2
_THRESHOLD_CONTACT = 0.01
_PERCENT = 100.0

_BALLS = (Joint.HIP, Joint.SHOULDER)
_NONE = np.zeros(0)


@dataclass(frozen=True)
class Demand:
    """Moments that muscles must make.

    Attributes
    ----------
    moment
        (F, A) % of body weight x height about ``LIMB_AXES``, towards the axis's positive motion;
        NaN = unknown.
    samples
        (K, F, A) the same for bodies that the picture would allow as well.
    unseen
        (F, A) standard deviation from what no picture shows: horizontal forces at the contacts, and lever
        arms that point at the camera.
    threshold
        (F, A) moments below this are no load.
    carried
        (F, A) vertical force on the limb beyond the joint, body weights.
    support
        Contacts and their forces.
    """

    moment: Array
    samples: Array
    unseen: Array
    threshold: Array
    carried: Array
    support: Support


def measure_demand(body: BodyTrack, angles: AngleTrack, rest: Rest) -> Demand:
    """Work out the demand of every limb axis.

    Parameters
    ----------
    body
        Joint centres; low-passed here, since loads need accelerations.
    angles
        Of the same frames; they turn the abduction axes.
    rest
        Quiet standing, where hip and knee bear almost no moment: what is measured there is the offset of
        the landmarks and is taken off in proportion to the force carried.

    Returns
    -------
    Demand
    """
    body = replace(body, centres_m=_smoothed(body.centres_m, body.time_s))
    touching = find_contacts(body)
    trunk = body.segment_rotations[:, Segment.TRUNK]
    forward = _balance_direction(body, trunk[:, :, 2])
    masses = locate_masses(body.centres_m, body.time_s)
    force = share_weight(touching, body.centres_m, masses.body_com_m, forward, body.stature_m)
    moment = _moments(body.centres_m, masses, force, trunk, angles, body.stature_m)
    samples = np.empty((_SAMPLES, *moment.shape))
    random = np.random.default_rng(_SEED)
    for k in range(_SAMPLES):
        centres = _another_body(body, random)
        other = locate_masses(centres, body.time_s)
        shared = share_weight(touching, centres, other.body_com_m, forward, body.stature_m)
        samples[k] = _moments(centres, other, shared, trunk, angles, body.stature_m)
    carried = np.stack([force[:, distal_contacts(axis)].sum(axis=1) for axis in LIMB_AXES], axis=1)
    about = np.stack([_about(body.centres_m, trunk, angles, axis) for axis in LIMB_AXES], axis=1)
    unseen = _PERCENT * np.hypot(_friction(body, force), _lever(masses, carried, about, trunk))
    for values in (moment, *samples):
        _take_off_standing(values, carried, rest.standing)
    reference = np.array([reference_moment(masses.fraction, axis) for axis in LIMB_AXES])
    threshold = _PERCENT * (_THRESHOLD_SHARE * reference + _THRESHOLD_CONTACT * np.nan_to_num(carried))
    return Demand(moment, samples, unseen, threshold, carried, Support(touching, force))


def _smoothed(centres_m: Array, time_s: Array) -> Array:
    smooth = np.empty_like(centres_m)
    for centre in range(centres_m.shape[1]):
        smooth[:, centre] = smooth_values(time_s, centres_m[:, centre], _CUTOFF_HZ)
    return smooth


def _balance_direction(body: BodyTrack, rightward: Array) -> Array:
    """Horizontal direction in which the balance of the body is seen well: fore and aft, or else across."""
    vertical = np.array([0.0, 1.0, 0.0])
    forward = np.cross(vertical, rightward)
    lying_on_side = np.linalg.norm(forward, axis=1) < 0.5
    trunk = body.segment_rotations[:, Segment.TRUNK, :, 1] * np.array([1.0, 0.0, 1.0])
    forward = np.where(lying_on_side[:, None], trunk, forward)
    length = np.linalg.norm(forward, axis=1, keepdims=True)
    forward = np.where(length > 1e-6, forward / np.maximum(length, 1e-6), [1.0, 0.0, 0.0])
    return np.where((np.abs(forward[:, 0]) < _FORE_AND_AFT)[:, None], np.array([1.0, 0.0, 0.0]), forward)


def _moments(centres: Array, masses: Masses, force: Array, trunk: Array, angles: AngleTrack, stature_m: float) -> Array:
    result = np.empty((len(centres), len(LIMB_AXES)))
    for column, axis in enumerate(LIMB_AXES):
        contacts = distal_contacts(axis)
        free = (np.nan_to_num(force[:, contacts], nan=1.0) == 0.0).all(axis=1).astype(float)
        vector = joint_moment(centres, masses, force, axis, free)
        about = _about(centres, trunk, angles, axis)
        result[:, column] = (vector * about).sum(axis=1)
    return result * (_PERCENT / stature_m)


def _another_body(body: BodyTrack, random: np.random.Generator) -> Array:
    """Joint centres moved by constant offsets that the picture and the depth leave open."""
    centres = body.centres_m.copy()
    spread = _OWN_SHARE * np.nan_to_num(body.sigma_m, nan=0.0)
    offset = spread[:, :, None] * random.standard_normal((1, len(Centre), 2))
    for side in ("LEFT", "RIGHT"):
        ankle, toe, ball = (Centre[f"{side}_{part}"] for part in ("ANKLE", "TOE", "BALL"))
        offset[:, ball] = offset[:, toe]
        for part in ("HEEL", "TOE", "BALL"):
            point = Centre[f"{side}_{part}"]
            offset[:, point] = offset[:, ankle] + _FOOT_SHARE * offset[:, point]
    centres[:, :, :2] += offset
    step = {}
    for side in ("LEFT", "RIGHT"):
        for chain in (("HIP", "KNEE", "ANKLE", "BALL"), ("HIP", "SHOULDER", "ELBOW", "WRIST")):
            for near, far in pairwise(chain):
                variance = body.depth_sigma_m[:, Centre[f"{side}_{far}"]] ** 2
                variance = variance - body.depth_sigma_m[:, Centre[f"{side}_{near}"]] ** 2
                sign = random.standard_normal()
                step[side, far] = sign * np.sqrt(np.maximum(np.nan_to_num(variance), 0.0))
        # both shoulders move with the trunk
        step[side, "SHOULDER"] = step["LEFT", "SHOULDER"]
        moved = {
            "KNEE": ("KNEE",),
            "ANKLE": ("KNEE", "ANKLE"),
            "HEEL": ("KNEE", "ANKLE"),
            "TOE": ("KNEE", "ANKLE", "BALL"),
            "BALL": ("KNEE", "ANKLE", "BALL"),
            "SHOULDER": ("SHOULDER",),
            "ELBOW": ("SHOULDER", "ELBOW"),
            "WRIST": ("SHOULDER", "ELBOW", "WRIST"),
            "HAND": ("SHOULDER", "ELBOW", "WRIST"),
        }
        for part, steps in moved.items():
            for name in steps:
                centres[:, Centre[f"{side}_{part}"], 2] += step[side, name]
    centres[:, Centre.HEAD, 2] += step["LEFT", "SHOULDER"]
    return centres


def _about(centres: Array, trunk: Array, angles: AngleTrack, axis: MotionAxis) -> Array:
    flexion = angles.angle_rad[:, AXIS_INDEX[replace(axis, axis=Axis.FLEXION)]] if axis.joint in _BALLS else _NONE
    return rotation_axis(centres, trunk, flexion, axis)


def _friction(body: BodyTrack, force: Array) -> Array:
    """(F, A) spread from horizontal forces, body weight x height."""
    result = np.empty((len(body), len(LIMB_AXES)))
    for column, axis in enumerate(LIMB_AXES):
        contacts = distal_contacts(axis)
        joint = body.centres_m[:, Centre[f"{axis.side}_{axis.joint}".upper()], 1]
        lift = joint[:, None] - body.centres_m[:, [POINTS[c].centre for c in contacts], 1]
        result[:, column] = _FRICTION * np.nansum(force[:, contacts] * np.abs(lift), axis=1) / body.stature_m
    return result


def _lever(masses: Masses, carried: Array, about: Array, trunk: Array) -> Array:
    """(F, A) spread from lever arms that lie in depth, body weight x height.

    Only where the person faces the camera or away from it: in other views the balance of the whole body
    ties the levers down.
    """
    facing = np.abs(np.cross([0.0, 1.0, 0.0], trunk[:, :, 2])[:, 0]) < _FORE_AND_AFT
    along_depth = facing[:, None] * np.abs(about[:, :, 0])  # a vertical force turns about x by its lever in z
    weight = np.array([masses.fraction[distal_segments(axis)].sum() for axis in LIMB_AXES])
    return _DEPTH_LEVER * along_depth * np.maximum(np.nan_to_num(carried), weight)


def _take_off_standing(moment: Array, carried: Array, standing: NDArray[np.bool_]) -> None:
    """Take the load measured in quiet standing off hip and knee flexion, in place."""
    for column, axis in enumerate(LIMB_AXES):
        if axis.joint not in (Joint.HIP, Joint.KNEE) or axis.axis is not Axis.FLEXION:
            continue
        basis = standing & (carried[:, column] > 0.2) & np.isfinite(moment[:, column])
        if np.count_nonzero(basis) < 5:
            continue
        per_weight = np.median(moment[basis, column]) / np.median(carried[basis, column])
        moment[:, column] -= per_weight * np.nan_to_num(carried[:, column])


def column_of(axis: MotionAxis) -> int | None:
    """Column of an axis in a ``Demand``; ``None`` for the trunk."""
    return LIMB_AXES.index(axis) if axis in LIMB_AXES else None
