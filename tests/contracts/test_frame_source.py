"""What every ``FrameSource`` keeps to."""

from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose

from motionlabel.records import Frame, VideoFacts
from motionlabel.video import FileSource, FrameSource, MemorySource

DEMO = Path(__file__).parents[2] / "demo_clips"


def _memory() -> FrameSource:
    facts = VideoFacts("memory", 64, 48, (30, 1), 0.1, False, "")
    return MemorySource([Frame(np.full((48, 64, 3), i, np.uint8), i, i / 30) for i in range(3)], facts)


SOURCES = {"file": lambda: FileSource(DEMO / "standing_still.mp4"), "memory": _memory}


@pytest.fixture(params=SOURCES)
def source(request) -> FrameSource:
    return SOURCES[request.param]()


def test_frames_are_upright_pictures_of_the_told_size(source):
    with source:
        for frame in source:
            assert frame.image.shape == (source.facts.height, source.facts.width, 3)
            assert frame.image.dtype == np.uint8


def test_index_counts_from_zero_and_time_grows_from_zero(source):
    with source:
        frames = [(frame.index, frame.time_s) for frame in source]
    assert [index for index, _ in frames] == list(range(len(frames)))
    assert frames[0][1] == 0.0
    assert np.all(np.diff([time_s for _, time_s in frames]) > 0)


def test_duration_is_that_of_the_frames(source):
    with source:
        times = [frame.time_s for frame in source]
    assert_allclose(times[-1] + 1 / source.facts.fps, source.facts.duration_s, atol=0.5 / source.facts.fps)


def test_it_can_be_iterated_again(source):
    with source:
        first = [frame.image.mean() for frame in source]
        assert [frame.image.mean() for frame in source] == first


def test_an_early_end_is_no_trouble(source):
    with source:
        for frame in source:
            assert frame.index == 0
            break
