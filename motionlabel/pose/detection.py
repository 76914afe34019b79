"""The detection pass: a clip decoded and detected in two halves at once."""

import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial

import numpy as np
from numpy.typing import NDArray

from motionlabel.body import Landmark
from motionlabel.pose.backend import Detection, PoseBackend
from motionlabel.pose.clearing import cleared
from motionlabel.pose.gate import gated
from motionlabel.records import LandmarkTrack
from motionlabel.video.file import FileSource
from motionlabel.video.overlap import read_ahead
from motionlabel.video.worker import POLL_S, Worker

Progress = Callable[[int, int], None]

_SPLIT_FRAMES = 150  # shorter clips do not repay a second landmarker
_OVERLAP_FRAMES = 15  # longer than the 5-6 frames in which the landmarker's own smoothing settles
# Source of the above: measured on demo_clips


@dataclass
class Part:
    """Consecutive frames of a clip and what was found in them; filled by one thread.

    Attributes
    ----------
    start, stop
        Half-open range of frames.
    time_s
        Times of the decoded frames.
    found
        One for each of them; ``None`` = nobody.
    """

    start: int
    stop: int
    time_s: list[float] = field(default_factory=list)
    found: list[Detection | None] = field(default_factory=list)


def parts_of(frames: int) -> list[Part]:
    """Split a clip: by its length only, so that the result is the same on every machine."""
    if frames < _SPLIT_FRAMES:
        return [Part(0, frames)]
    return [Part(0, frames // 2), Part(frames // 2, frames)]


def detect_clip(
    source: FileSource,
    backend: Callable[[], PoseBackend],
    look: Callable[[int, float, NDArray[np.uint8]], None] | None,
    stop: threading.Event,
    progress: Progress | None = None,
) -> LandmarkTrack:
    """Run a landmarker of its own over each part of a clip.

    Parameters
    ----------
    source
        The clip.
    backend
        Makes a landmarker; called in the thread that uses it.
    look
        Called with index, time and (cleared) picture of every frame, in the threads, in no fixed
        order between the parts.
    stop
        Ends the pass early when set by ``look``; the track then is incomplete.
    progress
        Called in the calling thread with frames done and frames in all.

    Returns
    -------
    Landmarks of the frames that could be decoded; NaN and visibility 0 where nobody was found.
    """
    parts = parts_of(len(source.time_s))
    size = source.facts.width, source.facts.height

    def work(part: Part) -> None:
        first = max(part.start - _OVERLAP_FRAMES, 0)
        # the last part goes on to whatever the decoder still gives
        last = part.stop if part is not parts[-1] else None
        with backend() as landmarker, read_ahead(map(cleared, source.frames(first, last))) as frames:
            for frame in frames:
                if stop.is_set():
                    return
                found = landmarker.detect(frame)
                if frame.index < part.start:
                    continue
                if look is not None:
                    look(frame.index, frame.time_s, frame.image)
                part.time_s.append(frame.time_s)
                part.found.append(gated(found, *size))

    workers = [Worker("detect", partial(work, part)) for part in parts]
    try:
        for worker in workers:
            worker.start()
        for worker in workers:
            while not worker.ended(POLL_S):
                _raise_first(workers)
                if progress is not None:
                    progress(sum(len(part.found) for part in parts), len(source.time_s))
    except BaseException:
        stop.set()
        raise
    finally:
        for worker in workers:
            worker.finish()
    _raise_first(workers)
    if progress is not None:
        progress(sum(len(part.found) for part in parts), len(source.time_s))
    return _track([t for part in parts for t in part.time_s], [d for part in parts for d in part.found])


def _raise_first(workers: list[Worker]) -> None:
    for worker in workers:
        if worker.error is not None:
            raise worker.error


def _track(time_s: list[float], found: list[Detection | None]) -> LandmarkTrack:
    points = len(Landmark)
    image_px = np.full((len(found), points, 2), np.nan, dtype=np.float32)
    world_m = np.full((len(found), points, 3), np.nan, dtype=np.float32)
    visibility = np.zeros((len(found), points), dtype=np.float32)
    for row, detection in enumerate(found):
        if detection is not None:
            image_px[row], world_m[row] = detection.image_px, detection.world_m
            visibility[row] = detection.visibility
    return LandmarkTrack(np.array(time_s, dtype=np.float64), image_px, world_m, visibility)
