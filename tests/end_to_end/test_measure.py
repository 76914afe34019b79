"""``motionlabel measure``: the two tables, in the columns that are promised."""

import csv

import pytest
from numpy.testing import assert_allclose

from motionlabel.cli import main
from motionlabel.errors import ExitCode
from motionlabel.output.tables import PHASE_COLUMNS

from .conftest import DEMO, facts


@pytest.fixture(scope="module")
def measured(tmp_path_factory):
    out = tmp_path_factory.mktemp("measured")
    assert main(["measure", str(DEMO / "squat_side.mp4"), "--out", str(out)]) == ExitCode.OK
    return out


def _rows(path):
    with path.open(newline="", encoding="utf-8") as handle:
        return list(csv.DictReader(handle))


def test_no_video_is_written(measured):
    names = {path.name for path in measured.iterdir()}
    assert names == {f"squat_side.{end}" for end in ("angles.csv", "phases.csv", "study.json", "study.npz")}


def test_one_row_a_frame_with_its_time(measured):
    rows = _rows(measured / "squat_side.angles.csv")
    assert [int(row["frame"]) for row in rows] == list(range(facts(DEMO / "squat_side.mp4").pictures))
    assert_allclose([float(row["time_s"]) for row in rows], [i / 30 for i in range(len(rows))], atol=0.002)


def test_phases_make_sense(measured):
    rows = _rows(measured / "squat_side.phases.csv")
    assert tuple(rows[0]) == PHASE_COLUMNS
    assert max(int(row["repetition"] or 0) for row in rows) == 3
    for row in rows:
        assert 0 <= int(row["start_frame"]) < int(row["stop_frame"]) <= 292
        assert float(row["start_s"]) < float(row["stop_s"]) < 9.75
        assert 0 <= float(row["trust"]) <= 1
    seen = {}
    for row in rows:
        for frame in range(int(row["start_frame"]), int(row["stop_frame"])):
            key = (frame, row["side"], row["joint"], row["axis"])
            assert key not in seen, "two rows of one axis at a time"
            seen[key] = row


def test_motion_is_not_muscle(measured):
    """On the way down the hip flexes and its extensors work, lengthening."""
    rows = _rows(measured / "squat_side.phases.csv")
    down = [row for row in rows if row["joint"] == "hip" and row["axis"] == row["motion"] == "flexion"]
    assert {(row["working_group"], row["contraction"]) for row in down} == {("hip extensors", "eccentric")}


def test_tables_come_from_a_stored_study_too(measured, tmp_path):
    study = measured / "squat_side.study.json"
    assert main(["measure", str(study), "--out", str(tmp_path)]) == ExitCode.OK
    for name in ("squat_side.angles.csv", "squat_side.phases.csv"):
        assert (tmp_path / name).read_text() == (measured / name).read_text()


def test_a_damaged_study_that_is_named_is_an_error(tmp_path, capsys):
    study = tmp_path / "clip.study.json"
    study.write_text("{}")
    assert main(["measure", str(study)]) == ExitCode.BAD_SETTINGS
    assert str(study) in capsys.readouterr().err
