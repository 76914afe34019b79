"""Several people: the one who exercises is followed, and the user may choose another."""

import json

import cv2
import pytest

from motionlabel.cli import main
from motionlabel.errors import ExitCode


@pytest.fixture(scope="module")
def measured(clips, tmp_path_factory):
    out = tmp_path_factory.mktemp("people")
    assert main(["measure", str(clips / "two_people.mp4"), "--out", str(out)]) == ExitCode.OK
    return out


def _person(out):
    return json.loads((out / "two_people.study.json").read_text())["person"]


def test_the_one_who_moves_is_followed(measured):
    assert _person(measured)["count"] == 2
    assert _person(measured)["number"] == 2


def test_a_picture_numbers_them(measured, clips, capsys):
    assert cv2.imread(str(measured / "two_people.people.png")).shape == (720, 1440, 3)
    # a second run takes the stored study and still names the picture
    assert main(["measure", str(clips / "two_people.mp4"), "--out", str(measured)]) == ExitCode.OK
    out = capsys.readouterr().out
    assert "two_people.people.png" in out
    assert _person(measured)["reason"] in out


def test_another_can_be_chosen(clips, tmp_path, capsys):
    assert main(["measure", str(clips / "two_people.mp4"), "--out", str(tmp_path), "--person", "1"]) == ExitCode.OK
    assert _person(tmp_path)["number"] == 1
    assert "no repeated movement" in capsys.readouterr().out


def test_a_number_that_nobody_has(clips, tmp_path, capsys):
    arguments = ["measure", str(clips / "two_people.mp4"), "--out", str(tmp_path), "--person", "7"]
    assert main(arguments) == ExitCode.USAGE
    assert "7" in capsys.readouterr().err.splitlines()[-1]
