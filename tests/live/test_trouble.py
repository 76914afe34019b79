"""What is wrong with the picture, each with its sentence; and that it goes away by itself."""

import numpy as np
import pytest

from motionlabel.body import Landmark
from motionlabel.live.trouble import Trouble, Watch, notice, watched
from tests.live.played import somebody

LIGHT = np.full((480, 640, 3), 160, np.uint8)


def _shifted(dy):
    return somebody(somebody().image_px + np.array([0.0, dy]))


@pytest.mark.parametrize(
    ("image", "seen", "people", "trouble"),
    [
        (LIGHT, somebody, 1, None),
        (np.zeros_like(LIGHT), lambda: None, 1, Trouble.BLACK),
        (np.full_like(LIGHT, 40), somebody, 1, Trouble.DARK),
        (LIGHT, lambda: None, 1, Trouble.NOBODY),
        (LIGHT, somebody, 2, Trouble.SEVERAL),
        (LIGHT, lambda: _shifted(150.0), 1, Trouble.FEET),
        (LIGHT, lambda: _shifted(-150.0), 1, Trouble.HEAD),
    ],
    ids=lambda value: value.name if isinstance(value, Trouble) else None,
)
def test_each_trouble_is_noticed(image, seen, people, trouble):
    assert notice(image, seen(), people) is trouble


def test_the_sentence_for_half_a_person():
    assert Trouble.FEET.value == "Step back: I need your feet."


def test_every_trouble_has_a_sentence_of_its_own():
    assert len({trouble.value for trouble in Trouble}) == len(Trouble)
    assert all(trouble.value.endswith(".") for trouble in Trouble)


def test_feet_outside_the_picture_by_their_landmarks():
    points = somebody().image_px
    points[[Landmark.LEFT_ANKLE, Landmark.RIGHT_ANKLE]] = 300.0, 500.0
    assert notice(LIGHT, somebody(points), 1) is Trouble.FEET


def test_a_trouble_is_told_after_a_while_and_gone_after_a_while():
    watch, told = Watch(), []
    for number in range(120):
        now_s = 1.0 + number / 30
        watch = watched(watch, Trouble.NOBODY if number < 60 else None, now_s)
        told.append(watch.shown)
    assert told[5] is None
    assert told[40] is Trouble.NOBODY
    assert told[65] is Trouble.NOBODY
    assert told[-1] is None


def test_a_flicker_is_not_told():
    watch = Watch()
    for number in range(120):
        watch = watched(watch, Trouble.NOBODY if number % 4 == 0 else None, 1.0 + number / 30)
        assert watch.shown is None
