"""A part of the picture, turned: what is found in it is told in pixels of the upright picture."""

from dataclasses import dataclass
from enum import IntEnum

import cv2
import numpy as np

from motionlabel.pose.backend import Detection
from motionlabel.records import Array
from motionlabel.video.stream import Image


class Turn(IntEnum):
    """Quarter turns of the picture, clockwise."""

    NONE = 0
    QUARTER = 1
    HALF = 2
    THREE_QUARTERS = 3


_ROTATIONS = {
    Turn.QUARTER: cv2.ROTATE_90_CLOCKWISE,
    Turn.HALF: cv2.ROTATE_180,
    Turn.THREE_QUARTERS: cv2.ROTATE_90_COUNTERCLOCKWISE,
}
# what takes a direction of the turned picture (x right, y down) back into the upright one
_BACK = {
    Turn.NONE: np.array([[1.0, 0.0], [0.0, 1.0]]),
    Turn.QUARTER: np.array([[0.0, 1.0], [-1.0, 0.0]]),
    Turn.HALF: np.array([[-1.0, 0.0], [0.0, -1.0]]),
    Turn.THREE_QUARTERS: np.array([[0.0, -1.0], [1.0, 0.0]]),
}


@dataclass(frozen=True, slots=True)
class View:
    """A part of the picture, and how it is turned.

    Attributes
    ----------
    left, top, right, bottom
        The part, pixels of the upright picture, half-open.
    turn
        How it is turned for the landmarker.
    """

    left: int
    top: int
    right: int
    bottom: int
    turn: Turn = Turn.NONE

    @property
    def size(self) -> tuple[int, int]:
        """Width and height of the turned part, pixels."""
        size = self.right - self.left, self.bottom - self.top
        return size[::-1] if self.turn % 2 else size

    def show(self, image: Image) -> Image:
        """Return the turned part of a picture (H, W, 3) uint8 BGR."""
        part = image[self.top : self.bottom, self.left : self.right]
        if self.turn is Turn.NONE:
            return np.ascontiguousarray(part)
        return np.asarray(cv2.rotate(part, _ROTATIONS[self.turn]), dtype=np.uint8)

    def upright(self, detection: Detection) -> Detection:
        """Return what was found in the turned part, in pixels and directions of the upright picture."""
        back = _BACK[self.turn]
        middle = np.array([self.left + self.right, self.top + self.bottom]) / 2.0
        world_m = detection.world_m.copy()
        world_m[:, :2] = world_m[:, :2] @ back.T
        return Detection(
            image_px=(detection.image_px - np.array(self.size) / 2.0) @ back.T + middle,
            world_m=world_m,
            visibility=detection.visibility,
        )


def around(box_px: Array, margin: float, width: int, height: int, turn: Turn = Turn.NONE) -> View:
    """Return the view of a place with room about it.

    Parameters
    ----------
    box_px
        (4,) left, top, right, bottom.
    margin
        Room on each side, in the box's longer side.
    width, height
        Pixels of the picture, which the view does not leave.
    turn
        Its turn.
    """
    room = margin * max(box_px[2] - box_px[0], box_px[3] - box_px[1])
    left, top = np.floor(box_px[:2] - room).astype(int).tolist()
    right, bottom = np.ceil(box_px[2:] + room).astype(int).tolist()
    left, top = min(max(left, 0), width - 2), min(max(top, 0), height - 2)
    return View(left, top, max(min(right, width), left + 2), max(min(bottom, height), top + 2), turn)
