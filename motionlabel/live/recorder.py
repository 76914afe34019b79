"""The recording that the student asks for: the camera's own pictures, written in a thread of its own."""

import queue
import time
from dataclasses import dataclass
from pathlib import Path

from motionlabel.errors import MotionLabelError
from motionlabel.records import Frame
from motionlabel.video import ClipSink
from motionlabel.video.stream import Image
from motionlabel.video.worker import Worker

_RATE = 30  # pictures a second of the clip: own convention
_WAITING = 30  # pictures that may wait for the encoder; more are left out, the one before stands longer
_LONGEST_GAP = 10 * _RATE  # a camera that was away is shown standing for so many pictures at most


@dataclass(frozen=True, slots=True)
class _Slot:
    number: int
    image: Image


class Recorder:
    """Writes one clip; it appears under its name when it is whole.

    Parameters
    ----------
    folder
        Where it goes; its name tells when it began.
    size
        Width and height of the pictures.
    """

    def __init__(self, folder: Path, size: tuple[int, int]) -> None:
        self.path = _free_name(folder)
        self.size = size
        self._line: queue.Queue[_Slot | None] = queue.Queue(_WAITING)
        self._began_s: float | None = None
        self._last = -1
        self._worker = Worker("recorder", self._write)
        self._worker.start()

    @property
    def problem(self) -> str | None:
        """What stopped the recording, in a sentence; ``None`` = nothing."""
        error = self._worker.error
        if error is None or isinstance(error, MotionLabelError):
            return None if error is None else str(error)
        raise error

    def take(self, frame: Frame) -> None:
        """Take the next picture; it is copied."""
        if self._began_s is None:
            self._began_s = frame.time_s
        number = round((frame.time_s - self._began_s) * _RATE)
        if number <= self._last or self._worker.ended():
            return
        try:
            self._line.put_nowait(_Slot(number, frame.image.copy()))
        except queue.Full:
            return
        self._last = number

    def finish(self) -> str | None:
        """Wait until the clip is whole; return what went wrong, ``None`` = nothing."""
        while not self._worker.ended():
            try:
                self._line.put(None, timeout=0.1)
                break
            except queue.Full:
                continue
        self._worker.finish()
        return self.problem

    def _write(self) -> None:
        with ClipSink(self.path, self.size, (_RATE, 1)) as sink:
            last: _Slot | None = None
            while (slot := self._line.get()) is not None:
                if last is not None:
                    for _ in range(min(slot.number - last.number, _LONGEST_GAP) - 1):
                        sink.write(last.image)
                sink.write(slot.image)
                last = slot


def _free_name(folder: Path) -> Path:
    stem = time.strftime("mirror-%Y%m%d-%H%M%S")
    path, number = folder / f"{stem}.mp4", 2
    while path.exists():
        path, number = folder / f"{stem}-{number}.mp4", number + 1
    return path
