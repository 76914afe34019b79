"""Norms are set beside a measurement only where position, definition and load match.

The figures of `norms.toml` are transcribed; two tables that were read check them here: Norkin & White,
Measurement of Joint Motion, table A.1 (rounded means), and J Physiol Anthropol 2016;35:30, table 3.
"""

import pytest
from numpy.testing import assert_allclose

from motionlabel.anatomy.atlas import atlas
from motionlabel.anatomy.norms import norm_for, norms, read_norms
from motionlabel.anatomy.terms import Definition, Mode, Posture, Reading
from motionlabel.body import Centre, Joint, Motion
from motionlabel.errors import BadSettingsError
from motionlabel.kinematics import measure_angles
from motionlabel.mechanics import muscle_work
from motionlabel.movement import find_phases
from motionlabel.records import BodyTrack, PersonChoice, Study
from motionlabel.summary import summary
from tests.published.exercise_motions import curl, lateral_raise, push_up, straight_leg_raise, two_leg_squat
from tests.published.exercise_poses import TIME_S, between
from tests.synthetic_body import facts_of, landmarks_of, posed_body

TITLE = "Beside a goniometer norm; an exercise need not use the full range:"
ROUNDING_DEG = 0.5  # table A.1 prints whole degrees

TABLE_A1 = {
    ("Boone & Azen 1979", Joint.SHOULDER, Motion.FLEXION): 167,
    ("Boone & Azen 1979", Joint.SHOULDER, Motion.EXTENSION): 62,
    ("Boone & Azen 1979", Joint.SHOULDER, Motion.ABDUCTION): 184,
    ("Boone & Azen 1979", Joint.ELBOW, Motion.FLEXION): 143,
    ("Greene & Wolf 1989", Joint.SHOULDER, Motion.FLEXION): 156,
    ("Greene & Wolf 1989", Joint.SHOULDER, Motion.ABDUCTION): 168,
    ("Greene & Wolf 1989", Joint.ELBOW, Motion.FLEXION): 145,
    ("Walker et al. 1984", Joint.SHOULDER, Motion.FLEXION): 165,
    ("Walker et al. 1984", Joint.SHOULDER, Motion.EXTENSION): 44,
    ("Walker et al. 1984", Joint.SHOULDER, Motion.ABDUCTION): 165,
    ("Walker et al. 1984", Joint.ELBOW, Motion.FLEXION): 143,
}
OLDER_WOMEN = {
    (Joint.KNEE, Motion.FLEXION): (104, 127.6, 144, 8.3),
    (Joint.ANKLE, Motion.DORSIFLEXION): (5, 17.7, 31, 6.0),
    (Joint.ANKLE, Motion.PLANTARFLEXION): (28, 58.0, 74, 7.9),
    (Joint.HIP, Motion.FLEXION): (53, 122.6, 144, 10.8),
    (Joint.HIP, Motion.EXTENSION): (8, 16.8, 27, 4.5),
}


@pytest.mark.parametrize(("row", "mean"), TABLE_A1.items(), ids=lambda value: str(value))
def test_means_are_those_of_the_table_that_was_read(row, mean):
    short, joint, motion = row
    found = next(n for n in norms() if (n.short, n.joint, n.motion) == (short, joint, motion))
    assert_allclose(found.typical_deg, mean, atol=ROUNDING_DEG)
    assert found.reading is Reading.READ


@pytest.mark.parametrize(("row", "values"), OLDER_WOMEN.items(), ids=lambda value: str(value))
def test_older_women(row, values):
    found = next(n for n in norms() if (n.joint, n.motion) == row and "women in Japan" in n.population)
    assert_allclose((found.low_deg, found.typical_deg, found.high_deg, found.sd_deg), values)


def test_active_ranges_do_not_pass_the_passive_ones_of_men():
    """Boone & Azen's men move themselves, those of Soucie et al. are moved: active stays below, within 2 SD."""
    passive = {(n.joint, n.motion): n.typical_deg for n in norms() if n.population == "men of 20-44 years"}
    active = [n for n in norms() if n.population == "56 men of 20-54 years" and (n.joint, n.motion) in passive]
    assert len(active) >= 5
    for norm in active:
        assert norm.typical_deg < passive[norm.joint, norm.motion] + 2.0 * norm.sd_deg


@pytest.mark.parametrize("motion", [Motion.FLEXION, Motion.EXTENSION, Motion.ABDUCTION, Motion.ADDUCTION])
@pytest.mark.parametrize("posture", Posture)
def test_the_hip_has_norms_but_none_that_matches(motion, posture):
    """A norm's hip is thigh to pelvis; what is measured here is thigh to trunk."""
    assert any(n.joint is Joint.HIP and n.definition is Definition.THIGH_TO_PELVIS for n in norms())
    assert norm_for(Joint.HIP, motion, posture) is None


def test_passive_norms_and_unknown_postures_never_match():
    assert {n.mode for n in norms()} == set(Mode)
    matched = [norm_for(joint, motion, posture) for joint in Joint for motion in Motion for posture in Posture]
    assert any(matched)
    for norm in filter(None, matched):
        assert norm.mode is Mode.ACTIVE
        assert norm.posture is not Posture.NOT_STATED
    assert norm_for(Joint.SHOULDER, Motion.FLEXION, Posture.NOT_STATED) is None


def test_every_norm_names_its_source():
    assert all(norm.source.citation and norm.short for norm in norms())


@pytest.mark.parametrize(
    ("old", "new", "column"),
    [
        ("typical_deg = 167", 'typical_deg = "167"', "typical_deg"),
        ("sd_deg = 4.7", "sd_deg = -4.7", "sd_deg"),
        ('mode = "active"', 'mode = "activ"', "mode"),
        ('source = "boone_azen"', 'source = "boone"', "source"),
        ("high_deg = 144", "high_deg = 120", "typical_deg"),
        ('joint = "shoulder"', 'joint = "shoulders"', "joint"),
    ],
)
def test_a_slip_is_told_with_file_row_and_column(tmp_path, old, new, column):
    from motionlabel.anatomy.atlas import DATA_FOLDER

    text = (DATA_FOLDER / "norms.toml").read_text(encoding="utf-8")
    assert old in text
    path = tmp_path / "norms.toml"
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(BadSettingsError, match=rf"norms\.toml, norm \d+ .*, column '{column}'"):
        read_norms(path, atlas().sources)


def _lines(body: BodyTrack) -> list[str]:
    """Lines of the summary that set a measurement beside a norm."""
    angles = measure_angles(body)
    phases, work = muscle_work(body, angles, find_phases(angles, body))
    study = Study(facts_of(body), PersonChoice(), landmarks_of(body), body, angles, phases, work, "0" * 64)
    lines = summary(study)
    if TITLE not in lines:
        return []
    rest = lines[lines.index(TITLE) + 1 :]
    return [line.strip() for line in rest[: next(i for i, line in enumerate(rest) if not line.startswith("  "))]]


def test_arms_raised_to_the_side_in_standing():
    (line,) = _lines(lateral_raise())
    assert line.startswith("active shoulder abduction: left 90 (give or take ")
    assert line.endswith("degrees; 109 males of 1.5-54 years: 184 degrees (SD 7), Boone & Azen 1979")


def test_an_elbow_bent_in_standing():
    (line,) = _lines(curl())
    assert line.startswith("active elbow flexion: left 130 (")
    assert "143 degrees (SD 5.6)" in line


def test_a_knee_bent_on_the_back_with_the_hip_flexed():
    bent = {"right_hip_flexion": between(0, 80), "right_knee_flexion": between(0, 110)}
    lines = _lines(posed_body(TIME_S, bent, lean=-90.0, fixed=Centre.LEFT_HIP))
    assert [line.split(":")[0] for line in lines] == ["active knee flexion"]
    assert "142.5 degrees (SD 5.4)" in lines[0]


def test_a_free_foot():
    turned = {"right_hip_flexion": 60.0, "right_ankle_dorsiflexion": between(0, 20)}
    lines = _lines(posed_body(TIME_S, turned, lean=-90.0, fixed=Centre.LEFT_HIP))
    assert [line.split(":")[0] for line in lines] == ["active ankle dorsiflexion"]


def _knee_bent_with_a_straight_hip() -> BodyTrack:
    return posed_body(TIME_S, {"right_knee_flexion": between(0, 100)}, fixed=Centre.LEFT_HEEL)


def _elbow_bent_on_the_back() -> BodyTrack:
    return posed_body(TIME_S, {"elbow_flexion": between(0, 120)}, lean=-90.0)


@pytest.mark.parametrize(
    "motion",
    [push_up, straight_leg_raise, _knee_bent_with_a_straight_hip, _elbow_bent_on_the_back],
    ids=lambda m: m.__name__,
)
def test_another_position_or_a_loaded_limb_has_no_norm(motion):
    assert _lines(motion()) == []


def test_a_squat_is_no_range_test():
    """Knees, ankles and hips bear weight or are read otherwise: only the arms that rise in front are free."""
    body = two_leg_squat()
    assert not any(joint in line for line in _lines(body) for joint in ("knee", "ankle", "hip"))


def test_at_most_three_lines():
    everything = {"shoulder_flexion": between(-30, 120), "elbow_flexion": between(0, 120), "right_hip_flexion": 60.0}
    feet = {"right_ankle_dorsiflexion": between(-40, 20)}
    assert 2 <= len(_lines(posed_body(TIME_S, {**everything, **feet}))) <= 3
