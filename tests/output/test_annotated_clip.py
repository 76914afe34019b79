"""The annotated clip tells what found no room in it."""

from dataclasses import replace
from pathlib import Path

from motionlabel.drawing import LabelOptions
from motionlabel.output.annotated_clip import AnnotatedClipOptions, write_annotated_clip
from tests.truth_study import DEMO_CLIPS, truth_study


def test_a_label_without_room_is_told(tmp_path: Path) -> None:
    study = truth_study("squat_side")
    points = study.landmarks.image_px
    middle = points.mean(axis=(0, 1))
    camera = replace(study.body.camera, px_per_m=study.body.camera.px_per_m * 3.0)
    # a body so large that no place beside head and joints is left
    study = replace(
        study,
        landmarks=replace(study.landmarks, image_px=(points - middle) * 3.0 + middle),
        body=replace(study.body, camera=camera),
    )
    told: list[str] = []
    options = AnnotatedClipOptions(DEMO_CLIPS / "squat_side.mp4", labels=LabelOptions(), note=told.append)
    write_annotated_clip(study, options, tmp_path / "squat.mp4")
    assert told
    assert len(told) == len(set(told))
    assert all(line.startswith("squat_side.mp4: there is no room for the label of the") for line in told)
