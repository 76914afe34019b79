"""What a user sees while a clip is worked on: a bar on a terminal, plain lines elsewhere."""

import time
from types import TracebackType
from typing import Protocol, Self, TextIO

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, ProgressColumn, Task, TaskID, TextColumn, TimeRemainingColumn
from rich.progress import Progress as RichProgress
from rich.text import Text

_LINE_EVERY_S = 10.0  # own convention: seldom enough for a log, often enough to see that it lives


class Progress(Protocol):
    """Where the pipeline tells how far it is."""

    def stage(self, name: str) -> None:
        """Begin a stage; it ends the one before."""

    def reached(self, done: int, frames: int) -> None:
        """Say how many of about ``frames`` frames are done."""

    def note(self, line: str) -> None:
        """Tell the user one thing in a sentence."""

    def __enter__(self) -> Self:
        """Start showing."""

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Stop showing."""


class PlainProgress:
    """Plain lines: one when a stage begins and one every ten seconds."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream
        self._name = ""
        self._began = self._told = time.monotonic()

    def stage(self, name: str) -> None:
        """Begin a stage."""
        self._name = name
        self._began = self._told = time.monotonic()
        self.note(f"{name} ...")

    def reached(self, done: int, frames: int) -> None:
        """Every ten seconds say how far it is."""
        now = time.monotonic()
        if now - self._told < _LINE_EVERY_S:
            return
        self._told = now
        rate = done / (now - self._began)
        left = f", {max(frames - done, 0) / rate:.0f} s left" if rate > 0 else ""
        self.note(f"{self._name}: {done} of {frames} frames, {rate:.0f} frames/s{left}.")

    def note(self, line: str) -> None:
        """Write one line."""
        self._stream.write(line + "\n")
        self._stream.flush()

    def __enter__(self) -> Self:
        """Return itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """Nothing is left open."""


class _FramesPerSecond(ProgressColumn):
    def render(self, task: Task) -> Text:
        """Return the speed as text."""
        return Text("" if task.speed is None else f"{task.speed:.0f} frames/s")


class BarProgress:
    """A bar with frames per second and the time left."""

    def __init__(self, stream: TextIO) -> None:
        self._bar = RichProgress(
            TextColumn("{task.description}"),
            BarColumn(),
            MofNCompleteColumn(),
            _FramesPerSecond(),
            TimeRemainingColumn(),
            TextColumn("left"),
            console=Console(file=stream),
        )
        self._task: TaskID | None = None

    def stage(self, name: str) -> None:
        """Begin a bar; the one before stays as a full one."""
        self._finish()
        self._task = self._bar.add_task(name, total=None)

    def reached(self, done: int, frames: int) -> None:
        """Move the bar."""
        if self._task is not None:
            self._bar.update(self._task, completed=done, total=max(frames, done))

    def note(self, line: str) -> None:
        """Write one line above the bar."""
        self._bar.console.print(line, markup=False, highlight=False)

    def _finish(self) -> None:
        # the number of frames in a container is a guess: what was done is what there was
        if self._task is not None:
            done = max(self._bar.tasks[self._task].completed, 1)
            self._bar.update(self._task, total=done, completed=done)

    def __enter__(self) -> Self:
        """Show the bar."""
        self._bar.start()
        return self

    def __exit__(self, kind: type[BaseException] | None, *_: object) -> None:
        """Leave the bar as it is: full when all went well."""
        if kind is None:
            self._finish()
        self._bar.stop()


def progress_on(stream: TextIO) -> Progress:
    """Return a bar where the stream is a terminal, plain lines elsewhere."""
    return BarProgress(stream) if stream.isatty() else PlainProgress(stream)
