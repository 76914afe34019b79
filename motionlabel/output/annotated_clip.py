"""The clip with its labels and its sound: decode, paint and encode, overlapped."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from motionlabel.anatomy import Course
from motionlabel.drawing import DEFAULT_THEME, Annotator, LabelOptions, left_out, load_theme
from motionlabel.records import Frame, Study
from motionlabel.video import ClipSink, FileSource, frame_slots, read_ahead
from motionlabel.video.stream import Image

_WAITING = 2  # pictures between two threads; more cost memory and gain no time


@dataclass(frozen=True, slots=True)
class AnnotatedClipOptions:
    """What the annotated clip is made from and what it shows.

    Attributes
    ----------
    clip
        The original clip, for its pictures and its sound.
    theme
        Name or path of a theme.
    labels
        Detail and focus of the labels.
    caution
        Whether the caution is laid over the first seconds.
    course
        Names and words of the labels; ``None`` = the whole atlas in its own words.
    progress
        Called with frames done and frames in all.
    note
        Called with a sentence for the user, such as that a label found no room.
    """

    clip: Path
    theme: str = DEFAULT_THEME
    labels: LabelOptions = field(default_factory=LabelOptions)
    caution: bool = True
    course: Course | None = None
    progress: Callable[[int, int], None] = lambda done, frames: None
    note: Callable[[str], None] = lambda sentence: None


def write_annotated_clip(study: Study, options: AnnotatedClipOptions, path: Path) -> list[Path]:
    """Write the clip with its labels, of the same duration and with the same sound.

    Raises
    ------
    UnreadableInputError
        The original clip cannot be read.
    CannotWriteError
        The folder cannot be written to or the disk is full.
    """
    video = study.video
    slots = frame_slots(study.landmarks.time_s, video.rate, video.duration_s)
    annotator = Annotator(study, load_theme(options.theme), options.labels, options.caution, options.course)
    for sentence in left_out(annotator.left_out, study, options.course):
        options.note(f"{options.clip.name}: {sentence}")

    def painted(frames: Iterable[Frame]) -> Iterator[Image]:
        """Yield a picture for every slot of the constant rate that is written."""
        for done, (frame, count) in enumerate(zip(frames, slots, strict=True), start=1):
            if count:
                picture = annotator.paint(frame)
                for _ in range(count):
                    yield picture
            options.progress(done, len(slots))

    sound = options.clip if video.has_sound else None
    with (
        FileSource(options.clip, video) as source,
        read_ahead(source, _WAITING) as frames,
        ClipSink(path, annotator.size, video.rate, sound) as sink,
        read_ahead(painted(frames), _WAITING) as pictures,
    ):
        for picture in pictures:
            sink.write(picture)
    return [path]
