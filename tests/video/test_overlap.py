import threading
import time

import pytest

from motionlabel.video import read_ahead, write_behind


def running() -> int:
    return sum(thread.name in ("read ahead", "write behind") for thread in threading.enumerate())


def test_all_items_in_order():
    with read_ahead(iter(range(100)), size=3) as items:
        assert list(items) == list(range(100))
    assert running() == 0


def test_never_more_ahead_than_asked():
    fetched = []

    def source():
        for i in range(50):
            fetched.append(i)
            yield i

    with read_ahead(source(), size=3) as items:
        for item in items:
            time.sleep(0.002)
            assert len(fetched) <= item + 1 + 3 + 1  # waiting, and one that finds no room


def test_an_error_of_the_source_arrives_after_the_items_before_it():
    def source():
        yield 1
        raise KeyError("broken")

    got = []

    def use() -> None:
        with read_ahead(source()) as items:
            for item in items:
                got.append(item)

    with pytest.raises(KeyError, match="broken"):
        use()
    assert got == [1]
    assert running() == 0


def test_an_early_end_stops_the_thread_and_closes_the_source():
    closed = threading.Event()

    def source():
        try:
            yield from range(10**9)
        finally:
            closed.set()

    items_of = source()
    with read_ahead(items_of, size=2) as items:
        next(items)
    items_of.close()
    assert closed.is_set()
    assert running() == 0


@pytest.mark.parametrize("size", [0, -1])
def test_sizes_below_one_are_refused(size):
    with pytest.raises(ValueError, match="at least 1"), read_ahead([1], size=size):
        pass
    with pytest.raises(ValueError, match="at least 1"), write_behind(print, size=size):
        pass


def test_everything_is_written_when_the_block_ends():
    written: list[int] = []

    def slowly(item: int) -> None:
        time.sleep(0.001)
        written.append(item)

    with write_behind(slowly, size=2) as write:
        for i in range(30):
            write(i)
    assert written == list(range(30))


@pytest.mark.parametrize("items", [1, 100])
def test_an_error_of_the_writer_arrives(items):
    def fail(item: int) -> None:
        raise OSError("full")

    def use() -> None:
        with write_behind(fail, size=2) as write:
            for i in range(items):
                write(i)

    with pytest.raises(OSError, match="full"):
        use()
    assert running() == 0


def test_after_an_error_of_the_block_the_rest_is_dropped():
    written: list[int] = []

    def slowly(item: int) -> None:
        time.sleep(0.05)
        written.append(item)

    def use() -> None:
        with write_behind(slowly, size=10) as write:
            for i in range(10):
                write(i)
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        use()
    assert len(written) < 10
    assert running() == 0
