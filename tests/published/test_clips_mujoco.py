"""The demo clips' true joint centres through MuJoCo: the moment asks for the group that the truth names.

Every limb is a chain of its own in MuJoCo: its root is led along the true hip or shoulder, ball joints turn the
segments, whose masses, mass centres and radii of gyration are de Leva's. Ground forces are those that this project
finds; inertia counts in full. Nothing of `mechanics.moments` takes part, except the direction of an axis.
*Source*: MuJoCo documentation, "Computation / Inverse dynamics".
"""

from dataclasses import dataclass
from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from scipy.interpolate import CubicSpline
from scipy.spatial.transform import Rotation

from motionlabel.body import AXIS_INDEX, Axis, Centre, Joint, MotionAxis, Segment, Side
from motionlabel.kinematics import measure_angles
from motionlabel.mechanics.demand import Demand, column_of, measure_demand
from motionlabel.mechanics.moments import GRAVITY_M_S2, rotation_axis
from motionlabel.mechanics.segments import parameters
from motionlabel.mechanics.support import POINTS, contact_places
from motionlabel.movement import find_rest
from motionlabel.pose.smoothing import smooth_values
from motionlabel.records import BodyTrack
from tests.truth_clips import AXIS_OF_GROUP, ON_THE_FLOOR, UPRIGHT, scored, true_body

mujoco = pytest.importorskip("mujoco")

CUTOFF_HZ = 4.0
STEP_S = 1e-3
THIN = 1e-3  # spin about a segment's own long axis, which joint centres do not show
FIVE_PERCENT = 0.05
FLOOR = 0.05  # % of body weight x height

LIMBS = {
    "LEG": (("THIGH", "HIP", "KNEE"), ("SHANK", "KNEE", "ANKLE"), ("FOOT", "HEEL", "TOE")),
    "ARM": (("UPPER_ARM", "SHOULDER", "ELBOW"), ("FOREARM", "ELBOW", "WRIST"), ("HAND", "WRIST", "HAND")),
}
JOINTS = {
    Joint.HIP: "THIGH",
    Joint.KNEE: "SHANK",
    Joint.ANKLE: "FOOT",
    Joint.SHOULDER: "UPPER_ARM",
    Joint.ELBOW: "FOREARM",
}
CARRIERS = {"heel": "FOOT", "forefoot": "FOOT", "knee": "SHANK", "hand": "HAND", "elbow": "UPPER_ARM"}


@dataclass(frozen=True)
class Limb:
    """A limb of MuJoCo: its model, and joint positions just before, at and just after each frame."""

    side: str
    model: "mujoco.MjModel"
    parts: tuple[str, ...]
    qpos: tuple[np.ndarray, np.ndarray, np.ndarray]


def _frames_along(direction: np.ndarray) -> Rotation:
    """Turn without twist: the last axis (y) follows the (F, 3) direction."""
    turns = [Rotation.align_vectors(direction[:1], [[0.0, 1.0, 0.0]])[0]]
    for before, after in pairwise(direction):
        axis = np.cross(before, after)
        sine = np.linalg.norm(axis)
        turn = axis / max(sine, 1e-12) * np.arctan2(sine, before @ after)
        turns.append(Rotation.from_rotvec(turn) * turns[-1])
    return Rotation.concatenate(turns)


def _foot_frames(heel: np.ndarray, toe: np.ndarray, ankle: np.ndarray) -> Rotation:
    along = heel - toe
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    across = np.cross(along, ankle - heel)
    across /= np.linalg.norm(across, axis=1, keepdims=True)
    return Rotation.from_matrix(np.stack([np.cross(along, across), along, across], axis=2))


def _limb(body: BodyTrack, side: str, name: str) -> Limb:
    """Build the model of a limb from its median lengths and lead it along the true joint centres."""
    at = [np.clip(body.time_s + shift, 0.0, body.time_s[-1]) for shift in (-STEP_S, 0.0, STEP_S)]
    path = CubicSpline(body.time_s, body.centres_m)
    fine = np.concatenate([path(times) for times in at])
    order = np.argsort(np.concatenate(at), kind="stable")
    back = np.argsort(order)
    point = {part: fine[order][:, Centre[f"{side}_{part}"]] for _, *ends in LIMBS[name] for part in ends}
    if name == "LEG":
        point["ANKLE"] = fine[order][:, Centre[f"{side}_ANKLE"]]

    spec = mujoco.MjSpec()
    spec.option.gravity = [0.0, -GRAVITY_M_S2, 0.0]
    parent = spec.worldbody.add_body(name="ROOT", explicitinertial=True, mass=1e-9)
    parent.inertia = np.full(3, 1e-12)
    for k in range(3):
        parent.add_joint(type=mujoco.mjtJoint.mjJNT_SLIDE, axis=np.eye(3)[k])
    qpos = [point[LIMBS[name][0][1]]]
    above, place = Rotation.identity(), qpos[0]
    for part, start, end in LIMBS[name]:
        values = parameters(Segment[f"{side}_{part}"])
        joint = point["ANKLE"] if part == "FOOT" else point[start]
        line = point[end] - point[start]
        length = float(np.median(np.linalg.norm(line, axis=1)))
        if part == "FOOT":
            world = _foot_frames(point["HEEL"], point["TOE"], point["ANKLE"])
        else:
            world = _frames_along(-line / np.linalg.norm(line, axis=1, keepdims=True))
        com = np.median(world.inv().apply(point[start] + values.com_fraction * line - joint), axis=0)
        limb = parent.add_body(name=part, explicitinertial=True, mass=values.mass_fraction)
        limb.pos = np.median(above.inv().apply(joint - place), axis=0)
        limb.ipos = com
        across = values.mass_fraction * (values.radius_fraction * length) ** 2
        limb.inertia = [across, values.mass_fraction * (THIN * length) ** 2, across]
        limb.add_joint(type=mujoco.mjtJoint.mjJNT_BALL, name=part)
        qpos.append((above.inv() * world).as_quat(scalar_first=True))
        above, place, parent = world, joint, limb
    table = np.concatenate(qpos, axis=1)[back]
    before, now, after = np.split(table, 3)
    return Limb(side, spec.compile(), tuple(part for part, *_ in LIMBS[name]), (before, now, after))


def _moments(limb: Limb, body: BodyTrack, force: np.ndarray) -> dict[str, np.ndarray]:
    """Return for each segment the (F, 3) moment of its near joint, % of body weight x height, levelled frame."""
    data, model = mujoco.MjData(limb.model), limb.model
    places = contact_places(body.centres_m)
    result = {part: np.zeros((len(body), 3)) for part in limb.parts}
    past, future = np.zeros(model.nv), np.zeros(model.nv)
    for frame in range(len(body)):
        before, now, after = (np.ascontiguousarray(table[frame]) for table in limb.qpos)
        mujoco.mj_differentiatePos(model, past, STEP_S, before, now)
        mujoco.mj_differentiatePos(model, future, STEP_S, now, after)
        data.qpos[:], data.qvel[:], data.qacc[:] = now, 0.5 * (past + future), (future - past) / STEP_S
        mujoco.mj_inverse(model, data)
        needed = data.qfrc_inverse.copy()
        for column, point in enumerate(POINTS):
            side, part = point.name.split(" ")
            if side.upper() != limb.side or CARRIERS.get(part) not in limb.parts or not force[frame, column]:
                continue
            given = np.zeros(model.nv)
            push = np.array([0.0, force[frame, column] * GRAVITY_M_S2, 0.0])
            bone = model.body(CARRIERS[part]).id
            mujoco.mj_applyFT(model, data, push, np.zeros(3), places[frame, column], bone, given)
            needed -= given
        for part in limb.parts:
            address = model.jnt_dofadr[model.joint(part).id]
            turned = data.xmat[model.body(part).id].reshape(3, 3)
            result[part][frame] = turned @ needed[address : address + 3]
    return {part: 100.0 * moment / (GRAVITY_M_S2 * body.stature_m) for part, moment in result.items()}


@dataclass(frozen=True)
class Clip:
    """A clip with the demand of this project and the moments of MuJoCo about the same axes."""

    demand: Demand
    theirs: dict[MotionAxis, np.ndarray]


@cache
def clip_of(name: str) -> Clip:
    body = true_body(name)
    angles = measure_angles(body)
    demand = measure_demand(body, angles, find_rest(angles, body))
    smooth = np.stack(
        [smooth_values(body.time_s, body.centres_m[:, centre], CUTOFF_HZ) for centre in range(len(Centre))], axis=1
    )
    calm = BodyTrack(
        body.time_s, smooth, body.segment_rotations, body.sigma_m, body.depth_sigma_m, body.stature_m, body.camera
    )
    trunk = calm.frame_of(Segment.TRUNK)
    theirs = {}
    for side in (Side.LEFT, Side.RIGHT):
        for limb in LIMBS:
            moments = _moments(_limb(calm, side.upper(), limb), calm, np.nan_to_num(demand.support.force))
            for joint, part in JOINTS.items():
                for axis in (
                    MotionAxis(joint, side, kind) for kind in (Axis.FLEXION, Axis.ABDUCTION, Axis.DORSIFLEXION)
                ):
                    if part in moments and column_of(axis) is not None:
                        flexion = MotionAxis(joint, side, Axis.FLEXION)
                        bend = angles.angle_rad[:, AXIS_INDEX[flexion]] if flexion in AXIS_INDEX else np.zeros(0)
                        theirs[axis] = (moments[part] * rotation_axis(calm.centres_m, trunk, bend, axis)).sum(axis=1)
    return Clip(demand, theirs)


def _axis_of(action: dict) -> MotionAxis:
    kind = next(kind for kind in AXIS_OF_GROUP if action["group"].endswith(f" {kind}"))
    return MotionAxis(Joint(action["joint"]), Side(action["side"]), AXIS_OF_GROUP[kind])


@pytest.mark.parametrize("name", UPRIGHT + ON_THE_FLOOR)
def test_the_moment_of_every_phase_asks_for_the_group_of_the_truth(name):
    clip = clip_of(name)
    for action, frames in scored(name):
        axis = _axis_of(action)
        good = {action["group"]} | {group for group, _ in action.get("also", ())}
        moment = float(np.mean(clip.theirs[axis][frames.start : frames.stop]))
        assert str(axis.group(moment)) in good, f"{axis.name} in frames {frames}: {moment:.2f}"


@pytest.mark.parametrize("name", UPRIGHT + ON_THE_FLOOR)
def test_demand_of_limbs_that_carry_nothing_is_that_of_mujoco(name):
    """Within 5 % of the joint's peak; limbs that carry are left out, since their inertia is."""
    clip = clip_of(name)
    compared = 0
    for axis, theirs in clip.theirs.items():
        column = column_of(axis)
        free = clip.demand.carried[:, column] == 0.0
        free[:6] = free[-6:] = False  # differences are one-sided at the ends
        if free.sum() < 10:
            continue
        compared += 1
        limit = max(FIVE_PERCENT * np.abs(theirs).max(), FLOOR)
        assert np.percentile(np.abs(clip.demand.moment[free, column] - theirs[free]), 95) < limit, axis.name
    assert compared
