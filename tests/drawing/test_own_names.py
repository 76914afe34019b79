"""A teacher's names and words on the label: in every line that the anatomy gives, and in what changes."""

import re

import pytest

from motionlabel.anatomy import Words, read_course
from motionlabel.body import Contraction, Joint
from motionlabel.drawing import Annotator, Detail, LabelOptions, load_theme
from motionlabel.drawing.parts import Instant, LabelPart
from motionlabel.drawing.plan import plan_labels
from motionlabel.drawing.wording import label_text, notes_for
from tests.truth_study import truth_study

OWN = """
only = ["gluteus maximus", "hamstrings"]
[muscle."gluteus maximus"]
name = "großer Gesäßmuskel"
[nerve."inferior gluteal nerve"]
name = "unterer Gesäßnerv"
[words]
"left hip" = "linke Hüfte"
hips = "Hüften"
"hip extensors" = "Hüftstrecker"
work = "arbeiten"
flexing = "beugt"
lengthening = "wird länger"
eccentric = "exzentrisch"
pausing = "Pause"
Nerve = "Nerv"
"Assumes body weight only" = "Nur Körpergewicht"
"""


@pytest.fixture
def course(tmp_path):
    path = tmp_path / "my.toml"
    path.write_text(OWN, encoding="utf-8")
    return read_course(own_file=path)


@pytest.fixture(scope="module")
def study():
    return truth_study("squat_side")


def _label(study, joint):
    return next(x for x in plan_labels(study, LabelOptions()).labels if x.axis.joint is joint)


def test_label_says_own_names_and_words(course, study):
    text = label_text(_label(study, Joint.HIP), Detail.ATTACHMENTS, course)
    title, heading = (line.text for line in text.above)
    assert title in ("Hüften", "Linke Hüfte")
    assert heading == "Hüftstrecker arbeiten"
    below = [line.text for line in text.below]
    assert below[0] == "Großer Gesäßmuskel, hamstrings"
    assert below[1].startswith("Nerv: unterer Gesäßnerv (L5-S2); ")
    assert ("beugt – wird länger", "exzentrisch") in {(phase.words, phase.term) for phase in text.phases}


def test_a_group_without_taught_muscles_is_named_alone(course, study):
    text = label_text(_label(study, Joint.KNEE), Detail.ATTACHMENTS, course)
    assert text.above[1].text == "Extensors arbeiten"
    assert text.below == ()


def test_note_in_own_words(course, study):
    (line,) = notes_for((_label(study, Joint.HIP),), angle_at_hip=False, words=course.words)
    assert line.text == "Nur Körpergewicht"


def test_every_frame_can_be_drawn_in_own_words(course, study):
    theme = load_theme("slate")
    parts = [p for p in Annotator(study, theme, LabelOptions(), course=course).parts if isinstance(p, LabelPart)]
    assert parts
    for part in parts:
        for frame in range(part.start, part.label.stop):
            assert list(part.place(Instant(study, frame, frame / 30.0), theme))


def test_own_names_change_no_english_label(study):
    text = label_text(_label(study, Joint.HIP), Detail.NERVE)
    assert text.above[1].text == "Extensors work"
    assert {phase.contraction for phase in text.phases} >= {Contraction.ECCENTRIC}


def test_short_group_is_preferred(study):
    group = _label(study, Joint.HIP).groups[0]
    assert Words({"extensors": "Strecker", "hip extensors": "Hüftstrecker"}).group(group) == "Strecker"
    assert re.fullmatch("extensors", Words().group(group))
