"""Everything a user can fix, each with its exit code.

Raise these with one sentence that names the file and the next step. A wrong array shape or another
programming mistake is a ``ValueError`` instead. Only ``motionlabel.cli.main`` catches them.
"""

from enum import IntEnum


class ExitCode(IntEnum):
    """Exit codes of the command line; documented in README.md and stable."""

    OK = 0
    INTERNAL = 1
    USAGE = 2
    UNREADABLE_INPUT = 3
    NO_PERSON = 4
    MISSING_DEPENDENCY = 5
    CANNOT_WRITE = 6
    BAD_SETTINGS = 7
    CAMERA = 8
    INTERRUPTED = 130


class MotionLabelError(Exception):
    """Base of the errors a user can fix; the message is shown as it is."""

    exit_code = ExitCode.INTERNAL


class UsageError(MotionLabelError):
    """The command was called with arguments that do not fit together."""

    exit_code = ExitCode.USAGE


class UnreadableInputError(MotionLabelError):
    """A clip is missing, is not a video, is damaged or holds no picture."""

    exit_code = ExitCode.UNREADABLE_INPUT


class NoPersonError(MotionLabelError):
    """No usable person was found in the picture."""

    exit_code = ExitCode.NO_PERSON


class MissingDependencyError(MotionLabelError):
    """A landmark model, the encoder, a font or a system library is missing or damaged."""

    exit_code = ExitCode.MISSING_DEPENDENCY


class CannotWriteError(MotionLabelError):
    """The output folder cannot be written to, or the disk is full."""

    exit_code = ExitCode.CANNOT_WRITE


class BadSettingsError(MotionLabelError):
    """A settings file, theme or stored study cannot be used."""

    exit_code = ExitCode.BAD_SETTINGS


class CameraError(MotionLabelError):
    """The camera is missing, busy or was unplugged."""

    exit_code = ExitCode.CAMERA
