"""The stages at work beside the picture, in a process of their own."""

import multiprocessing
import queue
import signal
import time
import warnings
from contextlib import suppress
from dataclasses import dataclass, field, replace
from multiprocessing.connection import Connection
from types import TracebackType
from typing import Self

from motionlabel.live.lookback import Lookback, remember, shortened
from motionlabel.live.reading import Carried, Reading, read
from motionlabel.pose import Detection, model_path
from motionlabel.pose.gate import gated
from motionlabel.pose.one_euro import JUDGED, OneEuro, smoothed
from motionlabel.pose.people import separate
from motionlabel.records import VideoFacts
from motionlabel.video.stream import Image
from motionlabel.video.worker import Worker

EVERY_S = 0.1
"""Least time between two readings: more often costs more than it tells. *Source*: own convention."""

_WAITING = 90  # frames that may wait for a slow machine
_SHARE = 1.1  # and at least so many times what one takes (measured: the picture's delay is the same at 1.5)


@dataclass(frozen=True, slots=True)
class Sight:
    """What the landmarker saw in one frame, and its size; ``small`` is a small copy now and then.

    Attributes
    ----------
    time_s
        Camera's clock.
    width, height
        Pixels of the picture.
    seen
        Landmarks; ``None`` = nobody.
    small
        (H, W, 3) a small copy of the picture, in which people are counted; ``None`` = none this time.
    """

    time_s: float
    width: int
    height: int
    seen: Detection | None
    small: Image | None = None


@dataclass(frozen=True, slots=True)
class Report:
    """What the analyst says.

    Attributes
    ----------
    reading
        The newest reading.
    people
        People in the last small picture; ``None`` = none was looked at.
    took_s
        What the reading took, seconds.
    """

    reading: Reading
    people: int | None = None
    took_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Memory:
    """All that the analyst remembers."""

    lookback: Lookback | None = None
    carried: Carried = field(default_factory=Carried)
    size: tuple[int, int] = (0, 0)
    euro: OneEuro | None = None


def taken_in(memory: Memory, sight: Sight) -> Memory:
    """Return the memory with one more frame; another size of picture begins it anew."""
    size = sight.width, sight.height
    lookback, euro = (memory.lookback, memory.euro) if size == memory.size else (None, None)
    seen = None
    if sight.seen is not None:
        euro = smoothed(euro, sight.time_s, sight.seen, JUDGED)
        seen = euro.detection
    return replace(memory, lookback=remember(lookback, sight.time_s, seen), size=size, euro=euro)


def looked(memory: Memory) -> tuple[Memory, Reading]:
    """Return the memory after a look at it, and what was read.

    Raises
    ------
    ValueError
        Nothing was taken in yet.
    """
    if memory.lookback is None:
        raise ValueError("looked: nothing was taken in")
    facts = VideoFacts("camera", *memory.size, (30, 1), float("inf"), False, "")
    look = read(memory.lookback, facts, memory.carried)
    lookback = shortened(memory.lookback, look.quiet, look.standing)
    return replace(memory, lookback=lookback, carried=look.carried), look.reading


class Analyst:
    """The process; a context manager."""

    def __init__(self) -> None:
        context = multiprocessing.get_context("spawn")
        self._ours, theirs = context.Pipe()
        self._process = context.Process(target=_work, args=(theirs,), name="analyst", daemon=True)
        self._process.start()
        theirs.close()
        self._line: queue.Queue[Sight | None] = queue.Queue(_WAITING)
        self._sender = Worker("to the analyst", self._send)
        self._sender.start()

    def tell(self, sight: Sight) -> None:
        """Hand a frame over without waiting; left out where too many wait already."""
        with suppress(queue.Full):
            self._line.put_nowait(sight)

    def _send(self) -> None:
        """Send what waits: the pipe is full while a reading is made, and the picture must not wait for it."""
        with suppress(OSError):  # the process has ended, which ``report`` tells
            while (sight := self._line.get()) is not None:
                self._ours.send(sight)

    def report(self) -> Report | None:
        """Return the newest report that has come since; ``None`` = none.

        Raises
        ------
        RuntimeError
            The process has failed; its message is in the error.
        """
        newest: Report | None = None
        people: int | None = None
        while self._ours.poll():
            try:
                said = self._ours.recv()
            except EOFError as error:
                raise RuntimeError("the analyst has ended") from error
            if isinstance(said, str):
                raise RuntimeError(f"the analyst failed: {said}")
            people = said.people if said.people is not None else people
            newest = said
        return None if newest is None else replace(newest, people=people)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        # it has nothing to save; ending it also frees a sender that waits for it
        self._process.terminate()
        self._process.join()
        with suppress(queue.Full):
            self._line.put_nowait(None)
        self._sender.finish()
        self._ours.close()


def _work(pipe: Connection) -> None:
    """Take in what comes and report; ends when the other end is closed."""
    from motionlabel.pose.landmarker import PeopleFinder

    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C reaches the mirror, which ends this process
    # frames without the person are unknown (NaN) on purpose: no news for the student's terminal
    warnings.simplefilter("ignore", RuntimeWarning)
    memory, looked_s, took_s = Memory(), 0.0, 0.0
    try:
        with PeopleFinder(model_path("lite")) as finder:
            while True:
                sights: list[Sight] = [pipe.recv()]
                time.sleep(max(0.0, looked_s + max(EVERY_S, _SHARE * took_s) - time.monotonic()))
                while pipe.poll():
                    sights.append(pipe.recv())
                for sight in sights:
                    memory = taken_in(memory, sight)
                looked_s = time.monotonic()
                memory, reading = looked(memory)
                small = next((sight.small for sight in reversed(sights) if sight.small is not None), None)
                people = None if small is None else _count(finder.find(small), small)
                took_s = time.monotonic() - looked_s
                pipe.send(Report(reading, people, took_s))
    except (EOFError, BrokenPipeError, ConnectionResetError):
        return  # the mirror has ended
    except Exception as error:  # handed on, raised by ``Analyst.report``
        pipe.send(f"{type(error).__name__}: {error}")


def _count(found: list[Detection], image: Image) -> int:
    height, width = image.shape[:2]
    seen = [gated(one, width, height) for one in found]
    return len(separate([one for one in seen if one is not None]))
