"""The real window under a virtual display, with a clip as the camera and keys from outside."""

import os
import re
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import cv2
import imageio_ffmpeg
import numpy as np
import pytest

from motionlabel.cli import main
from motionlabel.errors import ExitCode, MissingDependencyError
from motionlabel.live.window import check_display
from motionlabel.video import FileSource
from tests.network_watch import put_watch

ROOT = Path(__file__).parents[2]
CLIP = ROOT / "demo_clips" / "squat_side.mp4"
SCREEN = 1280, 800

linux_only = pytest.mark.skipif(
    not sys.platform.startswith("linux"), reason="displays are told by DISPLAY on Linux only"
)
needs_screen = pytest.mark.skipif(
    shutil.which("Xvfb") is None or shutil.which("xdotool") is None,
    reason="Xvfb and xdotool are not installed (apt-get install xvfb xdotool)",
)


@linux_only
def test_without_a_display_it_ends_with_a_sentence(monkeypatch, capsys):
    monkeypatch.delenv("DISPLAY", raising=False)
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    with pytest.raises(MissingDependencyError, match="no display"):
        check_display()
    assert main(["live"]) == ExitCode.MISSING_DEPENDENCY
    assert "DISPLAY" in capsys.readouterr().err


def test_a_build_without_windows_is_named(monkeypatch):
    monkeypatch.setenv("DISPLAY", ":9")
    monkeypatch.setattr(cv2, "getBuildInformation", lambda: "  GUI:                           NONE\n")
    with pytest.raises(MissingDependencyError, match="opencv-python"):
        check_display()


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (["--size", "big"], ExitCode.USAGE),
        (["--practise", "none.txt"], ExitCode.BAD_SETTINGS),
        (["--source", "none.mp4"], ExitCode.UNREADABLE_INPUT),
        (["--model", "huge"], ExitCode.MISSING_DEPENDENCY),
    ],
)
def test_wrong_arguments_are_told_before_a_window_opens(monkeypatch, arguments, code):
    monkeypatch.setenv("DISPLAY", ":9")
    assert main(["live", *arguments]) == code


class Desk:
    """A virtual screen with the mirror on it."""

    def __init__(self, display: str, folder: Path, *arguments: object) -> None:
        path = os.pathsep.join([str(put_watch(folder / "watch")), str(ROOT)])
        self.connections = folder / "connections"
        named = {"DISPLAY": display, "PYTHONPATH": path, "CONNECTIONS": str(self.connections)}
        self.environment = {**os.environ, **named}
        self.folder = folder
        self.process = subprocess.Popen(
            [sys.executable, "-m", "motionlabel.cli", "live", "--out", str(folder), *map(str, arguments)],
            env=self.environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        self.window = self._found()

    def _found(self) -> str:
        for _ in range(240):
            search = self._xdotool("search", "--name", "motionlabel live")
            if search.stdout.strip():
                return search.stdout.split()[0]
            assert self.process.poll() is None, self.process.communicate()[1]
            time.sleep(0.25)
        raise AssertionError("no window came")

    def _xdotool(self, *arguments: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            ["xdotool", *arguments], env=self.environment, capture_output=True, text=True, check=False
        )

    def key(self, name: str) -> None:
        self._xdotool("windowfocus", self.window)
        self._xdotool("key", name)
        time.sleep(0.3)

    def picture(self, name: str) -> np.ndarray:
        path = self.folder / f"{name}.png"
        grab = [imageio_ffmpeg.get_ffmpeg_exe(), "-loglevel", "error", "-y", "-f", "x11grab"]
        size = f"{SCREEN[0]}x{SCREEN[1]}"
        subprocess.run(
            [*grab, "-video_size", size, "-i", self.environment["DISPLAY"], "-frames:v", "1", str(path)], check=True
        )
        return cv2.imread(str(path)).astype(int)

    def until_it_looks_different(self, before: np.ndarray, name: str, within_s: float = 20.0) -> np.ndarray:
        end_s = time.monotonic() + within_s
        while time.monotonic() < end_s:
            now = self.picture(name)
            if np.abs(now - before).mean() > 2.0:
                return now
            time.sleep(0.3)
        raise AssertionError(f"{name}: the screen stayed as it was")

    def quit(self) -> tuple[int, str, str]:
        self.key("q")
        try:
            out, err = self.process.communicate(timeout=30)
        finally:
            if self.process.poll() is None:
                self.process.send_signal(signal.SIGKILL)
        return self.process.returncode, out, err


@pytest.fixture(scope="module")
def display():
    read, write = os.pipe()
    screen = subprocess.Popen(
        ["Xvfb", "-displayfd", str(write), "-screen", "0", f"{SCREEN[0]}x{SCREEN[1]}x24"],
        pass_fds=(write,),
        stderr=subprocess.DEVNULL,
    )
    os.close(write)
    with os.fdopen(read) as told:
        number = told.readline().strip()
    yield f":{number}"
    screen.terminate()
    screen.wait()


@needs_screen
@pytest.mark.slow
def test_the_mirror_opens_confirms_records_and_quits(display, tmp_path):
    desk = Desk(display, tmp_path, "--source", CLIP, "--size", "1280x720")
    time.sleep(3)
    opening = desk.picture("opening")
    desk.key("space")
    live = desk.until_it_looks_different(opening, "live")
    # grey bars beside the square clip: full light once the opening is confirmed, dimmed before
    assert opening[600, 60].mean() < 60 < live[400, 60].mean()
    time.sleep(6)
    told = desk.picture("told")
    # the mirror shows the person's side the other way round from the clip, which stands in the middle
    desk.key("r")
    time.sleep(3)
    desk.key("r")
    desk.key("i")
    time.sleep(0.5)
    desk.key("d")
    ended = desk.until_it_looks_different(told, "ended")
    assert ended[400, 60].mean() < 60
    code, out, err = desk.quit()
    assert code == ExitCode.OK, err
    assert "Traceback" not in err
    assert not desk.connections.exists(), desk.connections.read_text()
    (clip,) = tmp_path.glob("mirror-*.mp4")
    assert str(clip) in out
    with FileSource(clip) as source:
        assert (source.facts.width, source.facts.height) == (1280, 720)
        assert source.facts.duration_s > 1.0
    assert not re.search(r"\.part", " ".join(path.name for path in tmp_path.iterdir()))


@needs_screen
@pytest.mark.slow
@pytest.mark.skipif(Path("/dev/video9").exists(), reason="there is a camera number 9")
def test_without_a_camera_a_sentence_is_shown_and_the_code_is_that_of_a_camera(display, tmp_path):
    desk = Desk(display, tmp_path, "--camera", 9, "--size", "1280x720")
    time.sleep(3)
    opening = desk.picture("opening")
    desk.key("space")
    picture = desk.until_it_looks_different(opening, "none")
    # a card in the middle of an empty picture
    assert picture[340:380, 500:780].std() > 20
    code, _, err = desk.quit()
    assert code == ExitCode.CAMERA
    assert "camera 9" in err
