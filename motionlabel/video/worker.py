"""A thread that hands its error on and whose end may be waited for with Ctrl-C."""

import threading
from collections.abc import Callable

POLL_S = 0.1
"""How long Ctrl-C or an early end may go unseen, seconds."""


class Worker:
    """Runs a function in a thread of its own.

    ``Thread.join`` is not used to wait: interrupted by Ctrl-C, it takes a running thread for ended
    (CPython 3.11).

    Parameters
    ----------
    name
        Name of the thread.
    work
        What it does.

    Attributes
    ----------
    error
        What ``work`` raised; ``None`` = nothing, or not yet.
    """

    def __init__(self, name: str, work: Callable[[], None]) -> None:
        self.error: BaseException | None = None
        self._work = work
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._run, name=name, daemon=True)

    def _run(self) -> None:
        try:
            self._work()
        except BaseException as error:  # handed on, raised by whoever waits
            self.error = error
        finally:
            self._ended.set()

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def ended(self, within_s: float = 0.0) -> bool:
        """Wait a while and tell whether the work has ended."""
        return self._ended.wait(within_s)

    def finish(self) -> None:
        """Wait for the end of the work; one that never began is ended."""
        if self._thread.ident is None:
            return
        while not self._ended.wait(POLL_S):
            continue
        self._thread.join()
