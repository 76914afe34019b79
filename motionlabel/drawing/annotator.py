"""The annotated picture of each frame: decides all places once, then only paints."""

import math

import cv2
import numpy as np

from motionlabel.anatomy import Course, whole_course
from motionlabel.drawing.canvas import Canvas
from motionlabel.drawing.layout import lay_out
from motionlabel.drawing.painter import Image, paint
from motionlabel.drawing.parts import Instant, OverlayPart
from motionlabel.drawing.plan import Label, LabelOptions
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

    All cards are set and placed on construction; ``paint`` only paints.

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
    course
        Names and words of the labels; ``None`` = the whole atlas in its own words.

    Attributes
    ----------
    size
        Width and height of the annotated picture, see ``output_size``.
    parts
        What is drawn, those in front last.
    left_out
        Labels for which there was no room, for as long as they say.
    """

    def __init__(
        self,
        study: Study,
        theme: Theme,
        options: LabelOptions,
        caution: bool = True,
        course: Course | None = None,
    ) -> None:
        self.size = output_size(study.video.width, study.video.height)
        scale = enlargement(study.video.width, study.video.height)
        canvas = Canvas(study, theme, *self.size, scale, course or whole_course())
        layout = lay_out(canvas, options, caution)
        self.parts: tuple[OverlayPart, ...] = layout.parts
        self.left_out: tuple[Label, ...] = layout.left_out
        self._study, self._theme = study, theme

    def paint(self, frame: Frame) -> Image:
        """Return the annotated picture, (H, W, 3) uint8 BGR of ``size``; may draw into the frame's own image.

        Frames without a person, and frames after the last one of the study, stay as they are.

        Raises
        ------
        ValueError
            When the frame is not as large as the clip of the study.
        """
        image = self._fitted(frame.image)
        instant = Instant(self._study, frame.index, frame.time_s)
        for part in self.parts:
            paint(image, part.place(instant, self._theme))
        return image

    def _fitted(self, image: Image) -> Image:
        video = self._study.video
        if image.shape != (video.height, video.width, 3) or image.dtype != np.uint8:
            raise ValueError(f"wanted a BGR picture of {video.width} x {video.height}, got shape {image.shape}")
        times = enlargement(video.width, video.height)
        if times > 1:
            image = np.asarray(cv2.resize(image, None, fx=times, fy=times, interpolation=cv2.INTER_CUBIC), np.uint8)
        width, height = self.size
        below, right = height - image.shape[0], width - image.shape[1]
        if below or right:
            image = np.asarray(cv2.copyMakeBorder(image, 0, below, 0, right, cv2.BORDER_REPLICATE), np.uint8)
        return image if image.flags.writeable and image.flags.c_contiguous else image.copy()
