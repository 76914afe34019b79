"""Muscles lie on their side of the limb, in every view and posture, and deform with the joint."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.spatial.transform import Rotation

from motionlabel.anatomy import atlas
from motionlabel.body import Centre, Side
from motionlabel.kinematics.gravity import level
from motionlabel.musculature import Musculature
from tests.musculature.posed_study import posed_study, study_of
from tests.synthetic_body import body_of

SQUAT = {"knee_flexion": 90.0, "hip_flexion": 95.0, "ankle_dorsiflexion": 20.0}
# each with what its joint centres are and whether it lies in front of (1) or behind (-1) the line between them
SAGITTAL = [
    ("biceps femoris (long head)", "HIP", "KNEE", -1),
    ("semitendinosus", "HIP", "KNEE", -1),
    ("semimembranosus", "HIP", "KNEE", -1),
    ("adductor magnus (hamstring part)", "HIP", "KNEE", -1),
    ("rectus femoris", "HIP", "KNEE", 1),
    ("vastus lateralis", "HIP", "KNEE", 1),
    ("vastus medialis", "HIP", "KNEE", 1),
    ("vastus intermedius", "HIP", "KNEE", 1),
    ("gastrocnemius (medial and lateral heads)", "KNEE", "ANKLE", -1),
    ("soleus", "KNEE", "ANKLE", -1),
    ("tibialis anterior", "KNEE", "ANKLE", 1),
    ("extensor digitorum longus", "KNEE", "ANKLE", 1),
    ("biceps brachii (long and short heads)", "SHOULDER", "ELBOW", 1),
    ("brachialis", "SHOULDER", "ELBOW", 1),
    ("triceps brachii (long head)", "SHOULDER", "ELBOW", -1),
    ("triceps brachii (lateral and medial heads)", "SHOULDER", "ELBOW", -1),
    ("deltoid (clavicular part)", "SHOULDER", "ELBOW", 1),
    ("deltoid (spinal part)", "SHOULDER", "ELBOW", -1),
]
# medial (-1) or lateral (1) of the thigh's or shank's line
FRONTAL = [
    ("adductor longus", "HIP", "KNEE", -1),
    ("adductor brevis", "HIP", "KNEE", -1),
    ("adductor magnus (adductor part)", "HIP", "KNEE", -1),
    ("gracilis", "HIP", "KNEE", -1),
    ("gluteus medius", "HIP", "KNEE", 1),
    ("tensor fasciae latae", "HIP", "KNEE", 1),
    ("vastus lateralis", "HIP", "KNEE", 1),
    ("fibularis longus", "KNEE", "ANKLE", 1),
    ("deltoid (acromial part)", "SHOULDER", "ELBOW", 1),
]


def _muscle(study, name, side):
    return Musculature(study).muscle(atlas().muscles[name], side, 3)


def _pixels(study, side, part):
    at = study.body.centres_m[3, Centre[f"{side}_{part}".upper()], :2]
    return at * study.body.camera.px_per_m * np.array([1.0, -1.0])


def _off_the_line(study, side, name, near, far):
    """Mean distance of a muscle's points from the line of its limb, pixels: to the right of near -> far is negative."""
    start, end = _pixels(study, side, near), _pixels(study, side, far)
    along = (end - start) / np.linalg.norm(end - start)
    points = np.concatenate([line.points_px for line in _muscle(study, name, side)]) - start
    return float(np.mean(points[:, 0] * along[1] - points[:, 1] * along[0]))


@pytest.mark.parametrize("posture", [{}, SQUAT, {"shoulder_flexion": 80.0, "elbow_flexion": 70.0}], ids=str)
@pytest.mark.parametrize(("facing", "side"), [(0.0, Side.RIGHT), (180.0, Side.LEFT), (15.0, Side.RIGHT)])
@pytest.mark.parametrize(("name", "near", "far", "where"), SAGITTAL, ids=lambda v: str(v))
def test_front_and_back_in_a_side_view(name, near, far, where, facing, side, posture):
    study = posed_study(posture, facing)
    forward = np.cos(np.radians(facing))
    assert where * forward * _off_the_line(study, side, name, near, far) > 0.0


@pytest.mark.parametrize("facing", [90.0, -90.0, 60.0])
@pytest.mark.parametrize("side", [Side.LEFT, Side.RIGHT])
@pytest.mark.parametrize(("name", "near", "far", "where"), FRONTAL, ids=lambda v: str(v))
def test_medial_and_lateral_in_a_front_and_a_rear_view(name, near, far, where, side, facing):
    study = posed_study({}, facing)
    middle = 0.5 * (_pixels(study, Side.LEFT, near) + _pixels(study, Side.RIGHT, near))
    outward = np.sign(_pixels(study, side, near)[0] - middle[0])
    assert where * outward * _off_the_line(study, side, name, near, far) > 0.0


@pytest.mark.parametrize("side", [Side.LEFT, Side.RIGHT])
@pytest.mark.parametrize(("facing", "sense"), [(90.0, 1), (-90.0, -1)])
@pytest.mark.parametrize(("name", "near", "far", "where"), SAGITTAL, ids=lambda v: str(v))
def test_before_or_behind_the_limb_by_depth_in_a_front_and_a_rear_view(name, near, far, where, facing, sense, side):
    lines = _muscle(posed_study({}, facing), name, side)
    assert where * sense * np.mean([line.depth_m[3:-3] for line in lines]) > 0.0


def test_gluteus_maximus_curves_behind_the_hip_of_a_squat():
    study = posed_study(SQUAT, lean=40.0)
    hip = _pixels(study, Side.RIGHT, "HIP")
    for line in _muscle(study, "gluteus maximus", Side.RIGHT):
        assert line.points_px[4:8, 0].max() < hip[0]


def test_left_mirrors_right_in_a_front_view():
    study = posed_study({"hip_abduction": 20.0}, 90.0)
    middle = 0.5 * (_pixels(study, Side.LEFT, "HIP") + _pixels(study, Side.RIGHT, "HIP"))
    for name in ("gluteus medius", "semitendinosus", "latissimus dorsi", "external oblique"):
        for left, right in zip(_muscle(study, name, Side.LEFT), _muscle(study, name, Side.RIGHT)):
            assert_allclose((left.points_px - middle) * [-1.0, 1.0], right.points_px - middle, atol=1e-6)
            assert_allclose(left.depth_m, right.depth_m, atol=1e-9)


def test_a_line_keeps_its_limb_whatever_the_depth():
    """Half the depth of every point: the ends of a bone stay in the picture, so the muscle stays on the limb."""
    study = posed_study({"knee_flexion": 60.0, "hip_flexion": 60.0}, 45.0)
    shrunk = study.body.centres_m * np.array([1.0, 1.0, 0.5])
    flat = replace(study, body=replace(study.body, centres_m=shrunk))
    for name in ("semimembranosus", "vastus medialis", "soleus"):
        for line, other in zip(_muscle(study, name, Side.RIGHT), _muscle(flat, name, Side.RIGHT)):
            assert np.abs(line.points_px - other.points_px).max() < 0.04 * 1.7 * study.body.camera.px_per_m


def test_a_camera_that_looks_down_sees_the_same_picture():
    """The body is levelled; its muscles must come out where the picture has the body."""
    study, pitch = posed_study({"knee_flexion": 60.0, "hip_flexion": 60.0}, 30.0), np.radians(35.0)
    body = study.body
    levelled = replace(
        body,
        centres_m=level(body.centres_m, pitch),
        segment_rotations=np.swapaxes(level(np.swapaxes(body.segment_rotations, 2, 3), pitch), 2, 3),
        camera=replace(body.camera, pitch_rad=pitch),
    )
    for name in ("gluteus maximus", "tibialis anterior", "biceps brachii (long and short heads)"):
        for line, other in zip(
            _muscle(study, name, Side.RIGHT), _muscle(replace(study, body=levelled), name, Side.RIGHT)
        ):
            assert_allclose(other.points_px, line.points_px, atol=1e-3)
            assert_allclose(other.depth_m, line.depth_m, atol=1e-6)


def test_a_straight_body_has_anatomical_fullness():
    study = posed_study()
    for name in atlas().muscles:
        for line in _muscle(study, name, Side.RIGHT):
            assert_allclose(line.fullness, 1.0, atol=0.03)


@pytest.mark.parametrize(
    ("posture", "name", "fuller"),
    [
        ({"knee_flexion": 90.0}, "vastus lateralis", False),
        ({"knee_flexion": 90.0}, "biceps femoris (short head)", True),
        ({"elbow_flexion": 110.0}, "biceps brachii (long and short heads)", True),
        ({"elbow_flexion": 110.0}, "triceps brachii (lateral and medial heads)", False),
        ({"ankle_dorsiflexion": -30.0}, "soleus", True),
        ({"hip_flexion": 90.0}, "gluteus maximus", False),
        ({"hip_abduction": 30.0}, "gluteus medius", True),
        ({"shoulder_abduction": 80.0}, "deltoid (acromial part)", True),
    ],
    ids=str,
)
def test_shorter_is_fuller(posture, name, fuller):
    for line in _muscle(posed_study(posture), name, Side.RIGHT):
        assert line.fullness > 1.02 if fuller else line.fullness < 0.98


def test_attachments_are_the_ends_and_have_the_atlas_words():
    study, muscle = posed_study(), atlas().muscles["semimembranosus"]
    proximal, distal = Musculature(study).attachments(muscle, Side.RIGHT, 3)
    assert (proximal.name, distal.name) == ("ischial tuberosity", "medial tibial condyle")
    assert proximal.point_px[1] < distal.point_px[1]
    assert Musculature(study).attachments(atlas().muscles["transversus abdominis"], Side.RIGHT, 3) == ()


def test_what_is_not_seen_or_too_uncertain_is_not_placed():
    study = posed_study()
    centres = study.body.centres_m.copy()
    centres[:, Centre.RIGHT_KNEE] = np.nan
    hidden = replace(study, body=replace(study.body, centres_m=centres))
    assert _muscle(hidden, "soleus", Side.RIGHT) == ()
    assert _muscle(hidden, "soleus", Side.LEFT) != ()
    unsure = replace(study, body=replace(study.body, sigma_m=np.full_like(study.body.sigma_m, 0.1)))
    assert _muscle(unsure, "soleus", Side.LEFT) == ()


def test_less_sure_joints_make_a_less_sure_place():
    study = posed_study()
    wide = replace(study, body=replace(study.body, sigma_m=4.0 * study.body.sigma_m))
    [line], [wider] = _muscle(study, "soleus", Side.RIGHT), _muscle(wide, "soleus", Side.RIGHT)
    assert 0.0 < line.sigma_px < wider.sigma_px


def test_a_turning_forearm_makes_no_jump():
    """A bent elbow tells how the arm is turned; a forearm that swings all round it is followed without a step."""
    study = posed_study({"elbow_flexion": 90.0}, 45.0)
    frames = 181
    centres = np.repeat(study.body.centres_m[:1], frames, axis=0)
    shoulder, elbow, wrist, hand = (Centre[f"RIGHT_{part}"] for part in ("SHOULDER", "ELBOW", "WRIST", "HAND"))
    axis = centres[0, elbow] - centres[0, shoulder]
    about = Rotation.from_rotvec(np.linspace(0.0, 2.0 * np.pi, frames)[:, None] * axis / np.linalg.norm(axis))
    for point in (wrist, hand):
        centres[:, point] = centres[:, elbow] + about.apply(centres[0, point] - centres[0, elbow])
    bodies = Musculature(study_of(body_of(np.arange(frames) / 30.0, centres)))
    muscle = atlas().muscles["biceps brachii (long and short heads)"]
    points = np.array([bodies.muscle(muscle, Side.RIGHT, frame)[0].points_px for frame in range(frames)])
    step_m = np.abs(np.diff(points, axis=0)).max() / study.body.camera.px_per_m
    assert step_m < 0.02


def test_a_muscle_has_a_side():
    with pytest.raises(ValueError, match="left or on the right"):
        _muscle(posed_study(), "soleus", Side.MIDLINE)
