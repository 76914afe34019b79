"""Phases of motions that are known exactly."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.ndimage import gaussian_filter1d

from motionlabel.body import Centre, Joint, Motion
from motionlabel.kinematics import measure_angles
from motionlabel.movement import find_phases
from tests.synthetic_body import STATURE_M, body_of, clock, posed_body, ramp, squat

SLACK_S = 0.1
"""Three frames at 30 a second."""

STILL_DEG_S = 10.0
"""A raised cosine begins and ends slower than what can be told from stillness: 8 degrees a second or more."""


def _creep_s(degrees: float, seconds: float) -> float:
    """Time until a raised cosine over ``degrees`` is faster than stillness."""
    return seconds / np.pi * np.arcsin(STILL_DEG_S / (np.pi / 2 * abs(degrees) / seconds))


def _phases(body, name: str) -> list:
    return [row for row in find_phases(measure_angles(body), body) if row.axis.name == name]


def _seconds(row, time_s: np.ndarray) -> tuple[float, float]:
    return time_s[row.start], time_s[min(row.stop, len(time_s) - 1)]


KEYS = [(1.0, 0.0), (2.0, 1.0), (3.0, 1.0), (4.2, 0.0)]
UP_HOLD_DOWN = [
    ("left_knee_flexion", 90.0, 0.0, Motion.FLEXION, Motion.EXTENSION),
    ("right_knee_flexion", 60.0, 45.0, Motion.FLEXION, Motion.EXTENSION),
    ("left_hip_flexion", 70.0, 0.0, Motion.FLEXION, Motion.EXTENSION),
    ("left_hip_flexion", -25.0, 0.0, Motion.EXTENSION, Motion.FLEXION),
    ("right_hip_abduction", 35.0, 90.0, Motion.ABDUCTION, Motion.ADDUCTION),
    ("left_hip_abduction", 35.0, 90.0, Motion.ABDUCTION, Motion.ADDUCTION),
    ("left_ankle_dorsiflexion", 20.0, 0.0, Motion.DORSIFLEXION, Motion.PLANTARFLEXION),
    ("right_shoulder_flexion", 80.0, 0.0, Motion.FLEXION, Motion.EXTENSION),
    ("right_shoulder_flexion", 150.0, 0.0, Motion.FLEXION, Motion.EXTENSION),
    ("left_shoulder_abduction", 80.0, 90.0, Motion.ABDUCTION, Motion.ADDUCTION),
    ("left_elbow_flexion", 120.0, 0.0, Motion.FLEXION, Motion.EXTENSION),
]


@pytest.mark.parametrize(("name", "degrees", "facing", "there", "back"), UP_HOLD_DOWN)
def test_there_hold_and_back(name, degrees, facing, there, back):
    time_s = clock(5.5)
    share = ramp(time_s, KEYS)
    still_foot = Centre.RIGHT_HEEL if name.startswith("left") else Centre.LEFT_HEEL
    body = posed_body(time_s, {name: degrees * share}, facing=facing, fixed=still_foot)
    rows = _phases(body, name)
    assert [row.motion for row in rows] == [there, Motion.HOLD, back]
    spans = [_seconds(row, time_s) for row in rows]
    slack_s = max(SLACK_S, 1.0 / 30.0 + _creep_s(degrees, 1.2))
    assert_allclose(spans, [(1.0, 2.0), (2.0, 3.0), (3.0, 4.2)], atol=slack_s)
    crept_deg = abs(degrees) * (1.0 - np.cos(np.pi * slack_s / 1.2))  # at both ends
    assert_allclose(np.degrees([rows[0].excursion_rad, rows[2].excursion_rad]), [degrees, -degrees], atol=crept_deg)


@pytest.mark.parametrize(("name", "degrees", "facing", "there", "back"), UP_HOLD_DOWN)
def test_no_other_axis_of_that_limb_is_claimed(name, degrees, facing, there, back):
    time_s = clock(5.5)
    still_foot = Centre.RIGHT_HEEL if name.startswith("left") else Centre.LEFT_HEEL
    body = posed_body(time_s, {name: degrees * ramp(time_s, KEYS)}, facing=facing, fixed=still_foot)
    found = {row.axis.name for row in find_phases(measure_angles(body), body)}
    assert found == {name}


def test_rising_on_the_toes():
    time_s = clock(5.5)
    body = posed_body(time_s, {"ankle_dorsiflexion": -35.0 * ramp(time_s, KEYS)}, fixed=Centre.LEFT_TOE)
    for side in ("left", "right"):
        motions = [row.motion for row in _phases(body, f"{side}_ankle_dorsiflexion")]
        assert motions == [Motion.PLANTARFLEXION, Motion.HOLD, Motion.DORSIFLEXION]
    assert {row.axis.joint for row in find_phases(measure_angles(body), body)} == {Joint.ANKLE}


@pytest.mark.parametrize("fps", [24.0, 25.0, 60.0, 120.0])
def test_frame_rate_changes_no_time(fps):
    def spans(rate: float) -> tuple[list, np.ndarray]:
        time_s = clock(7.0, rate)
        bend = ramp(time_s, [(1.0, 0.0), (2.3, 100.0), (3.0, 100.0), (4.5, 0.0), (5.0, 0.0), (6.2, 60.0)])
        rows = _phases(squat(time_s, bend), "right_knee_flexion")
        return [row.motion for row in rows], np.array([_seconds(row, time_s) for row in rows])

    motions, seconds = spans(fps)
    usual_motions, usual_seconds = spans(30.0)
    assert motions == usual_motions
    assert len(motions) >= 4
    assert_allclose(seconds, usual_seconds, atol=2.0 / 24.0)


def _wobbling(body, share_of_stature: float, seed: int):
    """Joint centres with smooth noise of this standard deviation, as landmarks have after filtering."""
    random = np.random.default_rng(seed)
    noise = gaussian_filter1d(random.standard_normal(body.centres_m.shape), 1.2, axis=0)
    noise *= share_of_stature * STATURE_M / noise.std()
    return body_of(body.time_s, body.centres_m + noise * [1.0, 1.0, 0.0])


@pytest.mark.parametrize("facing", [0.0, 90.0])
@pytest.mark.parametrize("seed", range(3))
def test_no_motion_from_noise(seed, facing):
    """Jitter of 0.05 % of stature: about 0.3 pixels of a person 600 pixels tall."""
    body = _wobbling(posed_body(clock(5.0), {"knee_flexion": 3.0}, facing=facing), 0.0005, seed)
    assert not len(find_phases(measure_angles(body), body))


@pytest.mark.parametrize("seed", range(3))
def test_a_motion_is_found_in_noise(seed):
    time_s = clock(5.5)
    body = _wobbling(squat(time_s, 90.0 * ramp(time_s, KEYS)), 0.0005, seed)
    rows = _phases(body, "left_knee_flexion")
    assert [row.motion for row in rows] == [Motion.FLEXION, Motion.HOLD, Motion.EXTENSION]
    assert_allclose([_seconds(row, time_s) for row in rows], [(1, 2), (2, 3), (3, 4.2)], atol=SLACK_S)


@pytest.mark.parametrize("facing", [0.0, 35.0, 90.0])
def test_standing_still_is_no_phase(facing):
    body = posed_body(clock(4.0), {"knee_flexion": 3.0, "shoulder_abduction": 8.0, "elbow_flexion": 8.0}, facing=facing)
    assert not len(find_phases(measure_angles(body), body))


@pytest.mark.parametrize(("degrees_s", "moves"), [(6.0, False), (25.0, True)])
def test_a_slow_drift_is_no_motion(degrees_s, moves):
    time_s = clock(6.0)
    bend = np.clip((time_s - 1.0) * degrees_s, 0.0, 4.0 * degrees_s)
    body = posed_body(time_s, {"left_elbow_flexion": bend})
    assert any(row.motion is not Motion.HOLD for row in _phases(body, "left_elbow_flexion")) is moves


@pytest.mark.parametrize(("degrees", "moves"), [(3.0, False), (25.0, True)])
def test_a_small_change_is_no_motion(degrees, moves):
    time_s = clock(3.0)
    body = posed_body(time_s, {"left_knee_flexion": ramp(time_s, [(1.0, 0.0), (1.4, degrees)])})
    assert any(row.motion is not Motion.HOLD for row in _phases(body, "left_knee_flexion")) is moves


def test_a_move_that_slows_down_on_its_way_is_one_move():
    """At 11 degrees a second it is slower than what starts a motion, faster than what ends one."""
    time_s = clock(5.0)
    bend = np.interp(time_s, [1.0, 1.8, 2.4, 3.2], [0.0, 45.0, 51.6, 96.6])
    rows = _phases(posed_body(time_s, {"left_elbow_flexion": bend}), "left_elbow_flexion")
    assert [row.motion for row in rows if row.motion is not Motion.HOLD] == [Motion.FLEXION]


def test_a_move_that_stops_on_its_way_is_two_moves_and_a_hold():
    time_s = clock(6.0)
    bend = ramp(time_s, [(1.0, 0.0), (2.0, 50.0), (3.0, 50.0), (4.0, 100.0)])
    rows = _phases(posed_body(time_s, {"left_elbow_flexion": bend}), "left_elbow_flexion")
    assert [row.motion for row in rows][:3] == [Motion.FLEXION, Motion.HOLD, Motion.FLEXION]


@pytest.mark.parametrize(
    ("major", "minor", "facing"),
    [("hip_flexion", "hip_abduction", 0.0), ("hip_abduction", "hip_flexion", 90.0)],
)
def test_the_lesser_axis_of_a_hip_is_silent(major, minor, facing):
    time_s = clock(5.5)
    share = ramp(time_s, KEYS)
    angles = {f"left_{major}": 45.0 * share, f"left_{minor}": 9.0 * share}
    body = posed_body(time_s, angles, facing=facing, fixed=Centre.RIGHT_HEEL)
    assert _phases(body, f"left_{major}")
    assert not _phases(body, f"left_{minor}")


def test_the_second_axis_speaks_when_it_is_the_greater_one():
    """The leg first rises forward, then sideways: each axis has its own time."""
    time_s = clock(9.0)
    forward = 45.0 * ramp(time_s, [(1.0, 0.0), (2.0, 1.0), (3.0, 0.0)])
    sideways = 45.0 * ramp(time_s, [(5.0, 0.0), (6.0, 1.0), (7.0, 0.0)])
    angles = {"left_hip_flexion": forward, "left_hip_abduction": sideways}
    body = posed_body(time_s, angles, facing=45.0, fixed=Centre.RIGHT_HEEL)
    flexion, abduction = (
        [row for row in _phases(body, f"left_hip_{axis}") if row.motion is not Motion.HOLD]
        for axis in ("flexion", "abduction")
    )
    assert [row.motion for row in flexion] == [Motion.FLEXION, Motion.EXTENSION]
    assert [row.motion for row in abduction] == [Motion.ABDUCTION, Motion.ADDUCTION]
    assert all(time_s[row.stop - 1] < 4.0 for row in flexion)
    assert all(time_s[row.start] > 4.0 for row in abduction)


def test_a_held_angle_is_a_hold_to_the_end_of_the_clip():
    time_s = clock(4.0)
    rows = _phases(posed_body(time_s, {"left_elbow_flexion": 90.0 * ramp(time_s, KEYS[:2])}), "left_elbow_flexion")
    assert [row.motion for row in rows] == [Motion.FLEXION, Motion.HOLD]
    assert rows[-1].stop == len(time_s)
    assert rows[-1].excursion_rad == 0.0


def test_back_at_rest_nothing_is_held():
    time_s = clock(8.0)
    rows = _phases(posed_body(time_s, {"left_elbow_flexion": 90.0 * ramp(time_s, KEYS)}), "left_elbow_flexion")
    assert time_s[rows[-1].stop - 1] < 4.2 + SLACK_S


def test_no_phase_reaches_into_frames_without_the_person():
    time_s = clock(5.5)
    body = squat(time_s, 90.0 * ramp(time_s, KEYS))
    angles = measure_angles(body)
    away = slice(75, 110)
    unknown = {
        name: np.where(np.isin(np.arange(len(time_s)), np.arange(75, 110))[:, None], np.nan, getattr(angles, name))
        for name in ("angle_rad", "rate_rad_s", "sigma_rad", "depth_sigma_rad")
    }
    centres = body.centres_m.copy()
    centres[away] = np.nan
    rows = find_phases(replace(angles, **unknown), replace(body, centres_m=centres))
    assert len(rows)
    assert all(row.stop <= 75 or row.start >= 110 for row in rows)


@pytest.mark.parametrize("frames", [1, 2, 3, 4, 5, 8])
def test_a_few_frames_are_no_phase_and_no_error(frames):
    body = posed_body(clock(1.0)[:frames], {})
    assert not len(find_phases(measure_angles(body), body))


def test_rows_are_ordered_and_do_not_overlap():
    time_s = clock(8.0)
    bend = ramp(time_s, [(1, 0), (2, 100), (2.1, 100), (3, 0), (3.5, 0), (4.5, 80), (5.5, 0), (6, 40), (7, 0)])
    body = squat(time_s, bend)
    rows = find_phases(measure_angles(body), body).rows
    assert [row.start for row in rows] == sorted(row.start for row in rows)
    for axis in {row.axis for row in rows}:
        own = [row for row in rows if row.axis == axis]
        assert all(before.stop <= after.start for before, after in pairwise(own))


@pytest.mark.parametrize(("swing_deg", "told"), [(17.0, False), (80.0, True)])
def test_a_hidden_arm_moves_only_by_more_than_guesses_wander(swing_deg, told):
    """The far arm of a side view: the landmarker guesses it, and its guesses follow the near one."""
    time_s = clock(6.0)
    swing = ramp(time_s, [(1.0, 0.0), (2.0, swing_deg), (3.0, 0.0)])
    body = posed_body(time_s, {"left_shoulder_flexion": swing})
    sigma_m = np.full_like(body.sigma_m, 0.02 * STATURE_M)
    seen = replace(body, sigma_m=sigma_m.copy())
    sigma_m[:, [Centre.LEFT_SHOULDER, Centre.LEFT_ELBOW, Centre.LEFT_WRIST]] *= 3.0
    hidden = replace(body, sigma_m=sigma_m)

    def moves(body):
        return [row for row in find_phases(measure_angles(body), body) if row.axis.name == "left_shoulder_flexion"]

    assert moves(seen)
    assert bool(moves(hidden)) == told


@pytest.mark.parametrize(
    ("name", "degrees", "held"),
    [("right_ankle_dorsiflexion", 11.0, True), ("right_hip_flexion", 11.0, False), ("right_hip_flexion", 30.0, True)],
)
def test_a_small_angle_is_held_at_the_ankle_and_sway_at_the_hip(name, degrees, held):
    """To the end of the clip: a pause between two moves is listed at any angle."""
    time_s = clock(5.0)
    body = posed_body(time_s, {name: ramp(time_s, [(1.0, 0.0), (2.0, degrees)])})
    rows = [row for row in find_phases(measure_angles(body), body) if row.axis.name == name]
    assert any(row.motion is not Motion.HOLD for row in rows)
    assert any(row.motion is Motion.HOLD for row in rows) == held
