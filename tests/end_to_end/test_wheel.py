"""The built wheel carries all data and works away from the checkout."""

import os
import subprocess
import sys
import zipfile

import pytest

from motionlabel.errors import ExitCode

from .conftest import ROOT

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    folder = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "pip", "wheel", "--no-deps", "--no-build-isolation", "--wheel-dir", folder, ROOT]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    return next(folder.glob("motionlabel-*.whl"))


def test_every_data_file_is_inside(wheel):
    inside = set(zipfile.ZipFile(wheel).namelist())
    kinds = {".toml", ".csv", ".task", ".otf", ".txt"}
    wanted = {p.relative_to(ROOT).as_posix() for p in (ROOT / "motionlabel").rglob("*") if p.suffix in kinds}
    wanted |= {f"motionlabel/{p.relative_to(ROOT).as_posix()}" for p in (ROOT / "overlays").rglob("*") if p.is_file()}
    wanted.add("motionlabel/pose/models/NOTICE")
    assert wanted <= inside, wanted - inside
    for kind in ("overlays/themes/slate.toml", "blazepose_full.task", "muscles"):
        assert any(kind in name for name in inside)


def test_it_works_alone(wheel, clips, tmp_path):
    site = tmp_path / "site"
    command = [sys.executable, "-m", "pip", "install", "--no-deps", "--no-index", "--target", site, wheel]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    environment = {**os.environ, "PYTHONPATH": str(site)}

    def run(*arguments):
        command = [sys.executable, *map(str, arguments)]
        return subprocess.run(command, cwd=tmp_path, env=environment, capture_output=True, text=True, check=False)

    assert run("-c", "import motionlabel; print(motionlabel.__file__)").stdout.startswith(str(site))
    checked = run("-m", "motionlabel.cli", "check")
    assert checked.returncode == ExitCode.OK, checked.stdout
    assert str(site) in checked.stdout
    done = run("-m", "motionlabel.cli", "annotate", clips / "six_frames.mp4", "--out", tmp_path / "out")
    assert done.returncode == ExitCode.OK, done.stderr
    assert (tmp_path / "out" / "six_frames.annotated.mp4").exists()
