"""What every ``FrameSink`` keeps to."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from motionlabel.video import ClipSink, FileSource, FrameSink, MemorySink

SIZE = (64, 48)


def _count_file(path: Path) -> int:
    return sum(1 for _ in FileSource(path)) if path.exists() else 0


@pytest.fixture(params=["clip", "memory"])
def opened(request, tmp_path) -> tuple[FrameSink, Callable[[], int]]:
    """Give a sink and a function that counts what it kept."""
    if request.param == "memory":
        memory = MemorySink(*SIZE)
        return memory, lambda: len(memory.images)
    path = tmp_path / "clip.mp4"
    return ClipSink(path, SIZE, (30, 1)), lambda: _count_file(path)


def _image(value: int) -> np.ndarray:
    return np.full((SIZE[1], SIZE[0], 3), value, np.uint8)


def test_everything_written_is_there(opened):
    sink, kept = opened
    with sink:
        for value in range(7):
            sink.write(_image(value * 30))
    assert kept() == 7


def test_closing_twice_is_no_trouble(opened):
    sink, kept = opened
    sink.write(_image(0))
    sink.close()
    sink.close()
    assert kept() == 1


def test_a_picture_may_be_changed_after_it_was_written(opened):
    sink, kept = opened
    image = _image(0)
    with sink:
        sink.write(image)
        image[:] = 255
        sink.write(image)
    assert kept() == 2


def test_an_error_discards(opened):
    sink, kept = opened

    def fail() -> None:
        with sink:
            sink.write(_image(0))
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fail()
    assert kept() == 0


def test_discarding_leaves_nothing(opened):
    sink, kept = opened
    sink.write(_image(0))
    sink.discard()
    assert kept() == 0


@pytest.mark.parametrize("shape", [(48, 65, 3), (64, 48, 3), (48, 64), (48, 64, 4)])
def test_other_sizes_are_refused(opened, shape):
    sink, _ = opened
    with pytest.raises(ValueError, match="wanted"):
        sink.write(np.zeros(shape, np.uint8))
    sink.discard()
