"""Frames of a video file."""

from collections.abc import Iterator
from pathlib import Path
from types import TracebackType
from typing import Self

from motionlabel.records import Frame, VideoFacts


class FileSource:
    """Frames of a video file, upright, with the times of its container.

    Parameters
    ----------
    path
        The clip.
    facts
        What ``FileSource(path).facts`` told before; saves reading the file for them again.

    Raises
    ------
    UnreadableInputError
        The file is missing, is a folder, is no video, is damaged or holds no picture.
    """

    def __init__(self, path: Path, facts: VideoFacts | None = None) -> None:
        raise NotImplementedError

    @property
    def facts(self) -> VideoFacts:
        """What is known of the clip."""
        raise NotImplementedError

    def __iter__(self) -> Iterator[Frame]:
        raise NotImplementedError

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        return None
