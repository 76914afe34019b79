import hashlib
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

import motionlabel.pose.model as model
from motionlabel.errors import MissingDependencyError
from motionlabel.pose import model_checksum, model_path
from motionlabel.pose.landmarker import Landmarker
from motionlabel.pose.quiet import native_quiet
from motionlabel.records import Frame


@pytest.mark.parametrize("name", model.MODEL_NAMES)
def test_bundled_models_are_there_and_named_in_the_notice(name):
    path = model_path(name)
    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    assert model_checksum(path) == digest
    assert f"{digest}  {path.name}" in (path.parent / "NOTICE").read_text()


def test_any_path_will_do(tmp_path):
    path = tmp_path / "own.task"
    path.write_bytes(b"own")
    assert model_path(path) == path


@pytest.mark.parametrize("name", ["heavy", "nowhere/x.task"])
def test_unknown_models_are_told(name):
    with pytest.raises(MissingDependencyError, match=rf"{name}.*lite or full"):
        model_path(name)


def test_a_damaged_model_is_told(tmp_path, monkeypatch):
    whole = model_path("lite")
    (tmp_path / whole.name).write_bytes(whole.read_bytes()[:1000])
    monkeypatch.setattr(model, "_FOLDER", tmp_path)
    with pytest.raises(MissingDependencyError, match="install"):
        model_path("lite")
    with pytest.raises(MissingDependencyError, match="missing or damaged"):
        model_path("full")


def test_a_file_that_is_no_model_is_told(tmp_path):
    path = tmp_path / "text.task"
    path.write_text("no model")
    with pytest.raises(MissingDependencyError, match=r"text\.task"):
        Landmarker(path)


@pytest.mark.parametrize("image", [np.zeros((64, 64, 4), np.uint8), np.zeros((64, 64)), np.zeros((64, 64, 3))])
def test_pictures_of_another_kind_are_refused(image):
    with Landmarker(model_path("lite")) as landmarker, pytest.raises(ValueError, match="image"):
        landmarker.detect(Frame(image, 0, 0.0))


def test_nothing_is_said_on_the_terminal():
    clip = Path(__file__).parents[2] / "demo_clips" / "standing_still.mp4"
    code = f"""
from itertools import islice
from pathlib import Path
from motionlabel.pose import model_path
from motionlabel.pose.landmarker import Landmarker
from motionlabel.video import FileSource
with FileSource(Path({str(clip)!r})) as source, Landmarker(model_path("lite")) as landmarker:
    print(sum(landmarker.detect(frame) is not None for frame in islice(source, 3)))
"""
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True)
    assert run.stdout == b"3\n"
    assert run.stderr == b""


def test_quiet_may_be_nested_and_ends(capfd):
    with native_quiet():
        with native_quiet():
            os.write(2, b"a")
        os.write(2, b"b")
    os.write(2, b"c")
    assert capfd.readouterr().err == "c"
