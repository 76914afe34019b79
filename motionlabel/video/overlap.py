"""Overlap decoding, computing and encoding: threads with bounded queues."""

import queue
import threading
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from typing import TypeVar

from motionlabel.video.worker import POLL_S, Worker

T = TypeVar("T")


class _End:
    """Marks the end of a queue."""


def _put(line: "queue.Queue[T]", item: T, stop: threading.Event) -> bool:
    while not stop.is_set():
        try:
            line.put(item, timeout=POLL_S)
        except queue.Full:
            continue
        return True
    return False


def _get(line: "queue.Queue[T]", stop: threading.Event) -> T | _End:
    while not stop.is_set():
        try:
            return line.get(timeout=POLL_S)
        except queue.Empty:
            continue
    return _End()


@contextmanager
def read_ahead(items: Iterable[T], size: int = 4) -> Iterator[Iterator[T]]:
    """Let a thread fetch up to ``size`` items ahead of their use.

    An error of the thread is raised where the items are used. However the ``with`` block is left,
    the thread has ended afterwards.

    Parameters
    ----------
    items
        What is fetched; its iterator runs in the thread only.
    size
        Most items that wait; more memory, not more speed, beyond a few.
    """
    if size < 1:
        raise ValueError(f"read_ahead: wanted a size of at least 1, got {size}")
    line: queue.Queue[T | _End] = queue.Queue(size)
    stop = threading.Event()

    def fetch() -> None:
        try:
            for item in items:
                if not _put(line, item, stop):
                    return
        finally:
            _put(line, _End(), stop)

    def fetched() -> Iterator[T]:
        while not isinstance(item := _get(line, stop), _End):
            yield item
        if not stop.is_set():
            worker.finish()
            if worker.error is not None:
                raise worker.error

    worker = Worker("read ahead", fetch)
    try:
        worker.start()
        yield fetched()
    finally:
        stop.set()
        worker.finish()


@contextmanager
def write_behind(write: Callable[[T], None], size: int = 4) -> Iterator[Callable[[T], None]]:
    """Let a thread do the writing, up to ``size`` items behind.

    Gives a function that takes an item and returns at once while there is room. An error of the
    thread is raised by the next call, or when the block ends. A block that ends by itself waits until
    all is written; one that ends with an error drops what waits.

    Parameters
    ----------
    write
        Called in the thread only, in order.
    size
        Most items that wait.
    """
    if size < 1:
        raise ValueError(f"write_behind: wanted a size of at least 1, got {size}")
    line: queue.Queue[T | _End] = queue.Queue(size)
    stop = threading.Event()

    def work() -> None:
        try:
            while not isinstance(item := _get(line, stop), _End):
                write(item)
        finally:
            stop.set()

    def hand_over(item: T) -> None:
        if not _put(line, item, stop):
            worker.finish()
            raise worker.error or RuntimeError("write_behind: called after its block had ended")

    worker = Worker("write behind", work)
    try:
        worker.start()
        yield hand_over
        _put(line, _End(), stop)
        worker.finish()
    finally:
        stop.set()
        worker.finish()
    if worker.error is not None:
        raise worker.error
