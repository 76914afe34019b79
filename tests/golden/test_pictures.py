"""Parts on small flat canvases with the bundled font."""

from collections.abc import Callable

import numpy as np
import pytest

from motionlabel.body import PHASE_AXES, Axis, Contraction, Joint, Motion, MotionAxis, Side, WorkingGroup
from motionlabel.drawing import Detail, list_themes, load_theme
from motionlabel.drawing.painter import paint
from motionlabel.drawing.plan import Beat, Label, Rank
from motionlabel.drawing.shapes import ArcLine, Dashes, Form, JointMark, Polyline, TextCard
from motionlabel.drawing.typeset import arrange_label, draw_label, measures, set_note, set_number
from motionlabel.drawing.wording import caution_lines, label_text

Compare = Callable[[str, np.ndarray], None]
KNEE = MotionAxis(Joint.KNEE, Side.RIGHT, Axis.FLEXION)
EXTENSORS = WorkingGroup.KNEE_EXTENSORS
BEATS = (
    Beat(0, 30, Motion.FLEXION, EXTENSORS, Contraction.ECCENTRIC),
    Beat(30, 60, Motion.HOLD, EXTENSORS, Contraction.ISOMETRIC),
    Beat(60, 90, Motion.EXTENSION, EXTENSORS, Contraction.CONCENTRIC),
    Beat(90, 120, Motion.EXTENSION, None, Contraction.FREE),
    Beat(120, 150, Motion.FLEXION, None, Contraction.UNKNOWN),
)
LABEL = Label((KNEE,), (EXTENSORS,), BEATS, Rank.WORKS, 3.0, 0, 150)


def canvas(width: int, height: int, grey: int = 150) -> np.ndarray:
    return np.full((height, width, 3), grey, np.uint8)


@pytest.mark.parametrize("name", list_themes())
def test_label_card(name: str, same_picture: Compare) -> None:
    theme = load_theme(name)
    setting = arrange_label(label_text(LABEL, Detail.NERVE), 230, measures(theme, 480))
    assert setting is not None
    card = draw_label(setting, theme, theme.first)
    picture = canvas(card.still.width + 20, card.still.height + 20)
    band = next(image for phase, image in card.phases.items() if phase.contraction is Contraction.ECCENTRIC)
    paint(picture, [TextCard(10, 10, card.still), TextCard(10 + card.gap.x, 10 + card.gap.y, band)])
    same_picture(f"label_{name}", picture)


def test_every_phase_of_a_label(same_picture: Compare) -> None:
    theme = load_theme("slate")
    setting = arrange_label(label_text(LABEL, Detail.MOTION), 270, measures(theme, 480))
    assert setting is not None
    bands = list(draw_label(setting, theme, theme.second).phases.values())
    assert len(bands) == len(BEATS)
    picture = canvas(bands[0].width + 20, (bands[0].height + 10) * len(bands) + 10, grey=60)
    paint(picture, [TextCard(10, 10 + i * (band.height + 10), band) for i, band in enumerate(bands)])
    same_picture("phases", picture)


def test_joint_drawing(same_picture: Compare) -> None:
    theme = load_theme("slate")
    picture = canvas(300, 160, grey=200)
    for i, (form, colour) in enumerate(((Form.RING, theme.first), (Form.SQUARE, theme.second))):
        x = 60.3 + 150 * i
        number = set_number("−57°", 17, theme, colour)
        paint(
            picture,
            [
                Polyline(((x, 10.2), (x, 48.0)), theme.text, theme.casing, 3),
                Polyline(((x + 8.5, 68.5), (x + 50.5, 110.5)), theme.text, theme.casing, 3),
                Dashes((x, 72.0), (x, 125.0), theme.text, theme.casing, 2, 7),
                ArcLine((x, 60.0), 45.0, np.pi / 2, -np.pi / 4, colour, theme.casing, 4),
                JointMark((x, 60.0), 10.0, form, colour, theme.casing, 3),
                TextCard(round(x) - 10, 125, number),
            ],
        )
    same_picture("joint", picture)


def test_caution_card(same_picture: Compare) -> None:
    theme = load_theme("paper")
    card = set_note(caution_lines(), 460, measures(theme, 480), theme)
    picture = canvas(card.width + 20, card.height + 20, grey=40)
    paint(picture, [TextCard(10, 10, card)])
    same_picture("caution", picture)


def test_cards_are_cut_at_the_edge() -> None:
    theme = load_theme("slate")
    number = set_number("90°", 20, theme, theme.first)
    for x, y in ((-10, -5), (95, 50), (500, 500), (-500, 0)):
        whole = canvas(300, 300)
        paint(whole, [TextCard(x + 100, y + 100, number)])
        part = canvas(100, 60)
        paint(part, [TextCard(x, y, number)])
        if x < 400 and x > -400:
            assert (part == whole[100:160, 100:200]).all()
        else:
            assert (part == 150).all()


def test_no_axis_is_forgotten() -> None:
    """Every motion of every axis that a label can speak of has words."""
    for axis in PHASE_AXES:
        for motion in (axis.positive, axis.negative, Motion.HOLD):
            beat = Beat(0, 60, motion, axis.group(1.0), Contraction.CONCENTRIC)
            label = Label((axis,), (axis.group(1.0),), (beat,), Rank.WORKS, 1.0, 0, 60)
            assert label_text(label, Detail.ATTACHMENTS).phases[0].words.endswith("– shortening")
