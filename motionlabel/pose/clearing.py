"""Dark and grainy pictures made clear before the landmarker sees them."""

from dataclasses import replace

import cv2
import numpy as np

from motionlabel.records import Frame
from motionlabel.video.stream import Image

_EVERY = 16  # pixels from one that is looked at to the next
_DARK = 115.0  # where 19 of 20 pixels are darker than this the picture is brightened
_BRIGHT = 230.0  # what the lightest of them then are
_MOST_GAIN = 4.0
_GRAINY = 12.0  # standard deviation of the noise once the picture is bright, of 255
_BLUR = 1.0 / 480.0  # standard deviation of the blur against the shorter side
# Source of the above: measured on darkened and noisy copies of demo_clips


def cleared(frame: Frame) -> Frame:
    """Return a frame brightened if it is dark, and softened if it is grainy then; else itself.

    The landmarker was taught on well-lit pictures: in dark noise it exchanges legs and loses people.
    """
    image = frame.image
    light = float(np.percentile(image[::_EVERY, ::_EVERY].max(axis=2), 95.0))
    gain = 1.0 if light >= _DARK else min(_BRIGHT / max(light, 1.0), _MOST_GAIN)
    grainy = _grain(image) * gain >= _GRAINY
    if gain == 1.0 and not grainy:
        return frame
    soft = cv2.GaussianBlur(image, (0, 0), max(_BLUR * min(image.shape[:2]), 0.5)) if grainy else image
    return replace(frame, image=np.asarray(cv2.convertScaleAbs(soft, alpha=gain), dtype=np.uint8))


def _grain(image: Image) -> float:
    """Return the standard deviation of the noise, of 255."""
    # of a normal distribution half of all differences of neighbours are smaller than 0.954 of it
    rows = image[:: 4 * _EVERY, :, 1].astype(np.int16)
    return float(np.median(np.abs(np.diff(rows, axis=1)))) / 0.954
