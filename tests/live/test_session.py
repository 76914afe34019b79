"""The three modes, without a window: states follow from readings."""

import numpy as np
import pytest

from motionlabel.body import AXES, AXIS_INDEX, Axis, Contraction, Joint, Motion, MotionAxis, Side, WorkingGroup
from motionlabel.live.practise import target_named
from motionlabel.live.reading import LAG_S, Reading, Statement
from motionlabel.live.session import Mode, Outcome, Session, advanced, finished, in_mode, skipped
from motionlabel.live.verdict import judged
from motionlabel.live.words import end_lines, task_lines
from motionlabel.records import Work

LEFT_ABDUCTION = MotionAxis(Joint.HIP, Side.LEFT, Axis.ABDUCTION)
RIGHT_ABDUCTION = MotionAxis(Joint.HIP, Side.RIGHT, Axis.ABDUCTION)
LEFT_KNEE = MotionAxis(Joint.KNEE, Side.LEFT, Axis.FLEXION)


def said(axis, motion, group, contraction=Contraction.CONCENTRIC, excursion_deg=30.0, trust=0.8):
    work = Work(group, contraction, 2.0, 0.5, (), trust)
    return Statement(axis, motion, work, 0.0, 100.0, np.radians(excursion_deg))


def reading(*statements, degrees=None, sigma_deg=4.0, repetitions=()):
    seen_s = np.arange(0.0, 60.0, 0.1)
    angle = np.zeros((len(seen_s), len(AXES)))
    for axis, value in (degrees or {}).items():
        angle[:, AXIS_INDEX[axis]] = np.radians(value)
    sigma = np.full_like(angle, np.radians(sigma_deg))
    return Reading(seen_s, statements, Side.RIGHT, angle, sigma, repetitions)


def run(session, reading_, start_s, stop_s):
    for now_s in np.arange(start_s, stop_s, 0.05):
        session = advanced(session, reading_, float(now_s))
    return session


def session(mode, *lines):
    return in_mode(Session(tuple(target_named(line) for line in lines)), mode)


ABDUCTING = said(LEFT_ABDUCTION, Motion.ABDUCTION, WorkingGroup.HIP_ABDUCTORS)


@pytest.mark.parametrize(
    ("statement", "degrees", "right", "instead"),
    [
        (ABDUCTING, {LEFT_ABDUCTION: 32}, True, ""),
        (said(LEFT_ABDUCTION, Motion.HOLD, WorkingGroup.HIP_ABDUCTORS), {LEFT_ABDUCTION: 32}, True, ""),
        (ABDUCTING, {LEFT_ABDUCTION: 20}, False, "left hip abduction, 20° so far"),
        (said(RIGHT_ABDUCTION, Motion.ABDUCTION, None), {RIGHT_ABDUCTION: 40}, False, "right hip abduction"),
        (said(LEFT_ABDUCTION, Motion.ADDUCTION, None), {LEFT_ABDUCTION: 35}, False, "left hip adduction"),
        (said(LEFT_KNEE, Motion.FLEXION, None), {LEFT_KNEE: 60}, False, "left knee flexion"),
    ],
)
def test_perform_wants_the_true_motion_at_the_right_joint_and_side(statement, degrees, right, instead):
    verdict = judged(target_named("left hip abduction beyond 30 deg"), reading(statement, degrees=degrees).at(1.0))
    assert (verdict.right, verdict.instead) == (right, instead)


def test_an_angle_that_is_not_trusted_confirms_nothing():
    unsure = reading(ABDUCTING, degrees={LEFT_ABDUCTION: 40}, sigma_deg=20.0)
    verdict = judged(target_named("left hip abduction beyond 30 deg"), unsure.at(1.0))
    assert not verdict.right
    assert "turn" in verdict.instead


@pytest.mark.parametrize(
    ("asked", "group", "contraction", "right"),
    [
        ("gluteus medius", WorkingGroup.HIP_ABDUCTORS, Contraction.CONCENTRIC, True),
        ("gluteus medius", WorkingGroup.HIP_ABDUCTORS, Contraction.ISOMETRIC, True),
        ("superior gluteal nerve", WorkingGroup.HIP_ABDUCTORS, Contraction.ECCENTRIC, True),
        ("gluteus medius", WorkingGroup.HIP_ADDUCTORS, Contraction.CONCENTRIC, False),
        ("deep fibular nerve", WorkingGroup.HIP_ABDUCTORS, Contraction.CONCENTRIC, False),
        ("gluteus medius", None, Contraction.UNKNOWN, False),
        ("gluteus medius", None, Contraction.FREE, False),
    ],
)
def test_identify_wants_any_demand_for_a_group_that_holds_it(asked, group, contraction, right):
    motion = Motion.HOLD if contraction is Contraction.ISOMETRIC else Motion.ABDUCTION
    moment = reading(said(LEFT_ABDUCTION, motion, group, contraction)).at(1.0)
    assert judged(target_named(asked), moment).right is right


def test_identify_goes_by_the_load_and_not_by_the_motion():
    """Sitting down: the hip flexes, the extensors work. Gluteus maximus is right, iliopsoas is not."""
    hip = MotionAxis(Joint.HIP, Side.LEFT, Axis.FLEXION)
    down = reading(said(hip, Motion.FLEXION, WorkingGroup.HIP_EXTENSORS, Contraction.ECCENTRIC)).at(1.0)
    assert judged(target_named("gluteus maximus"), down).right
    assert not judged(target_named("iliopsoas"), down).right
    assert "hip extensors" in judged(target_named("iliopsoas"), down).instead


def test_a_target_is_praised_once_it_lasts_and_the_next_one_comes():
    state = session(Mode.PERFORM, "left hip abduction beyond 30 deg", "left knee flexion")
    good = reading(ABDUCTING, degrees={LEFT_ABDUCTION: 35})
    assert run(state, good, 1.0, 1.2).praised_s is None
    praised = run(state, good, 1.0, 2.0)
    assert praised.praised_s is not None
    assert any("Right" in line.text for line in task_lines(praised))
    later = run(praised, reading(), 2.0, 5.0)
    assert [result.outcome for result in later.results] == [Outcome.RIGHT]
    assert later.target == target_named("left knee flexion")


def test_what_is_seen_instead_is_said_after_a_while():
    state = session(Mode.PERFORM, "left hip abduction beyond 30 deg")
    wrong = reading(said(RIGHT_ABDUCTION, Motion.ABDUCTION, None))
    assert not run(state, wrong, 1.0, 1.3).told_instead
    assert run(state, wrong, 1.0, 3.0).told_instead == "right hip abduction"


def test_the_end_page_says_what_was_right_and_what_to_revise_with_the_facts():
    state = session(Mode.IDENTIFY, "gluteus medius", "deep fibular nerve")
    state = run(state, reading(said(LEFT_ABDUCTION, Motion.ABDUCTION, WorkingGroup.HIP_ABDUCTORS)), 1.0, 4.5)
    state = finished(state)
    assert state.ended
    text = " ".join(line.text for line in end_lines(state))
    assert "1 of 2 right" in text
    assert "Right: gluteus medius" in text
    assert "deep fibular nerve (L4-S1)" in text
    assert "tibialis anterior" in text


def test_pages_of_the_end_turn_over():
    lines = ("gluteus medius", "deep fibular nerve", "tibial nerve", "deltoid", "femoral nerve")
    state = finished(session(Mode.IDENTIFY, *lines))
    first, second = end_lines(state), end_lines(skipped(state))
    assert first != second
    assert end_lines(skipped(skipped(state))) == first


def test_explore_asks_nothing_and_counts():
    state = Session((target_named("gluteus medius"),))
    moving = reading(ABDUCTING, degrees={LEFT_ABDUCTION: 25}, repetitions=((0.5, 3.0),))
    state = run(state, moving, 1.0 + LAG_S, 2.0)
    assert state.target is None
    assert not state.ended
    assert state.tally.repetitions == 1
    assert state.tally.range_of(LEFT_ABDUCTION).most_rad == pytest.approx(np.radians(25))


def test_the_same_repetition_seen_again_counts_once():
    state = Session()
    for start_s in (1.0, 1.3, 0.9, 4.0, 4.2):
        state = run(state, reading(ABDUCTING, repetitions=((start_s, 60.0),)), 5.0, 5.2)
    assert state.tally.repetitions == 2
