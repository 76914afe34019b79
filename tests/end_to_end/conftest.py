"""Short clips cut from the demo clips, made once; and ways to look into a written clip."""

import os
import re
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import imageio_ffmpeg
import pytest

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "demo_clips"


def ffmpeg(*arguments: object) -> str:
    """Run ffmpeg and return what it says."""
    command = [imageio_ffmpeg.get_ffmpeg_exe(), "-hide_banner", "-y", *map(str, arguments)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr[-2000:]
    return done.stderr


@dataclass(frozen=True)
class Facts:
    """What ffmpeg says of a clip."""

    pictures: int
    duration_s: float
    size: tuple[int, int]
    video: str
    sound: str | None
    sound_duration_s: float


def facts(path: Path) -> Facts:
    """Decode a clip to its end and tell what was in it."""

    def decoded(stream: str) -> str:
        return ffmpeg("-i", path, "-map", f"0:{stream}", "-fps_mode", "passthrough", "-f", "null", "-")

    text = decoded("v")
    stream = re.search(r"Stream #0:\d.*?Video: (\w+)[^\n]*?, (\w+)\([^\n]*? (\d+)x(\d+)", text)
    assert stream, text
    sound = re.search(r"Stream #0:\d.*?Audio: (\w+)", text)
    return Facts(
        pictures=int(re.findall(r"frame=\s*(\d+)", text)[-1]),
        duration_s=_seconds(re.search(r"Duration: ([\d:.]+)", text)[1]),
        size=(int(stream[3]), int(stream[4])),
        video=f"{stream[1]} {stream[2]}",
        sound=sound and sound[1],
        sound_duration_s=_seconds(re.findall(r"time=([\d:.]+)", decoded("a"))[-1]) if sound else 0.0,
    )


def _seconds(clock: str) -> float:
    hours, minutes, seconds = clock.split(":")
    return int(hours) * 3600 + int(minutes) * 60 + float(seconds)


def run_cli(*arguments: object, cwd: Path | None = None, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run the command line as a program of its own."""
    return subprocess.run(
        [sys.executable, "-m", "motionlabel.cli", *map(str, arguments)],
        capture_output=True,
        text=True,
        check=False,
        cwd=cwd,
        timeout=300,
        env={**os.environ, "PYTHONPATH": os.pathsep.join([environment.pop("first", ""), str(ROOT)]), **environment},
    )


X264 = ("-c:v", "libx264", "-preset", "ultrafast", "-pix_fmt", "yuv420p")


@pytest.fixture(scope="session")
def clips(tmp_path_factory) -> Path:
    """Folder of short clips; see below for what each is."""
    folder = tmp_path_factory.mktemp("clips")
    squat = DEMO / "squat_side.mp4"
    part = ("-ss", "0.5", "-t", "2", "-i", squat)
    # two seconds of a squat with a tone
    tone = ("-f", "lavfi", "-t", "2", "-i", "sine=frequency=440")
    ffmpeg(*part, *tone, *X264, "-c:a", "aac", "-shortest", folder / "squat.mp4")
    small = folder / "squat.mp4"
    ffmpeg("-i", small, "-frames:v", 1, "-an", *X264, folder / "one_frame.mp4")
    ffmpeg("-i", small, "-frames:v", 2, "-an", *X264, folder / "two_frames.mp4")
    ffmpeg("-i", small, "-frames:v", 6, "-an", *X264, folder / "six_frames.mp4")
    ffmpeg("-i", small, "-frames:v", 8, "-an", *X264, folder / "eight_frames.mp4")
    ffmpeg("-f", "lavfi", "-t", "1", "-i", "testsrc=size=320x240:rate=30", *X264, folder / "nobody.mp4")
    ffmpeg("-f", "lavfi", "-t", "1", "-i", "sine", "-c:a", "aac", folder / "sound_only.mp4")
    ffmpeg("-i", small, "-t", "0.2", "-an", "-vf", "scale=4000:3000", *X264, folder / "huge.mp4")
    odd = ("-vf", "scale=97:131", "-c:v", "libx264", "-pix_fmt", "yuv444p")
    ffmpeg("-i", small, "-t", "0.7", "-an", *odd, folder / "tiny.mp4")
    # a phone held upright: pictures lie on their side, the container says to turn them
    ffmpeg("-i", small, "-t", "0.7", "-an", "-vf", "crop=480:720,transpose=cclock", *X264, folder / "lying.mp4")
    ffmpeg("-display_rotation:v:0", "-90", "-i", folder / "lying.mp4", "-c", "copy", folder / "portrait.mp4")
    # every second picture is missing in the first second
    vary = "select=gt(t\\,1)+not(mod(n\\,2))"
    ffmpeg("-i", small, "-vf", vary, "-fps_mode", "vfr", *X264, "-c:a", "copy", folder / "variable.mp4")
    # one stands still on the left, the other squats
    still = ("-t", "2", "-i", DEMO / "standing_still.mp4")
    ffmpeg(*still, "-i", small, "-an", "-filter_complex", "[0:v][1:v]hstack", *X264, folder / "two_people.mp4")
    # nobody for a second, then the squat
    grey = ("-f", "lavfi", "-t", "1", "-i", "color=gray:size=720x720:rate=30")
    ffmpeg(*grey, "-i", small, "-filter_complex", "[0:v][1:v]concat=n=2:v=1", *X264, folder / "late.mp4")
    ffmpeg("-i", small, "-c", "copy", "-movflags", "+faststart", folder / "fast.mp4")
    (folder / "text.mp4").write_text("This is a shopping list, not a video.\n" * 50)
    (folder / "zero.mp4").write_bytes(b"")
    # the index of this one is at its end, so it is gone
    (folder / "truncated.mp4").write_bytes(small.read_bytes()[: small.stat().st_size // 2])
    whole = (folder / "fast.mp4").read_bytes()
    (folder / "cut_short.mp4").write_bytes(whole[: len(whole) // 2])
    (folder / "a_folder.mp4").mkdir()
    return folder
