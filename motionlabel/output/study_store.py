"""A study on disk: ``STEM.study.npz`` holds the arrays, ``STEM.study.json`` everything else.

No pickle, so a study from somebody else can do no harm. The JSON names the checksum of the arrays
and is renamed last: a study that was only half written is never read.
"""

import hashlib
import json
import math
import zipfile
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from motionlabel.body import Axis, Contraction, Joint, Motion, MotionAxis, Side, WorkingGroup
from motionlabel.errors import BadSettingsError
from motionlabel.output.whole_file import whole_file
from motionlabel.records import (
    SCHEMA_VERSION,
    AngleTrack,
    BodyTrack,
    CameraModel,
    LandmarkTrack,
    PersonChoice,
    Phase,
    PhaseTable,
    Study,
    VideoFacts,
    Work,
    WorkTable,
)

_KIND = "motionlabel study"
_LANDMARKS = ("image_px", "world_m", "visibility")
_BODY = ("centres_m", "segment_rotations", "sigma_m", "depth_sigma_m")
_ANGLES = ("angle_rad", "rate_rad_s", "sigma_rad", "depth_sigma_rad")


@dataclass(frozen=True, slots=True)
class StudyKey:
    """What a stored study must have been made from to stand for a new one.

    Attributes
    ----------
    clip_sha256, model_sha256
        Checksums of the clip and of the landmark model.
    settings, versions
        As in ``Study``: what was asked for and what it was computed with.
    """

    clip_sha256: str
    model_sha256: str
    settings: Mapping[str, str]
    versions: Mapping[str, str]

    def difference(self, study: Study) -> str | None:
        """Say what differs, for the user; ``None`` when the study fits."""
        if study.video.sha256 != self.clip_sha256:
            return "the clip has changed"
        if study.model_sha256 != self.model_sha256:
            return "another landmark model is used"
        if dict(self.settings) != study.settings:
            return "other settings are used"
        if dict(self.versions) != study.versions:
            return "it was made by another version of the program"
        return None


def study_paths(json_path: Path) -> tuple[Path, Path]:
    """Return the paths of a study's arrays and of its JSON, from the latter."""
    return json_path.with_suffix(".npz"), json_path


def save_study(study: Study, json_path: Path) -> list[Path]:
    """Write a study as ``STEM.study.npz`` and ``STEM.study.json``.

    Raises
    ------
    CannotWriteError
        The folder cannot be written to or the disk is full.
    """
    npz_path, json_path = study_paths(json_path)
    arrays = {
        "time_s": study.landmarks.time_s,
        **{f"landmarks.{name}": getattr(study.landmarks, name) for name in _LANDMARKS},
        **{f"body.{name}": getattr(study.body, name) for name in _BODY},
        **{f"angles.{name}": getattr(study.angles, name) for name in _ANGLES},
    }
    with whole_file(json_path) as json_part, whole_file(npz_path) as npz_part:
        with npz_part.open("wb") as handle:
            np.savez(handle, allow_pickle=False, **arrays)
        document = _document(study, _sha256(npz_part))
        json_part.write_text(json.dumps(document, indent=1, allow_nan=False) + "\n", encoding="utf-8")
        # an old JSON beside new arrays would be refused; better none at all until the new one is whole
        json_path.unlink(missing_ok=True)
    return [npz_path, json_path]


def load_study(json_path: Path) -> Study:
    """Read a stored study and check all of it.

    Raises
    ------
    BadSettingsError
        It is missing, damaged or of another schema version.
    """
    npz_path, json_path = study_paths(json_path)
    advice = "measure the clip again to make it anew"
    try:
        document = json.loads(json_path.read_text(encoding="utf-8"))
        if not isinstance(document, dict) or document.get("kind") != _KIND:
            raise BadSettingsError(f"{json_path} is not a stored study; give the STEM.study.json of one.")
        if document["schema_version"] != SCHEMA_VERSION:
            raise BadSettingsError(
                f"{json_path} has study format {document['schema_version']}, "
                f"this program reads {SCHEMA_VERSION}; {advice}."
            )
        if _sha256(npz_path) != document["arrays_sha256"]:
            raise BadSettingsError(f"{npz_path} does not belong to {json_path.name} or is damaged; {advice}.")
        with np.load(npz_path, allow_pickle=False) as stored:
            arrays = {name: stored[name].astype(np.float64) for name in stored.files}
        return _study(document, arrays)
    except OSError as error:
        raise BadSettingsError(f"The stored study {json_path} cannot be read ({error.strerror}); {advice}.") from error
    except (ValueError, KeyError, TypeError, AttributeError, zipfile.BadZipFile) as error:
        raise BadSettingsError(f"The stored study {json_path} is damaged; {advice}.") from error


def _sha256(path: Path) -> str:
    with path.open("rb") as handle:
        return hashlib.file_digest(handle, "sha256").hexdigest()


def _document(study: Study, arrays_sha256: str) -> dict[str, Any]:
    """Return all that is no array, as JSON can hold it."""
    return {
        "kind": _KIND,
        "schema_version": study.schema_version,
        "arrays_sha256": arrays_sha256,
        "model_sha256": study.model_sha256,
        "versions": study.versions,
        "settings": study.settings,
        "video": asdict(study.video),
        "person": asdict(study.person),
        "stature_m": study.body.stature_m,
        "camera": asdict(study.body.camera),
        "assumptions": list(study.work.assumptions),
        "phases": [_row(phase, work) for phase, work in zip(study.phases, study.work)],
    }


def _row(phase: Phase, work: Work) -> dict[str, Any]:
    return {
        "joint": phase.axis.joint,
        "side": phase.axis.side,
        "axis": phase.axis.axis,
        "motion": phase.motion,
        "start": phase.start,
        "stop": phase.stop,
        "repetition": phase.repetition,
        "excursion_rad": _null(phase.excursion_rad),
        "working_group": work.working_group,
        "contraction": work.contraction,
        "demand": _null(work.demand),
        "sigma": _null(work.sigma),
        "support": list(work.support),
        "trust": _null(work.trust),
    }


def _null(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None


def _nan(value: float | None) -> float:
    return math.nan if value is None else float(value)


def _study(document: dict[str, Any], arrays: dict[str, NDArray[np.float64]]) -> Study:
    time_s = arrays["time_s"]

    def stage(name: str, fields: tuple[str, ...]) -> dict[str, NDArray[np.float64]]:
        return {field: arrays[f"{name}.{field}"] for field in fields}

    video = dict(document["video"])
    video["rate"] = tuple(video["rate"])
    rows = document["phases"]
    if any(not 0 <= row["start"] < row["stop"] <= len(time_s) for row in rows):
        raise ValueError("a phase lies outside the clip")
    return Study(
        video=VideoFacts(**video),
        person=PersonChoice(**document["person"]),
        landmarks=LandmarkTrack(time_s=time_s, **stage("landmarks", _LANDMARKS)),
        body=BodyTrack(
            time_s=time_s,
            **stage("body", _BODY),
            stature_m=float(document["stature_m"]),
            camera=CameraModel(**document["camera"]),
        ),
        angles=AngleTrack(time_s=time_s, **stage("angles", _ANGLES)),
        phases=PhaseTable(tuple(_phase(row) for row in rows)),
        work=WorkTable(tuple(_work(row) for row in rows), tuple(document["assumptions"])),
        model_sha256=document["model_sha256"],
        versions=dict(document["versions"]),
        settings=dict(document["settings"]),
    )


def _phase(row: dict[str, Any]) -> Phase:
    return Phase(
        axis=MotionAxis(Joint(row["joint"]), Side(row["side"]), Axis(row["axis"])),
        motion=Motion(row["motion"]),
        start=row["start"],
        stop=row["stop"],
        repetition=row["repetition"],
        excursion_rad=_nan(row["excursion_rad"]),
    )


def _work(row: dict[str, Any]) -> Work:
    group = row["working_group"]
    return Work(
        working_group=None if group is None else WorkingGroup(group),
        contraction=Contraction(row["contraction"]),
        demand=_nan(row["demand"]),
        sigma=_nan(row["sigma"]),
        support=tuple(row["support"]),
        trust=_nan(row["trust"]),
    )
