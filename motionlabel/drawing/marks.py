"""Marks of the contraction: a small muscle belly that is pulled together, pulled apart or held between bars.

The form alone tells them apart: a short thick belly with arrow heads pointing inwards, a long thin one
with arrow heads pointing outwards, a belly between two bars, an empty belly, three dots.
"""

from functools import cache

import numpy as np
from PIL import Image, ImageDraw

from motionlabel.body import Contraction

_FINE = 4  # marks are drawn this much larger, then reduced, for smooth edges

Points = list[tuple[float, float]]


@cache
def mark_mask(contraction: Contraction, width: int, height: int) -> Image.Image:
    """Return the mark as a mask of the given size in pixels."""
    large = Image.new("L", (width * _FINE, height * _FINE), 0)
    draw = ImageDraw.Draw(large)
    w, h = float(width * _FINE), float(height * _FINE)
    match contraction:
        case Contraction.CONCENTRIC:
            draw.polygon(_belly(w, h, length=0.36, thickness=0.86), fill=255)
            _heads(draw, w, h, inwards=True)
        case Contraction.ECCENTRIC:
            draw.polygon(_belly(w, h, length=0.56, thickness=0.36), fill=255)
            _heads(draw, w, h, inwards=False)
        case Contraction.ISOMETRIC:
            draw.polygon(_belly(w, h, length=0.50, thickness=0.58), fill=255)
            for x in (0.10, 0.83):
                draw.rectangle((x * w, 0.06 * h, (x + 0.07) * w, 0.94 * h), fill=255)
        case Contraction.FREE:
            draw.polygon(_belly(w, h, length=0.62, thickness=0.66), fill=255)
            draw.polygon(_belly(w, h, length=0.44, thickness=0.36), fill=0)
        case Contraction.UNKNOWN:
            radius = 0.14 * h
            for x in (0.28, 0.5, 0.72):
                draw.ellipse((x * w - radius, h / 2 - radius, x * w + radius, h / 2 + radius), fill=255)
    return large.reduce(_FINE)


def _belly(w: float, h: float, length: float, thickness: float) -> Points:
    """Return a spindle in the middle, with shares of the mark's width and height."""
    along = np.linspace(-1.0, 1.0, 41)
    half = (1.0 - along**2) ** 0.75
    x = w / 2 + along * length * w / 2
    upper, lower = h / 2 - half * thickness * h / 2, h / 2 + half * thickness * h / 2
    return [*zip(x.tolist(), upper.tolist()), *zip(x[::-1].tolist(), lower[::-1].tolist())]


def _heads(draw: ImageDraw.ImageDraw, w: float, h: float, inwards: bool) -> None:
    near, far = (0.285, 0.05) if inwards else (0.03, 0.225)
    for mirror in (False, True):
        tip, base = (1 - near, 1 - far) if mirror else (near, far)
        draw.polygon([(tip * w, h / 2), (base * w, 0.12 * h), (base * w, 0.88 * h)], fill=255)
