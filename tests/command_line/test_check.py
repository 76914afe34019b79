"""``motionlabel check`` works where nothing else does, and says what to do."""

import ctypes
import subprocess
import sys

import pytest

from motionlabel import check
from motionlabel.cli import main
from motionlabel.errors import ExitCode, MissingDependencyError


def test_all_is_here(capsys):
    assert main(["check"]) == ExitCode.OK
    out = capsys.readouterr().out
    for name in ("libGL", "landmark models", "encoder", "font", "camera", "display"):
        assert name in out
    assert "missing" not in out


def test_a_missing_system_library_is_named_with_its_package(monkeypatch, capsys):
    def without_gl(name, *rest):
        if name == "libGL.so.1":
            raise OSError("libGL.so.1: cannot open shared object file")
        return None

    monkeypatch.setattr(check, "_LINUX", True)
    monkeypatch.setattr(ctypes, "CDLL", without_gl)
    lines = [str(line) for line in check._graphics()]
    assert any(line.startswith("missing") and "apt-get install libgl1" in line for line in lines)


def test_a_damaged_model_is_told(monkeypatch, capsys):
    import motionlabel.pose

    def damaged(name):
        raise MissingDependencyError("The landmark model is damaged: install motionlabel again.")

    monkeypatch.setattr(motionlabel.pose, "model_path", damaged)
    assert main(["check"]) == ExitCode.MISSING_DEPENDENCY
    captured = capsys.readouterr()
    assert "missing   landmark models: The landmark model is damaged" in captured.out
    assert captured.err.count("\n") == 1


@pytest.mark.parametrize("broken", ["cv2", "mediapipe"])
def test_it_reports_where_a_library_cannot_be_loaded(broken):
    # as on a bare server: the import itself fails
    program = (
        "import sys\n"
        f"sys.modules[{broken!r}] = None\n"
        "from motionlabel.cli import main\n"
        "print('code', main(['check']))\n"
        "print('code', main(['annotate', 'none.mp4']))\n"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, timeout=60, check=False)
    assert "Traceback" not in done.stderr
    assert f"missing   {broken}" in done.stdout
    codes = [line for line in done.stdout.splitlines() if line.startswith("code")]
    assert codes[0] == f"code {ExitCode.MISSING_DEPENDENCY.value}"
    if broken == "cv2":
        assert codes[1] == f"code {ExitCode.MISSING_DEPENDENCY.value}"
        assert "motionlabel check" in done.stderr
