"""Cards cover neither face nor labelled joint, at any frame, in any shape of picture."""

from dataclasses import replace

import numpy as np
import pytest

from motionlabel.body import Landmark, sided
from motionlabel.drawing import Annotator, Detail, LabelOptions, load_theme
from motionlabel.drawing.parts import CautionPart, LabelPart, NotePart
from motionlabel.records import Study
from tests.truth_study import truth_study

CLIPS = (
    "squat_side",
    "squat_three_quarter",
    "hip_abduction_front",
    "front_kick_side",
    "heel_raise_side",
    "knee_flexion_side",
    "elbow_curl_side",
    "shoulder_abduction_front",
    "toe_raise_side",
    "mountain_climber_side",
    "side_lying_leg_raise",
    "leg_scissor_supine",
)
FACE = (Landmark.NOSE, Landmark.LEFT_EYE, Landmark.RIGHT_EYE, Landmark.MOUTH_LEFT, Landmark.MOUTH_RIGHT)


def padded(study: Study, left: int, top: int) -> Study:
    """The same clip in a larger picture."""
    video = replace(study.video, width=study.video.width + 2 * left, height=study.video.height + 2 * top)
    return replace(
        study,
        video=video,
        landmarks=replace(study.landmarks, image_px=study.landmarks.image_px + np.array([left, top])),
    )


def shrunk(study: Study, times: int) -> Study:
    """The same clip in a smaller picture."""
    video = replace(study.video, width=study.video.width // times, height=study.video.height // times)
    camera = replace(study.body.camera, px_per_m=study.body.camera.px_per_m / times)
    landmarks = replace(study.landmarks, image_px=study.landmarks.image_px / times)
    return replace(study, video=video, landmarks=landmarks, body=replace(study.body, camera=camera))


def distances(points: np.ndarray, part: LabelPart | CautionPart | NotePart) -> np.ndarray:
    """Pixels from points to a card; 0 inside."""
    box = part.box
    low, high = np.array([box.x, box.y]), np.array([box.right, box.bottom])
    return np.linalg.norm(np.maximum(0, np.maximum(low - points, points - high)), axis=-1)


def check(study: Study, annotator: Annotator, scale: float) -> int:
    """Hold every label against every frame in which it is shown; return the number of labels."""
    points = study.landmarks.image_px * scale
    stature = study.body.camera.px_per_m * study.body.stature_m * scale
    labels = [part for part in annotator.parts if isinstance(part, LabelPart)]
    for part in labels:
        box, span = part.box, slice(part.start, part.label.stop)
        assert min(box.x, box.y) >= 0
        assert box.right <= annotator.size[0]
        assert box.bottom <= annotator.size[1]
        assert distances(points[span][:, FACE], part).min() > 0.02 * stature
        for other in labels:
            both = slice(max(part.start, other.start), min(part.label.stop, other.label.stop))
            if both.start >= both.stop:
                continue
            for axis in other.label.axes:
                if axis.joint != "trunk":
                    joint = points[both, sided(Landmark, axis.side, axis.joint)]
                    assert distances(joint, part).min() > 0.03 * stature
            assert part is other or not part.box.meets(other.box)
    return len(labels)


@pytest.mark.parametrize("detail", Detail)
@pytest.mark.parametrize("name", CLIPS)
def test_labels_cover_neither_face_nor_joint(name: str, detail: Detail) -> None:
    study = truth_study(name)
    assert check(study, Annotator(study, load_theme("slate"), LabelOptions(detail)), 1.0) > 0


@pytest.mark.parametrize(("left", "top"), [(280, 0), (0, 280)])
@pytest.mark.parametrize("name", ["squat_side", "hip_abduction_front", "mountain_climber_side"])
def test_landscape_and_portrait(name: str, left: int, top: int) -> None:
    study = padded(truth_study(name), left, top)
    assert check(study, Annotator(study, load_theme("slate"), LabelOptions(Detail.ATTACHMENTS)), 1.0) == 2


@pytest.mark.parametrize(("times", "scale"), [(2, 1), (4, 2), (8, 4)])
def test_small_pictures(times: int, scale: int) -> None:
    study = shrunk(truth_study("squat_side"), times)
    annotator = Annotator(study, load_theme("slate"), LabelOptions())
    assert annotator.size == (360, 360)
    assert check(study, annotator, scale) == 2


@pytest.mark.parametrize("name", CLIPS)
def test_labels_hardly_cover_the_body(name: str) -> None:
    study = truth_study(name)
    annotator = Annotator(study, load_theme("slate"), LabelOptions())
    body = study.landmarks.image_px[:, [Landmark[f"{s}_{p}"] for s in ("LEFT", "RIGHT") for p in ("SHOULDER", "HIP")]]
    for part in annotator.parts:
        if isinstance(part, LabelPart):
            assert distances(body[part.start : part.label.stop], part).min() > 0


@pytest.mark.parametrize("name", CLIPS)
def test_caution_and_note_leave_the_face_free(name: str) -> None:
    study = truth_study(name)
    for part in Annotator(study, load_theme("slate"), LabelOptions()).parts:
        if isinstance(part, CautionPart):
            early = study.landmarks.time_s < 3
            assert distances(study.landmarks.image_px[early][:, FACE], part).min() > 0
        if isinstance(part, NotePart):
            for start, stop in part.spans:
                assert distances(study.landmarks.image_px[start:stop][:, FACE], part).min() > 0


def test_a_head_that_passes_everywhere_gets_no_card_over_it() -> None:
    """Where the head sweeps the whole picture, the label is left out rather than laid over it."""
    study = truth_study("squat_side")
    frames = len(study.landmarks)
    sweep = np.stack([np.linspace(-500, 500, frames) % 720, np.linspace(0, 20000, frames) % 720], axis=1)
    moved = study.landmarks.image_px - study.landmarks.image_px[:, [Landmark.NOSE]] + sweep[:, None]
    study = replace(study, landmarks=replace(study.landmarks, image_px=moved))
    annotator = Annotator(study, load_theme("slate"), LabelOptions(), caution=False)
    check(study, annotator, 1.0)
