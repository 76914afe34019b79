"""Which labels are shown when."""

from dataclasses import replace

import numpy as np
import pytest

from motionlabel.body import Axis, Contraction, Joint, Motion, MotionAxis, Side, WorkingGroup
from motionlabel.drawing.plan import MOST_LABELS, SHORTEST_S, LabelOptions, Rank, plan_labels
from motionlabel.records import Phase, PhaseTable, Study, Work, WorkTable
from tests.truth_study import truth_study

KNEE = MotionAxis(Joint.KNEE, Side.RIGHT, Axis.FLEXION)
CLIPS = ("squat_side", "hip_abduction_front", "front_kick_side", "heel_raise_side", "mountain_climber_side")


def work(group: WorkingGroup | None, contraction: Contraction, demand: float = 3.0) -> Work:
    return Work(group, contraction, demand, 0.1, (), 0.9)


def study_of(*rows: tuple[MotionAxis, Motion, int, int, Work]) -> Study:
    rows = tuple(sorted(rows, key=lambda row: row[2]))
    phases = PhaseTable(tuple(Phase(a, m, start, stop, 1, 1.0) for a, m, start, stop, _ in rows))
    return replace(truth_study("squat_side"), phases=phases, work=WorkTable(tuple(row[4] for row in rows), ()))


@pytest.mark.parametrize("name", CLIPS)
def test_never_more_than_two_labels_and_none_too_short(name: str) -> None:
    study = truth_study(name)
    labels = plan_labels(study, LabelOptions()).labels
    count = np.zeros(len(study.landmarks), int)
    for label in labels:
        count[label.start : label.stop] += 1
        assert (label.stop - label.start) / study.video.fps >= SHORTEST_S
    assert labels
    assert count.max() <= MOST_LABELS
    slots = [{label.slot for label in labels if label.start <= f < label.stop} for f in range(len(count))]
    assert [len(s) for s in slots] == count.tolist()


def test_a_set_of_squats_is_one_label_for_each_joint_of_both_sides() -> None:
    labels = plan_labels(truth_study("squat_side"), LabelOptions()).labels
    found = {(label.axis.joint, label.side, label.groups) for label in labels}
    assert len(labels) == 2
    assert found == {
        (Joint.HIP, Side.BOTH, (WorkingGroup.HIP_EXTENSORS,)),
        (Joint.KNEE, Side.BOTH, (WorkingGroup.KNEE_EXTENSORS,)),
    }


def test_the_hold_of_the_standing_leg_is_shown_beside_the_moving_leg() -> None:
    labels = plan_labels(truth_study("hip_abduction_front"), LabelOptions()).labels
    assert [(label.side, label.moves) for label in labels] == [(Side.RIGHT, True), (Side.LEFT, False)]


def test_focus_restricts_the_joints() -> None:
    labels = plan_labels(truth_study("squat_side"), LabelOptions(focus=(Joint.ANKLE,))).labels
    assert {label.axis.joint for label in labels} == {Joint.ANKLE}


def test_groups_that_change_too_fast_to_read_share_a_label() -> None:
    labels = plan_labels(truth_study("front_kick_side"), LabelOptions(focus=(Joint.KNEE,))).labels
    assert len(labels) == 1
    assert set(labels[0].groups) == {WorkingGroup.KNEE_EXTENSORS, WorkingGroup.KNEE_FLEXORS}


def test_groups_that_take_long_have_a_label_each() -> None:
    flexors = work(WorkingGroup.KNEE_FLEXORS, Contraction.CONCENTRIC)
    extensors = work(WorkingGroup.KNEE_EXTENSORS, Contraction.CONCENTRIC)
    study = study_of((KNEE, Motion.FLEXION, 0, 60, flexors), (KNEE, Motion.EXTENSION, 60, 120, extensors))
    labels = plan_labels(study, LabelOptions()).labels
    assert [(label.groups, label.start, label.stop) for label in labels] == [
        ((WorkingGroup.KNEE_FLEXORS,), 0, 60),
        ((WorkingGroup.KNEE_EXTENSORS,), 60, 120),
    ]


@pytest.mark.parametrize(("pause", "count"), [(30, 1), (60, 2)])
def test_only_a_long_pause_ends_a_set(pause: int, count: int) -> None:
    row = work(WorkingGroup.KNEE_EXTENSORS, Contraction.ECCENTRIC)
    study = study_of((KNEE, Motion.FLEXION, 0, 50, row), (KNEE, Motion.FLEXION, 50 + pause, 100 + pause, row))
    assert len(plan_labels(study, LabelOptions()).labels) == count


def test_unknown_goes_before_free_and_after_work() -> None:
    hip, elbow = (MotionAxis(joint, Side.RIGHT, Axis.FLEXION) for joint in (Joint.HIP, Joint.ELBOW))
    rows = (
        (elbow, Motion.FLEXION, 0, 90, work(None, Contraction.FREE, 0.0)),
        (KNEE, Motion.FLEXION, 0, 90, work(None, Contraction.UNKNOWN, np.nan)),
        (hip, Motion.FLEXION, 0, 90, work(WorkingGroup.HIP_FLEXORS, Contraction.CONCENTRIC, 0.2)),
    )
    labels = plan_labels(study_of(*rows), LabelOptions()).labels
    assert [(label.axis.joint, label.rank) for label in labels] == [
        (Joint.HIP, Rank.WORKS),
        (Joint.KNEE, Rank.CANNOT_TELL),
    ]


def test_what_moves_is_shown_even_where_holds_carry_more() -> None:
    trunk, hip = MotionAxis(Joint.TRUNK, Side.MIDLINE, Axis.FLEXION), MotionAxis(Joint.HIP, Side.LEFT, Axis.FLEXION)
    rows = (
        (trunk, Motion.HOLD, 0, 90, work(WorkingGroup.TRUNK_EXTENSORS, Contraction.ISOMETRIC, 9.0)),
        (hip, Motion.HOLD, 0, 90, work(WorkingGroup.HIP_EXTENSORS, Contraction.ISOMETRIC, 8.0)),
        (KNEE, Motion.FLEXION, 0, 90, work(WorkingGroup.KNEE_FLEXORS, Contraction.CONCENTRIC, 0.2)),
    )
    labels = plan_labels(study_of(*rows), LabelOptions()).labels
    assert {label.axis.joint for label in labels} == {Joint.KNEE, Joint.TRUNK}


def test_sides_that_do_different_things_stay_apart() -> None:
    left = MotionAxis(Joint.KNEE, Side.LEFT, Axis.FLEXION)
    row = work(WorkingGroup.KNEE_EXTENSORS, Contraction.ECCENTRIC)
    other = work(WorkingGroup.KNEE_EXTENSORS, Contraction.CONCENTRIC)
    study = study_of((KNEE, Motion.FLEXION, 0, 60, row), (left, Motion.EXTENSION, 0, 60, other))
    assert {label.side for label in plan_labels(study, LabelOptions()).labels} == {Side.LEFT, Side.RIGHT}


def test_standing_still_shows_nothing() -> None:
    assert plan_labels(truth_study("standing_still"), LabelOptions()).labels == ()


def test_the_swaying_of_the_standing_leg_does_not_hide_the_exercise() -> None:
    """A small motion under high load goes after a large motion under a lower one."""
    ankle, hip = (MotionAxis(j, Side.LEFT, a) for j, a in ((Joint.ANKLE, Axis.DORSIFLEXION), (Joint.HIP, Axis.FLEXION)))
    swaying = work(WorkingGroup.ANKLE_PLANTARFLEXORS, Contraction.CONCENTRIC, 2.5)
    study = study_of(
        (ankle, Motion.PLANTARFLEXION, 0, 60, swaying),
        (hip, Motion.EXTENSION, 0, 60, work(WorkingGroup.HIP_EXTENSORS, Contraction.CONCENTRIC, 2.4)),
        (KNEE, Motion.EXTENSION, 0, 60, work(WorkingGroup.KNEE_EXTENSORS, Contraction.CONCENTRIC, 0.8)),
    )
    turned = {Joint.ANKLE: 0.1, Joint.HIP: 0.1, Joint.KNEE: 1.2}
    rows = tuple(replace(phase, excursion_rad=turned[phase.axis.joint]) for phase in study.phases)
    first = next(x for x in plan_labels(replace(study, phases=PhaseTable(rows)), LabelOptions()).labels if x.slot == 0)
    assert first.axis == KNEE


def test_a_joint_that_hardly_does_anything_does_not_stand_beside_another() -> None:
    hip = MotionAxis(Joint.HIP, Side.LEFT, Axis.FLEXION)
    short = work(WorkingGroup.HIP_EXTENSORS, Contraction.CONCENTRIC, 9.0)
    rows = [(hip, Motion.EXTENSION, start, start + 6, short) for start in (0, 40, 80)]
    driving = (KNEE, Motion.EXTENSION, 0, 90, work(WorkingGroup.KNEE_EXTENSORS, Contraction.CONCENTRIC, 3.0))
    labels = plan_labels(study_of(driving, *rows), LabelOptions()).labels
    assert [label.axis for label in labels] == [KNEE]
    assert [label.axis for label in plan_labels(study_of(*rows), LabelOptions()).labels] == [hip]
