"""Frames that are in memory already, and a sink that keeps them: stills and tests."""

from collections.abc import Iterator, Sequence
from types import TracebackType
from typing import Self

from motionlabel.records import Frame, VideoFacts
from motionlabel.video.stream import Image


class MemorySource:
    """A few frames held in memory.

    Parameters
    ----------
    frames
        Frames of one size, in order.
    facts
        What to tell of them.
    """

    def __init__(self, frames: Sequence[Frame], facts: VideoFacts) -> None:
        self._frames = frames
        self.facts = facts

    def __iter__(self) -> Iterator[Frame]:
        return iter(self._frames)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        return None


class MemorySink:
    """Keeps copies of the pictures in ``images``.

    Parameters
    ----------
    width, height
        Size of the pictures, pixels.
    """

    def __init__(self, width: int, height: int) -> None:
        self._shape = (height, width, 3)
        self.images: list[Image] = []

    def write(self, image: Image) -> None:
        """Keep a copy of a picture."""
        if image.shape != self._shape:
            raise ValueError(f"image: wanted shape {self._shape}, got {image.shape}")
        self.images.append(image.copy())

    def close(self) -> None:
        """Do nothing: the pictures stay."""

    def discard(self) -> None:
        """Forget the pictures."""
        self.images.clear()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if kind is not None:
            self.discard()
