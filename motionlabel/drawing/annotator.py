"""The annotated picture of each frame: decides all places once, then only paints."""

import math

import numpy as np
from numpy.typing import NDArray

from motionlabel.drawing.plan import LabelOptions
from motionlabel.drawing.theme import Theme
from motionlabel.records import Frame, Study

SMALLEST_SIDE_PX = 360
"""Clips with a shorter side below this are enlarged, so that text can be read. *Source*: own convention."""


def enlargement(width: int, height: int) -> int:
    """Return the whole number by which a picture is enlarged to reach ``SMALLEST_SIDE_PX``."""
    return max(1, math.ceil(SMALLEST_SIDE_PX / min(width, height)))


def output_size(width: int, height: int) -> tuple[int, int]:
    """Return width and height of the annotated picture: enlarged where small, odd sides one pixel longer."""
    times = enlargement(width, height)
    return width * times + width * times % 2, height * times + height * times % 2


class Annotator:
    """Draws the labels of one study on its frames.

    Parameters
    ----------
    study
        What was found in the clip.
    theme
        Colours and sizes.
    options
        Detail and focus of the labels.
    caution
        Whether the caution is laid over the first seconds.
    """

    def __init__(self, study: Study, theme: Theme, options: LabelOptions, caution: bool = True) -> None:
        self.size = output_size(study.video.width, study.video.height)

    def paint(self, frame: Frame) -> NDArray[np.uint8]:
        """Return the annotated picture, (H, W, 3) uint8 BGR of ``self.size``; may draw into the frame's own image."""
        return frame.image
