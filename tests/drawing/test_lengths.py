"""Own change of length of muscles: told alike in like beats, beside the group, and never from noise."""

from dataclasses import replace

import numpy as np
import pytest

from motionlabel.anatomy import Muscle, facts_of, whole_course
from motionlabel.body import Axis, Contraction, Joint, Motion, MotionAxis, Side, WorkingGroup
from motionlabel.drawing import Detail, load_theme
from motionlabel.drawing.lengths import with_lengths
from motionlabel.drawing.plan import Beat, Label, LabelOptions, OwnLength, Rank, plan_labels
from motionlabel.drawing.typeset import arrange_label, draw_label, measures
from motionlabel.drawing.wording import label_text, phase_text, steady_length
from motionlabel.musculature import LengthChange, LengthVerdict
from motionlabel.records import Phase, Study
from tests.truth_study import truth_study

NEARLY, LONGER, SHORTER, UNKNOWN = (
    LengthVerdict.NEARLY_CONSTANT,
    LengthVerdict.LENGTHENS,
    LengthVerdict.SHORTENS,
    LengthVerdict.UNKNOWN,
)
HIP = MotionAxis(Joint.HIP, Side.RIGHT, Axis.FLEXION)
GROUP = WorkingGroup.HIP_EXTENSORS
DOWN = Beat(0, 30, Motion.FLEXION, GROUP, Contraction.ECCENTRIC)
UP = Beat(30, 60, Motion.EXTENSION, GROUP, Contraction.CONCENTRIC)


def told_of(name: str, verdict: LengthVerdict) -> OwnLength:
    return OwnLength(name, verdict, name)


def hip_label(*lengths: OwnLength) -> Label:
    beats = (replace(DOWN, lengths=lengths), replace(UP, lengths=lengths))
    return Label((HIP,), (GROUP,), beats, Rank.WORKS, 3.0, 0, 60)


@pytest.mark.parametrize(
    ("lengths", "words"),
    [
        ((), ""),
        ((told_of("hamstrings", NEARLY),), "hamstrings ≈ same length"),
        ((told_of("gluteus maximus", LONGER), told_of("hamstrings", NEARLY)), "hamstrings ≈ same length"),
        ((told_of("gluteus maximus", LONGER), told_of("hamstrings", LONGER)), ""),
        ((told_of("hamstrings", SHORTER),), "hamstrings shorter"),
        ((told_of("semitendinosus", NEARLY),), "semitendinosus ≈ same length"),
    ],
)
def test_only_what_differs_from_the_word_for_the_group_is_said(lengths: tuple[OwnLength, ...], words: str) -> None:
    label = hip_label(*lengths)
    assert phase_text(label, label.beats[0]).own == words


def test_the_line_has_a_fixed_place_and_the_card_a_fixed_size() -> None:
    label = replace(hip_label(), beats=(replace(DOWN, lengths=(told_of("hamstrings", NEARLY),)), UP))
    theme = load_theme("slate")
    setting = arrange_label(label_text(label, Detail.NERVE), 260, measures(theme, 480))
    assert setting is not None
    card = draw_label(setting, theme, theme.first)
    down, up = (card.phases[phase_text(label, beat)] for beat in label.beats)
    assert down.ink.shape == up.ink.shape
    plain = arrange_label(label_text(label, Detail.NERVE).without_own(), 260, measures(theme, 480))
    assert plain is not None
    assert plain.height < setting.height
    # without its own line a phase still finds its picture
    assert phase_text(label, label.beats[0]) in draw_label(plain, theme, theme.first).phases


def test_a_name_tells_the_length_only_if_every_motion_agrees() -> None:
    item = next(item for item in facts_of(GROUP).chief if item.name == "hamstrings")
    always = hip_label(told_of("hamstrings", NEARLY))
    assert steady_length(always, GROUP, item) == "≈ same length"
    once = replace(always, beats=(always.beats[0], replace(UP, lengths=())))
    assert steady_length(once, GROUP, item) == ""
    assert steady_length(hip_label(told_of("hamstrings", LONGER)), GROUP, item) == ""


def told(monkeypatch: pytest.MonkeyPatch, study: Study, verdict_of: dict[int, LengthVerdict]) -> list[Beat]:
    """Return the beats of the hip's label when the n-th descent has some verdict and all others are unknown."""
    label = next(one for one in plan_labels(study, LabelOptions()).labels if one.axis.joint is Joint.HIP)
    descents = [beat.start for beat in label.beats if beat.motion is Motion.FLEXION]

    def verdict(study: Study, item: Muscle, side: Side, phase: Phase) -> LengthChange:
        known = phase.start in descents and phase.motion is Motion.FLEXION
        return LengthChange(1.0, 0.01, verdict_of[descents.index(phase.start)] if known else UNKNOWN)

    monkeypatch.setattr("motionlabel.drawing.lengths.length_change", verdict)
    return [beat for beat in with_lengths(label, study, whole_course()).beats if beat.motion is Motion.FLEXION]


def test_like_beats_are_told_alike(monkeypatch: pytest.MonkeyPatch) -> None:
    beats = told(monkeypatch, truth_study("squat_side"), {0: NEARLY, 1: NEARLY, 2: NEARLY})
    assert len({beat.lengths for beat in beats}) == 1
    assert told_of("hamstrings", NEARLY) in beats[0].lengths


def test_repetitions_that_disagree_tell_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    for beat in told(monkeypatch, truth_study("squat_side"), {0: NEARLY, 1: SHORTER, 2: UNKNOWN}):
        assert beat.lengths == ()


def test_hamstrings_hardly_change_their_length_in_a_squat() -> None:
    """Two joints at once: while the hip bends the knee does too (Lombard's paradox, textbook knowledge)."""
    study = truth_study("squat_side")
    label = next(one for one in plan_labels(study, LabelOptions()).labels if one.axis.joint is Joint.HIP)
    for beat in with_lengths(label, study, whole_course()).beats:
        if beat.motion is not Motion.HOLD:
            assert phase_text(label, beat).own == "hamstrings ≈ same length"
            assert told_of("gluteus maximus", NEARLY) not in beat.lengths


def test_noise_is_never_a_change_of_length() -> None:
    """Landmarks that tremble about a still body shorten nothing and lengthen nothing."""
    study = truth_study("standing_still")
    rng = np.random.default_rng(5)
    trembling = study.angles.angle_rad + rng.normal(0.0, np.radians(0.7), study.angles.angle_rad.shape)
    study = replace(study, angles=replace(study.angles, angle_rad=trembling))
    phase = Phase(HIP, Motion.FLEXION, 5, 35, 1, 0.0)
    from motionlabel.musculature import length_change

    for item in facts_of(GROUP).chief:
        assert length_change(study, item, Side.RIGHT, phase).verdict not in (SHORTER, LONGER)


def test_a_one_joint_muscle_in_a_small_motion_is_not_said_to_keep_its_length(monkeypatch: pytest.MonkeyPatch) -> None:
    for beat in told(monkeypatch, truth_study("squat_side"), {0: NEARLY, 1: NEARLY, 2: NEARLY}):
        names = {own.name for own in beat.lengths}
        assert {"hamstrings", "semitendinosus"} <= names
        assert "gluteus maximus" not in names
