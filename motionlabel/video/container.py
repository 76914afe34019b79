"""What a video file holds, read without decoding it."""

import re
import subprocess
from array import array
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from motionlabel.errors import UnreadableInputError
from motionlabel.records import Array
from motionlabel.video.encoder import encoder_path

_TIME_BASE = re.compile(r"#tb 0: (\d+)/(\d+)")
_PACKET = re.compile(r"0,\s*(-?\d+),\s*(-?\d+),\s*(\d+),\s*\d+,\s*\w+(?:, F=0x([0-9A-Fa-f]+))?")
_CUT_OFF_S = 0.5  # sound may outlast the picture a little: own convention
_DISCARD = 0x4  # AV_PKT_FLAG_DISCARD: decoded, never shown (outside the edit list)
_STREAM = re.compile(r"^\s*Stream #0:\d+.*?: (Video|Audio): (\w+)", re.MULTILINE)
_PROMISED = re.compile(r"^\s*Duration: (\d+):(\d+):([\d.]+)", re.MULTILINE)
_START = re.compile(r"^\s*Duration:.*start: (-?[\d.]+)", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Container:
    """Streams and picture times of a file.

    Attributes
    ----------
    time_s
        (F,) presentation times of the pictures, seconds from the first one, increasing. A damaged
        file may decode to fewer.
    duration_s
        From the first picture to the end of the last one, seconds.
    picture_start_s
        How long after the start of the file (of its sound, say) the first picture comes, seconds.
    sound_codec
        Name of the sound's codec; ``None`` = no sound.
    missing_s
        How much of the duration that the file promises it does not hold, seconds; 0 below half a second.
    """

    time_s: Array
    duration_s: float
    picture_start_s: float
    sound_codec: str | None
    missing_s: float


def read_container(path: Path) -> Container:
    """Read streams and picture times; every packet is looked at, none decoded.

    Raises
    ------
    UnreadableInputError
        The file is missing, is a folder, is no video, is damaged or holds no picture.
    MissingDependencyError
        The ffmpeg binary is missing.
    """
    _check_file(path)
    # 0:V:0 = the first picture track that is no cover art; framecrc lists the packets with their times
    command = [
        str(encoder_path()),
        *("-hide_banner", "-nostdin", "-loglevel", "info", "-nostats", "-protocol_whitelist", "file,pipe"),
        *("-copyts", "-i", f"file:{path.resolve()}", "-map", "0:V:0", "-c", "copy", "-f", "framecrc", "-"),
    ]
    run = subprocess.run(command, capture_output=True, check=False)
    told = run.stderr.decode("utf-8", "replace").partition("Output #0")[0]
    streams = dict(reversed(_STREAM.findall(told)))
    packets = _packets(run.stdout.decode("ascii", "replace"))
    if packets is None:
        if "Audio" in streams and "Video" not in streams:
            raise UnreadableInputError(f"{path} holds sound but no picture: give a video clip.")
        raise UnreadableInputError(
            f"{path} is not a readable video or was cut off while it was written: copy or export the clip again."
        )
    shown, length = packets
    start = _START.search(told)
    duration_s = float(np.max(shown + length) - shown[0])
    return Container(
        time_s=shown - shown[0],
        duration_s=duration_s,
        picture_start_s=max(float(shown[0]) - (float(start[1]) if start else 0.0), 0.0),
        sound_codec=streams.get("Audio"),
        missing_s=_missing_s(told, float(shown[0]) + duration_s),
    )


def _missing_s(told: str, held_s: float) -> float:
    promised = _PROMISED.search(told)
    if promised is None:
        return 0.0
    missing = 3600 * int(promised[1]) + 60 * int(promised[2]) + float(promised[3]) - held_s
    return missing if missing >= _CUT_OFF_S else 0.0


def _check_file(path: Path) -> None:
    if path.is_dir():
        raise UnreadableInputError(f"{path} is a folder: give the clips inside it by name.")
    try:
        with path.open("rb") as file:
            empty = not file.read(1)
    except FileNotFoundError:
        raise UnreadableInputError(f"{path} does not exist: check the name and the folder.") from None
    except OSError as error:
        raise UnreadableInputError(f"{path} cannot be opened ({error.strerror}): check its permissions.") from error
    if empty:
        raise UnreadableInputError(f"{path} is empty (0 bytes): copy or export the clip again.")


def _packets(listing: str) -> tuple[Array, Array] | None:
    """Return the times and lengths of the shown pictures in order of time, seconds; ``None`` = none."""
    base = _TIME_BASE.search(listing)
    if base is None:
        return None
    tick_s = int(base[1]) / int(base[2])
    times, lengths = array("q"), array("q")
    for packet in _PACKET.finditer(listing):
        if int(packet[4] or "0", 16) & _DISCARD:
            continue
        times.append(int(packet[2]))
        lengths.append(int(packet[3]))
    if not times:
        return None
    order = np.argsort(times, kind="stable")
    return np.asarray(times)[order] * tick_s, np.asarray(lengths)[order] * tick_s
