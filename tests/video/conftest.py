"""Small clips made on the spot with the encoder."""

import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from motionlabel.video import encoder_path

Make = Callable[..., Path]


@pytest.fixture(scope="session")
def make_clip(tmp_path_factory) -> Make:
    """Return a function that runs ffmpeg with arguments and gives the path of the clip."""
    folder = tmp_path_factory.mktemp("clips")

    def make(name: str, *arguments: str) -> Path:
        path = folder / name
        if not path.exists():
            command = [str(encoder_path()), "-y", "-v", "error", "-nostdin", *arguments, str(path)]
            subprocess.run(command, check=True, capture_output=True)
        return path

    return make


def picture(size: str = "160x120", rate: str = "30", seconds: float = 1.0) -> tuple[str, ...]:
    return ("-f", "lavfi", "-i", f"testsrc=s={size}:r={rate}:d={seconds}")


H264 = ("-c:v", "libx264", "-pix_fmt", "yuv420p")


@pytest.fixture(scope="session")
def with_sound(make_clip) -> Path:
    """Give 2 s at 30 frames a second with a click in the sound at 1 s."""
    click = "aevalsrc='if(between(t,1,1.02),0.8,0)':s=44100:d=2"
    return make_clip("sound.mp4", *picture(seconds=2), "-f", "lavfi", "-i", click, *H264, "-c:a", "aac")


@pytest.fixture(scope="session")
def variable(make_clip) -> Path:
    """Give 2 s at 15, then 2 s at 60 frames a second."""
    keep = "select='if(lt(t,2),not(mod(n,4)),1)'"
    return make_clip("variable.mp4", *picture(rate="60", seconds=4), "-vf", keep, "-fps_mode", "vfr", *H264)
