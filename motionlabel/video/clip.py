"""A clip written through the encoder: H.264, with the sound of the original."""

from pathlib import Path
from types import TracebackType
from typing import Self

from motionlabel.video.stream import Image


class ClipSink:
    """Writes pictures as an mp4 clip: H.264, yuv420p, sound in step, ready to stream.

    The clip appears under its name when it is whole; until then it has a temporary name beside it.

    Parameters
    ----------
    path
        Where the clip goes; an older file of that name is replaced at the end.
    size
        Width and height of the pictures, pixels; odd ones are padded by one pixel.
    rate
        Frames per second, numerator and denominator.
    sound_from
        Clip whose sound is taken over; ``None`` = no sound.

    Raises
    ------
    CannotWriteError
        The folder cannot be written to, or the disk is full.
    MissingDependencyError
        The encoder is missing.
    """

    def __init__(
        self, path: Path, size: tuple[int, int], rate: tuple[int, int], sound_from: Path | None = None
    ) -> None:
        raise NotImplementedError

    def write(self, image: Image) -> None:
        """Write one picture (H, W, 3) uint8 BGR."""

    def close(self) -> None:
        """Finish the clip and give it its name."""

    def discard(self) -> None:
        """Stop and remove what was written."""

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if kind is None:
            self.close()
        else:
            self.discard()
