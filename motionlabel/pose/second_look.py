"""A second look where nobody was found: nearer, and with the picture turned.

The landmarker misses small bodies that lie, and the turn of the picture in which it sees them is not
always the one that puts the head up; so all are tried, on a few frames.
"""

import threading
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from types import TracebackType
from typing import Self

import numpy as np

from motionlabel.pose.backend import Detection, PoseBackend
from motionlabel.pose.clearing import cleared
from motionlabel.pose.detection import Progress, detect_clip
from motionlabel.pose.gate import gated
from motionlabel.pose.landmarker import PeopleFinder
from motionlabel.pose.smoothing import LONGEST_BRIDGE_S
from motionlabel.pose.survey import sampled_frames
from motionlabel.pose.view import Turn, View, around
from motionlabel.records import Array, Frame, LandmarkTrack
from motionlabel.video.file import FileSource

# Source of all: own convention
_JOIN_S = 1.0  # spans without the person that are nearer to each other are looked at together
_FEWEST_SAMPLES, _MOST_SAMPLES, _FRAMES_PER_SAMPLE = 3, 8, 30
_FEWEST_FOUND, _FOUND_SHARE = 2, 1 / 3  # samples in which a view must show somebody
_ROOM = 0.3  # about the person, in his or her size
_FURTHEST = 1.5  # sizes from where the person was seen before or after
_SIZE_RATIO = 2.0
_KNOWN_SHARE = 0.1  # of the frames of the clip: what is found in fewer may be an error
_NEARER = (0.6, 0.4)  # shares of the picture's sides that parts of it have
_GREY = 127


@dataclass(frozen=True, slots=True)
class _Span:
    """Frames in which the person was not found, and how to look at them.

    Attributes
    ----------
    start, stop
        Half-open range of frames.
    view
        What to show the landmarker.
    """

    start: int
    stop: int
    view: View


def look_again(
    source: FileSource,
    track: LandmarkTrack,
    finder: Path,
    backend: Callable[[], PoseBackend],
    progress: Progress | None = None,
) -> LandmarkTrack:
    """Look again at the frames of a clip in which nobody was found.

    Costs nothing where the person is found throughout: gaps that are bridged anyway do not count.

    Parameters
    ----------
    source
        The clip.
    track
        What was found in it.
    finder
        Model that finds people in single frames.
    backend
        Makes a landmarker; called in the thread that uses it.
    progress
        Called in the calling thread with frames done and frames in all.

    Returns
    -------
    The track with what the second look found; itself where it found nothing.
    """
    gaps = _gaps(track)
    if not gaps:
        return track
    with PeopleFinder(finder) as people:
        looks = [_look(source, track, people, start, stop) for start, stop in gaps]
    spans = tuple(_Span(start, stop, view) for (start, stop), view in zip(gaps, looks) if view is not None)
    if not spans:
        return track
    again = detect_clip(source, lambda: _Viewer(backend(), spans), None, threading.Event(), progress)
    missing = ~track.present & again.present
    return LandmarkTrack(
        track.time_s,
        np.where(missing[:, None, None], again.image_px, track.image_px),
        np.where(missing[:, None, None], again.world_m, track.world_m),
        np.where(missing[:, None], again.visibility, track.visibility),
    )


def _gaps(track: LandmarkTrack) -> list[tuple[int, int]]:
    """Return the half-open spans without the person, too long to be bridged; near ones joined."""
    edges = np.flatnonzero(np.diff(np.concatenate([[True], track.present, [True]])))
    gaps: list[tuple[int, int]] = []
    for start, stop in edges.reshape(-1, 2).tolist():
        if track.time_s[stop - 1] - track.time_s[start] < LONGEST_BRIDGE_S:
            continue
        if gaps and track.time_s[start] - track.time_s[gaps[-1][1] - 1] < _JOIN_S:
            gaps[-1] = gaps[-1][0], stop
        else:
            gaps.append((start, stop))
    return gaps


def _look(source: FileSource, track: LandmarkTrack, people: PeopleFinder, start: int, stop: int) -> View | None:
    """Find the view that shows the person in most samples of a gap; ``None`` = none shows anybody."""
    width, height = source.facts.width, source.facts.height
    missing = np.flatnonzero(~track.present[start:stop]) + start
    count = int(np.clip(len(missing) // _FRAMES_PER_SAMPLE, _FEWEST_SAMPLES, _MOST_SAMPLES))
    samples = [int(missing[i]) for i in sorted(sampled_frames(len(missing), count))]
    frames = [cleared(frame) for i in samples for frame in source.frames(i, i + 1)]
    known = _place(track, start, stop)
    for parts in _parts(known, width, height):
        best = max((_Tried.of(people, frames, part, known) for part in parts), key=lambda tried: tried.merit)
        if best.count >= max(_FEWEST_FOUND, _FOUND_SHARE * len(frames)):
            return around(best.box_px, _ROOM, width, height, best.view.turn)
    return None


def _place(track: LandmarkTrack, start: int, stop: int) -> Array | None:
    """Return the box (4,) of the person about a gap, pixels; ``None`` = hardly seen in the clip."""
    seen = np.flatnonzero(track.present)
    if len(seen) < _KNOWN_SHARE * len(track):
        return None
    near = np.concatenate([seen[seen < start][-1:], seen[seen >= stop][:1], seen[(seen >= start) & (seen < stop)]])
    points = track.image_px[near]
    return np.concatenate([points.min(axis=(0, 1)), points.max(axis=(0, 1))])


def _parts(known: Array | None, width: int, height: int) -> list[list[View]]:
    """Return the views to try, the likeliest first: about the known place, the whole picture, parts of it."""
    whole = View(0, 0, width, height)
    if known is not None:
        looks = [[around(known, _ROOM, width, height)], [whole]]
    else:
        looks = [[whole], *(_grid(share, width, height) for share in _NEARER)]
    return [[replace(view, turn=turn) for view in views for turn in Turn] for views in looks]


def _grid(share: float, width: int, height: int) -> list[View]:
    """Return parts of the picture that overlap by about a half."""
    steps = np.linspace(0.0, 1.0 - share, round((1.0 - share) / (share / 2.0)) + 1)
    wide, high = round(share * width), round(share * height)
    corners = [(int(x * width), int(y * height)) for y in steps for x in steps]
    return [View(x, y, x + wide, y + high) for x, y in corners]


@dataclass(frozen=True, slots=True)
class _Tried:
    """What a view showed in the samples.

    Attributes
    ----------
    view
        The view.
    count
        Samples with the person.
    visibility
        Mean visibility of the landmarks.
    box_px
        (4,) box of the person over the samples.
    """

    view: View
    count: int
    visibility: float
    box_px: Array

    @property
    def merit(self) -> tuple[int, float]:
        """More samples are better, then clearer ones."""
        return self.count, self.visibility

    @classmethod
    def of(cls, people: PeopleFinder, frames: list[Frame], view: View, known: Array | None) -> Self:
        """Try a view; of several people the clearest counts."""
        found = []
        for frame in frames:
            seen = [gated(person, *view.size) for person in people.find(view.show(frame.image))]
            upright = [view.upright(person) for person in seen if person is not None]
            likely = [person for person in upright if known is None or _alike(_box(person), known)]
            if likely:
                found.append(max(likely, key=lambda person: float(person.visibility.mean())))
        if not found:
            return cls(view, 0, 0.0, np.zeros(4))
        boxes = np.array([_box(person) for person in found])
        box = np.concatenate([boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)])
        return cls(view, len(found), float(np.mean([person.visibility.mean() for person in found])), box)


def _box(person: Detection) -> Array:
    return np.concatenate([person.image_px.min(axis=0), person.image_px.max(axis=0)])


def _alike(box: Array, known: Array) -> bool:
    """Tell whether somebody is near the place, and of the size, of the person."""
    size, usual = (max(b[2] - b[0], b[3] - b[1], 1.0) for b in (box, known))
    apart = float(np.linalg.norm((box[:2] + box[2:] - known[:2] - known[2:]) / 2.0))
    return apart <= _FURTHEST * usual and 1.0 / _SIZE_RATIO <= size / usual <= _SIZE_RATIO


class _Viewer:
    """A landmarker that sees some spans of a clip, each in a view of its own, and no other frames.

    Parameters
    ----------
    backend
        The landmarker; its context is entered and left with this one's.
    spans
        What it sees, in order of time.
    """

    def __init__(self, backend: PoseBackend, spans: tuple[_Span, ...]) -> None:
        self._backend = backend
        self._spans = spans
        self._last: _Span | None = None

    def detect(self, frame: Frame) -> Detection | None:
        """Return the person's landmarks; ``None`` where nobody is seen, and outside the spans."""
        span = next((span for span in self._spans if span.start <= frame.index < span.stop), None)
        if span is None:
            return None
        image = span.view.show(frame.image)
        if self._last not in (None, span):
            # a blank picture ends the landmarker's own tracking
            image = np.full_like(image, _GREY)
        self._last = span
        found = gated(self._backend.detect(replace(frame, image=image)), *span.view.size)
        return None if found is None else span.view.upright(found)

    def __enter__(self) -> Self:
        self._backend.__enter__()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._backend.__exit__(kind, error, trace)
