"""Landmarks that were found before, given out again."""

from types import TracebackType
from typing import Self

import numpy as np

from motionlabel.pose.backend import Detection
from motionlabel.records import Frame, LandmarkTrack


class Replay:
    """A stored track in the place of a landmarker.

    Parameters
    ----------
    track
        Landmarks; a frame gets those of the nearest time.
    """

    def __init__(self, track: LandmarkTrack) -> None:
        self._track = track
        self._last_s = -1.0

    def detect(self, frame: Frame) -> Detection | None:
        """Return the stored landmarks; ``None`` where nobody was found."""
        if frame.time_s <= self._last_s:
            raise ValueError(f"frame at {frame.time_s} s comes after one at {self._last_s} s")
        self._last_s = frame.time_s
        row = int(np.argmin(np.abs(self._track.time_s - frame.time_s)))
        if not self._track.present[row]:
            return None
        track = self._track
        return Detection(track.image_px[row], track.world_m[row], track.visibility[row])

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        return None
