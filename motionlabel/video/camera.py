"""Pictures of a camera as they come."""

import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from types import TracebackType
from typing import Self

import cv2
import numpy as np

from motionlabel.errors import CameraError
from motionlabel.records import Frame, VideoFacts

_USUAL_FPS = 30.0  # of a camera that does not tell. Source: common practice, no source


class CameraSource:
    """Frames of a camera; their time counts from the first one, by the computer's clock.

    Parameters
    ----------
    index
        Number of the camera, from 0.
    size
        Width and height to ask for, pixels; the camera may give others.
    connect
        Opens it; another one in tests.

    Raises
    ------
    CameraError
        There is no such camera, it is busy, or it is unplugged meanwhile.
    """

    def __init__(
        self,
        index: int = 0,
        size: tuple[int, int] | None = None,
        connect: Callable[[int], cv2.VideoCapture] = cv2.VideoCapture,
    ) -> None:
        self._index = index
        self._capture = connect(index)
        if not self._capture.isOpened():
            self._capture.release()
            raise CameraError(_why_not(index))
        if size is not None:
            self._capture.set(cv2.CAP_PROP_FRAME_WIDTH, size[0])
            self._capture.set(cv2.CAP_PROP_FRAME_HEIGHT, size[1])
        # old pictures are of no use
        self._capture.set(cv2.CAP_PROP_BUFFERSIZE, 1)

    @property
    def facts(self) -> VideoFacts:
        """What the camera tells of itself; it has no end."""
        fps = self._capture.get(cv2.CAP_PROP_FPS) or _USUAL_FPS
        return VideoFacts(
            name=f"camera {self._index}",
            width=round(self._capture.get(cv2.CAP_PROP_FRAME_WIDTH)),
            height=round(self._capture.get(cv2.CAP_PROP_FRAME_HEIGHT)),
            rate=(round(fps * 1000), 1000),
            duration_s=float("inf"),
            has_sound=False,
            sha256="",
        )

    def __iter__(self) -> Iterator[Frame]:
        """Yield frames until the camera fails; then a ``CameraError``."""
        index, began_s, last_s = 0, 0.0, -1.0
        while True:
            there, image = self._capture.read()
            if not there:
                raise CameraError(f"Camera {self._index} gives no picture any more: plug it in again.")
            began_s = began_s if index else time.monotonic()
            time_s = max(time.monotonic() - began_s, last_s + 1e-4)
            yield Frame(np.asarray(image, dtype=np.uint8), index, time_s)
            last_s = time_s
            index += 1

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._capture.release()


def camera_is_there(index: int = 0) -> bool:
    """Tell whether a camera can be opened; it is let go at once.

    Parameters
    ----------
    index
        Number of the camera, from 0.
    """
    capture = cv2.VideoCapture(index)
    try:
        return bool(capture.isOpened())
    finally:
        capture.release()


def _why_not(index: int) -> str:
    if sys.platform.startswith("linux"):
        if not Path(f"/dev/video{index}").exists():
            return f"There is no camera {index}: plug one in, or name another with --camera."
        return f"Camera {index} is busy or not permitted: close the program that uses it."
    return f"Camera {index} cannot be opened: plug it in, and close other programs that use it."
