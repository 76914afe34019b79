"""Bellies in every state, before and behind the bone, and a nerve, in every theme."""

from collections.abc import Callable

import numpy as np
import pytest

from motionlabel.body import Contraction
from motionlabel.drawing import list_themes, load_theme
from motionlabel.drawing.belly import belly_shapes, line_ratio, shape_belly
from motionlabel.drawing.painter import paint
from motionlabel.drawing.shapes import Form, JointMark, Strokes

GREYS = {"slate": 150, "paper": 225, "contrast": 60}
FULLNESS = {
    Contraction.CONCENTRIC: 1.2,
    Contraction.ISOMETRIC: 1.0,
    Contraction.ECCENTRIC: 0.85,
    Contraction.FREE: 1.0,
}


@pytest.mark.parametrize("name", list_themes())
def test_bellies(name: str, same_picture: Callable[[str, np.ndarray], None]) -> None:
    theme = load_theme(name)
    picture = np.full((130, 560, 3), GREYS.get(name, 128), np.uint8)
    share = np.linspace(0.0, 1.0, 16)
    x = 30.0
    for state, fullness in FULLNESS.items():
        for before in (True, False):
            points = np.stack([x + 9.0 * np.sin(3.0 * share), 8.0 + 95.0 * line_ratio(fullness) * share], axis=1)
            shaped = shape_belly(points, fullness, 9.0)
            assert shaped is not None
            paint(picture, belly_shapes(shaped, state, before, theme, 2.4))
            x += 60.0
    nerve = np.stack([x + 8.0 * np.sin(4.0 * share), 8.0 + 100.0 * share], axis=1)
    paint(picture, [Strokes((nerve,), theme.nerve, theme.nerve_rim, 2.6)])
    paint(picture, [JointMark((x + 25.0, 64.0), 5.0, Form.DOT, theme.tendon, theme.casing, 2.4)])
    same_picture(f"bellies_{name}", picture)
