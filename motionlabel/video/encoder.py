"""The ffmpeg binary that writes clips and tells what is inside one."""

import shutil
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
        binary = shutil.which(imageio_ffmpeg.get_ffmpeg_exe())
    except RuntimeError:  # the package found none of its own either
        binary = None
    if binary is None:
        raise MissingDependencyError(
            "The encoder (ffmpeg) is missing: run 'pip install --force-reinstall imageio-ffmpeg', "
            "or set IMAGEIO_FFMPEG_EXE to an ffmpeg binary."
        )
    return Path(binary)
