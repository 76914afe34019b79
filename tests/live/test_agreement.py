"""What the mirror says against the recorded analysis of the same frames, and its lag."""

from dataclasses import replace

import numpy as np
import pytest

from motionlabel.live.reading import LAG_S
from motionlabel.live.session import Session, advanced
from tests.end_to_end.accuracy import true_repetitions
from tests.live.played import again, agreement, readings, recorded, sights
from tests.truth_study import DEMO_CLIPS, truth

CLIPS = sorted(path.stem for path in DEMO_CLIPS.glob("*.mp4"))


def test_the_lag_is_within_the_promise():
    assert LAG_S <= 0.3


def test_it_says_in_a_squat_what_the_recording_says():
    assert agreement("squat_side", LAG_S, turns=1)[0] >= 0.9


def test_still_standing_is_no_news():
    assert all(not reading.statements for reading in readings(sights("standing_still")) if reading is not None)


@pytest.mark.slow
def test_it_says_what_the_recording_says():
    shares = [agreement(name, LAG_S, turns=1)[0] for name in CLIPS]
    assert np.mean(shares) >= 0.9


@pytest.mark.slow
def test_the_lag_is_what_it_is_said_to_be():
    """What is said fits the recording best if it is set back by the lag, not by much less or more."""
    best = max((0.1, 0.2, 0.3, 0.4), key=lambda lag_s: _shifted("squat_side", lag_s))
    assert best == pytest.approx(LAG_S, abs=0.01)


def _shifted(name, lag_s):
    """Agreement of what is on the screen with the recording so much earlier."""
    study, seen = recorded(name), again(sights(name), 1)
    right = []
    for number, reading in enumerate(readings(seen)):
        frame = number - round(lag_s * study.video.fps)
        if reading is None or frame < 0:
            continue
        said = {one.axis: one.motion for one in reading.at(seen[number].time_s - LAG_S).statements}
        told = {phase.axis: phase.motion for phase, work in study.active(frame) if work.working_group is not None}
        right += [said.get(axis) == motion for axis, motion in told.items()]
    return np.mean(right)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "turns", "slower"),
    [
        ("squat_side", 2, 1.0),
        ("squat_side", 1, 2.0),  # longer than what is remembered
        ("elbow_curl_side", 1, 1.0),
        ("hip_abduction_front", 1, 1.0),
        ("front_kick_side", 1, 1.0),  # the knee bends twice in one kick
    ],
)
def test_repetitions_are_counted(name, turns, slower):
    state = Session(confirmed=True)
    seen = tuple(replace(sight, time_s=slower * sight.time_s) for sight in again(sights(name), turns))
    for sight, reading in zip(seen, readings(seen)):
        if reading is not None:
            state = advanced(state, reading, sight.time_s)
    assert state.tally.repetitions == turns * true_repetitions(truth(name))
