"""A long session neither grows nor slows down; the half hour is in tests/benchmarks/live.py."""

import sys

import pytest

from tests.live.soak import soak


@pytest.mark.slow
@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="memory is read from /proc")
def test_three_minutes_neither_grow_nor_slow_down():
    found = soak("squat_side", minutes=3.0)
    assert found.late_mb <= 1.05 * found.early_mb
    assert found.late_ms <= 1.3 * found.early_ms
