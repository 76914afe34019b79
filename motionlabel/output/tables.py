"""Two tables of a study as CSV: the angles of every frame, and the phases with their muscle work.

Unknown is an empty cell. Degrees here and nowhere before.
"""

import csv
import math
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from motionlabel.body import AXIS_INDEX, MEASURED_AXES, PHASE_AXES
from motionlabel.output.whole_file import whole_file
from motionlabel.records import Phase, Study, Work

PHASE_COLUMNS = (
    "start_s",
    "stop_s",
    "start_frame",
    "stop_frame",
    "repetition",
    "side",
    "joint",
    "axis",
    "motion",
    "working_group",
    "contraction",
    "demand_percent_bw_h",
    "sigma",
    "trust",
    "support",
)


@dataclass(frozen=True, slots=True)
class TableOptions:
    """How numbers are written.

    Attributes
    ----------
    angle_decimals
        Decimals of an angle in degrees.
    """

    angle_decimals: int = 2


def write_angle_table(study: Study, options: TableOptions, path: Path) -> list[Path]:
    """Write ``frame, time_s``, every angle in degrees and every angle's standard deviation.

    The angles that have phases come first, then their deviations; the angles that are only measured follow
    in the same way.

    Raises
    ------
    CannotWriteError
        The folder cannot be written to or the disk is full.
    """
    angles = study.angles
    columns, parts = ["frame", "time_s"], []
    known = np.isfinite(angles.angle_rad)
    for axes in (PHASE_AXES, MEASURED_AXES):
        place = [AXIS_INDEX[axis] for axis in axes]
        columns += [axis.name for axis in axes] + [f"{axis.name}_sigma" for axis in axes]
        parts += [np.where(known, values, np.nan)[:, place] for values in (angles.angle_rad, angles.sigma_rad)]
    degrees = np.degrees(np.hstack(parts))
    rows = (
        [str(frame), f"{time_s:.4f}", *(_number(value, options.angle_decimals) for value in row)]
        for frame, (time_s, row) in enumerate(zip(angles.time_s, degrees))
    )
    return _write(columns, rows, path)


def write_phase_table(study: Study, options: TableOptions, path: Path) -> list[Path]:
    """Write one row a phase, side and axis, in order of the start.

    Raises
    ------
    CannotWriteError
        The folder cannot be written to or the disk is full.
    """
    rows = (_phase_row(study, phase, work) for phase, work in zip(study.phases, study.work))
    return _write(PHASE_COLUMNS, rows, path)


def frame_time_s(study: Study, frame: int) -> float:
    """Time at which a frame starts, seconds; one past the last is the end of the clip."""
    times = study.landmarks.time_s
    if frame < len(times):
        return float(times[frame])
    return max(study.video.duration_s, float(times[-1]) + 1.0 / study.video.fps)


def _phase_row(study: Study, phase: Phase, work: Work) -> list[str]:
    return [
        f"{frame_time_s(study, phase.start):.4f}",
        f"{frame_time_s(study, phase.stop):.4f}",
        str(phase.start),
        str(phase.stop),
        "" if phase.repetition is None else str(phase.repetition),
        phase.axis.side,
        phase.axis.joint,
        phase.axis.axis,
        phase.motion,
        work.working_group or "",
        work.contraction,
        _number(work.demand, 4),
        _number(work.sigma, 4),
        _number(work.trust, 2),
        "; ".join(work.support),
    ]


def _number(value: float, decimals: int) -> str:
    return f"{value:.{decimals}f}" if math.isfinite(value) else ""


def _write(columns: Iterable[str], rows: Iterable[list[str]], path: Path) -> list[Path]:
    with whole_file(path) as part, part.open("w", newline="", encoding="utf-8") as handle:
        writer = csv.writer(handle, lineterminator="\n")
        writer.writerow(columns)
        writer.writerows(rows)
    return [path]
