"""A clip that plays in the place of a camera, over and over."""

import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from types import TracebackType
from typing import Self

import cv2
import numpy as np

from motionlabel.records import Frame, VideoFacts
from motionlabel.video.file import FileSource


class PlayedClip:
    """Frames of a clip, each when its time has come; after the last one it begins again.

    Parameters
    ----------
    path
        The clip.
    size
        Width and height that the pictures are brought to; ``None`` = their own.
    clock, sleep
        Time and waiting; others in tests.

    Raises
    ------
    UnreadableInputError
        The clip cannot be read.
    """

    def __init__(
        self,
        path: Path,
        size: tuple[int, int] | None = None,
        clock: Callable[[], float] = time.monotonic,
        sleep: Callable[[float], None] = time.sleep,
    ) -> None:
        self._clip = FileSource(path)
        self._size = size
        self._clock, self._sleep = clock, sleep
        own = self._clip.facts
        width, height = size or (own.width, own.height)
        self.facts: VideoFacts = replace(own, width=width, height=height, duration_s=float("inf"), has_sound=False)

    def __iter__(self) -> Iterator[Frame]:
        index, played_s, began_s = 0, 0.0, self._clock()
        while True:
            for frame in self._clip.frames():
                image = frame.image
                if self._size is not None and self._size != (image.shape[1], image.shape[0]):
                    image = _fitted(image, self._size)
                due_s = played_s + frame.time_s
                self._sleep(max(0.0, began_s + due_s - self._clock()))
                yield Frame(image, index, due_s)
                index += 1
            played_s += self._clip.facts.duration_s

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._clip.__exit__(kind, error, trace)


def _fitted(image: np.ndarray, size: tuple[int, int]) -> np.ndarray:
    """Return the whole picture inside another size, grey beside it."""
    width, height = size
    scale = min(width / image.shape[1], height / image.shape[0])
    inner = round(image.shape[1] * scale), round(image.shape[0] * scale)
    fitted = np.full((height, width, 3), 96, dtype=np.uint8)
    left, top = (width - inner[0]) // 2, (height - inner[1]) // 2
    fitted[top : top + inner[1], left : left + inner[0]] = cv2.resize(image, inner)
    return fitted
