"""The drawn picture: mirrored, text never mirrored, in every state."""

from dataclasses import replace

import cv2
import numpy as np
import pytest
from numpy.testing import assert_allclose

from motionlabel.body import AXES, Axis, Contraction, Joint, Landmark, Motion, MotionAxis, Side, WorkingGroup
from motionlabel.drawing import load_theme
from motionlabel.drawing.shapes import Box, TextCard
from motionlabel.drawing.wording import Line, Role
from motionlabel.live.dial import angle_now
from motionlabel.live.latency import Latency
from motionlabel.live.practise import target_named
from motionlabel.live.reading import Reading, Statement
from motionlabel.live.scene import Scene, draw, mirrored
from motionlabel.live.session import Mode, Session, advanced, finished, in_mode
from motionlabel.live.trouble import Trouble
from motionlabel.live.words import figures_lines
from motionlabel.records import Work
from tests.live.played import somebody

THEME = load_theme("slate")
KNEE = MotionAxis(Joint.KNEE, Side.RIGHT, Axis.FLEXION)
HIP = MotionAxis(Joint.HIP, Side.RIGHT, Axis.FLEXION)


def _picture(width=1280, height=720):
    image = np.full((height, width, 3), 90, np.uint8)
    cv2.circle(image, (100, 60), 30, (0, 0, 255), -1)
    return image


def _reading(degrees=40.0):
    work = Work(WorkingGroup.KNEE_EXTENSORS, Contraction.ECCENTRIC, -3.0, 0.5, (), 0.8)
    other = Work(WorkingGroup.HIP_EXTENSORS, Contraction.ECCENTRIC, -4.0, 0.5, (), 0.8)
    seen_s = np.arange(0.0, 5.0, 1 / 30)
    angle = np.full((len(seen_s), len(AXES)), np.radians(degrees))
    statements = (
        Statement(KNEE, Motion.FLEXION, work, 1.0, 9.0, 0.8),
        Statement(HIP, Motion.FLEXION, other, 1.0, 9.0, 0.8),
    )
    return Reading(seen_s, statements, Side.RIGHT, angle, np.full_like(angle, np.radians(4.0)))


def _scene(mode=Mode.EXPLORE, **more):
    state = replace(
        Session((target_named("right knee flexion beyond 60 deg"), target_named("deltoid"))), confirmed=True
    )
    state = advanced(in_mode(state, mode), _reading(), 4.0)
    return Scene(state, _reading(), now_px=somebody().image_px * 1.4 + np.array([300.0, 20.0]), **more)


def test_the_picture_is_mirrored_and_the_camera_s_own_stays_as_it_is():
    image = _picture()
    before = image.copy()
    shown = draw(image, Scene(replace(Session(), confirmed=True), _reading()), THEME)
    assert (image == before).all()
    assert shown[60, 1280 - 1 - 100].tolist() == [0, 0, 255]
    assert shown[60, 100].tolist() == [90, 90, 90]


def test_points_follow_the_mirror():
    assert_allclose(mirrored(np.array([[0.0, 5.0], [1279.0, 7.0]]), 1280), [[1279.0, 5.0], [0.0, 7.0]])


def test_text_is_not_mirrored():
    """The same words on a picture and on its mirror image: the cards are the same."""
    scene = Scene(replace(Session(), confirmed=True), _reading(), trouble=Trouble.FEET.value)
    flat = np.full((720, 1280, 3), 90, np.uint8)
    assert (draw(flat, scene, THEME) == draw(flat[:, ::-1].copy(), scene, THEME)).all()
    middle = draw(flat, scene, THEME)[330:390, 440:840]
    assert not (middle == middle[:, ::-1]).all()


@pytest.mark.parametrize("size", [(1280, 720), (640, 480), (720, 1280), (1920, 1080)])
@pytest.mark.parametrize("mode", Mode)
def test_every_mode_is_drawn_at_every_size(size, mode):
    shown = draw(_picture(*size), _scene(mode), THEME)
    assert shown.shape == (size[1], size[0], 3)
    assert (shown != cv2.flip(_picture(*size), 1)).any()


def test_each_state_looks_different():
    scene = _scene()
    pictures = [
        draw(_picture(), one, THEME)
        for one in (
            scene,
            replace(scene, session=Session()),
            replace(scene, session=finished(_scene(Mode.IDENTIFY).session)),
            replace(scene, trouble=Trouble.NOBODY.value),
            replace(scene, recording="mirror-1.mp4"),
            replace(scene, news="Saved mirror-1.mp4"),
            replace(scene, figures=figures_lines(Latency(), 3, 0.1)),
            _scene(Mode.PERFORM),
        )
    ]
    for number, one in enumerate(pictures):
        assert not any((one == other).all() for other in pictures[number + 1 :])


def test_the_angle_follows_the_newest_picture():
    """The knee bends on by 20 degrees in the picture after the newest reading."""
    points = np.zeros((33, 2))

    def leg(bend_deg):
        turned = points.copy()
        turned[Landmark.RIGHT_HIP], turned[Landmark.RIGHT_KNEE] = (100, 100), (100, 200)
        bend = np.radians(bend_deg)
        turned[Landmark.RIGHT_ANKLE] = 100 - 100 * np.sin(bend), 200 + 100 * np.cos(bend)
        return turned

    assert_allclose(np.degrees(angle_now(KNEE, _reading(40.0), leg(38), leg(58))), 60.0)
    assert_allclose(np.degrees(angle_now(KNEE, _reading(40.0), None, leg(58))), 40.0)
    assert np.isnan(angle_now(KNEE, Reading(np.zeros(1)), None, leg(58)))


def test_an_angle_that_is_not_trusted_is_not_shown():
    unsure = replace(_reading(), sigma_rad=np.full((150, len(AXES)), np.radians(30.0)))
    assert np.isnan(angle_now(KNEE, unsure, None, np.zeros((33, 2))))


@pytest.mark.parametrize("size", [(1280, 720), (1920, 1080), (640, 480), (720, 720), (720, 1280)])
@pytest.mark.parametrize("mode", Mode)
def test_no_card_lies_on_another_while_recording(monkeypatch, size, mode):
    """All that can stand on the screen at once: task, labels, sign of the recording, figures, tally, keys."""
    boxes = []
    monkeypatch.setattr("motionlabel.live.scene.paint", lambda image, shapes: boxes.extend(_cards(shapes)))
    scene = _scene(mode, recording="mirror-20260101-120000.mp4", figures=figures_lines(Latency(), 3, 0.1))
    draw(_picture(*size), scene, THEME)
    assert len(boxes) >= 4
    for number, box in enumerate(boxes):
        assert not any(box.meets(other) for other in boxes[number + 1 :])


def _within(shape, box):
    return box.x <= shape.x and box.y <= shape.y and shape.x + shape.image.width <= box.right and shape.y < box.bottom


def test_a_long_task_sends_one_label_to_the_other_edge_and_not_both(monkeypatch):
    """The second label goes back to the edge of the task where it fits, and not under the first."""
    lines = tuple(Line(f"line {number} of a task", Role.TEXT) for number in range(7))
    monkeypatch.setattr("motionlabel.live.scene.task_lines", lambda session: lines)
    boxes = []
    monkeypatch.setattr("motionlabel.live.scene.paint", lambda image, shapes: boxes.extend(_cards(shapes)))
    draw(_picture(), _scene(figures=figures_lines(Latency(), 3, 0.1)), THEME)
    for number, box in enumerate(boxes):
        assert not any(box.meets(other) for other in boxes[number + 1 :])


def _cards(shapes):
    """Boxes of all cards; the band of a label belongs on its card."""
    boxes = []
    for shape in shapes:
        if isinstance(shape, TextCard) and not any(_within(shape, box) for box in boxes):
            boxes.append(Box(shape.x, shape.y, shape.image.width, shape.image.height))
    return boxes
