"""A clip in, the landmarks of the person who exercises out."""

import threading
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from motionlabel.errors import NoPersonError
from motionlabel.pose.clearing import cleared
from motionlabel.pose.detection import Progress, detect_clip
from motionlabel.pose.following import Follower
from motionlabel.pose.landmarker import Landmarker
from motionlabel.pose.model import model_path
from motionlabel.pose.people import Person, choose, tell_apart
from motionlabel.pose.portrait import clearest_frame, number_people
from motionlabel.pose.second_look import look_again
from motionlabel.pose.sides import mend_sides
from motionlabel.pose.survey import Survey, sampled_frames
from motionlabel.records import LandmarkTrack, PersonChoice, VideoFacts
from motionlabel.video.file import FileSource
from motionlabel.video.overlap import read_ahead
from motionlabel.video.stream import Image

_CLOSER_SAMPLES = 60  # once several people are known to be there
_FEWEST_FRAMES = 3  # with the person; fewer show no movement


@dataclass(frozen=True, slots=True)
class TrackResult:
    """The landmarks of a clip and whose they are.

    Attributes
    ----------
    landmarks
        As found, sides mended, not smoothed; NaN and visibility 0 where the person is not in the
        picture.
    person
        Who was followed.
    people_picture
        (H, W, 3) BGR picture with numbered people; ``None`` if only one was seen.
    """

    landmarks: LandmarkTrack
    person: PersonChoice
    people_picture: Image | None


def track_clip(
    path: Path,
    model: str | Path = "full",
    person: int | None = None,
    progress: Progress | None = None,
    facts: VideoFacts | None = None,
) -> TrackResult:
    """Find the landmarks of the person who exercises, in every frame of a clip.

    Parameters
    ----------
    path
        The clip.
    model
        ``lite``, ``full`` or the path of a ``.task`` file.
    person
        Number of the person to follow, as on the people picture; ``None`` = who moves most.
    progress
        Called now and then, in the calling thread, with frames done and frames in all; begins
        again when several people, or frames without anybody, make a second pass necessary.
    facts
        What ``FileSource(path).facts`` told before; saves reading the file for them again.

    Raises
    ------
    UnreadableInputError
        The clip cannot be read.
    NoPersonError
        Nobody usable is in the clip.
    UsageError
        There is no person of that number.
    MissingDependencyError
        The model is missing or damaged.
    """
    bundle = model_path(model)
    with FileSource(Path(path), facts) as source:
        with Survey(model_path("lite"), sampled_frames(len(source.time_s))) as survey:
            track = detect_clip(source, lambda: Landmarker(bundle), survey.look, survey.several, progress)
        people = _closer_look(source) if survey.several.is_set() else ()
        choice = choose(people, person, str(path))
        if not survey.several.is_set():
            track = look_again(source, track, bundle, lambda: Landmarker(bundle), progress)
            return TrackResult(mend_sides(_usable(track, source.path)), choice, None)
        if not people:
            raise _nobody(source.path)
        chosen = people[choice.number - 1]
        others = tuple(other for other in people if other is not chosen)
        track = detect_clip(
            source, lambda: Follower(Landmarker(bundle), chosen, others), None, threading.Event(), progress
        )
        picture = _portrait(source, people) if others else None
        return TrackResult(mend_sides(_usable(track, source.path)), choice, picture)


def _closer_look(source: FileSource) -> tuple[Person, ...]:
    samples = sampled_frames(len(source.time_s), _CLOSER_SAMPLES)
    with Survey(model_path("lite"), samples) as survey, read_ahead(map(cleared, source)) as frames:
        for frame in frames:
            survey.look(frame.index, frame.time_s, frame.image)
    return tell_apart(survey.sightings)


def _portrait(source: FileSource, people: tuple[Person, ...]) -> Image:
    index = clearest_frame(people)
    frame = next(source.frames(index, index + 1))
    return number_people(frame.image, people, frame.time_s)


def _usable(track: LandmarkTrack, path: Path) -> LandmarkTrack:
    if len(track) < _FEWEST_FRAMES:
        raise NoPersonError(f"{path} has {len(track)} frames, too few to show a movement: give a longer clip.")
    if np.count_nonzero(track.present) < _FEWEST_FRAMES:
        raise _nobody(path)
    return track


def _nobody(path: Path) -> NoPersonError:
    return NoPersonError(
        f"{path} shows nobody whose movement can be followed: give a clip with the person well in view."
    )
