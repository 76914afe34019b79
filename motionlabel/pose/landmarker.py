"""Landmarks from MediaPipe's pose landmarker (Tasks API); its types stay in this file."""

import threading
from contextlib import nullcontext
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import cv2
import mediapipe as mp
import numpy as np
from mediapipe.tasks.python import BaseOptions, vision

from motionlabel.body import Landmark
from motionlabel.errors import MissingDependencyError
from motionlabel.pose.backend import Detection
from motionlabel.pose.quiet import native_quiet
from motionlabel.records import Frame
from motionlabel.video.stream import Image

# The landmarker's own smoothing swings in over 5-6 frames; a person who appears is shown this
# often before the result counts. Source: measured on demo_clips.
_REPEATS = 6
_REPEAT_MS = 33
_MOST_PEOPLE = 5

# set once somebody was found in this process: the last native message comes with the first person
_spoken = threading.Event()


def _create(model: Path, mode: Any, people: int) -> Any:
    options = vision.PoseLandmarkerOptions(
        base_options=BaseOptions(model_asset_path=str(model)), running_mode=mode, num_poses=people
    )
    try:
        with native_quiet():
            return vision.PoseLandmarker.create_from_options(options)
    except (RuntimeError, ValueError) as error:
        raise MissingDependencyError(
            f"The landmark model {model} cannot be loaded: give a pose landmarker bundle (.task file)."
        ) from error


def _picture(image: Image) -> Any:
    # a picture of four channels would be taken silently and read wrongly
    if image.ndim != 3 or image.shape[2] != 3 or image.dtype != np.uint8:
        raise ValueError(f"image: wanted uint8 (H, W, 3), got {image.dtype} {image.shape}")
    return mp.Image(image_format=mp.ImageFormat.SRGB, data=cv2.cvtColor(image, cv2.COLOR_BGR2RGB))


def _detections(result: Any, image: Image) -> list[Detection]:
    size = np.array([image.shape[1], image.shape[0]], dtype=np.float64)
    found = []
    for points, world in zip(result.pose_landmarks, result.pose_world_landmarks):
        assert len(points) == len(Landmark)
        found.append(
            Detection(
                image_px=np.array([(p.x, p.y) for p in points]) * size,
                world_m=np.array([(p.x, p.y, p.z) for p in world]),
                visibility=np.array([p.visibility for p in points]),
            )
        )
    if found:
        _spoken.set()
    return found


class Landmarker:
    """Follows one person from frame to frame; one for each clip and thread.

    Parameters
    ----------
    model
        Path of a ``.task`` file.

    Raises
    ------
    MissingDependencyError
        The file is no pose landmarker.
    """

    def __init__(self, model: Path) -> None:
        self._native = _create(model, vision.RunningMode.VIDEO, 1)
        self._last_s = -1.0
        self._clock_ms = -1  # the landmarker wants whole, strictly increasing milliseconds
        self._ahead_ms = 0  # how far repeats have put its clock before the clip's
        self._seen = False

    def detect(self, frame: Frame) -> Detection | None:
        """Return the person's landmarks; ``None`` where nobody is seen."""
        if frame.time_s <= self._last_s:
            raise ValueError(f"frame at {frame.time_s} s comes after one at {self._last_s} s")
        self._last_s = frame.time_s
        picture = _picture(frame.image)
        found = self._look(picture, frame)
        if found and not self._seen:
            for _ in range(_REPEATS - 1):
                self._ahead_ms += _REPEAT_MS
                found = self._look(picture, frame)
        self._seen = bool(found)
        return found[0] if found else None

    def _look(self, picture: Any, frame: Frame) -> list[Detection]:
        self._clock_ms = max(self._clock_ms + 1, round(frame.time_s * 1000.0) + self._ahead_ms)
        with nullcontext() if _spoken.is_set() else native_quiet():
            return _detections(self._native.detect_for_video(picture, self._clock_ms), frame.image)

    def __enter__(self) -> Self:
        self._native.__enter__()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        with native_quiet():
            self._native.__exit__(kind, error, trace)


class PeopleFinder:
    """Finds up to five people in single pictures, without memory between them.

    Parameters
    ----------
    model
        Path of a ``.task`` file.
    """

    def __init__(self, model: Path) -> None:
        self._native = _create(model, vision.RunningMode.IMAGE, _MOST_PEOPLE)

    def find(self, image: Image) -> list[Detection]:
        """Return everybody in a picture (H, W, 3) uint8 BGR, in no order."""
        with nullcontext() if _spoken.is_set() else native_quiet():
            return _detections(self._native.detect(_picture(image)), image)

    def __enter__(self) -> Self:
        self._native.__enter__()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        with native_quiet():
            self._native.__exit__(kind, error, trace)
