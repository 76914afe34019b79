"""Looks whether everything is there that the program needs from outside itself.

It must work, and say what to do, where nothing else does: imports happen inside the looks.
"""

import ctypes
import importlib
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from motionlabel.errors import CameraError, MissingDependencyError, MotionLabelError

_LINUX = sys.platform.startswith("linux")

# library file -> Debian package that brings it; OpenCV and the landmarker load them.
# Source: measured in a bare Debian container.
_GRAPHICS = {
    "libxcb.so.1": "libxcb1",
    "libGL.so.1": "libgl1",
    "libglib-2.0.so.0": "libglib2.0-0",
    "libEGL.so.1": "libegl1",
    "libGLESv2.so.2": "libgles2",
}


@dataclass(frozen=True, slots=True)
class Finding:
    """One line of the check.

    Attributes
    ----------
    name
        What was looked for.
    present
        Whether it is there and whole.
    words
        What was found, or what to do.
    needed
        Whether clips cannot be annotated without it.
    """

    name: str
    present: bool
    words: str
    needed: bool = True

    def __str__(self) -> str:
        state = "ok" if self.present else "missing" if self.needed else "not there"
        return f"{state:<10}{self.name}: {self.words}"


def findings() -> Iterator[Finding]:
    """Look for each thing in turn; a missing one never stops the others."""
    yield from _graphics()
    yield _module("cv2")
    yield _module("mediapipe")
    yield _tried("landmark models", _models)
    yield _tried("encoder", _encoder)
    yield _tried("font", _font)
    yield _tried("camera", _camera, needed=False)
    yield _tried("display", _display, needed=False)


def _graphics() -> Iterator[Finding]:
    if not _LINUX:
        yield Finding("system graphics libraries", True, "part of this system")
        return
    for library, package in _GRAPHICS.items():
        try:
            ctypes.CDLL(library)
        except OSError:
            yield Finding(library, False, f"on Debian or Ubuntu run: apt-get install {package}")
        else:
            yield Finding(library, True, "system graphics library")


def _module(name: str) -> Finding:
    try:
        module = importlib.import_module(name)
    except (ImportError, OSError) as error:
        return Finding(name, False, f"{error}; install the program again, or the libraries named above")
    return Finding(name, True, f"version {getattr(module, '__version__', 'unknown')}")


def _tried(name: str, look: Callable[[], str], needed: bool = True) -> Finding:
    try:
        return Finding(name, True, look(), needed)
    except MotionLabelError as error:
        return Finding(name, False, str(error), needed)
    except (ImportError, OSError) as error:
        return Finding(name, False, f"cannot be looked for before the lines above are mended ({error})", needed)


def _models() -> str:
    from motionlabel.pose import model_path
    from motionlabel.pose.model import MODEL_NAMES

    folder = {model_path(name).parent for name in MODEL_NAMES}.pop()
    return f"{' and '.join(MODEL_NAMES)}, checksums right, in {folder}"


def _encoder() -> str:
    from motionlabel.video import encoder_path

    binary = encoder_path()
    listing = subprocess.run([binary, "-hide_banner", "-encoders"], capture_output=True, text=True, check=False)
    if "libx264" not in listing.stdout:
        raise MissingDependencyError(
            f"{binary} cannot write H.264; unset IMAGEIO_FFMPEG_EXE to use the one that came with the installation."
        )
    return f"H.264 by {binary}"


def _font() -> str:
    from motionlabel.drawing import font_path

    return f"{font_path(bold=False).name} and {font_path(bold=True).name}"


def _camera() -> str:
    advice = "plug one in to use a live picture; recorded clips need none"
    if _LINUX:
        devices = sorted(str(path) for path in Path("/dev").glob("video*"))
        if not devices:
            raise CameraError(advice)
        return ", ".join(devices)
    from motionlabel.video import camera_is_there

    if not camera_is_there():
        raise CameraError(advice)
    return "the first one opens"


def _display() -> str:
    if _LINUX and not (os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")):
        raise MissingDependencyError("log in to a desktop to see a live picture; recorded clips need none")
    return "a window can be opened"
