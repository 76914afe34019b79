"""The length of a muscle over a phase: two-joint muscles, no change from noise, unknown where nothing is known."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from motionlabel.anatomy import atlas
from motionlabel.body import AXES, AXIS_INDEX, Axis, Joint, Motion, MotionAxis, Side
from motionlabel.musculature import LengthVerdict, length_change
from motionlabel.records import Phase
from tests.musculature.posed_study import study_of
from tests.synthetic_body import clock, posed_body, ramp, squat

TIME = clock(3.0)
LAST = len(TIME) - 1


def _phase(start=0, stop=LAST + 1):
    return Phase(MotionAxis(Joint.KNEE, Side.RIGHT, Axis.FLEXION), Motion.FLEXION, start, stop, None, 1.0)


def _moved(**degrees):
    """Study in which each angle goes from 0 to its value."""
    return study_of(posed_body(TIME, {name: ramp(TIME, [(0.2, 0.0), (2.8, to)]) for name, to in degrees.items()}))


def _verdict(study, name, side=Side.RIGHT):
    known = {**atlas().muscles, **atlas().collectives}
    return length_change(study, known[name], side, _phase()).verdict


@pytest.fixture(scope="module")
def squatting():
    return study_of(squat(TIME, ramp(TIME, [(0.2, 0.0), (2.8, 100.0)])))


@pytest.mark.parametrize(
    ("name", "verdict"),
    [
        ("hamstrings", LengthVerdict.NEARLY_CONSTANT),
        ("semitendinosus", LengthVerdict.NEARLY_CONSTANT),
        ("semimembranosus", LengthVerdict.NEARLY_CONSTANT),
        ("rectus femoris", LengthVerdict.NEARLY_CONSTANT),
        ("gastrocnemius (medial and lateral heads)", LengthVerdict.NEARLY_CONSTANT),
        ("gluteus maximus", LengthVerdict.LENGTHENS),
        ("adductor magnus (hamstring part)", LengthVerdict.LENGTHENS),
        ("vastus lateralis", LengthVerdict.LENGTHENS),
        ("quadriceps femoris", LengthVerdict.LENGTHENS),
        ("biceps femoris (short head)", LengthVerdict.SHORTENS),
        ("soleus", LengthVerdict.LENGTHENS),
    ],
)
def test_lowering_a_squat(squatting, name, verdict):
    for side in (Side.LEFT, Side.RIGHT):
        assert _verdict(squatting, name, side) is verdict


@pytest.mark.parametrize(
    ("moves", "name", "verdict"),
    [
        ({"ankle_dorsiflexion": -30.0}, "soleus", LengthVerdict.SHORTENS),
        ({"ankle_dorsiflexion": -30.0}, "gastrocnemius (medial and lateral heads)", LengthVerdict.SHORTENS),
        ({"ankle_dorsiflexion": -30.0}, "tibialis anterior", LengthVerdict.LENGTHENS),
        ({"knee_flexion": 90.0}, "hamstrings", LengthVerdict.SHORTENS),
        ({"hip_flexion": 80.0}, "hamstrings", LengthVerdict.LENGTHENS),
        ({"hip_flexion": 80.0}, "iliopsoas", LengthVerdict.SHORTENS),
        ({"hip_abduction": 35.0}, "gluteus medius", LengthVerdict.SHORTENS),
        ({"hip_abduction": 35.0}, "adductors of the thigh", LengthVerdict.LENGTHENS),
        ({"elbow_flexion": 110.0}, "biceps brachii (long and short heads)", LengthVerdict.SHORTENS),
        ({"elbow_flexion": 110.0}, "triceps brachii", LengthVerdict.LENGTHENS),
        ({"shoulder_abduction": 80.0}, "deltoid (acromial part)", LengthVerdict.SHORTENS),
        ({"shoulder_flexion": 80.0}, "latissimus dorsi", LengthVerdict.LENGTHENS),
        ({"knee_flexion": 90.0}, "soleus", LengthVerdict.NEARLY_CONSTANT),
        ({"knee_flexion": 90.0}, "gluteus maximus", LengthVerdict.NEARLY_CONSTANT),
    ],
    ids=str,
)
def test_one_joint_moves(moves, name, verdict):
    study = _moved(**moves)
    assert _verdict(study, name) is verdict


def test_bending_to_the_left_shortens_the_left_side():
    study = _moved(knee_flexion=0.0)
    angle, depth = study.angles.angle_rad.copy(), study.angles.depth_sigma_rad.copy()
    bend = AXIS_INDEX[MotionAxis(Joint.TRUNK, Side.MIDLINE, Axis.LATERAL_BEND)]
    trunk = AXIS_INDEX[MotionAxis(Joint.TRUNK, Side.MIDLINE, Axis.FLEXION)]
    angle[:, bend] = ramp(TIME, [(0.2, 0.0), (2.8, np.radians(25.0))])
    depth[:, [bend, trunk]] = np.radians(2.0)
    study = replace(study, angles=replace(study.angles, angle_rad=angle, depth_sigma_rad=depth))
    for name in ("quadratus lumborum", "external and internal oblique"):
        assert _verdict(study, name, Side.LEFT) is LengthVerdict.SHORTENS
        assert _verdict(study, name, Side.RIGHT) is LengthVerdict.LENGTHENS


def test_the_way_back_is_the_inverse(squatting):
    turned = replace(squatting, angles=replace(squatting.angles, angle_rad=squatting.angles.angle_rad[::-1]))
    muscle = atlas().muscles["vastus medialis"]
    there, back = (length_change(study, muscle, Side.RIGHT, _phase()) for study in (squatting, turned))
    assert back.verdict is LengthVerdict.SHORTENS
    assert_allclose(back.ratio * there.ratio, 1.0, atol=1e-9)


@pytest.mark.parametrize("seed", range(10))
def test_noise_alone_neither_shortens_nor_lengthens(seed):
    study = study_of(posed_body(TIME, {"knee_flexion": 10.0, "elbow_flexion": 15.0}))
    angles = study.angles
    noise = np.random.default_rng(seed).normal(0.0, 1.0, angles.angle_rad.shape)
    sigma = np.full_like(angles.sigma_rad, np.radians(3.0))
    study = replace(
        study,
        angles=replace(
            angles, angle_rad=angles.angle_rad + 0.5 * sigma * noise, sigma_rad=sigma, depth_sigma_rad=0.5 * sigma
        ),
    )
    told = {LengthVerdict.NEARLY_CONSTANT, LengthVerdict.UNKNOWN}
    moved = [
        muscle.full_name
        for muscle in atlas().muscles.values()
        if length_change(study, muscle, Side.RIGHT, _phase(20, 60)).verdict not in told
    ]
    # two standard deviations are passed by one in twenty
    assert len(moved) <= 0.05 * len(atlas().muscles)


def test_wide_spread_makes_a_change_unknown(squatting):
    wide = replace(
        squatting, angles=replace(squatting.angles, depth_sigma_rad=np.full((len(TIME), len(AXES)), np.radians(40.0)))
    )
    change = length_change(wide, atlas().muscles["vastus medialis"], Side.RIGHT, _phase())
    assert change.verdict is LengthVerdict.UNKNOWN
    assert change.sigma > 0.1


def test_an_unknown_angle_makes_only_what_depends_on_it_unknown(squatting):
    angle = squatting.angles.angle_rad.copy()
    angle[LAST, AXIS_INDEX[MotionAxis(Joint.KNEE, Side.RIGHT, Axis.FLEXION)]] = np.nan
    study = replace(squatting, angles=replace(squatting.angles, angle_rad=angle))
    assert _verdict(study, "hamstrings") is LengthVerdict.UNKNOWN
    assert _verdict(study, "gluteus maximus") is LengthVerdict.LENGTHENS
    assert _verdict(study, "hamstrings", Side.LEFT) is LengthVerdict.NEARLY_CONSTANT


def test_a_muscle_without_a_path_is_unknown(squatting):
    change = length_change(squatting, atlas().muscles["transversus abdominis"], Side.RIGHT, _phase())
    assert change.verdict is LengthVerdict.UNKNOWN
    assert np.isnan(change.ratio)
