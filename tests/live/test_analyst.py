"""The process beside the picture."""

import time
from dataclasses import replace

import cv2
import numpy as np
import pytest

from motionlabel.live.analyst import Analyst, Memory, Sight, looked, taken_in
from motionlabel.video import FileSource
from tests.live.played import sights
from tests.truth_study import DEMO_CLIPS


def _waited(analyst, wanted, within_s=60.0):
    end_s = time.monotonic() + within_s
    while time.monotonic() < end_s:
        report = analyst.report()
        if report is not None and wanted(report):
            return report
        time.sleep(0.02)
    raise AssertionError("no such report came")


@pytest.mark.slow
def test_it_reads_counts_people_and_ends():
    pictures = [next(iter(FileSource(DEMO_CLIPS / f"{name}.mp4"))).image for name in ("standing_still", "squat_side")]
    two = np.asarray(cv2.resize(np.hstack(pictures), (720, 360)), dtype=np.uint8)
    seen = sights("squat_side")
    with Analyst() as analyst:
        for sight in seen[:60]:
            analyst.tell(sight)
        analyst.tell(replace(seen[60], small=two))
        report = _waited(analyst, lambda report: report.people is not None)
        assert report.people == 2
        assert _waited_until(analyst, seen, report)
    assert not analyst._process.is_alive()


def _waited_until(analyst, seen, report):
    for sight in seen[61:90]:
        analyst.tell(sight)
    newer = _waited(analyst, lambda one: one.reading.seen_s[-1] > report.reading.seen_s[-1])
    return newer.took_s > 0.0 and bool(newer.reading.statements)


@pytest.mark.slow
def test_telling_never_waits_and_a_lost_process_is_told():
    with Analyst() as analyst:
        analyst._process.terminate()
        analyst._process.join()
        big = np.zeros((720, 1280, 3), np.uint8)
        began_s = time.monotonic()
        for number in range(300):
            analyst.tell(Sight(float(number), 1280, 720, None, big))
        assert time.monotonic() - began_s < 1.0
        with pytest.raises(RuntimeError, match="analyst"):
            _waited(analyst, lambda report: False, within_s=5.0)


def test_another_size_of_picture_is_looked_at_anew():
    seen = sights("standing_still")
    memory = Memory()
    for sight in seen[:20]:
        memory = taken_in(memory, sight)
    assert len(memory.lookback) > 10
    memory = taken_in(memory, replace(seen[20], width=1280))
    assert len(memory.lookback) == 1


def test_looking_at_nothing_is_a_mistake():
    with pytest.raises(ValueError, match="nothing was taken in"):
        looked(Memory())
