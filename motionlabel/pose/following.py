"""One of several people followed: the landmarker sees nobody else."""

from dataclasses import replace
from types import TracebackType
from typing import Self

import numpy as np

from motionlabel.pose.backend import Detection, PoseBackend
from motionlabel.pose.people import Outline, Person, outline
from motionlabel.records import Frame
from motionlabel.video.stream import Image

# Source of all: own convention
_GREY = 127
_MARGIN = 0.25  # of the person's size, round the last place
_LOST_MARGIN = 0.4  # round the place known from the samples
_FURTHEST = 0.2  # sizes from one frame to the next
_FURTHEST_LOST = 0.5  # sizes from the place known from the samples
_SIZE_RATIO = 2.0
_FORGET_S = 0.5  # after this long without the person the samples tell the place


class Follower:
    """A landmarker that is shown the chosen person only.

    Everything but the surroundings of the person's last place is blanked. A result that is not
    there or of another size is dropped, and the landmarker is made to look afresh.

    Parameters
    ----------
    backend
        The landmarker; its context is entered and left with this one's.
    person
        Where the person is in the sampled pictures.
    others
        The other people, likewise.
    """

    def __init__(self, backend: PoseBackend, person: Person, others: tuple[Person, ...] = ()) -> None:
        self._backend = backend
        self._person = person
        self._others = others
        self._last: Outline | None = None
        self._last_s = -np.inf
        self._afresh = False

    def detect(self, frame: Frame) -> Detection | None:
        """Return the chosen person's landmarks; ``None`` where the person is not seen."""
        if self._afresh:
            # a blank picture ends the landmarker's own tracking
            self._afresh = False
            self._backend.detect(replace(frame, image=np.full_like(frame.image, _GREY)))
            return None
        lost = self._last is None or frame.time_s - self._last_s > _FORGET_S
        sampled = self._person.outline_at(frame.time_s)
        place = sampled if lost or self._last is None else self._last
        shown = _only(frame.image, place, _LOST_MARGIN if lost else _MARGIN)
        found = self._backend.detect(replace(frame, image=shown))
        if found is None:
            return None
        here = outline(found)
        furthest = _FURTHEST_LOST if lost else _FURTHEST
        apart = float(np.linalg.norm(here.centre_px - place.centre_px)) / place.size_px
        alike = 1.0 / _SIZE_RATIO <= here.size_px / place.size_px <= _SIZE_RATIO
        if apart > furthest or not alike or self._is_another(here, frame.time_s):
            self._afresh, self._last = True, None
            return None
        self._last, self._last_s = here, frame.time_s
        return found

    def _is_another(self, here: Outline, time_s: float) -> bool:
        """Tell whether a place is another's and clearly not the person's, as the samples tell them."""
        own = float(np.linalg.norm(here.centre_px - self._person.outline_at(time_s).centre_px))
        if own < _FURTHEST_LOST * here.size_px:
            return False
        nearby = (other for other in self._others if other.time_s[0] <= time_s <= other.time_s[-1])
        return any(np.linalg.norm(here.centre_px - other.outline_at(time_s).centre_px) < 0.5 * own for other in nearby)

    def __enter__(self) -> Self:
        self._backend.__enter__()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._backend.__exit__(kind, error, trace)


def _only(image: Image, place: Outline, margin: float) -> Image:
    """Return a copy of a picture that is grey outside the surroundings of a place."""
    height, width = image.shape[:2]
    left, top = np.floor(place.box_px[:2] - margin * place.size_px).astype(int)
    right, bottom = np.ceil(place.box_px[2:] + margin * place.size_px).astype(int)
    rows = slice(min(max(top, 0), height), min(max(bottom, 0), height))
    columns = slice(min(max(left, 0), width), min(max(right, 0), width))
    shown = np.full_like(image, _GREY)
    shown[rows, columns] = image[rows, columns]
    return shown
