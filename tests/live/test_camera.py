"""The camera, a clip in its place, and the feed that keeps the newest picture."""

import time
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose

from motionlabel.errors import CameraError, UnreadableInputError
from motionlabel.live.feed import Feed, Shot
from motionlabel.video import CameraSource, MemorySource, PlayedClip
from tests.truth_study import DEMO_CLIPS


class FakeCapture:
    """A camera that gives so many pictures and is then unplugged."""

    def __init__(self, pictures, there=True):
        self.left, self.there, self.released, self.asked = pictures, there, False, {}

    def isOpened(self):  # noqa: N802
        return self.there

    def read(self):
        self.left -= 1
        time.sleep(0.005)
        return (True, np.full((48, 64, 3), 100, np.uint8)) if self.left >= 0 else (False, None)

    def get(self, what):
        return {3: 64.0, 4: 48.0}.get(what, 0.0)

    def set(self, what, value):
        self.asked[what] = value
        return True

    def release(self):
        self.released = True


def test_a_camera_gives_frames_in_order_and_fails_when_unplugged():
    capture = FakeCapture(5)
    with CameraSource(0, (1280, 720), lambda _: capture) as source:
        times = []
        with pytest.raises(CameraError, match="plug it in"):
            times.extend(frame.time_s for frame in source)
        assert (source.facts.width, source.facts.height) == (64, 48)
    assert capture.asked[3] == 1280
    assert capture.released


def test_frames_until_the_end_have_growing_times():
    times = []
    with CameraSource(0, None, lambda _: FakeCapture(5)) as source:
        try:
            for frame in source:
                times.append(frame.time_s)
        except CameraError:
            pass
    assert len(times) == 5
    assert times[0] < 0.01
    assert np.all(np.diff(times) > 0)


def test_no_camera_and_a_busy_one_have_sentences_of_their_own(monkeypatch):
    def refused(_):
        return FakeCapture(0, there=False)

    monkeypatch.setattr("sys.platform", "linux")
    monkeypatch.setattr(Path, "exists", lambda path: False)
    with pytest.raises(CameraError, match="no camera 7: plug one in"):
        CameraSource(7, None, refused)
    monkeypatch.setattr(Path, "exists", lambda path: True)
    with pytest.raises(CameraError, match="busy"):
        CameraSource(7, None, refused)


def test_a_clip_plays_at_its_own_pace_and_begins_again():
    clock = [0.0]
    slept = []

    def sleep(seconds):
        slept.append(seconds)
        clock[0] += seconds

    with PlayedClip(DEMO_CLIPS / "standing_still.mp4", (320, 180), lambda: clock[0], sleep) as source:
        frames = []
        for frame in source:
            frames.append((frame.index, frame.time_s, frame.image.shape))
            if len(frames) == 130:  # the clip has 121 frames
                break
    assert [index for index, _, _ in frames] == list(range(130))
    assert_allclose(np.diff([time_s for _, time_s, _ in frames]), 1 / 30, atol=1e-3)
    assert_allclose(sum(slept), frames[-1][1], atol=0.01)
    assert {shape for _, _, shape in frames} == {(180, 320, 3)}


def test_a_clip_that_is_not_there():
    with pytest.raises(UnreadableInputError):
        PlayedClip(Path("nowhere.mp4"))


def _until(feed, wanted, within_s=5.0):
    """What the feed gives until something wanted comes."""
    end_s, seen = time.monotonic() + within_s, []
    while time.monotonic() < end_s:
        came = feed.newest(0.05)
        if came is not None:
            seen.append(came)
        if wanted(came):
            return seen
    raise AssertionError(seen[-3:])


def test_the_feed_recovers_by_itself(monkeypatch):
    """Missing at first, there for a while, unplugged, back again."""
    monkeypatch.setattr("motionlabel.live.feed._AGAIN_S", 0.05)
    turns = iter([0, 20, 0, 10_000])

    def connect():
        pictures = next(turns)
        return CameraSource(0, None, lambda _: FakeCapture(pictures, there=pictures > 0))

    with Feed(connect) as feed:
        _until(feed, lambda came: isinstance(came, str))
        first = _until(feed, lambda came: isinstance(came, Shot))[-1]
        gone = _until(feed, lambda came: isinstance(came, str))[-1]
        assert "camera" in gone.lower()
        back = _until(feed, lambda came: isinstance(came, Shot))[-1]
    assert back.frame.index > first.frame.index
    assert back.frame.time_s > first.frame.time_s


def test_the_newest_picture_is_kept_and_older_ones_are_dropped():
    with Feed(lambda: CameraSource(0, None, lambda _: FakeCapture(10_000))) as feed:
        _until(feed, lambda came: isinstance(came, Shot))
        time.sleep(0.3)
        shot = feed.newest(0.5)
        assert time.monotonic() - shot.captured_s < 0.1
        assert feed.dropped > 10


def test_an_error_that_is_no_camera_trouble_is_raised():
    class Broken(MemorySource):
        def __iter__(self):
            raise ZeroDivisionError

    with Feed(lambda: Broken([], None)) as feed, pytest.raises(ZeroDivisionError):
        _until(feed, lambda came: False)
