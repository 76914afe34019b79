"""Frames of a video file."""

import hashlib
import os
from collections.abc import Iterator
from functools import cached_property
from pathlib import Path
from types import TracebackType
from typing import Self

# both are read once, when the first file is opened: no native messages, no address but files
os.environ.setdefault("OPENCV_FFMPEG_LOGLEVEL", "-8")
os.environ.setdefault("OPENCV_FFMPEG_CAPTURE_OPTIONS", "protocol_whitelist;file")

import cv2
import numpy as np

from motionlabel.errors import UnreadableInputError
from motionlabel.records import Array, Frame, VideoFacts
from motionlabel.video.container import Container, read_container
from motionlabel.video.timing import nominal_rate

cv2.utils.logging.setLogLevel(cv2.utils.logging.LOG_LEVEL_SILENT)

_SEEK_GAIN = 30  # frames; skipping fewer by decoding them is as fast as a jump


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
        self.path = Path(path)
        self._closed = False
        self.facts = facts or self._read_facts()

    @cached_property
    def container(self) -> Container:
        """Streams and picture times, as the container lists them."""
        return read_container(self.path)

    @property
    def time_s(self) -> Array:
        """(F,) listed times of the pictures, seconds; a damaged clip may decode to fewer."""
        return self.container.time_s

    def frames(self, start: int = 0, stop: int | None = None) -> Iterator[Frame]:
        """Decode the frames from ``start`` up to, not including, ``stop``.

        The iterator owns its decoder: several may run at once, each in its own thread.
        """
        capture = self._open()
        try:
            index = self._skip(capture, start)
            last_s = -1.0
            while not self._closed and (stop is None or index < stop):
                there, image = capture.read()
                if not there:
                    return
                # the time belongs to the frame only after it was read
                time_s = capture.get(cv2.CAP_PROP_POS_MSEC) / 1000.0
                if time_s <= last_s:  # a container without usable times: count on at its rate
                    time_s = last_s + 1.0 / self.facts.fps
                yield Frame(np.asarray(image, dtype=np.uint8), index, time_s)
                last_s = time_s
                index += 1
        finally:
            capture.release()

    def __iter__(self) -> Iterator[Frame]:
        return self.frames()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._closed = True

    def _open(self) -> cv2.VideoCapture:
        capture = cv2.VideoCapture(str(self.path.resolve()), cv2.CAP_FFMPEG)
        if not capture.isOpened():
            capture.release()
            raise UnreadableInputError(
                f"{self.path} cannot be decoded: export it again, as an mp4 clip with H.264 pictures."
            )
        return capture

    def _skip(self, capture: cv2.VideoCapture, start: int) -> int:
        """Bring the decoder to frame ``start``: by a jump that is proved by its time, or by decoding."""
        if start >= _SEEK_GAIN and start < len(self.time_s):
            # land one frame early: only a grabbed frame tells where the decoder is
            capture.set(cv2.CAP_PROP_POS_FRAMES, start - 1)
            landed = capture.grab()
            time_s = capture.get(cv2.CAP_PROP_POS_MSEC) / 1000.0
            before, after = self.time_s[start - 1], self.time_s[start]
            if landed and abs(time_s - before) < 0.25 * (after - before):
                return start
            capture.open(str(self.path.resolve()), cv2.CAP_FFMPEG)
        for _ in range(start):
            if not capture.grab():
                break
        return start

    def _read_facts(self) -> VideoFacts:
        container = self.container
        capture = self._open()
        try:
            there, image = capture.read()
        finally:
            capture.release()
        if not there:
            raise UnreadableInputError(f"{self.path} holds no picture that can be decoded: export the clip again.")
        height, width = image.shape[:2]
        with self.path.open("rb") as file:
            checksum = hashlib.file_digest(file, "sha256").hexdigest()
        return VideoFacts(
            name=self.path.name,
            width=width,
            height=height,
            rate=nominal_rate(container.time_s),
            duration_s=container.duration_s,
            has_sound=container.sound_codec is not None,
            missing_s=container.missing_s,
            sha256=checksum,
        )
