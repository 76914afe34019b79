"""What a muscle does at the hip by angle, against moment arms of the gait2392 model (CC BY 3.0)."""

import csv
from collections import defaultdict
from pathlib import Path

import pytest

from motionlabel.anatomy import Articulation, JointAngles, Movement, atlas

# own convention: a claim may not be contradicted by every line of a muscle by more than this
TOLERANCE_CM = 0.3
SIGNS = {
    "hip flexion": (Movement.FLEXION, Movement.EXTENSION),
    "hip internal rotation": (Movement.INTERNAL_ROTATION, Movement.EXTERNAL_ROTATION),
}
# textbooks are kept against the model; each with its reason
KEPT = {
    ("pectineus", "hip internal rotation", 90.0): "its rotation is small (0.9 cm) and disputed; its row says so",
    (
        "psoas major",
        "hip internal rotation",
        0.0,
    ): "texts let it turn outwards a little (0.3 cm); its row says it is small",
    ("psoas major", "hip internal rotation", 90.0): "the same",
}


def _arms() -> dict[tuple[str, str, float], list[float]]:
    arms = defaultdict(list)
    with (Path(__file__).parent / "hip_arms.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            arms[row["muscle"], row["motion"], float(row["hip_flexion_deg"])].append(float(row["arm_cm"]))
    return arms


ARMS = _arms()


def _claims(name: str, motion: str, degrees: float) -> tuple[bool, bool]:
    angles = JointAngles({(Articulation.HIP, Movement.FLEXION): degrees})
    positive, negative = (atlas().muscles[name].action(Articulation.HIP, way, angles) for way in SIGNS[motion])
    return positive is not None, negative is not None


@pytest.mark.parametrize("key", ARMS, ids=lambda key: f"{key[0]}-{key[1]}-{key[2]:g}")
def test_claim_is_supported_by_a_line(key):
    positive, negative = _claims(*key)
    supported = (not positive or max(ARMS[key]) > -TOLERANCE_CM) and (not negative or min(ARMS[key]) < TOLERANCE_CM)
    assert supported is (key not in KEPT)


@pytest.mark.parametrize(
    ("name", "flexes_at", "extends_at"),
    [
        ("pectineus", 60.0, 90.0),
        ("adductor longus", 30.0, 90.0),
        ("adductor brevis", 0.0, 60.0),
        ("adductor magnus (adductor part)", -10.0, 30.0),
        ("gracilis", 0.0, 30.0),
    ],
)
def test_adductors_turn_from_flexors_into_extensors(name, flexes_at, extends_at):
    assert _claims(name, "hip flexion", flexes_at) == (True, False)
    assert _claims(name, "hip flexion", extends_at) == (False, True)
    if flexes_at >= 0:
        assert max(ARMS[name, "hip flexion", flexes_at]) > 0.0
    assert min(ARMS[name, "hip flexion", extends_at]) < 0.0
