"""Properties that the demand of any movement must have."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.interpolate import CubicSpline

from motionlabel.body import Axis, Centre, Joint, Motion, MotionAxis, Side, WorkingGroup
from motionlabel.kinematics import levelled_body, measure_angles
from motionlabel.kinematics.gravity import turned
from motionlabel.mechanics import muscle_work
from motionlabel.mechanics.demand import Demand, column_of, measure_demand
from motionlabel.mechanics.masses import locate_masses
from motionlabel.mechanics.moments import GRAVITY_M_S2, LIMB_AXES
from motionlabel.movement import find_phases, find_rest
from motionlabel.pose.smoothing import smooth_values
from motionlabel.records import BodyTrack
from tests.synthetic_body import SIZE, body_of, clock, facts_of, landmarks_of, posed_body, ramp, squat

# shrinking would take minutes
FEW = settings(max_examples=6, deadline=None, derandomize=True, phases=[Phase.explicit, Phase.generate])
KEYS = [(0.5, 0.0), (2.0, 1.0), (2.3, 1.0), (3.8, 0.0)]

postures = st.fixed_dictionaries(
    {
        "knee_flexion": st.floats(0.0, 110.0),
        "left_hip_flexion": st.floats(-10.0, 90.0),
        "right_hip_flexion": st.floats(-10.0, 90.0),
        "left_hip_abduction": st.floats(0.0, 30.0),
        "left_shoulder_flexion": st.floats(-20.0, 150.0),
        "right_shoulder_abduction": st.floats(0.0, 80.0),
        "right_elbow_flexion": st.floats(0.0, 130.0),
    }
)


def _demand(body: BodyTrack) -> Demand:
    angles = measure_angles(body)
    return measure_demand(body, angles, find_rest(angles, body))


def _posed(posture: dict[str, float], time_s: np.ndarray, stature_m: float = 1.7) -> BodyTrack:
    """Movement into a posture and back, on the left foot, with a lean that follows the hip."""
    share = ramp(time_s * 4.2 / (time_s[-1] + time_s[1]), KEYS)
    degrees = {name: value * share for name, value in posture.items()}
    lean = 0.3 * posture["right_hip_flexion"] * share
    return posed_body(time_s, degrees, lean=lean, fixed=Centre.LEFT_HEEL, stature_m=stature_m)


def _mirrored(body: BodyTrack) -> BodyTrack:
    """The same movement with left and right exchanged, seen in a mirror: facing the other way."""
    other = [
        Centre[centre.name.replace("LEFT", "*").replace("RIGHT", "LEFT").replace("*", "RIGHT")] for centre in Centre
    ]
    return body_of(body.time_s, body.centres_m[:, other] * [-1.0, 1.0, 1.0], stature_m=body.stature_m)


OTHER_SIDE = [
    LIMB_AXES.index(MotionAxis(axis.joint, Side.LEFT if axis.side is Side.RIGHT else Side.RIGHT, axis.axis))
    for axis in LIMB_AXES
]


@FEW
@given(posture=postures)
def test_left_and_right_are_mirror_images(posture):
    body = _posed(posture, clock(4.2, 15.0))
    own, mirror = _demand(body), _demand(_mirrored(body))
    assert_allclose(mirror.moment[:, OTHER_SIDE], own.moment, atol=1e-6)
    assert_allclose(mirror.carried[:, OTHER_SIDE], own.carried, atol=1e-8)
    assert_allclose(mirror.threshold[:, OTHER_SIDE], own.threshold, atol=1e-8)


@FEW
@given(posture=postures, stature_m=st.floats(1.4, 2.0))
def test_the_assumed_stature_does_not_matter_to_slow_movement(posture, stature_m):
    time_s = clock(10.0, 15.0)
    usual, other = _demand(_posed(posture, time_s)), _demand(_posed(posture, time_s, stature_m))
    # accelerations scale with the assumed stature, weights do not: what is left must not turn a decision
    assert (np.isnan(usual.moment) == np.isnan(other.moment)).all()
    assert (np.abs(np.nan_to_num(other.moment - usual.moment)) < 0.25 * usual.threshold).all()


@FEW
@given(posture=postures, fps=st.sampled_from([24.0, 50.0, 60.0, 120.0]))
def test_the_frame_rate_does_not_matter_to_slow_movement(posture, fps):
    usual_s, other_s = clock(4.2, 30.0), clock(4.2, fps)
    usual, other = _demand(_posed(posture, usual_s)), _demand(_posed(posture, other_s))
    inner = slice(3, -3)  # differences are one-sided at the ends
    for column in range(len(LIMB_AXES)):
        known = np.isfinite(other.moment[:, column])
        if not known.all() or not np.isfinite(usual.moment[:, column]).all():
            continue
        # where a foot is about to lift, a frame more or less decides who carries
        at_the_same_time = np.interp(usual_s, other_s, other.moment[:, column])
        near = np.abs(at_the_same_time - usual.moment[:, column]) < 0.5 * usual.threshold[:, column]
        assert near[inner].mean() > 0.9, LIMB_AXES[column].name


@FEW
@given(posture=postures, seconds=st.floats(1.2, 6.0))
def test_contact_forces_are_body_weight_times_one_plus_a_over_g(posture, seconds):
    body = _posed(posture, clock(seconds, 60.0))
    force = _demand(body).support.force
    total = force.sum(axis=1)
    smooth = np.stack([smooth_values(body.time_s, body.centres_m[:, c], 4.0) for c in Centre], axis=1)
    height = CubicSpline(body.time_s, locate_masses(smooth, body.time_s).body_com_m[:, 1])
    known = np.isfinite(total)
    known[:3] = known[-3:] = False
    touched = known & (total > 0.0)
    assert_allclose(total[touched], 1.0 + height(body.time_s, 2)[touched] / GRAVITY_M_S2, atol=0.01)
    assert (force[np.isfinite(force)] >= 0.0).all()


def test_a_fast_squat_is_lighter_on_the_way_down_and_heavier_at_the_bottom():
    time_s = clock(2.4, 60.0)
    body = squat(time_s, ramp(time_s, [(0.6, 0.0), (1.1, 90.0), (1.6, 0.0)]))
    total = _demand(body).support.force.sum(axis=1)
    assert np.nanmin(total[36:48]) < 0.8
    assert np.nanmax(total[60:72]) > 1.2
    # it begins and ends at rest, so the ground has pushed as much as weight has pulled
    assert_allclose(np.nanmean(total), 1.0, atol=0.02)


@FEW
@given(posture=postures, roll_deg=st.floats(-20.0, 20.0))
def test_a_camera_that_leans_does_not_matter_once_its_lean_is_known(posture, roll_deg):
    body = _posed(posture, clock(4.2, 15.0))
    level = landmarks_of(body)
    roll = np.radians(roll_deg)
    middle = np.array(SIZE) / 2
    leaning = replace(
        level, image_px=turned(level.image_px - middle, -roll) + middle, world_m=turned(level.world_m, -roll)
    )
    large = replace(facts_of(body), width=9 * SIZE[0], height=9 * SIZE[1])  # nothing leaves the picture
    far = 4.0 * np.array(SIZE)
    usual, other = (
        levelled_body(replace(track, image_px=track.image_px + far), large, known)
        for track, known in ((level, 0.0), (leaning, roll))
    )
    assert_allclose(other.camera.roll_rad, roll)
    own, same = _demand(usual), _demand(other)
    # % of body weight x height; depth is settled on a grid, where the last digit may choose a neighbour
    assert_allclose(same.moment, own.moment, atol=0.02)
    assert_allclose(same.support.force, own.support.force, atol=1e-3)
    assert_allclose(same.unseen, own.unseen, atol=0.02)


def _decisions(body: BodyTrack) -> dict[MotionAxis, list[tuple[float, float, Motion, WorkingGroup | None]]]:
    """Middle in seconds, demand, motion and group of every confident row, by axis."""
    angles = measure_angles(body)
    phases, work = muscle_work(body, angles, find_phases(angles, body))
    rows: dict[MotionAxis, list[tuple[float, float, Motion, WorkingGroup | None]]] = {}
    for phase, row in zip(phases, work):
        middle = 0.5 * (body.time_s[phase.start] + body.time_s[phase.stop - 1])
        if row.trust > 0.9 and row.working_group is not None and phase.motion is not Motion.HOLD:
            rows.setdefault(phase.axis, []).append((middle, row.demand, phase.motion, row.working_group))
    return rows


@FEW
@given(posture=postures, fps=st.sampled_from([24.0, 60.0, 120.0]))
def test_the_group_does_not_hang_on_the_frame_rate(posture, fps):
    usual, other = _decisions(_posed(posture, clock(4.2, 30.0))), _decisions(_posed(posture, clock(4.2, fps)))
    for axis, rows in usual.items():
        for middle, _, motion, group in rows:
            near = [row for row in other.get(axis, []) if abs(row[0] - middle) < 0.15 and row[2] is motion]
            assert all(row[3] is group for row in near)


@FEW
@given(posture=postures)
def test_the_group_of_a_mirrored_movement_is_that_of_the_other_side(posture):
    body = _posed(posture, clock(4.2, 30.0))
    usual, mirror = _decisions(body), _decisions(_mirrored(body))
    across = {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT}
    for axis, rows in usual.items():
        if axis.side in across:
            twins = mirror[MotionAxis(axis.joint, across[axis.side], axis.axis)]
            assert [(row[2], row[3]) for row in twins] == [(row[2], row[3]) for row in rows]
            assert_allclose([row[1] for row in twins], [row[1] for row in rows], atol=1e-6)


@pytest.mark.parametrize(
    ("joint", "name", "lean", "level"),
    [
        (Joint.HIP, "left_hip_flexion", 0.0, 90.0),
        (Joint.SHOULDER, "left_shoulder_flexion", 0.0, 90.0),
        (Joint.HIP, "left_hip_flexion", -90.0, 2.0),
    ],
)
def test_a_limb_held_level_asks_for_the_reference_moment(joint, name, lean, level):
    """The threshold is a fifth of the moment of the limb held out level."""
    body = posed_body(clock(1.0), {name: level}, lean=lean, fixed=Centre.RIGHT_HEEL)
    demand = _demand(body)
    column = column_of(MotionAxis(joint, Side.LEFT, Axis.FLEXION))
    if demand.carried[15, column] == 0.0:
        assert_allclose(demand.moment[15, column], demand.threshold[15, column] / 0.2, rtol=0.1)
    assert demand.moment[15, column] >= 0.0


def test_a_hanging_limb_asks_for_nothing():
    body = posed_body(clock(1.0), {"left_hip_flexion": 15.0, "left_knee_flexion": 15.0}, fixed=Centre.RIGHT_HEEL)
    demand = _demand(body)
    for joint in (Joint.SHOULDER, Joint.ELBOW):
        column = column_of(MotionAxis(joint, Side.LEFT, Axis.FLEXION))
        assert (np.abs(demand.moment[:, column]) < demand.threshold[:, column]).all()


def test_the_trunk_has_no_column():
    assert column_of(MotionAxis(Joint.TRUNK, Side.MIDLINE, Axis.FLEXION)) is None


def test_a_swinging_leg_is_known_though_nobody_sees_what_carries():
    """The standing foot trembles too much for a contact; the curled leg is in the air all the same."""
    time_s = clock(4.0)
    steady = posed_body(time_s, {"left_knee_flexion": 90.0 * ramp(time_s, KEYS)}, fixed=Centre.RIGHT_HEEL)
    trembling = replace(steady, centres_m=steady.centres_m.copy())
    foot = [Centre[f"RIGHT_{part}"] for part in ("HEEL", "TOE", "BALL")]
    trembling.centres_m[:, foot, 0] += 0.1 * np.sin(4.0 * np.pi * time_s)[:, None]
    curled, standing = (column_of(MotionAxis(Joint.KNEE, side, Axis.FLEXION)) for side in (Side.LEFT, Side.RIGHT))
    known, shaken = _demand(steady), _demand(trembling)
    rising = np.arange(36, 54)
    lost = rising[~shaken.support.touching[rising].any(axis=1)]
    assert len(lost) > 9
    assert np.isnan(shaken.moment[lost, standing]).all()
    told = np.isfinite(shaken.moment[lost, curled])
    assert told.mean() > 0.7
    assert_allclose(shaken.moment[lost, curled][told], known.moment[lost, curled][told], atol=0.05)
