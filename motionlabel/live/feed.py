"""The newest picture of the camera, and what is wrong with the camera."""

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, replace

from motionlabel.errors import CameraError
from motionlabel.records import Frame
from motionlabel.video import FrameSource
from motionlabel.video.worker import Worker

_AGAIN_S = 1.0  # a camera that failed is tried again so often: own convention
_STALLED_S = 1.5  # a camera that gives nothing for so long is said to stall: own convention


@dataclass(frozen=True, slots=True)
class Shot:
    """A picture and when it came.

    Attributes
    ----------
    frame
        The picture; its time is that of the feed's own clock.
    captured_s
        When it came, ``time.monotonic``.
    """

    frame: Frame
    captured_s: float


class Feed:
    """Reads a camera in a thread of its own and keeps only the newest picture.

    A camera that is missing, busy or unplugged is tried again until it gives pictures.

    Parameters
    ----------
    connect
        Opens the source.
    """

    def __init__(self, connect: Callable[[], FrameSource]) -> None:
        self._connect = connect
        self._news = threading.Condition()
        self._stop = threading.Event()
        self._shot: Shot | None = None
        self._trouble: str | None = None
        self._dropped = 0
        self._worker = Worker("camera", self._run)

    @property
    def dropped(self) -> int:
        """Pictures that were replaced by newer ones before anybody took them."""
        return self._dropped

    def newest(self, within_s: float) -> Shot | str | None:
        """Return the newest picture not taken yet, or what is wrong; ``None`` if neither comes in time."""
        with self._news:
            self._news.wait_for(lambda: self._shot is not None or self._trouble is not None, within_s)
            shot, self._shot = self._shot, None
            if self._worker.error is not None:
                raise self._worker.error
            return shot if shot is not None else self._trouble

    def _run(self) -> None:
        began_s = time.monotonic()
        index = 0
        while not self._stop.is_set():
            try:
                # the one place where an error is shown and not raised: a camera may come back
                with self._connect() as source:
                    for frame in source:
                        if self._stop.is_set():
                            return
                        now_s = time.monotonic()
                        self._publish(Shot(replace(frame, index=index, time_s=now_s - began_s), now_s))
                        index += 1
            except CameraError as error:
                self._report(str(error))
                self._stop.wait(_AGAIN_S)

    def _publish(self, shot: Shot) -> None:
        with self._news:
            self._dropped += self._shot is not None
            self._shot, self._trouble = shot, None
            self._news.notify()

    def _report(self, trouble: str) -> None:
        with self._news:
            self._shot, self._trouble = None, trouble
            self._news.notify()

    def __enter__(self) -> "Feed":
        self._worker.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._stop.set()
        # a driver that hangs must not keep the program from ending
        self._worker.ended(_STALLED_S)
