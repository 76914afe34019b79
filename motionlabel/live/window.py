"""The window on the screen, and its keys."""

import os
import sys
from enum import Enum
from types import TracebackType
from typing import Self

import cv2

from motionlabel.errors import MissingDependencyError
from motionlabel.video.stream import Image

TITLE = "motionlabel live"


class Key(Enum):
    """What a key asks for; the value is what is typed."""

    CONFIRM = " "
    EXPLORE = "e"
    PERFORM = "p"
    IDENTIFY = "i"
    NEXT = "n"
    END = "d"
    RECORD = "r"
    FIGURES = "f"
    QUIT = "q"


_ESCAPE, _RETURN = 27, 13


class Window:
    """A window that fills what the student makes of it; a context manager.

    Parameters
    ----------
    size
        Width and height at first, pixels.

    Raises
    ------
    MissingDependencyError
        There is no display, or OpenCV was built without windows.
    """

    def __init__(self, size: tuple[int, int]) -> None:
        check_display()
        cv2.namedWindow(TITLE, cv2.WINDOW_NORMAL | cv2.WINDOW_KEEPRATIO | cv2.WINDOW_GUI_NORMAL)
        cv2.resizeWindow(TITLE, *size)

    def show(self, image: Image) -> Key | None:
        """Show a picture (H, W, 3) uint8 BGR and return the key that was pressed; closing the window is quitting."""
        cv2.imshow(TITLE, image)
        return self.key()

    def key(self) -> Key | None:
        """Return the key that was pressed, if any."""
        typed = cv2.waitKey(1)
        if cv2.getWindowProperty(TITLE, cv2.WND_PROP_VISIBLE) < 1.0:
            return Key.QUIT
        if typed < 0:
            return None
        code = typed & 0xFF
        if code == _ESCAPE:
            return Key.QUIT
        letter = " " if code == _RETURN else chr(code).lower()
        return next((key for key in Key if key.value == letter), None)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        cv2.destroyAllWindows()
        cv2.waitKey(1)


def check_display() -> None:
    """Look whether a window can be opened: without a display OpenCV ends the whole process.

    Raises
    ------
    MissingDependencyError
        It cannot; the message says what to do.
    """
    linux = sys.platform.startswith("linux")
    if linux and not (os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")):
        raise MissingDependencyError(
            "There is no display for the live picture: run it from a desktop session, or set DISPLAY "
            "('ssh -X' does for a remote one)."
        )
    lines = cv2.getBuildInformation().splitlines()
    toolkit = next((line.split(":", 1)[1].strip() for line in lines if line.strip().startswith("GUI:")), "")
    if toolkit in ("", "NONE"):
        raise MissingDependencyError(
            "This build of OpenCV cannot open windows: run 'pip uninstall opencv-python-headless' and "
            "'pip install --force-reinstall opencv-python'."
        )
