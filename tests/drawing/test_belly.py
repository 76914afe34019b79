"""The form of a belly: tapered, fuller when shorter, and its state told without colour."""

from itertools import combinations

import cv2
import numpy as np
import pytest

from motionlabel.body import Contraction
from motionlabel.drawing import list_themes, load_theme
from motionlabel.drawing.belly import BELLY_SHARE, Belly, belly_shapes, line_ratio, shape_belly
from motionlabel.drawing.painter import paint

STATES = (Contraction.CONCENTRIC, Contraction.ECCENTRIC, Contraction.ISOMETRIC, Contraction.FREE)


def line(length: float, x: float = 40.0, top: float = 10.0) -> np.ndarray:
    return np.stack([np.full(16, x), top + np.linspace(0.0, length, 16)], axis=1)


def belly(fullness: float = 1.0, half: float = 12.0) -> Belly:
    shaped = shape_belly(line(150.0 * line_ratio(fullness)), fullness, half)
    assert shaped is not None
    return shaped


def painted(shaped: Belly, state: Contraction, before: bool = True, theme: str = "slate") -> np.ndarray:
    picture = np.full((200, 80, 3), 150, np.uint8)
    paint(picture, belly_shapes(shaped, state, before, load_theme(theme), 2.5))
    return picture


def length(points: np.ndarray) -> float:
    return float(np.hypot(*np.diff(points, axis=0).T).sum())


def test_belly_of_anatomical_length() -> None:
    shaped = belly()
    np.testing.assert_allclose(length(shaped.axis), BELLY_SHARE * 150.0, rtol=1e-6)
    np.testing.assert_allclose(shaped.thickness, 12.0)
    np.testing.assert_allclose(np.subtract(*shaped.edges)[[0, -1]], 0.0, atol=1e-9)
    np.testing.assert_allclose(length(shaped.axis) + sum(length(tendon) for tendon in shaped.tendons), 150.0)


@pytest.mark.parametrize("fullness", [0.8, 0.9, 1.1, 1.3])
def test_tendons_keep_their_length_and_the_belly_its_volume(fullness: float) -> None:
    shaped = belly(fullness)
    tendons = sum(length(tendon) for tendon in shaped.tendons)
    np.testing.assert_allclose(tendons, (1 - BELLY_SHARE) * 150.0, rtol=1e-6)
    np.testing.assert_allclose(shaped.thickness**2 * length(shaped.axis), 12.0**2 * BELLY_SHARE * 150.0, rtol=1e-6)


def test_a_lengthened_belly_is_thinner_in_the_picture() -> None:
    filled = []
    for fullness in (1.2, 1.0, 0.85):
        picture = painted(belly(fullness), Contraction.ISOMETRIC)
        row = picture[round(float(belly(fullness).middle[1]))]
        filled.append(int((np.abs(row.astype(int) - 150).max(axis=1) > 20).sum()))
    assert filled[0] > filled[1] > filled[2]


def test_a_line_seen_end_on_shows_no_belly() -> None:
    assert shape_belly(line(20.0), 1.0, 12.0) is None


@pytest.mark.parametrize("theme", list_themes())
def test_states_differ_without_colour(theme: str) -> None:
    greys = {state: cv2.cvtColor(painted(belly(), state, theme=theme), cv2.COLOR_BGR2GRAY) for state in STATES}
    for one, other in combinations(STATES, 2):
        assert (cv2.absdiff(greys[one], greys[other]) > 25).sum() > 80, f"{one} and {other}"


def test_behind_the_bone_it_is_fainter_and_its_rim_is_broken() -> None:
    for state in STATES[:3]:
        before, behind = (painted(belly(), state, before=side).astype(int) for side in (True, False))
        fill = load_theme("slate").muscle[::-1]
        x, y = np.round(belly().middle).astype(int)
        spot = np.s_[y - 2 : y + 3, x - 2 : x + 3]
        off = [np.abs(picture[spot] - np.array(fill)).sum(axis=2).min() for picture in (before, behind)]
        assert off[0] < off[1]
        light = [(picture.min(axis=2) > 200).sum() for picture in (before, behind)]
        assert light[1] < light[0]


def test_one_line_of_several_bears_the_signs() -> None:
    theme = load_theme("slate")
    plain, signed = (
        list(belly_shapes(belly(), Contraction.CONCENTRIC, True, theme, 2.5, signed=flag)) for flag in (False, True)
    )
    assert len(signed) > len(plain)


def test_nothing_is_painted_far_from_the_line() -> None:
    picture = painted(belly(), Contraction.ECCENTRIC)
    changed = np.argwhere((picture != 150).any(axis=2))
    assert np.abs(changed[:, 1] - 40).max() <= 12 + 6
