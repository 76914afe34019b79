"""Joint moments against the inverse dynamics of MuJoCo.

MuJoCo gets a body of its own: trunk with a free joint, head, and four limbs with a ball joint at every
joint, built from the same masses, mass centres and radii of gyration (de Leva 1996). The generalised
force of a ball joint is the moment vector that the near segment must put on the far one. Velocities and
accelerations come from MuJoCo's own differences of the joint positions at 960 frames a second.
*Source*: MuJoCo documentation, "Computation / Inverse dynamics"; the package is a test dependency.
"""

from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.interpolate import CubicSpline
from scipy.spatial.transform import Rotation

from motionlabel.body import Axis, Centre, Joint, MotionAxis, Segment, Side
from motionlabel.mechanics.masses import locate_masses
from motionlabel.mechanics.moments import GRAVITY_M_S2, distal_contacts, joint_moment
from motionlabel.mechanics.segments import parameters
from motionlabel.mechanics.support import POINTS, contact_places, share_weight

mujoco = pytest.importorskip("mujoco")

FEW = settings(max_examples=8, deadline=None, derandomize=True, phases=[Phase.explicit, Phase.generate])
STATURE_M = 1.70
FINE_FPS = 960
FINER = 8  # MuJoCo's frames for each of ours
ONE_PERCENT, FIVE_PERCENT = 0.01, 0.05
FLOOR = 0.0005  # 0.05 % of body weight x height

OFF_BALANCE = 0.06
"""Share of stature by which ``share_weight`` lets the balance miss, since left and right should share alike."""

HALF_HIPS, HALF_SHOULDERS, TRUNK, HEAD = 0.055, 0.105, 0.288, 0.12
THIN = 1e-3  # spin about a segment's own long axis, which joint centres do not show
LONG_RADIUS = {"THIGH": 0.155, "SHANK": 0.097, "FOOT": 0.131, "UPPER_ARM": 0.153, "FOREARM": 0.107, "HAND": 0.368}
"""Radius of gyration about the long axis, fraction of length: de Leva 1996, table 4, mean of both sexes."""


@dataclass(frozen=True)
class Part:
    """A segment of the chain: what it hangs from, and its points in its own frame (forward, up, right)."""

    segment: Segment
    parent: Segment
    hangs_at: tuple[float, float, float]
    start: tuple[float, float, float]
    end: tuple[float, float, float]


def _parts() -> list[Part]:
    parts = []
    for side, out in (("LEFT", -1.0), ("RIGHT", 1.0)):
        thigh, shank, foot = (Segment[f"{side}_{name}"] for name in ("THIGH", "SHANK", "FOOT"))
        upper_arm, forearm, hand = (Segment[f"{side}_{name}"] for name in ("UPPER_ARM", "FOREARM", "HAND"))
        hip, shoulder = (0.0, 0.0, out * HALF_HIPS), (0.0, TRUNK, out * HALF_SHOULDERS)
        origin = (0.0, 0.0, 0.0)
        parts += [
            Part(thigh, Segment.TRUNK, hip, origin, (0.0, -0.245, 0.0)),
            Part(shank, thigh, (0.0, -0.245, 0.0), origin, (0.0, -0.246, 0.0)),
            Part(foot, shank, (0.0, -0.246, 0.0), (-0.035, -0.039, 0.0), (0.110, -0.039, 0.0)),
            Part(upper_arm, Segment.TRUNK, shoulder, origin, (0.0, -0.186, 0.0)),
            Part(forearm, upper_arm, (0.0, -0.186, 0.0), origin, (0.0, -0.146, 0.0)),
            Part(hand, forearm, (0.0, -0.146, 0.0), origin, (0.0, -0.060, 0.0)),
        ]
    return parts


PARTS = _parts()
JOINT_OF = {
    (Joint.HIP, "THIGH"),
    (Joint.KNEE, "SHANK"),
    (Joint.ANKLE, "FOOT"),
    (Joint.SHOULDER, "UPPER_ARM"),
    (Joint.ELBOW, "FOREARM"),
}
AXES = [
    (MotionAxis(joint, side, Axis.FLEXION), Segment[f"{side}_{part}".upper()])
    for joint, part in sorted(JOINT_OF)
    for side in (Side.LEFT, Side.RIGHT)
]
each_axis = pytest.mark.parametrize(("axis", "segment"), AXES, ids=[axis.name for axis, _ in AXES])


def _model(long_radius: dict[str, float], mass_kg: float = 1.0, stature_m: float = STATURE_M) -> mujoco.MjModel:
    """Whole body; ``long_radius`` gives the spin about each long axis, thin where missing."""
    spec = mujoco.MjSpec()
    spec.option.gravity = [0.0, -GRAVITY_M_S2, 0.0]
    values = parameters(Segment.TRUNK)
    trunk = spec.worldbody.add_body(name="TRUNK", explicitinertial=True, mass=mass_kg * values.mass_fraction)
    trunk.ipos = [0.0, (1.0 - values.com_fraction) * TRUNK * stature_m, 0.0]
    trunk.inertia = np.full(3, mass_kg * values.mass_fraction * (0.3 * TRUNK * stature_m) ** 2)
    trunk.add_freejoint()
    head = trunk.add_body(name="HEAD", explicitinertial=True, mass=mass_kg * parameters(Segment.HEAD).mass_fraction)
    head.ipos = [0.0, (TRUNK + HEAD) * stature_m, 0.0]
    head.inertia = np.full(3, 1e-3)
    bodies = {Segment.TRUNK: trunk}
    for part in PARTS:
        values = parameters(part.segment)
        start, end = np.array(part.start) * stature_m, np.array(part.end) * stature_m
        length = np.linalg.norm(end - start)
        kind = part.segment.name.split("_", 1)[1]
        across = mass_kg * values.mass_fraction * (values.radius_fraction * length) ** 2
        along = mass_kg * values.mass_fraction * (long_radius.get(kind, THIN) * length) ** 2
        lies_forward = abs((end - start)[0]) > abs((end - start)[1])
        body = bodies[part.parent].add_body(
            name=part.segment.name, explicitinertial=True, mass=mass_kg * values.mass_fraction
        )
        body.pos = np.array(part.hangs_at) * stature_m
        body.ipos = start + values.com_fraction * (end - start)
        body.inertia = [along, across, across] if lies_forward else [across, along, across]
        body.add_joint(type=mujoco.mjtJoint.mjJNT_BALL, name=part.segment.name)
        bodies[part.segment] = body
    return spec.compile()


@dataclass(frozen=True)
class Movement:
    """A movement at ``FINE_FPS``: joint positions of MuJoCo and the joint centres that belong to them."""

    time_s: np.ndarray
    qpos: np.ndarray
    centres_m: np.ndarray


def _movement(random: np.random.Generator, seconds: float, knots_hz: float, reach: float, sway: float) -> Movement:
    """Random smooth movement: splines through random turns of every segment against its parent.

    ``reach`` is the spread of those turns in radians, ``sway`` that of the trunk's path in metres.
    """
    time_s = np.arange(round(seconds * FINE_FPS)) / FINE_FPS
    knots = np.arange(-2.0, seconds * knots_hz + 3.0) / knots_hz

    def spline(spread: float, size: int) -> np.ndarray:
        return CubicSpline(knots, spread * random.standard_normal((len(knots), size)))(time_s)

    world = {Segment.TRUNK: Rotation.from_rotvec(spline(0.3 * reach, 3))}
    origin = {Segment.TRUNK: spline(sway, 3)}
    qpos = [origin[Segment.TRUNK], world[Segment.TRUNK].as_quat(scalar_first=True)]
    ends: dict[Segment, tuple[np.ndarray, np.ndarray]] = {}
    for part in PARTS:
        local = Rotation.from_rotvec(reach * random.standard_normal(3) + spline(reach, 3))
        parent = world[part.parent]
        world[part.segment] = parent * local
        place = origin[part.parent] + parent.apply(np.array(part.hangs_at) * STATURE_M)
        origin[part.segment] = place
        ends[part.segment] = tuple(
            place + world[part.segment].apply(np.array(point) * STATURE_M) for point in (part.start, part.end)
        )
        qpos.append(local.as_quat(scalar_first=True))
    return Movement(time_s, np.concatenate(qpos, axis=1), _centres(origin, world, ends))


def _centres(origin: dict, world: dict, ends: dict) -> np.ndarray:
    centres = np.full((len(origin[Segment.TRUNK]), len(Centre), 3), np.nan)
    trunk = origin[Segment.TRUNK]
    centres[:, Centre.HEAD] = trunk + world[Segment.TRUNK].apply([0.0, (TRUNK + HEAD) * STATURE_M, 0.0])
    for side in ("LEFT", "RIGHT"):
        for segment, point in (
            ("THIGH", "HIP"),
            ("SHANK", "KNEE"),
            ("FOOT", "ANKLE"),
            ("UPPER_ARM", "SHOULDER"),
            ("FOREARM", "ELBOW"),
            ("HAND", "WRIST"),
        ):
            centres[:, Centre[f"{side}_{point}"]] = origin[Segment[f"{side}_{segment}"]]
        heel, toe = ends[Segment[f"{side}_FOOT"]]
        centres[:, Centre[f"{side}_HEEL"]], centres[:, Centre[f"{side}_TOE"]] = heel, toe
        centres[:, Centre[f"{side}_BALL"]] = heel + 0.72 * (toe - heel)
        centres[:, Centre[f"{side}_HAND"]] = ends[Segment[f"{side}_HAND"]][1]
    return centres


def _mujoco_moments(
    model: mujoco.MjModel,
    movement: Movement,
    force: np.ndarray,
    frames: np.ndarray,
    moving: bool,
    mass_kg: float = 1.0,
    stature_m: float = STATURE_M,
) -> tuple[dict[Segment, np.ndarray], np.ndarray]:
    """Return moments in the levelled frame, body weight x height, and the force and moment missing at the root.

    ``force`` (F, C) are vertical contact forces in body weights at ``contact_places``.
    """
    data = mujoco.MjData(model)
    step = 1.0 / FINE_FPS
    places = contact_places(movement.centres_m)
    segments = [part.segment for part in PARTS]
    result = {segment: np.empty((len(frames), 3)) for segment in segments}
    root = np.empty((len(frames), 6))
    before, after = np.zeros(model.nv), np.zeros(model.nv)
    for row, frame in enumerate(frames):
        velocity, acceleration = np.zeros(model.nv), np.zeros(model.nv)
        if moving:
            past, now, future = (np.ascontiguousarray(movement.qpos[frame + k]) for k in (-1, 0, 1))
            mujoco.mj_differentiatePos(model, before, step, past, now)
            mujoco.mj_differentiatePos(model, after, step, now, future)
            velocity, acceleration = 0.5 * (before + after), (after - before) / step
        data.qpos[:], data.qvel[:], data.qacc[:] = movement.qpos[frame], velocity, acceleration
        mujoco.mj_inverse(model, data)
        needed = data.qfrc_inverse.copy()
        for column in np.flatnonzero(force[frame]):
            push = np.array([0.0, mass_kg * force[frame, column] * GRAVITY_M_S2, 0.0])
            given = np.zeros(model.nv)
            body = model.body(_carrier(column).name).id
            mujoco.mj_applyFT(model, data, push, np.zeros(3), places[frame, column], body, given)
            needed -= given
        root[row] = needed[:6] / (mass_kg * GRAVITY_M_S2)
        for segment in segments:
            address = model.jnt_dofadr[model.joint(segment.name).id]
            turned = data.xmat[model.body(segment.name).id].reshape(3, 3)
            result[segment][row] = turned @ needed[address : address + 3] / (mass_kg * GRAVITY_M_S2 * stature_m)
    return result, root


def _carrier(column: int) -> Segment:
    """Segment that a contact presses on."""
    side, part = POINTS[column].name.split(" ")
    names = {"heel": "FOOT", "forefoot": "FOOT", "knee": "SHANK", "hand": "HAND", "elbow": "UPPER_ARM"}
    return Segment[f"{side}_{names[part]}".upper()] if part in names else Segment.TRUNK


def _own_moments(movement: Movement, force: np.ndarray, frames: np.ndarray, moving: bool) -> dict:
    """Moments of ``joint_moment`` at every ``FINER``-th frame, body weight x height, for ``frames``."""
    coarse = slice(None, None, FINER)
    centres, time_s = movement.centres_m[coarse], movement.time_s[coarse]
    masses, places = locate_masses(centres, time_s), contact_places(centres)
    inertial = np.full(len(time_s), float(moving))
    return {
        segment: joint_moment(centres, places, masses, force[coarse], axis, inertial)[frames // FINER] / STATURE_M
        for axis, segment in AXES
    }


def _pushes(random: np.random.Generator, movement: Movement) -> np.ndarray:
    """Smooth known forces under feet, knees, hands and elbows, now and then none."""
    force = np.zeros((len(movement.time_s), len(POINTS)))
    knots = np.linspace(-0.5, movement.time_s[-1] + 0.5, 8)
    for column, point in enumerate(POINTS):
        if point.name.split(" ")[1] in ("heel", "forefoot", "hand", "knee", "elbow"):
            values = CubicSpline(knots, random.uniform(-0.2, 0.5, len(knots)))(movement.time_s)
            force[:, column] = np.maximum(values, 0.0)
    return force


def _frames(movement: Movement, count: int) -> np.ndarray:
    """Frames to compare, away from the ends, where differences are one-sided."""
    last = len(movement.time_s) // FINER - 4
    return np.unique(np.linspace(3, last, count).round().astype(int)) * FINER


def _assert_close(own: np.ndarray, theirs: np.ndarray, share: float) -> None:
    peak = np.linalg.norm(theirs, axis=1).max()
    assert peak > FLOOR  # else nothing is compared
    assert_allclose(own, theirs, rtol=0.0, atol=share * peak)


@pytest.fixture(scope="module")
def cases():
    """Moments of both for a static, a moving, and a pushed body (thin segments: what the formula claims)."""
    random = np.random.default_rng(20)
    model = _model({})
    result = {}
    for name, moving, pushed in (
        ("gravity", False, False),
        ("moving", True, False),
        ("pushed", False, True),
        ("moving and pushed", True, True),
    ):
        movement = _movement(random, seconds=4.0, knots_hz=1.0, reach=0.5, sway=0.2)
        force = _pushes(random, movement) if pushed else np.zeros((len(movement.time_s), len(POINTS)))
        frames = _frames(movement, 120)
        theirs, _ = _mujoco_moments(model, movement, force, frames, moving)
        without_inertia = _own_moments(movement, force, frames, moving=False)
        result[name] = _own_moments(movement, force, frames, moving), theirs, without_inertia
    return result


@pytest.mark.parametrize("case", ["gravity", "moving", "pushed", "moving and pushed"])
@each_axis
def test_moments_are_within_one_percent_of_mujoco(cases, case, axis, segment):
    own, theirs, _ = cases[case]
    _assert_close(own[segment], theirs[segment], ONE_PERCENT)


@each_axis
def test_inertia_matters_in_the_moving_case(cases, axis, segment):
    """The moving case is fast enough that leaving inertia out would be seen."""
    _, theirs, without_inertia = cases["moving"]
    missing = np.abs(without_inertia[segment] - theirs[segment]).max()
    assert missing > 5 * ONE_PERCENT * np.linalg.norm(theirs[segment], axis=1).max()


@pytest.mark.parametrize("pushed", [False, True], ids=["in the air", "pushed"])
@pytest.mark.parametrize("seed", range(4))
def test_whole_body_movement_with_full_inertia(seed, pushed):
    """Segments that also spin about their long axis, which joint centres cannot show: 5 % of the peak."""
    random = np.random.default_rng(100 + seed)
    movement = _movement(random, seconds=3.0, knots_hz=1.0 + 0.25 * seed, reach=0.5, sway=0.3)
    force = _pushes(random, movement) if pushed else np.zeros((len(movement.time_s), len(POINTS)))
    frames = _frames(movement, 60)
    theirs, _ = _mujoco_moments(_model(LONG_RADIUS), movement, force, frames, moving=True)
    own = _own_moments(movement, force, frames, moving=True)
    for axis, segment in AXES:
        peak = np.linalg.norm(theirs[segment], axis=1).max()
        limit = max(FIVE_PERCENT * peak, FLOOR)
        assert_allclose(own[segment], theirs[segment], rtol=0.0, atol=limit, err_msg=axis.name)


@FEW
@given(mass_kg=st.floats(40.0, 130.0), stature_m=st.floats(1.4, 2.05), seed=st.integers(0, 99))
def test_mass_and_height_do_not_matter(mass_kg, stature_m, seed):
    """MuJoCo's body has any mass and height; ours has neither, and the same moments in % of weight x height."""
    random = np.random.default_rng(seed)
    movement = _movement(random, seconds=1.0, knots_hz=1.0, reach=0.5, sway=0.2)
    force, frames = _pushes(random, movement), _frames(movement, 12)
    own = _own_moments(movement, force, frames, moving=False)
    scale = stature_m / STATURE_M
    larger = Movement(movement.time_s, movement.qpos.copy(), scale * movement.centres_m)
    larger.qpos[:, :3] *= scale
    model = _model({}, mass_kg, stature_m)
    theirs, _ = _mujoco_moments(model, larger, force, frames, False, mass_kg, stature_m)
    for axis, segment in AXES:
        limit = max(ONE_PERCENT * np.linalg.norm(theirs[segment], axis=1).max(), 0.1 * FLOOR)
        assert_allclose(own[segment], theirs[segment], rtol=0.0, atol=limit, err_msg=axis.name)


def test_contact_forces_carry_the_whole_body():
    """Static body on its hands and feet: MuJoCo needs no further force, and little fore-and-aft moment."""
    random = np.random.default_rng(3)
    movement = _movement(random, seconds=2.0, knots_hz=1.0, reach=0.4, sway=0.2)
    masses = locate_masses(movement.centres_m, movement.time_s)
    names = [point.name for point in POINTS]
    touching = np.zeros((len(movement.time_s), len(POINTS)), dtype=bool)
    for name in ("left heel", "left forefoot", "right heel", "right forefoot", "left hand", "right hand"):
        touching[:, names.index(name)] = True
    forward = np.tile([1.0, 0.0, 0.0], (len(movement.time_s), 1))
    standing = np.zeros(len(touching), dtype=bool)
    force = share_weight(touching, movement.centres_m, masses.body_com_m, forward, STATURE_M, standing)
    places = contact_places(movement.centres_m)[:, touching[0], 0] - masses.body_com_m[:, :1]
    spanned = (places.min(axis=1) < -0.05) & (places.max(axis=1) > 0.05)
    frames = np.flatnonzero(spanned)[:: FINER * 4]
    assert len(frames) > 20
    assert np.isfinite(force[frames]).all()
    _, root = _mujoco_moments(_model({}), movement, np.nan_to_num(force), frames, moving=False)
    assert_allclose(force[frames].sum(axis=1), 1.0, atol=1e-9)
    assert_allclose(root[:, 1], 0.0, atol=1e-4)  # body weights; de Leva's mean masses add up to 0.99995
    # the moment at the trunk's origin, with the force there near zero, is that about any point
    assert_allclose(root[:, 5], 0.0, atol=OFF_BALANCE * STATURE_M)


def test_only_contacts_beyond_the_joint_count():
    wanted = {"left heel", "left forefoot"}
    knee = MotionAxis(Joint.KNEE, Side.LEFT, Axis.FLEXION)
    assert {POINTS[column].name for column in distal_contacts(knee)} == wanted
