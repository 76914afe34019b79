"""What keeps the mirror from seeing the person, and the sentence that says what to do."""

from dataclasses import dataclass
from enum import Enum

import numpy as np

from motionlabel.body import Landmark
from motionlabel.pose import Detection
from motionlabel.video.stream import Image

_BLACK = 12.0  # the lightest pixels of a covered lens stay below, of 255
_DARK = 70.0
_EVERY = 16  # pixels from one that is looked at to the next
_EDGE = 0.01  # share of the shorter side
_WAIT_S = 0.7  # a trouble is told once it has lasted so long
_GONE_S = 0.5  # and gone once it has been away so long
# Source of all: own convention


class Trouble(Enum):
    """One trouble each; the value is its sentence."""

    BLACK = "The picture is black: open the camera's lid or shutter."
    DARK = "It is too dark to see you well: put on a light in front of you."
    NOBODY = "I see nobody: step in front of the camera."
    SEVERAL = "I see more than one person: only one should be in the picture."
    FEET = "Step back: I need your feet."
    HEAD = "Step back, or tilt the camera: I need your head."
    STALLED = "The camera gives no new picture: wait, or plug it in again."


@dataclass(frozen=True, slots=True)
class Watch:
    """Troubles over time, so that a flicker is not told.

    Attributes
    ----------
    shown
        What is told now.
    other
        What was noticed last and is not told, or no longer; ``None`` = nothing is wrong.
    since_s
        Since when.
    """

    shown: Trouble | None = None
    other: Trouble | None = None
    since_s: float = 0.0


def watched(watch: Watch, noticed: Trouble | None, now_s: float) -> Watch:
    """Return the watch after one more frame in which something, or nothing, was noticed."""
    if noticed is watch.shown:
        return Watch(watch.shown, watch.shown, now_s)
    if noticed is not watch.other or watch.since_s == 0.0:
        return Watch(watch.shown, noticed, now_s)
    lasts_s = _GONE_S if noticed is None else _WAIT_S
    return Watch(noticed, noticed, now_s) if now_s - watch.since_s >= lasts_s else watch


def notice(image: Image, seen: Detection | None, people: int) -> Trouble | None:
    """Say what is wrong in one frame; what has to be mended first comes first.

    Parameters
    ----------
    image
        (H, W, 3) uint8 BGR as the camera gave it.
    seen
        The person's landmarks.
    people
        How many people were counted last.
    """
    light = float(np.percentile(image[::_EVERY, ::_EVERY].max(axis=2), 95.0))
    if light < _BLACK:
        return Trouble.BLACK
    if light < _DARK:
        return Trouble.DARK
    if seen is None:
        return Trouble.NOBODY
    if people > 1:
        return Trouble.SEVERAL
    return _half_in_view(seen, image.shape[1], image.shape[0])


def _half_in_view(seen: Detection, width: int, height: int) -> Trouble | None:
    def outside(*landmarks: Landmark) -> bool:
        points, sure = seen.image_px[list(landmarks)], seen.visibility[list(landmarks)]
        margin = _EDGE * min(width, height)
        inside = (points > margin) & (points < np.array([width, height]) - margin)
        return not (inside.all(axis=1) & (sure > 0.0)).any()

    if outside(Landmark.LEFT_ANKLE, Landmark.RIGHT_ANKLE) or outside(Landmark.LEFT_HEEL, Landmark.RIGHT_HEEL):
        return Trouble.FEET
    if outside(Landmark.NOSE, Landmark.LEFT_EAR, Landmark.RIGHT_EAR):
        return Trouble.HEAD
    return None
