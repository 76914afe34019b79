"""Demo clips played in as a camera, with a simulated clock; and the recorded analysis of the same frames."""

from dataclasses import replace
from functools import cache

import numpy as np

from motionlabel.body import Motion
from motionlabel.kinematics import levelled_body, measure_angles, zero_by_standing
from motionlabel.live.analyst import Memory, Sight, looked, taken_in
from motionlabel.live.choice import choose
from motionlabel.live.reading import Reading
from motionlabel.mechanics import muscle_work
from motionlabel.movement import find_phases
from motionlabel.pose import Detection, model_path, smooth_track, track_clip
from motionlabel.pose.clearing import cleared
from motionlabel.pose.gate import gated
from motionlabel.pose.landmarker import Landmarker
from motionlabel.records import Study
from motionlabel.video import FileSource
from tests.truth_study import DEMO_CLIPS

PERIOD, DELAY = 3, 3
"""Frames between two readings, and frames that one takes: 0.1 and 0.1 s."""


@cache
def sights(name: str) -> tuple[Sight, ...]:
    """What the lite landmarker sees of a clip, frame by frame, as the mirror calls it."""
    with FileSource(DEMO_CLIPS / f"{name}.mp4") as source, Landmarker(model_path("lite")) as landmarker:
        size = source.facts.width, source.facts.height
        return tuple(Sight(frame.time_s, *size, gated(landmarker.detect(cleared(frame)), *size)) for frame in source)


def again(seen: tuple[Sight, ...], times: int) -> tuple[Sight, ...]:
    """The same clip over and over."""
    length_s = len(seen) * (seen[1].time_s - seen[0].time_s)
    return tuple(replace(sight, time_s=sight.time_s + turn * length_s) for turn in range(times) for sight in seen)


def readings(seen: tuple[Sight, ...]) -> list[Reading | None]:
    """The reading that the mirror has at each frame."""
    memory, arrived, shown, waiting = Memory(), None, [], []
    for number, sight in enumerate(seen):
        memory = taken_in(memory, sight)
        if number % PERIOD == 0:
            memory, reading = looked(memory)
            waiting.append((number + DELAY, reading))
        while waiting and waiting[0][0] <= number:
            arrived = waiting.pop(0)[1]
        shown.append(arrived)
    return shown


@cache
def recorded(name: str) -> Study:
    """The recorded analysis of a clip with the same model."""
    clip = DEMO_CLIPS / f"{name}.mp4"
    with FileSource(clip) as source:
        video = source.facts
    found = track_clip(clip, "lite")
    landmarks = smooth_track(found.landmarks)
    body = levelled_body(landmarks, video)
    angles = zero_by_standing(measure_angles(body), body)
    phases, work = muscle_work(body, angles, find_phases(angles, body))
    return Study(video, found.person, landmarks, body, angles, phases, work, "")


def agreement(name: str, lag_s: float, turns: int = 2) -> list[float]:
    """Share of the frames of each turn of a clip in which the first label says what the recorded analysis says.

    The same motion, group and contraction of that joint; a pause, or no label, where the recording says nothing.
    """
    study, seen = recorded(name), sights(name)
    all_seen, back = again(seen, turns), round(lag_s * study.video.fps)
    spoken, right = (), [[] for _ in range(turns)]
    for number, reading in enumerate(readings(all_seen)):
        if reading is None or number < back:
            continue
        spoken = choose(spoken, reading, all_seen[number].time_s - lag_s)
        turn, frame = divmod(number - back, len(seen))
        told = {
            phase.axis: (phase.motion, work.working_group, work.contraction)
            for phase, work in study.active(frame)
            if phase.motion is not Motion.HOLD or work.working_group is not None
        }
        if spoken:
            said = spoken[0].statement
            mine = None if said is None else (said.motion, said.work.working_group, said.work.contraction)
            right[turn].append(any(told.get(axis) == mine for axis in spoken[0].axes))
        else:
            right[turn].append(not any(group is not None for _, group, _ in told.values()))
    return [float(np.mean(shares)) for shares in right]


def somebody(image_px: np.ndarray | None = None) -> Detection:
    """A person who stands upright in a picture of 640 x 480."""
    seen = sights("standing_still")[5].seen
    assert seen is not None
    scaled = Detection(seen.image_px * 480 / 720 + np.array([80.0, 0.0]), seen.world_m, np.ones(33))
    return scaled if image_px is None else replace(scaled, image_px=image_px)
