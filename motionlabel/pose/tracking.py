"""A clip in, the landmarks of the person who exercises out."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from motionlabel.records import LandmarkTrack, PersonChoice
from motionlabel.video.stream import Image


@dataclass(frozen=True, slots=True)
class TrackResult:
    """The landmarks of a clip and whose they are.

    Attributes
    ----------
    landmarks
        As found, not smoothed; NaN and visibility 0 where the person is not in the picture.
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
    progress: Callable[[int, int], None] | None = None,
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
        Called now and then, in the calling thread, with frames done and frames in all.

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
    raise NotImplementedError
