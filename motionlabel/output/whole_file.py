"""Files that are either whole under their final name or not there at all."""

import errno
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from motionlabel.errors import CannotWriteError

_REASONS = {
    errno.ENOSPC: "the disk is full; free some space or choose another folder with --out",
    errno.EDQUOT: "your disk quota is used up; free some space or choose another folder with --out",
    errno.EROFS: "the folder is read-only; choose another folder with --out",
    errno.EACCES: "writing there is not allowed; choose another folder with --out",
    errno.EPERM: "writing there is not allowed; choose another folder with --out",
    errno.ENOENT: "the folder is not there; choose another folder with --out",
    errno.ENOTDIR: "part of that path is a file, not a folder; choose another folder with --out",
    errno.EEXIST: "a file is in the place of the folder; choose another folder with --out",
    errno.EISDIR: "a folder has that name; move it away or choose another folder with --out",
}


def cannot_write(path: Path, error: OSError) -> CannotWriteError:
    """Return the error that says in one sentence why ``path`` could not be written, and what to do."""
    reason = _REASONS.get(error.errno or 0, f"{error.strerror or error}; choose another folder with --out")
    return CannotWriteError(f"Cannot write {path}: {reason}.")


@contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """Yield a temporary path beside ``path``; rename it when the block ends well, else remove it.

    The temporary name keeps the suffix, because encoders choose the format by it.

    Raises
    ------
    CannotWriteError
        The folder cannot be written to or the disk is full.
    """
    part = path.with_name(f".{path.stem}.{os.getpid()}.part{path.suffix}")
    try:
        yield part
        os.replace(part, path)
    except OSError as error:
        raise cannot_write(path, error) from error
    finally:
        if part.exists():
            part.unlink()


def make_folder(folder: Path) -> None:
    """Make an output folder with its parents and try that it can be written to.

    Trying beforehand spares the user a long wait that ends in an error.

    Raises
    ------
    CannotWriteError
        It cannot be made or not be written to.
    """
    probe = folder / f".motionlabel.{os.getpid()}.part"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        probe.touch()
        probe.unlink()
    except OSError as error:
        raise cannot_write(folder, error) from error
