"""What the load asks of the muscles about each axis, frame by frame, with its uncertainty."""

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from motionlabel.body import AXIS_INDEX, Axis, Centre, Joint, MotionAxis, Segment, Side
from motionlabel.kinematics.known import known_median
from motionlabel.kinematics.rotations import level_forward
from motionlabel.mechanics.masses import Masses, locate_masses, mass_fractions
from motionlabel.mechanics.moments import (
    GRAVITY_M_S2,
    LIMB_AXES,
    distal_contacts,
    distal_segments,
    joint_moment,
    reference_moment,
    rotation_axis,
)
from motionlabel.mechanics.raised import add_raised, sits
from motionlabel.mechanics.shear import Bearing, find_bearings, shear_spread, strut_moment
from motionlabel.mechanics.stated import Carrier, columns_stated
from motionlabel.mechanics.support import (
    OFF_BALANCE,
    SEAT,
    Support,
    contact_places,
    find_contacts,
    share_weight,
    swinging_feet,
)
from motionlabel.movement.quiet import Rest
from motionlabel.pose.smoothing import smooth_points
from motionlabel.records import AngleTrack, Array, BodyTrack

_CUTOFF_HZ = 4.0
"""Cut-off for loads (measured on demo_clips; accelerations from 6 Hz landmarks are mostly noise)."""

_SAMPLES = 8
_SEED = 20_011
_BLOCK = 600
_MARGIN = 4
"""Frames worked on at a time, and beyond their ends."""

_OWN_SHARE = 0.6
"""Neighbouring landmarks err alike; this share of their spread is each one's own (measured on demo_clips)."""

_FOOT_SHARE = 0.4
"""The landmarks of one foot err together; this share is each one's own (measured on demo_clips)."""

_FORE_AND_AFT = 0.5
"""Least part of the forward direction in the picture plane for a balance fore and aft (a view 30 deg off front)."""

_DEPTH_LEVER = 0.03
"""Spread of a lever arm that points at the camera, statures (measured on demo_clips)."""

_THRESHOLD_SHARE = 0.2
_THRESHOLD_CONTACT = 0.01
_FLIGHT = 0.5
"""Share of gravity's acceleration from which a body without contact is falling (own convention)."""

_UPRIGHT = 0.7
"""Cosine of the trunk against the vertical above which the feet are what one stands on (own convention)."""

_FEWEST_STANDING = 5
_PERCENT = 100.0

_BALLS = (Joint.HIP, Joint.SHOULDER)
_FLEXION = {axis: AXIS_INDEX[replace(axis, axis=Axis.FLEXION)] for axis in LIMB_AXES if axis.joint in _BALLS}
"""Columns of the angles that carry the other axes of a ball joint along."""

_COLUMNS = {axis: column for column, axis in enumerate(LIMB_AXES)}
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
    strut
        (F, A) what is added if upright feet push wholly along the line to the mass centre: nobody sees by
        which share they do.
    threshold
        (F, A) moments below this are no load.
    carried
        (F, A) vertical force on the limb beyond the joint, body weights.
    support
        Contacts and their forces.
    """

    moment: Array
    samples: NDArray[np.float32]
    unseen: Array
    strut: Array
    threshold: Array
    carried: Array
    support: Support


def measure_demand(body: BodyTrack, angles: AngleTrack, rest: Rest, carriers: tuple[Carrier, ...] = ()) -> Demand:
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
    carriers
        What carries the body, if the educator states it: that alone, whether or not it balances.

    Returns
    -------
    Demand
    """
    body = replace(body, centres_m=smooth_points(body.time_s, body.centres_m, _CUTOFF_HZ))
    touching = _contacts(body, carriers)
    swinging = swinging_feet(body) & ~touching
    frames, axes = len(body), len(LIMB_AXES)
    random = np.random.default_rng(_SEED)
    draws = [(random.standard_normal((len(Centre), 2)), random.standard_normal(len(Centre))) for _ in range(_SAMPLES)]
    moment, carried, unseen, strut = (np.empty((frames, axes)) for _ in range(4))
    samples = np.empty((_SAMPLES, frames, axes), dtype=np.float32)
    force = np.empty(touching.shape)
    largest_miss = np.inf if carriers else OFF_BALANCE
    for start in range(0, frames, _BLOCK):
        # a few frames more on both sides, for the accelerations
        stop = min(frames, start + _BLOCK)
        wide = slice(max(0, start - _MARGIN), min(frames, stop + _MARGIN))
        inner = slice(start - wide.start, stop - wide.start)
        part = _Part(_cut(body, wide), touching[wide], swinging[wide], angles.angle_rad[wide], largest_miss)
        force[start:stop], moment[start:stop] = (values[inner] for values in part.forces_and_moments())
        others = part.moved(draws).forces_and_moments()[1].reshape(_SAMPLES, -1, axes)
        samples[:, start:stop] = others[:, inner]
        carried[start:stop] = part.carried()[inner]
        unseen[start:stop] = part.unseen()[inner]
        strut[start:stop] = part.strut()[inner]
    _take_off_standing((moment, *samples), carried, rest.standing)
    fraction = mass_fractions()
    reference = np.array([reference_moment(fraction, axis) for axis in LIMB_AXES])
    threshold = _PERCENT * (_THRESHOLD_SHARE * reference + _THRESHOLD_CONTACT * np.nan_to_num(carried))
    return Demand(moment, samples, unseen, strut, threshold, carried, Support(touching, force))


def _contacts(body: BodyTrack, carriers: tuple[Carrier, ...]) -> NDArray[np.bool_]:
    """(F, C) what touches: found on the floor and above it, or what is stated."""
    stated = columns_stated(carriers)
    touching = find_contacts(body, stated)
    if not stated:
        rightward = body.frame_of(Segment.TRUNK)[:, :, 2]
        return add_raised(body, touching, _balance_direction(body, rightward), _end_on(rightward))
    seat = [column for column in stated if column in SEAT]
    touching[:, seat] = sits(body)[:, None]
    return touching


def _cut(body: BodyTrack, span: slice | NDArray[np.intp]) -> BodyTrack:
    tracks = ("time_s", "centres_m", "segment_rotations", "sigma_m", "depth_sigma_m")
    return replace(body, **{name: getattr(body, name)[span] for name in tracks})


@dataclass(frozen=True)
class _Part:
    """A stretch of the clip, so that memory does not grow with its length.

    Attributes
    ----------
    body
        The stretch, low-passed.
    touching
        (F, C) contacts.
    swinging
        (F, C) feet in the air for sure.
    angle_rad
        (F, D) angles.
    largest_miss
        Statures by which the contacts may miss the balance.
    bodies
        So many bodies it holds, the frames of one after those of the other.
    """

    body: BodyTrack
    touching: NDArray[np.bool_]
    swinging: NDArray[np.bool_]
    angle_rad: Array
    largest_miss: float
    bodies: int = 1

    @property
    def trunk(self) -> Array:
        """(F, 3, 3) trunk in levelled frame."""
        return self.body.frame_of(Segment.TRUNK)

    def moved(self, draws: list[tuple[Array, Array]]) -> "_Part":
        """Return other bodies that this picture would allow as well, from standard normal draws."""
        bodies = np.tile(np.arange(len(self.body)), len(draws))
        centres = np.concatenate([_another_body(self.body, *draw) for draw in draws])
        return _Part(
            replace(_cut(self.body, bodies), centres_m=centres),
            self.touching[bodies],
            self.swinging[bodies],
            self.angle_rad[bodies],
            self.largest_miss,
            len(draws),
        )

    @cached_property
    def forward(self) -> Array:
        """(F, 3) direction in which the body's balance is seen."""
        return _balance_direction(self.body, self.trunk[:, :, 2])

    @cached_property
    def masses(self) -> Masses:
        """Where the mass is."""
        return locate_masses(self.body.centres_m, self.body.time_s[: len(self.body) // self.bodies])

    @cached_property
    def places(self) -> Array:
        """(F, C, 3) where each contact meets the ground."""
        return contact_places(self.body.centres_m)

    @cached_property
    def force(self) -> Array:
        """(F, C) vertical contact forces, body weights: they bear the body and push it up, 1 + a/g in all."""
        lift = 1.0 + self.masses.vertical_acceleration() / GRAVITY_M_S2
        shares = share_weight(
            self.touching,
            self.body.centres_m,
            self.masses.body_com_m,
            self.forward,
            self.body.stature_m,
            lift < 1.0 - _FLIGHT,
            self.largest_miss,
        )
        shares[self.swinging] = 0.0
        return shares * np.maximum(lift, 0.0)[:, None]

    @cached_property
    def axes(self) -> dict[MotionAxis, Array]:
        """(F, 3) axis of rotation of each of ``LIMB_AXES``."""
        flexion = {axis: self.angle_rad[:, column] for axis, column in _FLEXION.items()}
        return {
            axis: rotation_axis(self.body.centres_m, self.trunk, flexion.get(axis, _NONE), axis) for axis in LIMB_AXES
        }

    def forces_and_moments(self) -> tuple[Array, Array]:
        """Return (F, C) forces and (F, A) moments in % of body weight x height."""
        moments = np.empty((len(self.body), len(LIMB_AXES)))
        vectors: dict[tuple[Joint, Side], Array] = {}  # flexion and abduction of a joint share theirs
        for column, axis in enumerate(LIMB_AXES):
            joint = axis.joint, axis.side
            if joint not in vectors:
                contacts = distal_contacts(axis)
                free = (np.nan_to_num(self.force[:, contacts], nan=1.0) == 0.0).all(axis=1).astype(float)
                vectors[joint] = joint_moment(self.body.centres_m, self.places, self.masses, self.force, axis, free)
            moments[:, column] = np.einsum("fi,fi->f", vectors[joint], self.axes[axis])
        return self.force, moments * (_PERCENT / self.body.stature_m)

    def carried(self) -> Array:
        """(F, A) vertical force on the limb beyond each joint, body weights."""
        return np.stack([self.force[:, distal_contacts(axis)].sum(axis=1) for axis in LIMB_AXES], axis=1)

    def unseen(self) -> Array:
        """(F, A) spread from horizontal forces and from levers in depth, % of body weight x height."""
        seated = self.touching[:, SEAT].any(axis=1)
        planted = np.stack([seated & self.touching[:, distal_contacts(axis)].any(axis=1) for axis in LIMB_AXES], axis=1)
        return _PERCENT * np.hypot(shear_spread(self.body, self.force, self._bearings, planted), self._lever())

    @cached_property
    def _bearings(self) -> dict[tuple[int, ...], Bearing]:
        """What bears beyond each joint."""
        return find_bearings(self.body, self.force, self.masses.body_com_m, self.forward)

    def strut(self) -> Array:
        """(F, A) what the feet's push along the line to the mass centre would add, % of body weight x height."""
        upright = self.trunk[:, 1, 1] > _UPRIGHT
        return _PERCENT * upright[:, None] * strut_moment(self.body, self.forward, self._bearings, self.axes)

    def _lever(self) -> Array:
        """Only where the person faces the camera or away from it: elsewhere the balance ties the levers down."""
        facing = _end_on(self.trunk[:, :, 2])
        # a vertical force turns about x by its lever in z
        along_depth = facing[:, None] * np.abs(np.stack([self.axes[axis][:, 0] for axis in LIMB_AXES], axis=1))
        weight = np.array([self.masses.fraction[distal_segments(axis)].sum() for axis in LIMB_AXES])
        return _DEPTH_LEVER * along_depth * np.maximum(np.nan_to_num(self.carried()), weight)


def _end_on(rightward: Array) -> NDArray[np.bool_]:
    """(F,) whether the person faces the camera or turns the back to it."""
    return np.asarray(np.abs(level_forward(rightward)[:, 0]) < _FORE_AND_AFT)


def _balance_direction(body: BodyTrack, rightward: Array) -> Array:
    """Horizontal direction in which the balance of the body is seen well: fore and aft, or else across."""
    forward = level_forward(rightward)
    lying_on_side = np.linalg.norm(forward, axis=1) < 0.5
    trunk = body.frame_of(Segment.TRUNK)[:, :, 1] * np.array([1.0, 0.0, 1.0])
    forward = np.where(lying_on_side[:, None], trunk, forward)
    length = np.linalg.norm(forward, axis=1, keepdims=True)
    forward = np.where(length > 1e-6, forward / np.maximum(length, 1e-6), [1.0, 0.0, 0.0])
    return np.where((np.abs(forward[:, 0]) < _FORE_AND_AFT)[:, None], np.array([1.0, 0.0, 0.0]), forward)


# the links whose depth errors move a joint centre, from the mid-hip outwards
_LINKS = {
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


def _another_body(body: BodyTrack, picture: Array, depth: Array) -> Array:
    """(F, J, 3) joint centres moved by offsets that the picture and the depth leave open.

    The offsets keep their sign over the clip: landmarks err alike from frame to frame.
    """
    centres = body.centres_m.copy()
    offset = _OWN_SHARE * np.nan_to_num(body.sigma_m, nan=0.0)[:, :, None] * picture
    variance = np.nan_to_num(body.depth_sigma_m, nan=0.0) ** 2
    trunk = np.sqrt(variance[:, Centre.LEFT_SHOULDER]) * depth[Centre.LEFT_SHOULDER]
    centres[:, Centre.HEAD, 2] += trunk
    for side in ("LEFT", "RIGHT"):
        ankle, toe, ball = (Centre[f"{side}_{part}"] for part in ("ANKLE", "TOE", "BALL"))
        offset[:, ball] = offset[:, toe]
        for part in ("HEEL", "TOE", "BALL"):
            point = Centre[f"{side}_{part}"]
            offset[:, point] = offset[:, ankle] + _FOOT_SHARE * offset[:, point]
        step = {"SHOULDER": trunk}  # both shoulders move with the trunk
        for chain in (("HIP", "KNEE", "ANKLE", "BALL"), ("SHOULDER", "ELBOW", "WRIST")):
            for near, far in pairwise(chain):
                this, before = Centre[f"{side}_{far}"], Centre[f"{side}_{near}"]
                own = np.sqrt(np.maximum(variance[:, this] - variance[:, before], 0.0))
                step[far] = own * depth[this]
        for part, links in _LINKS.items():
            for link in links:
                centres[:, Centre[f"{side}_{part}"], 2] += step[link]
    centres[:, :, :2] += offset
    return centres


def _take_off_standing(moments: tuple[Array, ...], carried: Array, standing: NDArray[np.bool_]) -> None:
    """Take the load that each body shows in quiet standing off its hip and knee flexion, in place."""
    for column, axis in enumerate(LIMB_AXES):
        if axis.joint not in (Joint.HIP, Joint.KNEE) or axis.axis is not Axis.FLEXION:
            continue
        weight = np.nan_to_num(carried[:, column])
        upright = np.flatnonzero(standing & (weight > 0.2))
        for moment in moments:
            basis = upright[np.isfinite(moment[upright, column])]
            if len(basis) >= _FEWEST_STANDING:
                moment[:, column] -= known_median(moment[basis, column]) / known_median(weight[basis]) * weight


def column_of(axis: MotionAxis) -> int | None:
    """Column of an axis in a ``Demand``; ``None`` for the trunk."""
    return _COLUMNS.get(axis)
