"""The table of exercises: the group that works and how it works, phase by phase, in synthetic motions.

`exercises.csv` keeps the words of the table (`source_group`) beside the group of this project. `expected`
is `agrees`; `cannot tell` where the tool cannot know and must name no other group; `if stated` where it cannot
know either, but agrees once the educator states what carries the body. `reason` says why.
"""

import csv
from functools import cache
from pathlib import Path

import pytest

from motionlabel.body import AXES, Contraction, Motion, MotionAxis, WorkingGroup
from motionlabel.kinematics import measure_angles
from motionlabel.mechanics import Carrier, muscle_work
from motionlabel.movement import find_phases
from motionlabel.records import Phase, Work
from tests.published.exercise_motions import EXERCISES

with (Path(__file__).parent / "exercises.csv").open(encoding="utf-8", newline="") as file:
    ROWS = list(csv.DictReader(file))
AGREES = [row for row in ROWS if row["expected"] == "agrees"]
IF_STATED = [row for row in ROWS if row["expected"] == "if stated"]
CANNOT_TELL = [row for row in ROWS if row["expected"] in ("cannot tell", "if stated")]

# A smooth start and end move too slowly to be called motion (8 deg/s): the rest of a phase has to be covered.
LEAST_COVERED = 0.6


def _named(row: dict[str, str]) -> str:
    return f"{row['exercise']}-{row['phase']}-{row['axis']}"


@cache
def _work_of(exercise: str, stated: tuple[Carrier, ...] = ()) -> list[tuple[float, float, Phase, Work]]:
    """Start and stop in seconds of every row that the tool finds."""
    body = EXERCISES[exercise].body()
    angles = measure_angles(body)
    phases, work = muscle_work(body, angles, find_phases(angles, body), stated)
    times = [*body.time_s, 2 * body.time_s[-1] - body.time_s[-2]]
    return [(times[phase.start], times[phase.stop], phase, row) for phase, row in zip(phases, work)]


def _axes(row: dict[str, str]) -> list[MotionAxis]:
    sides = {"both": ("left_", "right_"), "midline": ("",)}.get(row["side"], (f"{row['side']}_",))
    axes = {axis.name: axis for axis in AXES}
    return [axes[f"{side}{row['axis']}"] for side in sides]


def _overlap(start: float, stop: float, row: dict[str, str]) -> float:
    first, last = EXERCISES[row["exercise"]].spans[row["phase"]]
    return max(0.0, min(stop, last) - max(start, first))


@pytest.mark.parametrize("row", AGREES, ids=_named)
def test_group_and_contraction_are_those_of_the_table(row):
    _check(row, _work_of(row["exercise"]))


@pytest.mark.parametrize("row", IF_STATED, ids=_named)
def test_support_that_is_stated_gives_the_group_of_the_table(row):
    stated = EXERCISES[row["exercise"]].stated
    assert stated
    _check(row, _work_of(row["exercise"], stated))


def _check(row: dict[str, str], rows: list[tuple[float, float, Phase, Work]]) -> None:
    first, last = EXERCISES[row["exercise"]].spans[row["phase"]]
    for axis in _axes(row):
        found = [
            (_overlap(start, stop, row), work)
            for start, stop, phase, work in rows
            if phase.axis == axis and phase.motion is Motion(row["motion"]) and _overlap(start, stop, row) > 0.1
        ]
        told = {(work.working_group, work.contraction) for _, work in found}
        assert told == {(WorkingGroup(row["group"]), Contraction(row["contraction"]))}, axis.name
        assert sum(overlap for overlap, _ in found) >= LEAST_COVERED * (last - first), axis.name


@pytest.mark.parametrize("row", CANNOT_TELL, ids=_named)
def test_no_other_group_is_named_where_it_cannot_be_told(row):
    assert row["reason"]
    for axis in _axes(row):
        for start, stop, phase, work in _work_of(row["exercise"]):
            if phase.axis == axis and _overlap(start, stop, row) > 0.1:
                right = (WorkingGroup(row["group"]), Contraction(row["contraction"]))
                assert (work.working_group, work.contraction) in ((None, Contraction.UNKNOWN), right)


def test_enough_exercises_in_every_position_agree():
    assert len({row["exercise"] for row in AGREES}) >= 20
    assert {row["exercise"] for row in ROWS} == set(EXERCISES)
    assert {"standing", "supine", "prone", "side-lying", "front support", "all fours", "from a seat", "seated"} <= {
        row["position"] for row in AGREES
    }


def test_motion_and_group_go_apart():
    """The table would be no test if the group could be guessed from the motion."""
    eccentric = sum(row["contraction"] == "eccentric" for row in AGREES)
    assert eccentric >= 0.4 * len(AGREES)
