"""What carries the body, and how much."""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.ndimage import gaussian_filter1d

from motionlabel.body import Centre
from motionlabel.mechanics.masses import locate_masses
from motionlabel.mechanics.support import POINTS, Support, find_contacts, hysteresis, share_weight, swinging_feet
from tests.synthetic_body import STATURE_M, body_of, clock, posed_body, ramp, squat

NAMES = [point.name for point in POINTS]
FEET = {"left heel", "left forefoot", "right heel", "right forefoot"}


def _touching(body) -> dict[str, np.ndarray]:
    return dict(zip(NAMES, find_contacts(body).T))


def _at(body, frame: int) -> set[str]:
    return {name for name, on in _touching(body).items() if on[frame]}


def _force(body) -> np.ndarray:
    masses = locate_masses(body.centres_m, body.time_s)
    forward = np.tile([1.0, 0.0, 0.0], (len(body), 1))
    falling = np.zeros(len(body), dtype=bool)
    return share_weight(find_contacts(body), body.centres_m, masses.body_com_m, forward, body.stature_m, falling)


def test_standing_rests_on_both_feet_alike():
    body = posed_body(clock(1.0), {})
    assert _at(body, 10) == FEET
    force = _force(body)
    assert_allclose(force.sum(axis=1), 1.0)
    sides = [[NAMES.index(f"{side} {part}") for part in ("heel", "forefoot")] for side in ("left", "right")]
    assert_allclose(force[:, sides[0]], force[:, sides[1]], atol=1e-3)


def test_the_weight_moves_to_the_toes_with_the_mass_centre():
    def forefeet(lean: float) -> float:
        body = posed_body(clock(0.5), {"hip_flexion": lean}, lean=lean)
        return float(_force(body)[5, [NAMES.index(f"{side} forefoot") for side in ("left", "right")]].sum())

    assert 0.0 < forefeet(0.0) < forefeet(15.0) <= 1.0


@pytest.mark.parametrize(("end", "off"), [("toe", "heel"), ("heel", "forefoot")])
def test_heel_and_toe_are_told_apart(end, off):
    time_s = clock(4.0)
    pitch = ramp(time_s, [(1.0, 0.0), (1.8, 1.0), (2.6, 1.0), (3.4, 0.0)])
    degrees = -30.0 * pitch if end == "toe" else 18.0 * pitch
    body = posed_body(time_s, {"ankle_dorsiflexion": degrees}, fixed=Centre[f"LEFT_{end.upper()}"])
    raised = {f"{side} {off}" for side in ("left", "right")}
    assert _at(body, 10) == FEET
    assert _at(body, 66) == FEET - raised
    assert _at(body, 115) == FEET


def _one_leg(time_s: np.ndarray):
    lift = ramp(time_s, [(1.0, 0.0), (1.8, 1.0), (2.6, 1.0), (3.4, 0.0)])
    angles = {"left_hip_flexion": 60.0 * lift, "left_knee_flexion": 80.0 * lift}
    return posed_body(time_s, angles, fixed=Centre.RIGHT_HEEL)


def test_a_raised_leg_carries_nothing_and_the_other_all():
    body = _one_leg(clock(4.0))
    assert _at(body, 66) == {"right heel", "right forefoot"}
    force = _force(body)[66]
    assert_allclose(force.sum(), 1.0)
    assert_allclose(force[[NAMES.index("left heel"), NAMES.index("left forefoot")]], 0.0)


def test_contacts_stick_under_wobble():
    """Landmarks that wander by 0.3 % of stature do not lift a foot."""
    still = posed_body(clock(4.0), {})
    noise = gaussian_filter1d(np.random.default_rng(4).standard_normal(still.centres_m.shape), 4.0, axis=0)
    noise *= 0.003 * STATURE_M / noise.std()
    touching = _touching(body_of(still.time_s, still.centres_m + noise))
    for name in ("left forefoot", "right heel"):
        assert touching[name].mean() > 0.95
        assert np.count_nonzero(np.diff(touching[name].astype(int))) <= 2


def test_a_step_lifts_a_foot():
    body = posed_body(clock(3.0), {})
    centres = body.centres_m.copy()
    for part in ("HEEL", "TOE", "BALL", "ANKLE"):
        centres[40:52, Centre[f"LEFT_{part}"], 1] += 0.07 * STATURE_M
    touching = _touching(body_of(body.time_s, centres))["left heel"]
    assert not touching[42:50].any()
    assert touching[:36].all()
    assert touching[60:].all()


@pytest.mark.parametrize(("frames", "stays"), [(1, True), (2, True), (3, False), (6, False)])
def test_a_contact_lets_go_after_three_frames(frames, stays):
    acquire = np.ones(30, dtype=bool)
    release = np.zeros(30, dtype=bool)
    acquire[10 : 10 + frames], release[10 : 10 + frames] = False, True
    state = hysteresis(acquire, release)
    assert state[10 : 10 + frames].all() if stays else not state[10 : 10 + frames].any()
    assert state[:10].all()
    assert state[20:].all()


def test_between_the_two_limits_a_contact_stays_as_it_is():
    acquire = np.array([True] * 5 + [False] * 10)
    undecided = np.zeros(15, dtype=bool)
    assert hysteresis(acquire, undecided).all()
    assert not hysteresis(undecided, ~acquire).any()


def test_a_foot_that_slides_fast_does_not_carry():
    body = posed_body(clock(3.0), {})
    centres = body.centres_m.copy()
    slide = ramp(body.time_s, [(1.0, 0.0), (1.5, 0.5)])
    for part in ("HEEL", "TOE", "BALL", "ANKLE", "KNEE"):
        centres[:, Centre[f"LEFT_{part}"], 0] += slide
    touching = _touching(body_of(body.time_s, centres))
    assert not touching["left heel"][38]
    assert touching["right heel"].all()


def test_lying_on_the_back():
    body = posed_body(clock(1.0), {"shoulder_abduction": 15.0}, lean=-90.0)
    assert {"left hip", "right hip", "left shoulder", "right shoulder"} <= _at(body, 10)
    force = _force(body)
    assert_allclose(force.sum(axis=1), 1.0)
    trunk = [NAMES.index(f"{side} {part}") for side in ("left", "right") for part in ("hip", "shoulder")]
    assert (force[:, trunk].sum(axis=1) > 0.5).all()


def test_hands_and_knees():
    slope = np.degrees(np.arcsin((0.392 - 0.245) / 0.288))  # arms are longer than thighs
    level = {"hip_flexion": 90.0 - slope, "shoulder_flexion": 90.0 - slope, "knee_flexion": 90.0}
    body = posed_body(clock(1.0), {**level, "ankle_dorsiflexion": -80.0}, lean=90.0 - slope)
    found = _at(body, 10)
    assert {"left hand", "right hand", "left knee", "right knee"} <= found
    assert not any("hip" in name or "shoulder" in name for name in found)
    assert_allclose(_force(body).sum(axis=1), 1.0)


@pytest.mark.parametrize("bend", [60.0, 100.0])
def test_forces_of_a_squat_add_up_and_are_never_negative(bend):
    time_s = clock(4.0)
    force = _force(squat(time_s, ramp(time_s, [(1.0, 0.0), (2.0, bend), (3.0, 0.0)])))
    assert_allclose(force.sum(axis=1), 1.0)
    assert (force >= 0.0).all()


def _balance_of(offset_statures: float) -> np.ndarray:
    body = posed_body(clock(0.5), {})
    ankle = body.centres_m[:, Centre.LEFT_ANKLE] * [1.0, 1.0, 0.0]
    touching = np.tile([name in FEET for name in NAMES], (len(body), 1))
    forward = np.tile([1.0, 0.0, 0.0], (len(body), 1))
    mass_centre = ankle + np.array([offset_statures * STATURE_M, 0.8, 0.0])
    return share_weight(touching, body.centres_m, mass_centre, forward, STATURE_M, np.zeros(len(body), dtype=bool))


@pytest.mark.parametrize(("offset", "known"), [(0.03, True), (0.10, True), (0.25, False), (-0.20, False)])
def test_off_balance_is_unknown(offset, known):
    """Feet reach from 0.05 behind the ankle to 0.07 before it; a miss of 0.06 of stature is allowed for."""
    force = _balance_of(offset)
    feet = [NAMES.index(name) for name in sorted(FEET)]
    assert np.isfinite(force[:, feet]).all() if known else np.isnan(force[:, feet]).all()
    assert_allclose(np.delete(force, feet, axis=1), 0.0)  # what does not touch carries nothing


@pytest.mark.parametrize(("flying", "force"), [(False, np.nan), (True, 0.0)], ids=["missed contact", "flight"])
def test_without_contact(flying, force):
    body = posed_body(clock(0.5), {})
    nothing = np.zeros((len(body), len(POINTS)), dtype=bool)
    com = locate_masses(body.centres_m, body.time_s).body_com_m
    forward = np.tile([1.0, 0.0, 0.0], (len(body), 1))
    found = share_weight(nothing, body.centres_m, com, forward, STATURE_M, np.full(len(body), flying))
    assert_allclose(found, force)


@pytest.mark.parametrize("hidden", ["feet", "a hand"])
def test_a_contact_is_missed_by_the_feet_if_they_are_not_seen(hidden):
    body = posed_body(clock(0.5), {})
    centres = body.centres_m.copy()
    parts = (
        ["LEFT_HAND"]
        if hidden == "a hand"
        else [f"{s}_{p}" for s in ("LEFT", "RIGHT") for p in ("HEEL", "TOE", "BALL")]
    )
    centres[:, [Centre[part] for part in parts]] = np.nan
    nothing = np.zeros((len(body), len(POINTS)), dtype=bool)
    com = locate_masses(centres, body.time_s).body_com_m
    forward = np.tile([1.0, 0.0, 0.0], (len(body), 1))
    force = share_weight(nothing, centres, com, forward, STATURE_M, np.zeros(len(body), dtype=bool))
    assert np.isnan(force[:, [NAMES.index(name) for name in sorted(FEET)]]).all()
    hand = force[:, NAMES.index("right hand")]
    assert_allclose(hand, 0.0 if hidden == "feet" else np.nan)


@pytest.mark.parametrize("lean", [0.0, 30.0])
def test_what_is_lowest_in_the_picture_is_not_on_the_ground_if_the_feet_are_not_seen(lean):
    body = posed_body(clock(1.0), {"hip_flexion": lean}, lean=lean)
    centres = body.centres_m.copy()
    for side in ("LEFT", "RIGHT"):
        for part in ("KNEE", "ANKLE", "HEEL", "TOE", "BALL"):
            centres[:, Centre[f"{side}_{part}"]] = np.nan
    assert not find_contacts(body_of(body.time_s, centres)).any()


def test_one_frame_has_no_contact():
    assert not find_contacts(posed_body(clock(1.0)[:1], {})).any()


def test_names_of_the_support():
    touching = np.zeros((10, len(POINTS)), dtype=bool)
    for name in ("left heel", "left forefoot", "right forefoot"):
        touching[:, NAMES.index(name)] = True
    touching[:4, NAMES.index("left hand")] = True  # less than half of the span
    assert set(Support(touching, np.zeros(touching.shape)).parts(0, 10)) == {"left foot", "right forefoot"}


def test_a_foot_that_moves_in_the_air_swings_and_no_other_point():
    swinging = swinging_feet(_one_leg(clock(4.0)))
    left = [NAMES.index("left heel"), NAMES.index("left forefoot")]
    assert swinging[46:50, left].all()  # on its way up
    assert not swinging[:28].any()  # standing
    assert not swinging[62:76].any()  # held up
    assert not np.delete(swinging, left, axis=1).any()


def test_rising_on_the_toes_and_a_jump_are_no_swing():
    time_s = clock(4.0)
    rise = ramp(time_s, [(1.0, 0.0), (1.4, 1.0), (1.8, 0.0)])
    toes = posed_body(time_s, {"ankle_dorsiflexion": -50.0 * rise}, fixed=Centre.LEFT_TOE)
    jump = posed_body(time_s, {})
    jump.centres_m[:, :, 1] += 0.2 * STATURE_M * rise[:, None]
    assert not swinging_feet(toes).any()
    assert not swinging_feet(jump).any()


def test_one_frame_has_no_swing():
    assert not swinging_feet(posed_body(clock(1 / 30), {})).any()
