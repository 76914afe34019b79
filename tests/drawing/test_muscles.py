"""Muscles, nerves and names on the body: which, on which side, when, and that they hold still."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
import pytest

from motionlabel.anatomy import Muscle, Nerve, whole_course
from motionlabel.body import Contraction, Landmark, Side, WorkingGroup, sided
from motionlabel.drawing import Annotator, Detail, LabelOptions, Show, left_out, load_theme
from motionlabel.drawing.canvas import Canvas
from motionlabel.drawing.muscles import BonePart, MusclePart, NervePart
from motionlabel.drawing.parts import AnglePart, Instant, LabelPart
from motionlabel.drawing.shapes import Patch, Strokes, TextCard
from motionlabel.drawing.space import share_covered
from motionlabel.drawing.tags import TagPart, Taken, after_notes
from motionlabel.drawing.taught import state_at
from motionlabel.musculature import BodyPoint, LengthVerdict, PlacedLine
from motionlabel.records import Study
from tests.truth_study import truth_study

SLATE = load_theme("slate")
Part = TypeVar("Part")


@dataclass
class ThighLines:
    """Stands in for the musculature: every muscle lies along the thigh of its side, every nerve beside it."""

    study: Study
    sigma_px: float = 3.0
    depth_m: float = 0.01

    def muscle(self, muscle: Muscle, side: Side, frame: int) -> tuple[PlacedLine, ...]:
        hip, knee = (
            self.study.landmarks.image_px[frame, sided(Landmark, side, part)].astype(float) for part in ("hip", "knee")
        )
        if not np.isfinite(hip).all():
            return ()
        points = hip + (knee - hip) * np.linspace(0.0, 1.0, 16)[:, None]
        return (PlacedLine(points, np.full(16, self.depth_m), self.sigma_px, 1.0, False),)

    def attachments(self, muscle: Muscle, side: Side, frame: int) -> tuple[BodyPoint, ...]:
        return tuple(
            BodyPoint(f"{name} of {muscle.full_name[:6]}", line.points_px[end], self.sigma_px)
            for line in self.muscle(muscle, side, frame)
            for name, end in (("top", 0), ("end", -1))
        )

    def nerve(self, nerve: Nerve, muscle: Muscle, side: Side, frame: int) -> PlacedLine | None:
        return next(iter(self.muscle(muscle, side, frame)), None)


@pytest.fixture
def drawn(monkeypatch: pytest.MonkeyPatch) -> Callable[..., Annotator]:
    """Return an annotator whose muscles lie along the thighs."""

    def annotator(study: Study, *, lines: type = ThighLines, **options: object) -> Annotator:
        monkeypatch.setattr("motionlabel.drawing.lines.Musculature", lines)
        return Annotator(study, SLATE, LabelOptions(**options), caution=False)  # type: ignore[arg-type]

    return annotator


def of_kind(annotator: Annotator, kind: type[Part]) -> list[Part]:
    return [part for part in annotator.parts if isinstance(part, kind)]


def test_chief_muscles_of_the_shown_groups_on_the_nearer_side(drawn: Callable[..., Annotator]) -> None:
    parts = of_kind(drawn(truth_study("squat_side")), MusclePart)
    assert {part.taught.item.name for part in parts} >= {"gluteus maximus", "hamstrings", "quadriceps femoris"}
    assert not {part.taught.group for part in parts} - {WorkingGroup.HIP_EXTENSORS, WorkingGroup.KNEE_EXTENSORS}
    assert {part.taught.side for part in parts} == {Side.RIGHT}
    assert not any(part.taught.hidden for part in parts)


def test_both_sides_where_they_stand_apart(drawn: Callable[..., Annotator]) -> None:
    parts = of_kind(drawn(truth_study("shoulder_abduction_front")), MusclePart)
    assert {part.taught.side for part in parts} == {Side.LEFT, Side.RIGHT}


def test_labels_alone(drawn: Callable[..., Annotator]) -> None:
    study = truth_study("squat_side")
    plain = drawn(study, show=Show.LABELS)
    for kind in (MusclePart, NervePart, BonePart, TagPart):
        assert not of_kind(plain, kind)
    assert all(part.limb_px > 0 for part in of_kind(plain, AnglePart))


@pytest.mark.parametrize(
    ("detail", "nerves", "bones"),
    [(Detail.MOTION, False, False), (Detail.NERVE, True, False), (Detail.ATTACHMENTS, True, True)],
)
def test_detail_decides_what_is_drawn(
    drawn: Callable[..., Annotator], detail: Detail, nerves: bool, bones: bool
) -> None:
    annotator = drawn(truth_study("heel_raise_side"), detail=detail)
    assert of_kind(annotator, MusclePart)
    assert bool(of_kind(annotator, NervePart)) == nerves
    assert bool(of_kind(annotator, BonePart)) == bones


class UnsureLines(ThighLines):
    """The same, but nobody knows where."""

    def __init__(self, study: Study) -> None:
        super().__init__(study, sigma_px=60.0)


def test_what_is_too_uncertain_is_not_drawn(drawn: Callable[..., Annotator]) -> None:
    unsure = drawn(truth_study("squat_side"), lines=UnsureLines)
    assert of_kind(unsure, LabelPart)
    for kind in (MusclePart, NervePart, BonePart, TagPart):
        assert not of_kind(unsure, kind)


class DeepLines(ThighLines):
    """The same, behind the bone."""

    def __init__(self, study: Study) -> None:
        super().__init__(study, depth_m=-0.05)


def fill_opacity(annotator: Annotator, study: Study, frame: int) -> float:
    shapes = of_kind(annotator, MusclePart)[0].place(Instant(study, frame, 9.0), SLATE)
    return next(shape.opacity for shape in shapes if isinstance(shape, Patch))


def test_behind_the_bone_it_is_fainter(drawn: Callable[..., Annotator]) -> None:
    study = truth_study("squat_side")
    frame = of_kind(drawn(study), LabelPart)[0].label.beats[0].start + 2
    assert fill_opacity(drawn(study, lines=DeepLines), study, frame) < fill_opacity(drawn(study), study, frame)


def test_state_follows_the_phase_and_pauses_are_empty(drawn: Callable[..., Annotator]) -> None:
    label = of_kind(drawn(truth_study("squat_side")), LabelPart)[0].label
    part = of_kind(drawn(truth_study("squat_side")), MusclePart)[0]
    group, muscle = part.taught.group, part.taught.item.muscles[0]
    for beat in label.beats:
        bare = replace(label, beats=(replace(beat, lengths=()),))
        if beat.group is group:
            assert state_at(bare, group, muscle, beat.start) is beat.contraction
        assert state_at(bare, WorkingGroup.ANKLE_DORSIFLEXORS, muscle, beat.start) is Contraction.FREE
        assert state_at(bare, group, muscle, beat.stop) is Contraction.FREE


def test_a_muscle_whose_own_length_is_known_is_drawn_so(drawn: Callable[..., Annotator]) -> None:
    from motionlabel.drawing.plan import OwnLength

    label = of_kind(drawn(truth_study("squat_side")), LabelPart)[0].label
    part = of_kind(drawn(truth_study("squat_side")), MusclePart)[0]
    muscle, beat = part.taught.item.muscles[0], label.beats[0]
    for verdict, state in (
        (LengthVerdict.NEARLY_CONSTANT, Contraction.ISOMETRIC),
        (LengthVerdict.SHORTENS, Contraction.CONCENTRIC),
        (LengthVerdict.UNKNOWN, beat.contraction),
    ):
        told = replace(label, beats=(replace(beat, lengths=(OwnLength(muscle.full_name, verdict, muscle.label),)),))
        assert state_at(told, part.taught.group, muscle, beat.start) is state


@pytest.mark.parametrize("clip", ["squat_side", "heel_raise_side", "shoulder_abduction_front", "front_kick_side"])
def test_names_hold_still_and_cover_neither_body_nor_cards(drawn: Callable[..., Annotator], clip: str) -> None:
    study = truth_study(clip)
    annotator = drawn(study)
    tags, labels = of_kind(annotator, TagPart), of_kind(annotator, LabelPart)
    canvas = Canvas(study, SLATE, *annotator.size, 1, whole_course())
    for tag in tags:
        space = canvas.space(tag.start, tag.stop)
        spot = np.array([[tag.box.x, tag.box.y]])
        assert share_covered(space.body_table, spot, tag.box.width, tag.box.height, space.cell)[0] == 0
        for part in labels:
            together = part.start < tag.stop and tag.start < part.label.stop
            assert not (together and tag.box.meets(part.box))
        places = {
            (shape.x, shape.y)
            for frame in range(tag.start, tag.stop, 7)
            for shape in tag.place(Instant(study, frame, 9.0), SLATE)
            if isinstance(shape, TextCard)
        }
        assert places == {(tag.box.x, tag.box.y)}
    for one, other in pairs(tags):
        assert not (one.box.meets(other.box) and one.start < other.stop and other.start < one.stop)


def pairs(tags: Sequence[TagPart]) -> list[tuple[TagPart, TagPart]]:
    return [(one, other) for i, one in enumerate(tags) for other in tags[i + 1 :]]


def test_a_bone_point_without_room_for_its_name_is_not_drawn(drawn: Callable[..., Annotator]) -> None:
    annotator = drawn(truth_study("squat_side"))
    named = [tag.named for tag in of_kind(annotator, TagPart)]
    assert all(any(part is one for one in named) for part in of_kind(annotator, BonePart))


def test_nothing_is_drawn_while_nobody_is_seen(drawn: Callable[..., Annotator]) -> None:
    study = truth_study("squat_side")
    image_px = study.landmarks.image_px.copy()
    image_px[60:80] = np.nan
    study = replace(study, landmarks=replace(study.landmarks, image_px=image_px))
    for part in drawn(study).parts:
        assert not list(part.place(Instant(study, 70, 9.0), SLATE))


def test_a_label_without_room_is_named(drawn: Callable[..., Annotator]) -> None:
    study = truth_study("squat_side")
    far = study.landmarks.image_px.copy()
    # a body so large that no place beside head and joints is left
    middle = far.mean(axis=(0, 1))
    far = (far - middle) * 3.0 + middle
    huge = replace(
        study,
        landmarks=replace(study.landmarks, image_px=far.astype(np.float32)),
        body=replace(study.body, camera=replace(study.body.camera, px_per_m=study.body.camera.px_per_m * 3.0)),
    )
    annotator = drawn(huge)
    sentences = left_out(annotator.left_out, huge)
    assert sentences
    assert all("no room for the label of the" in sentence for sentence in sentences)
    assert any("extensors work" in sentence for sentence in sentences)
    assert left_out(drawn(study).left_out, study) == []


def test_twigs_of_a_nerve_tell_it_from_other_lines(drawn: Callable[..., Annotator]) -> None:
    study = truth_study("squat_side")
    part = of_kind(drawn(study), NervePart)[0]
    (line,) = part.place(Instant(study, part.start + 5, 9.0), SLATE)
    assert isinstance(line, Strokes)
    assert line.colour == SLATE.nerve
    assert len(line.paths) == 3


def test_a_name_waits_until_a_note_that_it_meets_has_gone(drawn: Callable[..., Annotator]) -> None:
    tags = of_kind(drawn(truth_study("heel_raise_side")), TagPart)
    box = tags[0].box
    later = after_notes(tags, [Taken(box, tags[0].start, tags[0].start + 40)])
    assert later[0].start == tags[0].start + 40
    assert [tag.start for tag in later[1:]] == [tag.start for tag in tags[1:]]
    gone = after_notes(tags, [Taken(box, 0, tags[0].stop)])
    assert len(gone) == len(tags) - 1
