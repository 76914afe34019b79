"""The mirror's work for a long time: a looping clip, as fast as it goes, with a simulated clock."""

import time
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from motionlabel.drawing import DEFAULT_THEME, load_theme
from motionlabel.live.analyst import Memory, looked, taken_in
from motionlabel.live.practise import STARTERS, target_named
from motionlabel.live.reading import Reading
from motionlabel.live.scene import Scene, draw
from motionlabel.live.session import Mode, Session, advanced, in_mode
from motionlabel.pose.one_euro import smoothed
from tests.live.played import sights

READ_EVERY = 15
"""Frames between two readings: fewer than in truth, so that it takes minutes and not half an hour."""


@dataclass
class Soak:
    """Memory in use and time of a reading, at the beginning and at the end."""

    early_mb: float
    late_mb: float
    early_ms: float
    late_ms: float
    frames: int


def memory_mb() -> float:
    """Memory that this process holds."""
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * 4096 / 1e6


def soak(name: str, minutes: float) -> Soak:
    """Run the mirror's pure parts over a looping clip for so many minutes of its time."""
    seen, theme = sights(name), load_theme(DEFAULT_THEME)
    frames = round(minutes * 60 * 30)
    image = np.full((seen[0].height, seen[0].width, 3), 120, np.uint8)
    memory, reading, euro = Memory(), Reading(np.zeros(1)), None
    session = Session(tuple(target_named(text) for text in STARTERS), confirmed=True)
    held, took = [], []
    for number in range(frames):
        turn, row = divmod(number, len(seen))
        time_s = turn * len(seen) / 30 + seen[row].time_s
        sight = replace(seen[row], time_s=time_s)
        memory = taken_in(memory, sight)
        euro = smoothed(euro, time_s, sight.seen) if sight.seen is not None else euro
        if number % READ_EVERY == 0:
            began_s = time.process_time()
            memory, reading = looked(memory)
            took.append(time.process_time() - began_s)
            held.append(memory_mb())
        session = advanced(session, reading, time_s)
        if session.ended or number % 300 == 299:
            session = in_mode(session, (Mode.EXPLORE, Mode.PERFORM, Mode.IDENTIFY)[number // 300 % 3])
        if number % 5 == 0 and euro is not None:
            draw(image, Scene(session, reading, now_px=euro.detection.image_px), theme)
    fifth = max(1, len(held) // 5)
    return Soak(
        early_mb=float(np.median(held[fifth : 2 * fifth])),
        late_mb=float(np.median(held[-fifth:])),
        early_ms=float(np.median(took[fifth : 2 * fifth])) * 1000,
        late_ms=float(np.median(took[-fifth:])) * 1000,
        frames=frames,
    )
