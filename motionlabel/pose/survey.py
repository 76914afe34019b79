"""Samples of a clip in which everybody is looked for."""

import threading
from pathlib import Path
from types import TracebackType
from typing import Self

import numpy as np

from motionlabel.pose.gate import gated
from motionlabel.pose.landmarker import PeopleFinder
from motionlabel.pose.people import Sighting, seen_together, separate
from motionlabel.video.stream import Image

# One sample costs about 25 ms, a detected frame 9 to 17 ms. Source: measured on demo_clips
_FRAMES_PER_SAMPLE = 30
_FEWEST, _MOST = 3, 24
_GOLDEN = (5**0.5 - 1) / 2


def sampled_frames(frames: int, samples: int | None = None) -> frozenset[int]:
    """Choose frames over the whole clip: one in each equal span, the first one included.

    Their places within the spans are spread unevenly, so that no repetition of the exercise is
    always met in the same position.

    Parameters
    ----------
    frames
        Frames of the clip.
    samples
        How many; ``None`` = about one a second, 3 to 24.
    """
    count = min(samples or int(np.clip(frames // _FRAMES_PER_SAMPLE, _FEWEST, _MOST)), frames)
    steps = np.arange(count)
    return frozenset(np.floor((steps + steps * _GOLDEN % 1.0) * frames / max(count, 1)).astype(int).tolist())


class Survey:
    """Looks for everybody in sampled frames; may be shown frames by several threads.

    Parameters
    ----------
    model
        Path of a ``.task`` file.
    samples
        Frames to look at.

    Attributes
    ----------
    several
        Set once several people were seen at once, in more than a single sample.
    """

    def __init__(self, model: Path, samples: frozenset[int]) -> None:
        self._finder = PeopleFinder(model)
        self._samples = samples
        self._sightings: list[Sighting] = []
        self._lock = threading.Lock()
        self.several = threading.Event()

    def look(self, index: int, time_s: float, image: Image) -> None:
        """Find everybody if the frame is one of the samples."""
        if index not in self._samples:
            return
        with self._lock:
            seen = [gated(person, image.shape[1], image.shape[0]) for person in self._finder.find(image)]
            people = separate([person for person in seen if person is not None])
            self._sightings.append(Sighting(index, time_s, tuple(people)))
            if len(self._samples) > 1 and seen_together(self._sightings) and len(self._sightings) > 1:
                self.several.set()

    @property
    def sightings(self) -> list[Sighting]:
        """What was seen, in order of time."""
        return sorted(self._sightings, key=lambda sighting: sighting.index)

    def __enter__(self) -> Self:
        self._finder.__enter__()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._finder.__exit__(kind, error, trace)
