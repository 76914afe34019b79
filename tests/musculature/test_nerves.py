"""Nerves pass on the right side of the bones and end in their muscle."""

import numpy as np
import pytest

from motionlabel.anatomy import atlas
from motionlabel.body import Centre, Side
from motionlabel.musculature import Musculature
from motionlabel.musculature.line import places
from motionlabel.musculature.nerve_courses import course_of
from motionlabel.musculature.paths import lines_of
from motionlabel.musculature.skeleton import posed
from tests.musculature.posed_study import posed_study

FORWARD, UP, OUTWARD = range(3)
# nerve, landmark that a point is beside, axis, sign: in the anatomical position, against the bone's own axis
SIDES = [
    ("femoral nerve", "femoral triangle", FORWARD, 1),
    ("femoral nerve", "under the middle of the inguinal ligament", FORWARD, 1),
    ("obturator nerve", "medial thigh", OUTWARD, -1),
    ("sciatic nerve", "midway between greater trochanter and ischial tuberosity", FORWARD, -1),
    ("tibial part of sciatic nerve", "back of the thigh", FORWARD, -1),
    ("tibial nerve", "popliteal fossa", FORWARD, -1),
    ("tibial nerve", "behind the medial malleolus", FORWARD, -1),
    ("tibial nerve", "behind the medial malleolus", OUTWARD, -1),
    ("common fibular nerve", "lateral side of the popliteal fossa", OUTWARD, 1),
    ("common fibular nerve", "round the neck of the fibula", OUTWARD, 1),
    ("deep fibular nerve", "anterior compartment", FORWARD, 1),
    ("deep fibular nerve", "front of the ankle", FORWARD, 1),
    ("superficial fibular nerve", "lateral compartment", OUTWARD, 1),
    ("superior gluteal nerve", "greater sciatic foramen above piriformis", FORWARD, -1),
    ("inferior gluteal nerve", "greater sciatic foramen below piriformis", FORWARD, -1),
    ("axillary nerve", "behind the surgical neck", FORWARD, -1),
    ("axillary nerve", "round the surgical neck", OUTWARD, 1),
    ("radial nerve", "radial groove behind the humerus", FORWARD, -1),
    ("radial nerve", "front of the lateral epicondyle", FORWARD, 1),
    ("radial nerve", "front of the lateral epicondyle", OUTWARD, 1),
    ("median nerve", "cubital fossa, medial to the brachial artery", FORWARD, 1),
    ("median nerve", "cubital fossa, medial to the brachial artery", OUTWARD, -1),
    ("ulnar nerve", "behind the medial epicondyle", FORWARD, -1),
    ("ulnar nerve", "behind the medial epicondyle", OUTWARD, -1),
    ("musculocutaneous nerve", "between biceps and brachialis", FORWARD, 1),
    ("thoracodorsal nerve", "posterior wall of the axilla", FORWARD, -1),
    ("long thoracic nerve", "side of the chest on serratus anterior", OUTWARD, 1),
]


@pytest.mark.parametrize(("nerve", "landmark", "axis", "sign"), SIDES)
def test_a_nerve_passes_on_its_side_of_the_bone(nerve, landmark, axis, sign):
    course = course_of(atlas().nerves[nerve])
    there = [point for point, name in zip(course.points, course.landmarks) if name == landmark]
    assert there
    assert all(sign * point.at[axis] > 0.0 for point in there)


def test_sciatic_passes_below_piriformis_and_superior_gluteal_above():
    bones = posed({})
    piriformis = places(lines_of(atlas().muscles["piriformis"])[0].points, bones, {})

    def height_over_piriformis(nerve, landmark):
        course = course_of(atlas().nerves[nerve])
        at = places((course.points[course.landmarks.index(landmark)],), bones, {})[0]
        return at[1] - np.interp(at[2], piriformis[:, 2], piriformis[:, 1])

    assert height_over_piriformis("superior gluteal nerve", "greater sciatic foramen above piriformis") > 0.0
    assert height_over_piriformis("inferior gluteal nerve", "greater sciatic foramen below piriformis") < 0.0
    assert height_over_piriformis("sciatic nerve", "below piriformis") < 0.0


@pytest.mark.parametrize("name", sorted(atlas().nerves))
def test_every_nerve_of_the_atlas_has_a_course_in_small_steps(name):
    course = course_of(atlas().nerves[name])
    steps = np.linalg.norm(np.diff(places(course.points, posed({}), {}), axis=0), axis=1)
    assert steps.min() > 0.005
    assert steps.max() < 0.20


@pytest.mark.parametrize("name", sorted(m.full_name for m in atlas().muscles.values() if lines_of(m)))
def test_a_nerve_ends_in_its_muscle(name):
    muscle, bodies = atlas().muscles[name], Musculature(posed_study({"knee_flexion": 20.0}, 45.0))
    lines = bodies.muscle(muscle, Side.RIGHT, 3)
    assert lines
    for nerve in muscle.nerves:
        course = bodies.nerve(nerve, muscle, Side.RIGHT, 3)
        points = np.concatenate([line.points_px for line in lines])
        assert np.linalg.norm(points - course.points_px[-1], axis=1).min() < 1.0


@pytest.mark.parametrize("posture", [{}, {"hip_flexion": 90.0, "knee_flexion": 90.0}], ids=str)
def test_sciatic_and_tibial_nerve_lie_behind_hip_and_knee_in_a_side_view(posture):
    study = posed_study(posture)
    course = Musculature(study).nerve(atlas().nerves["tibial nerve"], None, Side.RIGHT, 3)
    for near, far in (("HIP", "KNEE"), ("KNEE", "ANKLE")):
        start, end = (
            study.body.centres_m[3, Centre[f"RIGHT_{part}"], :2] * 500.0 * [1.0, -1.0] for part in (near, far)
        )
        along = (end - start) / np.linalg.norm(end - start)
        points = course.points_px - start
        beside = (points @ along > 0.1 * np.linalg.norm(end - start)) & (points @ along < np.linalg.norm(end - start))
        forward = points[:, 0] * along[1] - points[:, 1] * along[0]
        near_limb = np.abs(forward) < 0.06 * 1.7 * 500.0
        assert (forward[beside & near_limb] < 5.0).all()
        assert np.median(forward[beside & near_limb]) < -3.0


def test_a_nerve_to_the_thigh_needs_no_foot():
    study = posed_study()
    study.body.centres_m[:, [Centre.RIGHT_ANKLE, Centre.RIGHT_HEEL, Centre.RIGHT_BALL]] = np.nan
    bodies, known = Musculature(study), atlas()
    nerve, muscle = known.nerves["common fibular part of sciatic nerve"], known.muscles["iliacus"]
    assert bodies.nerve(known.nerves["femoral nerve"], muscle, Side.RIGHT, 3) is not None
    assert bodies.nerve(known.nerves["tibial nerve"], None, Side.RIGHT, 3) is None
    assert bodies.nerve(nerve, None, Side.LEFT, 3) is not None
