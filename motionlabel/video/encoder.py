"""The ffmpeg binary that writes clips and tells what is inside one."""

from functools import cache
from pathlib import Path

import imageio_ffmpeg

from motionlabel.errors import MissingDependencyError


@cache
def encoder_path() -> Path:
    """Return the ffmpeg binary.

    Raises
    ------
    MissingDependencyError
        There is none.
    """
    try:
        return Path(imageio_ffmpeg.get_ffmpeg_exe())
    except RuntimeError as error:
        raise MissingDependencyError(
            "The encoder (ffmpeg) is missing: run 'pip install --force-reinstall imageio-ffmpeg', "
            "or set IMAGEIO_FFMPEG_EXE to an ffmpeg binary."
        ) from error
