"""The columns of bones agree with the attachments in words, and the joints crossed with the actions."""

import re

import pytest

from motionlabel.anatomy import Bone, Role, atlas
from motionlabel.anatomy.bones import BONE_GROUPS, LARGE_JOINTS, joints_between
from motionlabel.anatomy.terms import Articulation

MUSCLES = atlas().muscles

# what an attachment says -> the bone that it means; a longer phrase is read before a shorter one
MEANT = {
    Bone.OCCIPITAL_BONE: "superior nuchal line|inferior nuchal line|occipital bone",
    Bone.TEMPORAL_BONE: "mastoid process",
    Bone.HYOID_BONE: "hyoid bone",
    Bone.CERVICAL_VERTEBRAE: r"atlas|axis|cervical|\bC[1-7]\b",
    Bone.THORACIC_VERTEBRAE: r"thoracic spines|thoracic vertebrae|\bT\d+\b",
    Bone.LUMBAR_VERTEBRAE: r"\blumbar\b|\bL\d\b",
    Bone.SACRUM: "sacrum",
    Bone.COCCYX: "coccyx",
    Bone.RIBS: r"\bribs?\b|costal cartilages?\b",
    Bone.STERNUM: "sternum|manubrium|xiphoid process",
    Bone.CLAVICLE: "clavicle",
    Bone.SCAPULA: "scapula|coracoid process|glenoid|acromion|spinous fossa|subscapular fossa",
    Bone.HUMERUS: "humerus|(great|less)er tubercle|intertubercular|al epicondyle|lateral supracondylar ridge",
    Bone.ULNA: r"\bulna\b|olecranon|coronoid process",
    Bone.RADIUS: r"\bradius\b|radial tuberosity",
    Bone.CARPAL_BONES: "pisiform|hamate",
    Bone.METACARPALS: "metacarpal",
    Bone.ILIUM: "ilium|iliac|iliopubic eminence|greater sciatic notch",
    Bone.ISCHIUM: "ischi(um|al)|obturator membrane",
    Bone.PUBIS: "pubi[cs]|pecten pubis|obturator membrane|^pectineal line,|iliopubic",
    Bone.FEMUR: "femur|femoral|trochanter|linea aspera|gluteal tuberosity|supracondylar line|quadrate tubercle",
    Bone.PATELLA: r"patella\b",
    Bone.TIBIA: r"tibia\b|tibial (tuberosity|condyle)|soleal line",
    Bone.FIBULA: "fibula",
    Bone.CALCANEUS: r"calcaneus|calcaneal tuberosity",
    Bone.NAVICULAR: "navicular",
    Bone.CUBOID: "cuboid",
    Bone.CUNEIFORMS: "cuneiform",
    Bone.METATARSALS: "metatarsal",
}
DIGITS = r"phala(nx|nges)|extensor expansion"
"""Of hand or foot, as the region says."""

# where the words alone mislead or leave something out, and why
APART = {
    ("obturator internus", "proximal"): {Bone.ILIUM, Bone.ISCHIUM, Bone.PUBIS},  # the margins reach the ilium
    ("palmaris longus", "distal"): {Bone.METACARPALS},  # by deep fibres of the aponeurosis
    # bones within a range of levels
    ("latissimus dorsi", "proximal"): {Bone.THORACIC_VERTEBRAE, Bone.LUMBAR_VERTEBRAE, Bone.ILIUM, Bone.RIBS},
    # processes whose level follows from the muscle
    ("erector spinae (iliocostalis, longissimus, spinalis)", "distal"): {
        *(Bone.RIBS, Bone.CERVICAL_VERTEBRAE, Bone.THORACIC_VERTEBRAE, Bone.LUMBAR_VERTEBRAE, Bone.TEMPORAL_BONE)
    },
    ("multifidus", "proximal"): {Bone.SACRUM, *BONE_GROUPS["vertebrae"]},
    ("multifidus", "distal"): {*BONE_GROUPS["vertebrae"]},
    ("rotatores", "proximal"): {Bone.THORACIC_VERTEBRAE},
    ("rotatores", "distal"): {Bone.THORACIC_VERTEBRAE},
    ("interspinales and intertransversarii", "proximal"): {*BONE_GROUPS["vertebrae"]},
    ("interspinales and intertransversarii", "distal"): {*BONE_GROUPS["vertebrae"]},
}
TENDON_ONLY = {("lumbricals (foot)", "proximal"), ("quadratus plantae", "distal")}


def _meant(muscle, text):
    bones = {bone for bone, words in MEANT.items() if re.search(words, text)}
    if re.search(DIGITS, text):
        bones.add(Bone.PHALANGES_OF_HAND if "forearm" in muscle.region else Bone.PHALANGES_OF_FOOT)
    return bones


ENDS = [(name, end) for name in MUSCLES for end in ("proximal", "distal")]


@pytest.mark.parametrize(("name", "end"), ENDS)
def test_bones_agree_with_the_attachment(name, end):
    muscle = MUSCLES[name]
    bones = set(getattr(muscle, f"{end}_bones"))
    text = getattr(muscle, f"{end}_attachment")
    assert bones or (name, end) in TENDON_ONLY
    assert bones == APART.get((name, end), _meant(muscle, text) if bones else set()), text


def test_listed_exceptions_are_muscles():
    assert {name for name, _ in APART} <= set(MUSCLES)


@pytest.mark.parametrize("name", MUSCLES)
def test_a_muscle_moves_only_joints_that_its_bones_cross(name):
    muscle = MUSCLES[name]
    moved = {action.joint for action in muscle.actions if action.role is not Role.STABILISES}
    assert moved & {*LARGE_JOINTS, Articulation.SCAPULA} <= set(muscle.joints)


@pytest.mark.parametrize(
    ("proximal", "distal", "joints"),
    [
        (Bone.ISCHIUM, Bone.TIBIA, ["hip", "knee"]),
        (Bone.FEMUR, Bone.CALCANEUS, ["knee", "ankle"]),
        (Bone.SCAPULA, Bone.RADIUS, ["shoulder", "elbow"]),
        (Bone.HUMERUS, Bone.PHALANGES_OF_HAND, ["elbow", "wrist", "fingers"]),
        (Bone.LUMBAR_VERTEBRAE, Bone.FEMUR, ["trunk", "hip"]),
        (Bone.ULNA, Bone.RADIUS, ["forearm"]),
        (Bone.TIBIA, Bone.FIBULA, []),
    ],
)
def test_joints_between_bones(proximal, distal, joints):
    assert list(joints_between([proximal], [distal])) == joints


def test_every_bone_has_a_muscle():
    used = {bone for muscle in MUSCLES.values() for bone in muscle.proximal_bones + muscle.distal_bones}
    assert used == set(Bone)


@pytest.mark.parametrize(("name", "end"), APART)
def test_exceptions_are_needed(name, end):
    assert _meant(MUSCLES[name], getattr(MUSCLES[name], f"{end}_attachment")) != APART[name, end]
