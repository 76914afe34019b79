"""A clip written through the encoder: H.264, with the sound of the original."""

import os
import shutil
import subprocess
import tempfile
from contextlib import suppress
from pathlib import Path
from types import TracebackType
from typing import IO, Self

import cv2
import numpy as np

from motionlabel.errors import CannotWriteError
from motionlabel.video.container import Container, read_container
from motionlabel.video.encoder import encoder_path
from motionlabel.video.stream import Image

# Codecs that mp4 holds and players play there; others are turned into AAC. Source: common practice, no source.
_MP4_SOUND = frozenset({"aac", "mp3", "ac3", "eac3", "alac"})
_FULL_BYTES = 1 << 20  # a disk with less room than this is what stopped the encoder


class ClipSink:
    """Writes pictures as an mp4 clip: H.264, yuv420p, sound in step, ready to stream.

    The clip appears under its name when it is whole; until then it has a temporary name beside it.

    Parameters
    ----------
    path
        Where the clip goes; an older file of that name is replaced at the end.
    size
        Width and height of the pictures, pixels; odd ones are padded by one pixel.
    rate
        Frames per second, numerator and denominator.
    sound_from
        Clip whose sound is taken over; ``None`` = no sound.

    Raises
    ------
    CannotWriteError
        The folder cannot be written to, or the disk is full.
    MissingDependencyError
        The encoder is missing.
    """

    def __init__(
        self, path: Path, size: tuple[int, int], rate: tuple[int, int], sound_from: Path | None = None
    ) -> None:
        self.path = Path(path)
        self._shape = (size[1], size[0], 3)
        sound = read_container(sound_from) if sound_from is not None else None
        binary = encoder_path()
        self._temporary = self.path.with_name(f".{self.path.stem}.{os.getpid()}.part.mp4")
        self._create_temporary()
        self._messages: IO[bytes] = tempfile.TemporaryFile()  # noqa: SIM115 - lives as long as the encoder
        try:
            self._process = subprocess.Popen(
                [str(binary), *self._arguments(rate, sound_from, sound)],
                stdin=subprocess.PIPE,
                stdout=subprocess.DEVNULL,
                stderr=self._messages,
                # Ctrl-C reaches this program only, which then decides what becomes of the clip
                start_new_session=True,
            )
        except BaseException:
            self._messages.close()
            self._temporary.unlink(missing_ok=True)
            raise
        self._open = True

    def write(self, image: Image) -> None:
        """Write one picture (H, W, 3) uint8 BGR."""
        if image.shape != self._shape or image.dtype != np.uint8:
            raise ValueError(f"image: wanted uint8 {self._shape}, got {image.dtype} {image.shape}")
        height, width = image.shape[0] % 2, image.shape[1] % 2
        even = cv2.copyMakeBorder(image, 0, height, 0, width, cv2.BORDER_REPLICATE) if height or width else image
        planes = np.ascontiguousarray(cv2.cvtColor(even, cv2.COLOR_BGR2YUV_I420))
        assert self._process.stdin is not None
        try:
            self._process.stdin.write(planes.data)
        except OSError as error:  # the encoder has gone
            raise self._failure() from error

    def close(self) -> None:
        """Finish the clip and give it its name."""
        if not self._open:
            return
        assert self._process.stdin is not None
        try:
            self._process.stdin.close()
        except OSError as error:
            raise self._failure() from error
        try:
            if self._process.wait() != 0:
                raise self._failure()
            self._temporary.replace(self.path)
        except OSError as error:
            raise self._failure() from error
        except BaseException:
            self.discard()
            raise
        self._open = False
        self._messages.close()

    def discard(self) -> None:
        """Stop the encoder and remove what was written."""
        if not self._open:
            return
        self._open = False
        self._process.kill()
        self._process.wait()
        assert self._process.stdin is not None
        with suppress(OSError):  # bytes that were waiting have nowhere to go, as wanted
            self._process.stdin.close()
        self._messages.close()
        self._temporary.unlink(missing_ok=True)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if kind is None:
            self.close()
        else:
            self.discard()

    def _create_temporary(self) -> None:
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            if self.path.is_dir():
                raise CannotWriteError(f"{self.path} is a folder: remove it or choose another folder with --out.")
            self._temporary.touch()
        except OSError as error:
            raise self._cannot_write(error.strerror or "not permitted") from error

    def _arguments(self, rate: tuple[int, int], sound_from: Path | None, sound: Container | None) -> list[str]:
        height, width = (length + length % 2 for length in self._shape[:2])
        arguments = ["-hide_banner", "-nostats", "-loglevel", "error", "-y", "-protocol_whitelist", "file,pipe"]
        # pictures that began after the sound do so again: by whole frames, the sound moves by the rest
        start_s = sound.picture_start_s if sound is not None else 0.0
        delay_s = round(start_s * rate[0] / rate[1]) * rate[1] / rate[0]
        arguments += ["-itsoffset", f"{delay_s:.6f}"]
        arguments += ["-f", "rawvideo", "-pix_fmt", "yuv420p", "-video_size", f"{width}x{height}"]
        arguments += ["-framerate", f"{rate[0]}/{rate[1]}", "-i", "pipe:0"]
        if sound is not None and sound.sound_codec is not None:
            codec = ["copy"] if sound.sound_codec in _MP4_SOUND else ["aac", "-b:a", "160k"]
            arguments += ["-itsoffset", f"{delay_s - start_s:.6f}", "-i", f"file:{Path(sound_from or '').resolve()}"]
            arguments += ["-map", "0:v:0", "-map", "1:a?", "-c:a", *codec]
        # OpenCV makes its planes with the matrix of SMPTE 170M (BT.601)
        arguments += ["-colorspace", "smpte170m", "-color_primaries", "bt709", "-color_trc", "bt709"]
        arguments += [
            "-color_range",
            "tv",
            "-fps_mode",
            "passthrough",
            "-c:v",
            "libx264",
            "-preset",
            "veryfast",
            "-pix_fmt",
            "yuv420p",
        ]
        return [*arguments, "-movflags", "+faststart", "-f", "mp4", f"file:{self._temporary.resolve()}"]

    def _failure(self) -> CannotWriteError:
        """Clean up after a failed encoder and say why it failed."""
        self._process.wait()
        full = shutil.disk_usage(self.path.parent).free < _FULL_BYTES
        self._messages.seek(0)
        lines = self._messages.read().decode("utf-8", "replace").strip().splitlines()
        self.discard()
        return self._cannot_write("disk full" if full else lines[-1] if lines else "the encoder stopped")

    def _cannot_write(self, reason: str) -> CannotWriteError:
        return CannotWriteError(
            f"{self.path} cannot be written ({reason}): make room, or choose another folder with --out."
        )
