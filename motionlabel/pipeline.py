"""From a clip to its outputs, top to bottom.

First pass: decode and detect; then the stages work on the whole clip; the study is stored.
Second pass: decode, draw, encode. A stored study that fits makes the first pass unnecessary.
"""

from collections.abc import Callable
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path

import cv2

from motionlabel import __version__
from motionlabel.anatomy import Course
from motionlabel.drawing import LabelOptions, load_theme
from motionlabel.errors import BadSettingsError
from motionlabel.kinematics import levelled_body, measure_angles, zero_by_standing
from motionlabel.mechanics import muscle_work
from motionlabel.movement import find_phases
from motionlabel.output.annotated_clip import AnnotatedClipOptions, write_annotated_clip
from motionlabel.output.file_names import FileNames
from motionlabel.output.study_store import StudyKey, load_study, save_study, study_paths
from motionlabel.output.tables import TableOptions, write_angle_table, write_phase_table
from motionlabel.output.whole_file import make_folder, whole_file
from motionlabel.pose import model_checksum, model_path, smooth_track, track_clip
from motionlabel.progress import Progress
from motionlabel.records import Study, VideoFacts
from motionlabel.settings import Settings
from motionlabel.video import FileSource
from motionlabel.video.stream import Image

_DECIDING_LIBRARIES = ("mediapipe", "opencv-python", "numpy", "scipy")


@dataclass(frozen=True, slots=True)
class Result:
    """What came of one clip.

    Attributes
    ----------
    study
        What was found.
    course
        Names and words in which it is told.
    written
        The files, the ones for the user first.
    """

    study: Study
    course: Course
    written: tuple[Path, ...]


def annotate_clip(clip: Path, settings: Settings, names: FileNames, progress: Progress, fresh: bool = False) -> Result:
    """Study a clip, or take its stored study, and write the annotated clip.

    Parameters
    ----------
    clip
        The recorded clip.
    settings
        All settings.
    names
        Where the files go.
    progress
        Where it is told how far the work is.
    fresh
        Study the clip anew even if a stored study fits.

    Raises
    ------
    MotionLabelError
        Something that the user can mend; see ``motionlabel.errors``.
    """
    shown = settings.annotate
    load_theme(shown.theme)  # a wrong theme or anatomy file is told before the long part
    course = settings.anatomy.course()
    study, stored = study_clip(clip, settings, names, progress, fresh)
    progress.stage(f"{clip.name}: drawing")
    options = AnnotatedClipOptions(
        clip=clip,
        theme=shown.theme,
        labels=LabelOptions(shown.detail, shown.focus, shown.show),
        caution=shown.caution,
        course=course,
        progress=progress.reached,
        note=progress.note,
    )
    return Result(study, course, (*write_annotated_clip(study, options, names.annotated), *stored))


def measure_clip(clip: Path, settings: Settings, names: FileNames, progress: Progress, fresh: bool = False) -> Result:
    """Study a clip, or take its stored study, and write the tables of angles and phases.

    Parameters and errors as for ``annotate_clip``.
    """
    course = settings.anatomy.course()
    study, stored = study_clip(clip, settings, names, progress, fresh)
    return Result(study, course, (*_tables(study, names), *stored))


def tables_of_study(path: Path, settings: Settings, names: FileNames) -> Result:
    """Write the tables of a stored study that the user names; the clip is not needed.

    Raises
    ------
    BadSettingsError
        The study is damaged or of another format.
    CannotWriteError
        The folder cannot be written to or the disk is full.
    """
    course = settings.anatomy.course()
    study = load_study(path)
    make_folder(names.folder)
    return Result(study, course, tuple(_tables(study, names)))


def study_clip(
    clip: Path, settings: Settings, names: FileNames, progress: Progress, fresh: bool = False
) -> tuple[Study, list[Path]]:
    """Return the study of a clip and its files: the stored one if it fits, else a new one.

    Parameters and errors as for ``annotate_clip``.
    """
    with FileSource(clip) as source:
        video = source.facts
    make_folder(names.folder)
    model = model_path(settings.pose.model)
    key = StudyKey(video.sha256, model_checksum(model), settings.deciding(), _versions())
    stored = None if fresh else _stored_study(names.study, key, progress.note)
    if stored is not None:
        seen = [names.people] if stored.person.count > 1 and names.people.exists() else []
        return stored, [*study_paths(names.study), *seen]
    study, people = _new_study(clip, video, model, key, settings, progress)
    picture = [] if people is None else _save_picture(people, names.people)
    return study, [*save_study(study, names.study), *picture]


def _tables(study: Study, names: FileNames) -> list[Path]:
    options = TableOptions()
    return write_angle_table(study, options, names.angles) + write_phase_table(study, options, names.phases)


def _new_study(
    clip: Path, video: VideoFacts, model: Path, key: StudyKey, settings: Settings, progress: Progress
) -> tuple[Study, Image | None]:
    progress.stage(f"{clip.name}: finding the person")
    found = track_clip(clip, model, settings.pose.person or None, progress.reached, video)
    landmarks = smooth_track(found.landmarks, settings.smoothing.cutoff_hz)
    person, people = found.person, found.people_picture
    del found  # the raw landmarks of a long clip are large
    body = levelled_body(landmarks, video, settings.camera.roll_rad)
    angles = zero_by_standing(measure_angles(body), body)
    phases, work = muscle_work(body, angles, find_phases(angles, body), settings.mechanics.support)
    study = Study(
        video=video,
        person=person,
        landmarks=landmarks,
        body=body,
        angles=angles,
        phases=phases,
        work=work,
        model_sha256=key.model_sha256,
        versions=dict(key.versions),
        settings=dict(key.settings),
    )
    return study, people


def _stored_study(path: Path, key: StudyKey, note: Callable[[str], None]) -> Study | None:
    """Return the study stored beside the clip if it fits; say why it does not."""
    if not path.exists():
        return None
    try:
        study = load_study(path)
    except BadSettingsError:
        # only a store of our own making: nobody asked for this very file
        note(f"{path.name} cannot be used any more; the clip is studied anew.")
        return None
    difference = key.difference(study)
    if difference is not None:
        note(f"{path.name} is not used, because {difference}; the clip is studied anew.")
        return None
    note(f"The stored study {path.name} is used.")
    return study


def _versions() -> dict[str, str]:
    return {"motionlabel": __version__, **{name: version(name) for name in _DECIDING_LIBRARIES}}


def _save_picture(picture: Image, path: Path) -> list[Path]:
    encoded = cv2.imencode(".png", picture)[1]
    with whole_file(path) as part:
        part.write_bytes(encoded.tobytes())
    return [path]
