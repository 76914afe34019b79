"""The annotated picture as a whole."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from motionlabel.body import AXIS_INDEX, Contraction, Landmark
from motionlabel.drawing import Annotator, Detail, LabelOptions, list_themes, load_theme, output_size
from motionlabel.drawing.parts import CAUTION_S, AnglePart, CautionPart, Instant, LabelPart, NotePart, NumberPart
from motionlabel.drawing.shapes import TextCard
from motionlabel.drawing.typeset import Scale, ink_height, measures, smallest_size
from motionlabel.drawing.wording import BODY_WEIGHT_ONLY, HIP_ANGLE, SCHEMATIC, label_text, notes_for
from motionlabel.records import Frame, Study, WorkTable
from tests.truth_study import truth_study

SLATE = load_theme("slate")


def grey(study: Study, index: int) -> Frame:
    image = np.full((study.video.height, study.video.width, 3), 128, np.uint8)
    return Frame(image, index, index / study.video.fps)


def unknown_work(study: Study) -> Study:
    rows = (replace(w, working_group=None, contraction=Contraction.UNKNOWN, demand=np.nan) for w in study.work)
    return replace(study, work=WorkTable(tuple(rows), ()))


@pytest.mark.parametrize(
    ("size", "wanted"),
    [
        ((720, 720), (720, 720)),
        ((1279, 719), (1280, 720)),
        ((97, 131), (388, 524)),
        ((359, 640), (718, 1280)),
        ((360, 361), (360, 362)),
        ((121, 363), (364, 1090)),
        ((4000, 3000), (4000, 3000)),
    ],
)
def test_output_size_is_even_and_large_enough(size: tuple[int, int], wanted: tuple[int, int]) -> None:
    assert output_size(*size) == wanted
    assert min(wanted) >= 360


def test_text_stands_still_through_a_set_and_only_the_band_changes() -> None:
    study = truth_study("squat_side")
    annotator = Annotator(study, SLATE, LabelOptions(), caution=False)
    labels = [part for part in annotator.parts if isinstance(part, LabelPart)]
    assert len(labels) == 2
    for part in labels:
        cards: set[tuple[int, int, int]] = set()
        bands = []
        for frame in range(part.start, part.label.stop):
            still, band = (s for s in part.place(Instant(study, frame, 9.0), SLATE) if isinstance(s, TextCard))
            cards.add((still.x, still.y, id(still.image)))
            assert (band.x - still.x, band.y - still.y) == (part.card.gap.x, part.card.gap.y)
            assert (band.image.width, band.image.height) == (part.card.gap.width, part.card.gap.height)
            bands.append(id(band.image))
        changes = sum(a != b for a, b in pairwise(bands))
        assert len(cards) == 1
        assert changes == 10  # 3 repetitions of descent, hold, ascent, with 2 pauses between them


def test_painted_label_pixels_do_not_change_outside_the_band() -> None:
    study = truth_study("squat_side")
    annotator = Annotator(study, SLATE, LabelOptions(), caution=False)
    part = next(p for p in annotator.parts if isinstance(p, LabelPart))
    box, gap = part.box, part.card.gap
    inner = np.s_[box.y + 12 : box.bottom - 12, box.x + 12 : box.right - 12]
    pictures = [annotator.paint(grey(study, i))[inner].astype(int) for i in (40, 60, 80, 103, 130)]
    changed = np.any([np.abs(p - pictures[0]).max(axis=2) > 0 for p in pictures], axis=0)
    rows = np.flatnonzero(changed.any(axis=1)) + 12
    assert changed.any()
    assert rows.min() >= gap.y
    assert rows.max() < gap.bottom


@pytest.mark.parametrize("name", list_themes())
@pytest.mark.parametrize("shorter", [360, 720, 1080, 2160])
def test_text_is_never_lower_than_a_28th_of_the_shorter_side(name: str, shorter: int) -> None:
    theme = load_theme(name)
    for scale in Scale:
        assert ink_height(measures(theme, shorter, scale).text) >= shorter / 28
    assert ink_height(smallest_size(shorter) - 1) < shorter / 28


def test_unknown_work_says_so_and_names_no_group() -> None:
    annotator = Annotator(unknown_work(truth_study("squat_side")), SLATE, LabelOptions())
    labels = [part.label for part in annotator.parts if isinstance(part, LabelPart)]
    assert labels
    for label in labels:
        text = label_text(label, Detail.ATTACHMENTS)
        words = " ".join(line.text for line in text.above + text.below)
        assert "cannot tell from this view" in words
        assert "xtensors" not in words
        assert {phase.words for phase in text.phases} <= {"flexing", "extending", "pausing", "dorsiflexing"}
        assert notes_for((label,), angle_at_hip=False) == ()


def test_one_unknown_phase_among_known_ones_says_so_in_the_band() -> None:
    study = truth_study("squat_side")
    rows = [
        replace(w, working_group=None, contraction=Contraction.UNKNOWN) if 108 <= p.start < 147 else w
        for p, w in zip(study.phases, study.work)
    ]
    annotator = Annotator(replace(study, work=WorkTable(tuple(rows), ())), SLATE, LabelOptions())
    label = next(p.label for p in annotator.parts if isinstance(p, LabelPart))
    beat = label.beat_at(120)
    assert beat is not None
    phases = {phase.words: phase.term for phase in label_text(label, Detail.MOTION).phases}
    assert phases["flexing"] == "cannot tell from this view"


def test_phase_words_pair_motion_work_and_trade_term() -> None:
    annotator = Annotator(truth_study("squat_side"), SLATE, LabelOptions())
    label = next(p.label for p in annotator.parts if isinstance(p, LabelPart))
    text = label_text(label, Detail.MOTION)
    assert {(p.words, p.term) for p in text.phases if p.contraction} == {
        ("flexing – lengthening", "eccentric"),
        ("held – same length", "isometric"),
        ("extending – shortening", "concentric"),
    }


def test_each_level_of_detail_adds_to_the_one_before() -> None:
    annotator = Annotator(truth_study("squat_side"), SLATE, LabelOptions())
    label = next(p.label for p in annotator.parts if isinstance(p, LabelPart))
    motion, nerve, attachments = (label_text(label, detail).below for detail in Detail)
    assert motion == ()
    assert any("hamstrings" in line.text for line in nerve)
    assert any(line.text.startswith("Nerve: ") for line in nerve)
    assert len(attachments) > len(nerve)
    assert any("→" in line.text for line in attachments)


def test_assumption_and_hip_wording_are_said_once() -> None:
    annotator = Annotator(truth_study("squat_side"), SLATE, LabelOptions())
    labels = tuple(part.label for part in annotator.parts if isinstance(part, LabelPart))
    notes = [part for part in annotator.parts if isinstance(part, NotePart)]
    assert len(notes) in (1, 3)  # on one card, or one line after the other
    shown = [span for part in notes for span in part.spans]
    assert all(one[1] <= other[0] for one, other in pairwise(sorted(shown)))
    lines = [line.text for line in notes_for(labels, angle_at_hip=True, schematic=True)]
    assert lines == [BODY_WEIGHT_ONLY, HIP_ANGLE, SCHEMATIC]
    assert SCHEMATIC not in [line.text for line in notes_for(labels, angle_at_hip=True)]


def test_uncertain_angle_has_no_number() -> None:
    study = truth_study("squat_side")
    sigma = study.angles.sigma_rad.copy()
    sigma[100:] = np.radians(15.0)
    study = replace(study, angles=replace(study.angles, sigma_rad=sigma))
    annotator = Annotator(study, SLATE, LabelOptions(), caution=False)
    number = next(part for part in annotator.parts if isinstance(part, NumberPart))
    assert list(number.place(Instant(study, 50, 1.6), SLATE))
    assert not list(number.place(Instant(study, 150, 5.0), SLATE))


def test_number_reads_as_the_angle() -> None:
    study = truth_study("squat_side")
    for part in Annotator(study, SLATE, LabelOptions()).parts:
        if isinstance(part, NumberPart):
            column = AXIS_INDEX[part.label.axis]
            np.testing.assert_allclose(part.trace.degrees, np.degrees(study.angles.angle_rad[:, column]), atol=1.35)


def test_arc_is_drawn_only_where_the_picture_shows_the_angle() -> None:
    side, oblique = truth_study("squat_side"), truth_study("squat_three_quarter")
    for study, seen in ((side, True), (oblique, False)):
        parts = Annotator(study, SLATE, LabelOptions()).parts
        knee = next(p for p in parts if isinstance(p, AnglePart) and p.label.axis.joint == "knee")
        assert knee.trace.in_plane[60] == seen


def test_frames_without_a_person_pass_through() -> None:
    study = truth_study("squat_side")
    image_px = study.landmarks.image_px.copy()
    image_px[150:200] = np.nan
    study = replace(study, landmarks=replace(study.landmarks, image_px=image_px))
    annotator = Annotator(study, SLATE, LabelOptions())
    for index in (150, 199, 291 + 50):
        assert (annotator.paint(grey(study, index)) == 128).all()
    assert (annotator.paint(grey(study, 149)) != 128).any()
    assert (annotator.paint(grey(study, 200)) != 128).any()


def test_caution_is_shown_for_three_seconds_and_can_be_left_out() -> None:
    study = truth_study("standing_still")
    annotator = Annotator(study, SLATE, LabelOptions())
    assert [type(part) for part in annotator.parts] == [CautionPart]
    assert (annotator.paint(grey(study, 0)) != 128).any()
    late = replace(grey(study, 100), time_s=CAUTION_S)
    assert (annotator.paint(late) == 128).all()
    assert Annotator(study, SLATE, LabelOptions(), caution=False).parts == ()


def test_caution_fades() -> None:
    study = truth_study("standing_still")
    part = Annotator(study, SLATE, LabelOptions()).parts[0]
    strength = [
        next(s.opacity for s in part.place(Instant(study, 0, t), SLATE) if isinstance(s, TextCard))
        for t in (0.0, 2.5, 2.7, 2.9)
    ]
    assert strength[:2] == [1.0, 1.0]
    assert strength[1] > strength[2] > strength[3] > 0


def test_nobody_at_all() -> None:
    study = truth_study("squat_side")
    nobody = replace(study.landmarks, image_px=np.full((len(study.landmarks), len(Landmark), 2), np.nan))
    annotator = Annotator(replace(study, landmarks=nobody), SLATE, LabelOptions())
    assert [type(part) for part in annotator.parts] == [CautionPart]


def test_wrong_picture_size_is_a_mistake_of_the_program() -> None:
    annotator = Annotator(truth_study("squat_side"), SLATE, LabelOptions())
    with pytest.raises(ValueError, match="720 x 720"):
        annotator.paint(Frame(np.zeros((10, 10, 3), np.uint8), 0, 0.0))


def test_small_clip_is_enlarged() -> None:
    study = truth_study("squat_side")
    video = replace(study.video, width=97, height=131)
    landmarks = replace(study.landmarks, image_px=study.landmarks.image_px * 97 / 720)
    camera = replace(study.body.camera, px_per_m=study.body.camera.px_per_m * 97 / 720)
    study = replace(study, video=video, landmarks=landmarks, body=replace(study.body, camera=camera))
    annotator = Annotator(study, SLATE, LabelOptions())
    picture = annotator.paint(grey(study, 120))
    assert picture.shape == (524, 388, 3)
    assert (picture != 128).any()
