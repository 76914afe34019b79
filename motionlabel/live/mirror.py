"""The loop: newest picture, landmarks, state, drawing, screen."""

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from time import monotonic

import cv2
import numpy as np

from motionlabel.drawing import Theme
from motionlabel.live.analyst import Analyst, Report, Sight
from motionlabel.live.feed import Feed, Shot
from motionlabel.live.latency import Latency
from motionlabel.live.practise import STARTERS, Target, target_named
from motionlabel.live.reading import Reading
from motionlabel.live.recorder import Recorder
from motionlabel.live.scene import Scene, draw
from motionlabel.live.session import Mode, Session, advanced, finished, in_mode, skipped
from motionlabel.live.trouble import Trouble, Watch, notice, watched
from motionlabel.live.window import Key, Window
from motionlabel.live.words import figures_lines
from motionlabel.pose.clearing import cleared
from motionlabel.pose.gate import gated
from motionlabel.pose.landmarker import Landmarker
from motionlabel.pose.one_euro import OneEuro, smoothed
from motionlabel.records import Array
from motionlabel.video import FrameSource
from motionlabel.video.stream import Image

_COUNT_EVERY_S = 2.0  # people are counted so often
_SMALL_PX = 360  # height of the picture in which they are
_NEWS_S = 6.0  # how long the name of a recording stands
_WAIT_S = 0.1  # for a picture, before keys are looked at again
_STALLED_S = 2.0
_REMEMBERED = 45  # landmarks of the last pictures, for a second and a half
# Source of all: own convention


@dataclass(frozen=True, slots=True)
class MirrorOptions:
    """What a mirror needs.

    Attributes
    ----------
    connect
        Opens the camera.
    size
        Size of the window and of the grey picture before the first one comes.
    model
        Landmark model, path.
    theme
        Colours and sizes.
    targets
        What is practised; empty = a short list of its own.
    folder
        Where recordings go.
    """

    connect: Callable[[], FrameSource]
    size: tuple[int, int]
    model: Path
    theme: Theme
    targets: tuple[Target, ...] = ()
    folder: Path = Path()


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of a run.

    Attributes
    ----------
    pictures
        Pictures shown.
    recordings
        Clips that were recorded.
    trouble
        What was wrong with the camera when it ended; empty = nothing.
    latency
        How fast it was.
    """

    pictures: int
    recordings: tuple[Path, ...]
    trouble: str
    latency: Latency


def run_mirror(options: MirrorOptions, window: Window) -> Outcome:
    """Show the mirror until the student quits.

    Raises
    ------
    MissingDependencyError
        The model cannot be loaded.
    UnreadableInputError
        The clip that plays in the place of a camera cannot be read.
    """
    with Analyst() as analyst, Landmarker(options.model) as landmarker, Feed(options.connect) as feed:
        mirror = _Mirror(options, analyst, landmarker, feed)
        try:
            while mirror.press(window.show(mirror.picture())):
                pass
        finally:
            mirror.stop_recording()
        return Outcome(mirror.pictures, tuple(mirror.recordings), mirror.camera_trouble, mirror.latency)


class _Mirror:
    """What changes from picture to picture."""

    def __init__(self, options: MirrorOptions, analyst: Analyst, landmarker: Landmarker, feed: Feed) -> None:
        self._options, self._analyst, self._landmarker, self._feed = options, analyst, landmarker, feed
        targets = options.targets or tuple(target_named(text) for text in STARTERS)
        self._session = Session(targets)
        self._report = Report(Reading(np.zeros(1)))
        self._people, self._counted_s = 1, 0.0
        self._euro: OneEuro | None = None
        self._watch = Watch()
        self._seen: deque[tuple[float, Array]] = deque(maxlen=_REMEMBERED)
        self._last: Image = np.full((options.size[1], options.size[0], 3), 96, dtype=np.uint8)
        self._came_s = monotonic()
        self._captured_s: float | None = None
        self._recorder: Recorder | None = None
        self._news, self._news_s = "", 0.0
        self._figures = False
        self.pictures = 0
        self.recordings: list[Path] = []
        self.camera_trouble = ""
        self.latency = Latency()

    def picture(self) -> Image:
        """Return the next picture for the screen: the newest one or, where none comes, the last one again."""
        came = self._feed.newest(_WAIT_S)
        report = self._analyst.report()
        if report is not None:
            self._report = report
            self._people = self._people if report.people is None else report.people
        if isinstance(came, Shot):
            return self._of_shot(came)
        if isinstance(came, str):
            self.camera_trouble = came
        elif not self.camera_trouble and monotonic() - self._came_s > _STALLED_S:
            self.camera_trouble = Trouble.STALLED.value
        return self._drawn(self._last, None, self.camera_trouble)

    def press(self, key: Key | None) -> bool:
        """Do what a key asks for; return whether to go on. The picture before it is on the screen now."""
        if self._captured_s is not None:
            self.latency.shown(self._captured_s, monotonic())
            self._captured_s = None
        match key:
            case Key.QUIT:
                return False
            case Key.CONFIRM:
                self._session = replace(self._session, confirmed=True)
            case Key.FIGURES:
                self._figures = not self._figures
            case Key.RECORD if self._session.confirmed:
                self._toggle_recording()
            case Key.EXPLORE | Key.PERFORM | Key.IDENTIFY:
                self._session = in_mode(self._session, Mode[key.name])
            case Key.NEXT:
                self._session = skipped(self._session)
            case Key.END:
                self._session = finished(self._session)
        return True

    def stop_recording(self) -> None:
        """Finish the clip if one is being recorded, and say how it is called."""
        if self._recorder is None:
            return
        problem = self._recorder.finish()
        self._news = problem or f"Saved {self._recorder.path}"
        self._news_s = monotonic()
        if problem is None:
            self.recordings.append(self._recorder.path)
        self._recorder = None

    def _of_shot(self, shot: Shot) -> Image:
        image, time_s = shot.frame.image, shot.frame.time_s
        height, width = image.shape[:2]
        found = gated(self._landmarker.detect(cleared(shot.frame)), width, height)
        small = None
        if self._session.confirmed and shot.captured_s - self._counted_s > _COUNT_EVERY_S:
            self._counted_s = shot.captured_s
            small = np.asarray(cv2.resize(image, (round(width * _SMALL_PX / height), _SMALL_PX)), dtype=np.uint8)
        self._analyst.tell(Sight(time_s, width, height, found, small))
        self._euro = smoothed(self._euro, time_s, found) if found is not None else self._euro
        now_px = self._euro.detection.image_px if found is not None and self._euro is not None else None
        if now_px is not None:
            self._seen.append((time_s, now_px))
        if self._session.confirmed:
            self._session = advanced(self._session, self._report.reading, time_s)
        self._watch = watched(self._watch, notice(image, found, self._people), shot.captured_s)
        self._record(shot)
        self._last, self._came_s, self._captured_s = image, shot.captured_s, shot.captured_s
        self.camera_trouble = ""
        self.pictures += 1
        return self._drawn(image, now_px, self._watch.shown.value if self._watch.shown else "")

    def _drawn(self, image: Image, now_px: Array | None, trouble: str) -> Image:
        newest_s = float(self._report.reading.seen_s[-1])
        then = next((points for time_s, points in reversed(self._seen) if time_s <= newest_s), None)
        news = self._news if monotonic() - self._news_s < _NEWS_S else ""
        figures = figures_lines(self.latency, self._feed.dropped, self._report.took_s) if self._figures else ()
        recording = "" if self._recorder is None else self._recorder.path.name
        scene = Scene(self._session, self._report.reading, then, now_px, trouble, recording, news, figures)
        return draw(image, scene, self._options.theme)

    def _toggle_recording(self) -> None:
        if self._recorder is not None:
            self.stop_recording()
        elif self.pictures:
            self._recorder = Recorder(self._options.folder, (self._last.shape[1], self._last.shape[0]))

    def _record(self, shot: Shot) -> None:
        if self._recorder is None:
            return
        size = shot.frame.image.shape[1], shot.frame.image.shape[0]
        if self._recorder.problem is not None or size != self._recorder.size:
            self.stop_recording()
        else:
            self._recorder.take(shot.frame)
