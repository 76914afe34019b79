"""What every source and every sink of pictures can do."""

from collections.abc import Iterator
from types import TracebackType
from typing import Protocol, Self

import numpy as np
from numpy.typing import NDArray

from motionlabel.records import Frame, VideoFacts

Image = NDArray[np.uint8]
"""(H, W, 3) uint8, BGR, upright."""


class FrameSource(Protocol):
    """Frames in order of time; a context manager that may be iterated more than once.

    Each iteration begins again with the first frame. Only one frame is held at a time.
    """

    @property
    def facts(self) -> VideoFacts:
        """What is known of the video."""

    def __iter__(self) -> Iterator[Frame]: ...

    def __enter__(self) -> Self: ...

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None: ...


class FrameSink(Protocol):
    """Takes pictures of one size, one for each slot of a constant rate (see ``frame_slots``).

    A context manager: leaving it closes it, leaving it with an error discards what was written.
    """

    def write(self, image: Image) -> None:
        """Take the next picture; a ``ValueError`` if its size is not the sink's."""

    def close(self) -> None:
        """Finish; what was written is whole afterwards."""

    def discard(self) -> None:
        """Give up; nothing is left behind."""

    def __enter__(self) -> Self: ...

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None: ...
