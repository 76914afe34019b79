"""Plain lines in a log, a bar on a terminal."""

import io

import pytest

from motionlabel import progress as progress_module
from motionlabel.progress import BarProgress, PlainProgress, progress_on


class Terminal(io.StringIO):
    def isatty(self):
        return True


def test_the_stream_decides():
    assert isinstance(progress_on(io.StringIO()), PlainProgress)
    assert isinstance(progress_on(Terminal()), BarProgress)


def test_plain_lines_say_rate_and_time_left(monkeypatch):
    now = [100.0]
    monkeypatch.setattr(progress_module.time, "monotonic", lambda: now[0])
    stream = io.StringIO()
    with progress_on(stream) as progress:
        progress.stage("clip.mp4: drawing")
        for done in range(1, 301):
            now[0] += 0.1
            progress.reached(done, 600)
    lines = stream.getvalue().splitlines()
    assert lines[0] == "clip.mp4: drawing ..."
    assert 3 <= len(lines) <= 4
    assert lines[1].startswith("clip.mp4: drawing: 10")
    assert "10 frames/s" in lines[1]
    assert lines[1].endswith("50 s left.")
    assert "\r" not in stream.getvalue()


def test_bar_shows_both_stages_and_notes():
    stream = Terminal()
    with progress_on(stream) as progress:
        progress.stage("clip.mp4: finding the person")
        progress.reached(8, 10)
        progress.note("The stored study [x] is used.")
        progress.stage("clip.mp4: drawing")
        progress.reached(10, 10)
    text = stream.getvalue()
    assert "finding the person" in text
    assert "drawing" in text
    assert "8/8" in text, "a stage that has ended is full, whatever the container said"
    assert "[x]" in text


@pytest.mark.parametrize("stream", [io.StringIO(), Terminal()])
def test_an_error_passes_through(stream):
    progress = progress_on(stream)
    with pytest.raises(KeyError), progress:
        raise KeyError("gone")
