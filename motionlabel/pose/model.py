"""The landmark models: found by name or path, checked."""

import hashlib
from functools import cache
from pathlib import Path

from motionlabel.errors import MissingDependencyError

_FOLDER = Path(__file__).parent / "models"

# Source: NOTICE in the folder of the models
_BUNDLED = {
    "lite": ("blazepose_lite.task", "0b79deb6220e71418ce06dd0b27088709a2a7ed6085fcd34843ccb6f4b87bdab"),
    "full": ("blazepose_full.task", "c11e0710a5983b26068106a8089e531c45282a83e2c027361fc75f312c333d8c"),
}

MODEL_NAMES = tuple(_BUNDLED)
"""Names of the models that come with the tool."""


def model_path(model: str | Path) -> Path:
    """Find a model file by name (``lite``, ``full``) or path, and check a bundled one.

    Raises
    ------
    MissingDependencyError
        There is no such model, or the bundled one is damaged.
    """
    if str(model) in _BUNDLED:
        file, wanted = _BUNDLED[str(model)]
        path = _FOLDER / file
        if not path.is_file() or model_checksum(path) != wanted:
            raise MissingDependencyError(
                f"The landmark model {path} is missing or damaged: install motionlabel again "
                "('pip install --force-reinstall .')."
            )
        return path
    path = Path(model)
    if not path.is_file():
        raise MissingDependencyError(
            f"There is no landmark model '{model}': give {' or '.join(MODEL_NAMES)}, or the path of a .task file."
        )
    return path


@cache
def _checksum(path: Path, size: int, changed_ns: int) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def model_checksum(path: Path) -> str:
    """Return the SHA-256 of a model file, hexadecimal."""
    state = path.stat()
    return _checksum(path, state.st_size, state.st_mtime_ns)
