from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal

from motionlabel.body import Landmark
from motionlabel.pose.backend import Detection
from motionlabel.pose.clearing import cleared
from motionlabel.pose.view import Turn, View, around
from motionlabel.records import Frame
from motionlabel.video import FileSource

DEMO = Path(__file__).parents[2] / "demo_clips"


def spot(image: np.ndarray) -> np.ndarray:
    rows, columns = np.nonzero(image[:, :, 0])
    # the middle of a pixel, counted from the picture's corner
    return np.array([columns.mean() + 0.5, rows.mean() + 0.5])


@pytest.mark.parametrize("turn", Turn)
def test_what_is_seen_in_a_turned_part_is_told_in_the_upright_picture(turn):
    image = np.zeros((90, 160, 3), np.uint8)
    image[40:42, 70:72] = 255  # the point
    ahead = np.zeros_like(image)
    ahead[40:42, 90:92] = 255  # 20 px to the right of it
    view = View(30, 20, 130, 80, turn)
    shown = view.show(image)
    assert shown.shape[1::-1] == view.size
    here, there = spot(shown), spot(view.show(ahead))
    found = Detection(
        image_px=np.tile(here, (len(Landmark), 1)),
        world_m=np.tile(np.append((there - here) / 20.0, 0.7), (len(Landmark), 1)),
        visibility=np.full(len(Landmark), 0.9),
    )
    upright = view.upright(found)
    assert_allclose(upright.image_px[0], spot(image))
    assert_allclose(upright.world_m[0], [1.0, 0.0, 0.7], atol=1e-12)
    assert_array_equal(upright.visibility, found.visibility)


@pytest.mark.parametrize(
    ("box", "wanted"),
    [
        ((40, 30, 80, 50), (20, 10, 100, 70)),
        ((-10, 60, 30, 95), (0, 40, 50, 90)),
        ((170, 100, 190, 120), (158, 88, 160, 90)),
    ],
)
def test_the_view_of_a_place_stays_in_the_picture(box, wanted):
    view = around(np.array(box, dtype=float), 0.5, 160, 90)
    assert (view.left, view.top, view.right, view.bottom) == wanted


def picture() -> np.ndarray:
    with FileSource(DEMO / "squat_side.mp4") as source:
        return next(source.frames(0, 1)).image


def test_a_picture_that_is_well_lit_is_left_alone():
    frame = Frame(picture(), 0, 0.0)
    assert cleared(frame) is frame


@pytest.mark.parametrize(("light", "grain"), [(0.3, 0.0), (0.3, 12.0), (0.1, 3.0), (1.0, 25.0)])
def test_dark_and_grainy_pictures_come_nearer_to_the_good_one(light, grain):
    good = picture().astype(float)
    noise = np.random.default_rng(1).normal(0.0, grain, good.shape)
    bad = np.clip(good * light + noise, 0, 255).astype(np.uint8)
    frame = cleared(Frame(bad, 7, 0.25))
    assert (frame.index, frame.time_s, frame.image.dtype, frame.image.shape) == (7, 0.25, np.uint8, bad.shape)

    def off(image: np.ndarray) -> float:
        # of the picture within its own range: brightness alone is not what counts
        image = image.astype(float)
        return float(np.abs(image / np.percentile(image, 95) - good / np.percentile(good, 95)).mean())

    assert off(frame.image) < (0.5 if grain else 1.3) * off(bad)
    assert np.percentile(frame.image, 95) > min(2.0 * np.percentile(bad, 95), 150.0)


def test_a_black_picture_stays_black():
    assert_array_equal(cleared(Frame(np.zeros((90, 160, 3), np.uint8), 0, 0.0)).image, 0)
