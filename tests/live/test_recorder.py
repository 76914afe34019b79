"""Recording: whole, with its own times, and annotatable like any clip."""

import time

import numpy as np

from motionlabel.live.recorder import Recorder
from motionlabel.records import Frame
from motionlabel.video import FileSource


def _frame(number, time_s):
    return Frame(np.full((48, 64, 3), number % 200, np.uint8), number, time_s)


def test_a_recording_keeps_the_cameras_time_whatever_its_rate(tmp_path):
    recorder = Recorder(tmp_path, (64, 48))
    for number in range(40):
        recorder.take(_frame(number, 100.0 + number / 20))
        time.sleep(0.01)  # faster than a camera, not so fast that pictures are left out
    assert recorder.finish() is None
    with FileSource(recorder.path) as source:
        assert source.facts.fps == 30
        assert abs(source.facts.duration_s - 2.0) < 0.1


def test_nothing_but_the_whole_clip_is_left(tmp_path):
    recorder = Recorder(tmp_path, (64, 48))
    for number in range(10):
        recorder.take(_frame(number, number / 30))
    assert recorder.finish() is None
    assert [path.name for path in tmp_path.iterdir()] == [recorder.path.name]


def test_two_recordings_in_a_second_have_two_names(tmp_path):
    names = set()
    for _ in range(2):
        recorder = Recorder(tmp_path, (64, 48))
        recorder.take(_frame(0, 0.0))
        assert recorder.finish() is None
        names.add(recorder.path.name)
    assert len(names) == 2


def test_a_folder_that_cannot_be_written_is_a_sentence_and_no_crash(tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("")
    recorder = Recorder(blocked, (64, 48))
    recorder.take(_frame(0, 0.0))
    assert "cannot be written" in recorder.finish()
