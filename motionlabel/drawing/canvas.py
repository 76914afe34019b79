"""The annotated picture of a clip in pixels: its size, the body in it and the theme's sizes."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from motionlabel.anatomy import Course
from motionlabel.drawing.geometry import stature_px
from motionlabel.drawing.parts import CAUTION_S
from motionlabel.drawing.space import Space, space_of
from motionlabel.drawing.theme import Theme
from motionlabel.drawing.typeset import Measures, measures, set_number
from motionlabel.drawing.wording import degrees_text
from motionlabel.records import Array, Study


@dataclass(frozen=True, eq=False)
class Canvas:
    """The annotated picture and the body in it.

    Attributes
    ----------
    study, theme
        What was found; how it looks.
    width, height
        Pixels of the annotated picture.
    scale
        Pixels of it for one pixel of the clip.
    course
        Names and words of the labels.
    """

    study: Study
    theme: Theme
    width: int
    height: int
    scale: int
    course: Course

    @cached_property
    def points(self) -> Array:
        """(F, L, 2) landmarks in pixels of the annotated picture."""
        return (self.study.landmarks.image_px.astype(np.float64) + 0.5) * self.scale - 0.5

    @cached_property
    def shorter(self) -> int:
        """Shorter side, pixels."""
        return min(self.width, self.height)

    @cached_property
    def stature(self) -> float:
        """Body height in pixels; that of the shorter side where nobody was measured."""
        height = stature_px(self.study, self.scale)
        return height if np.isfinite(height) and height > 0 else float(self.shorter)

    @cached_property
    def sizes(self) -> Measures:
        """The theme's sizes in pixels."""
        return measures(self.theme, self.shorter)

    @property
    def line_px(self) -> float:
        """Width of lines."""
        return self.theme.line_width * self.shorter

    @property
    def number_px(self) -> float:
        """Radius about the middle of a number that cards keep free."""
        return set_number(degrees_text(-100), self.sizes.text, self.theme, self.theme.text).width * 0.42

    @cached_property
    def caution_frames(self) -> int:
        """Number of frames during which the caution is shown."""
        return int((self.study.landmarks.time_s < CAUTION_S).sum())

    def space(self, start: int, stop: int) -> Space:
        """Return what the body needs from frame ``start`` up to ``stop``."""
        key = (start, stop)
        if key not in self._spaces:
            self._spaces[key] = self._space(start, stop)
        return self._spaces[key]

    @cached_property
    def _spaces(self) -> dict[tuple[int, int], Space]:
        return {}

    def _space(self, start: int, stop: int) -> Space:
        return space_of(self.points[start:stop], self.stature, self.width, self.height)
