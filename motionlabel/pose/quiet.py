"""Native libraries kept from writing to the user's terminal."""

import os
import threading
from collections.abc import Iterator
from contextlib import contextmanager

_STDERR = 2


class _Silence:
    """File descriptor 2 turned to the null device while at least one thread asks for it."""

    def __init__(self) -> None:
        self._lock = threading.RLock()  # a signal may come while its thread holds it
        self._depth = 0
        self._kept = -1

    def begin(self) -> None:
        with self._lock:
            self._depth += 1
            if self._depth == 1:
                self._kept = os.dup(_STDERR)
                null = os.open(os.devnull, os.O_WRONLY)
                os.dup2(null, _STDERR)
                os.close(null)

    def end(self) -> None:
        with self._lock:
            self._depth -= 1
            if self._depth == 0:
                os.dup2(self._kept, _STDERR)
                os.close(self._kept)


_silence = _Silence()


@contextmanager
def native_quiet() -> Iterator[None]:
    """Drop what is written to file descriptor 2 meanwhile, by any thread; may be nested."""
    _silence.begin()
    try:
        yield
    finally:
        _silence.end()


def stay_quiet() -> None:
    """Drop what is written to file descriptor 2 from now on: threads of native libraries outlive an interrupt."""
    _silence.begin()
