"""The two tables: columns, units, empty cells for unknown."""

import csv
import math

import pytest
from numpy.testing import assert_allclose

from motionlabel.body import AXES, AXIS_INDEX
from motionlabel.output.tables import TableOptions, write_angle_table, write_phase_table

LIMB = ("hip_flexion", "hip_abduction", "knee_flexion", "ankle_dorsiflexion", "shoulder_flexion", "shoulder_abduction")
ANGLES = [f"{side}_{name}" for side in ("left", "right") for name in (*LIMB, "elbow_flexion")]
ANGLES += ["trunk_flexion", "trunk_lateral_bend_left"]
LIMB_ONLY_MEASURED = (
    "hip_internal_rotation",
    "shoulder_horizontal_adduction",
    "shoulder_internal_rotation",
    "wrist_flexion",
    "mtp_extension",
)
ONLY_MEASURED = [f"{side}_{name}" for side in ("left", "right") for name in LIMB_ONLY_MEASURED]
ONLY_MEASURED += ["trunk_rotation_left", "neck_flexion", "neck_lateral_bend_left", "neck_rotation_left"]
ONLY_MEASURED += ["pelvis_drop_left"]
PHASES = [
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
]


def _read(path):
    with path.open(newline="", encoding="utf-8") as handle:
        return list(csv.DictReader(handle))


def test_angle_table(study, tmp_path):
    path = tmp_path / "clip.angles.csv"
    assert write_angle_table(study, TableOptions(), path) == [path]
    rows = _read(path)
    columns = [*ANGLES, *(f"{name}_sigma" for name in ANGLES)]
    columns += [*ONLY_MEASURED, *(f"{name}_sigma" for name in ONLY_MEASURED)]
    assert list(rows[0]) == ["frame", "time_s", *columns]
    assert len(rows) == 30
    assert_allclose(float(rows[1]["left_hip_flexion"]), math.degrees(study.angles.angle_rad[1, 0]), atol=0.005)
    assert_allclose(float(rows[1]["left_hip_flexion_sigma"]), math.degrees(study.angles.sigma_rad[1, 0]), atol=0.005)
    last = AXIS_INDEX[AXES[-1]]
    assert_allclose(float(rows[1]["pelvis_drop_left"]), math.degrees(study.angles.angle_rad[1, last]), atol=0.005)
    assert {rows[3][name] for name in rows[3] if name not in ("frame", "time_s")} == {""}


def test_phase_table(study, tmp_path):
    path = tmp_path / "clip.phases.csv"
    write_phase_table(study, TableOptions(), path)
    first, second, third = _read(path)
    assert list(first) == PHASES
    assert first["working_group"] == "hip extensors"
    assert first["motion"] == "flexion"
    assert first["support"] == "left foot; right foot"
    assert (first["start_frame"], first["stop_frame"]) == ("0", "12")
    assert first["stop_s"] == second["start_s"]
    # the clip's duration is 1.0 s, its last frame starts before and lasts 1001/30000 s
    assert float(second["stop_s"]) == pytest.approx(29 / 30 + 1001 / 30000, abs=1e-4)
    assert [third[name] for name in ("repetition", "working_group", "demand_percent_bw_h", "sigma")] == [""] * 4
    assert third["contraction"] == "unknown"
