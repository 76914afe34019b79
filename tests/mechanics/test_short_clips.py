"""From landmarks to work on clips with very little in them."""

import warnings
from dataclasses import replace

import numpy as np
import pytest

from motionlabel.body import AXES, Landmark, Motion
from motionlabel.kinematics import body_from_landmarks, measure_angles
from motionlabel.mechanics import muscle_work
from motionlabel.movement import find_phases
from motionlabel.records import LandmarkTrack
from tests.synthetic_body import clock, facts_of, landmarks_of, posed_body, ramp, squat


def _chain(landmarks: LandmarkTrack, facts) -> tuple:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)  # empty slices of unknown numbers
        body = body_from_landmarks(landmarks, facts)
        angles = measure_angles(body)
        return body, angles, *muscle_work(body, angles, find_phases(angles, body))


def _squat():
    time_s = clock(6.0)
    return squat(time_s, 100.0 * ramp(time_s, [(1.5, 0.0), (2.7, 1.0), (3.2, 1.0), (4.4, 0.0)]))


def _without(landmarks: LandmarkTrack, away: np.ndarray, points: list[Landmark]) -> LandmarkTrack:
    image, world = landmarks.image_px.copy(), landmarks.world_m.copy()
    visibility = landmarks.visibility.copy()
    where = np.ix_(away, points)
    image[where], world[where], visibility[where] = np.nan, np.nan, 0.0
    return replace(landmarks, image_px=image, world_m=world, visibility=visibility)


@pytest.mark.parametrize("frames", [1, 2, 3, 4, 7, 15])
@pytest.mark.parametrize("facing", [0.0, 90.0])
def test_a_few_frames(frames, facing):
    body = squat(clock(1.0), ramp(clock(1.0), [(0.0, 0.0), (1.0, 90.0)]), facing)
    landmarks = landmarks_of(body)
    short = LandmarkTrack(*(getattr(landmarks, name)[:frames] for name in LandmarkTrack.__slots__))
    found, angles, phases, work = _chain(short, facts_of(body))
    assert len(found) == len(angles) == frames
    assert angles.rate_rad_s.shape == (frames, len(AXES))
    assert len(phases) == len(work)
    assert np.isfinite(angles.angle_rad[:, 0]).all()


def test_the_person_is_there_only_in_the_middle():
    body = _squat()
    away = np.ones(len(body), dtype=bool)
    away[30:150] = False
    found, angles, phases, work = _chain(_without(landmarks_of(body), away, list(Landmark)), facts_of(body))
    assert np.isnan(angles.angle_rad[away]).all()
    knee = [(p, w) for p, w in zip(phases, work) if p.axis.name == "left_knee_flexion"]
    assert next(p.motion for p, _ in knee) is Motion.FLEXION
    assert {w.working_group for _, w in knee} == {"knee extensors"}
    assert all(p.start >= 30 and p.stop <= 150 for p in phases)
    assert len(found) == len(body)


@pytest.mark.parametrize("seen", [1, 2, 3])
def test_the_person_is_there_in_a_few_frames_only(seen):
    body = _squat()
    away = np.ones(len(body), dtype=bool)
    away[70 : 70 + seen] = False
    _, angles, phases, work = _chain(_without(landmarks_of(body), away, list(Landmark)), facts_of(body))
    assert np.isfinite(angles.angle_rad[~away, 0]).all()
    assert not len(phases)
    assert not len(work)


@pytest.mark.parametrize(
    "points",
    [
        [p for p in Landmark if p >= Landmark.LEFT_KNEE],
        [p for p in Landmark if Landmark.LEFT_ELBOW <= p <= Landmark.RIGHT_THUMB],
        [p for p in Landmark if p.name.startswith("LEFT") and p >= Landmark.LEFT_KNEE],
        [p for p in Landmark if p >= Landmark.LEFT_HEEL],
        [p for p in Landmark if p < Landmark.LEFT_SHOULDER],
    ],
    ids=["legs", "arms", "left leg", "feet", "head"],
)
def test_a_part_of_the_body_is_never_seen(points):
    body = _squat()
    landmarks = landmarks_of(body)
    visibility = landmarks.visibility.copy()
    visibility[:, points] = 0.005  # the landmarker always gives a place, and says that it is invented
    _, angles, phases, work = _chain(replace(landmarks, visibility=visibility), facts_of(body))
    assert len(phases) == len(work)
    hidden = {point.name for point in points}
    for phase in phases:
        assert f"{phase.axis.side}_{phase.axis.joint}".upper() not in hidden
    if Landmark.LEFT_KNEE not in points:
        assert any(phase.axis.name == "left_knee_flexion" for phase in phases)
    assert np.isfinite(angles.angle_rad).any()


def test_a_gap_in_the_middle_of_a_squat():
    body = _squat()
    away = np.zeros(len(body), dtype=bool)
    away[75:95] = True
    _, _, phases, work = _chain(_without(landmarks_of(body), away, list(Landmark)), facts_of(body))
    hip = [(p.motion, w.working_group) for p, w in zip(phases, work) if p.axis.name == "right_hip_flexion"]
    assert (Motion.FLEXION, "hip extensors") in hip
    assert (Motion.EXTENSION, "hip extensors") in hip
    assert all(p.stop <= 75 or p.start >= 95 for p in phases)


def test_standing_for_half_a_second_is_nothing():
    body = posed_body(clock(0.5), {})
    *_, phases, work = _chain(landmarks_of(body), facts_of(body))
    assert not len(phases)
    assert not len(work)
