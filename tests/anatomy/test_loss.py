"""What nerves carry and what is lost with them; textbook examples. *Source*: Moore, from memory."""

import pytest

from motionlabel.anatomy import atlas
from motionlabel.anatomy.loss import antagonists, branches, loss_of, motions_of, supplied
from motionlabel.anatomy.terms import Articulation, Movement

ATLAS = atlas()


def _lost(nerve):
    return loss_of(ATLAS.nerves[nerve], ATLAS)


@pytest.mark.parametrize(
    ("nerve", "twigs"),
    [
        ("common fibular nerve", {"deep fibular nerve", "superficial fibular nerve"}),
        ("tibial nerve", {"medial plantar nerve", "lateral plantar nerve"}),
        ("radial nerve", {"posterior interosseous nerve"}),
        ("femoral nerve", set()),
    ],
)
def test_branches(nerve, twigs):
    assert {branch.name for branch in branches(ATLAS.nerves[nerve], ATLAS)} == twigs


def test_the_sciatic_nerve_carries_all_below_the_knee():
    below = {branch.name for branch in branches(ATLAS.nerves["sciatic nerve"], ATLAS)}
    assert {"tibial nerve", "deep fibular nerve", "lateral plantar nerve"} <= below
    names = {muscle.full_name for muscle in supplied((ATLAS.nerves["sciatic nerve"],), ATLAS)}
    assert names == set()  # nothing directly


@pytest.mark.parametrize(
    ("nerve", "wholly", "partly"),
    [
        ("femoral nerve", {"knee extension"}, {"hip flexion"}),
        ("deep fibular nerve", {"ankle dorsiflexion"}, {"subtalar inversion"}),
        ("superficial fibular nerve", {"subtalar eversion"}, set()),
        ("tibial nerve", {"ankle plantarflexion"}, set()),
        ("superior gluteal nerve", {"hip abduction"}, set()),
        ("radial nerve", {"elbow extension", "wrist extension"}, set()),
        ("musculocutaneous nerve", {"elbow flexion"}, {"forearm supination"}),
    ],
)
def test_motions_lost(nerve, wholly, partly):
    motions = _lost(nerve).motions
    assert wholly <= {f"{motion.joint} {motion.movement}" for motion in motions if not motion.left}
    assert partly <= {f"{motion.joint} {motion.movement}" for motion in motions if motion.left}


def test_a_muscle_with_a_second_nerve_is_not_lost():
    loss = _lost("medial pectoral nerve")
    assert "pectoralis major (sternocostal head)" in {muscle.full_name for muscle in loss.weakened}
    assert "brachialis" in {muscle.full_name for muscle in _lost("radial nerve").weakened}
    assert "brachialis" in {muscle.full_name for muscle in _lost("musculocutaneous nerve").muscles}


def test_antagonists_are_prime_movers_of_the_opposite():
    names = [muscle.full_name for muscle in antagonists(ATLAS, (Articulation.ELBOW, Movement.FLEXION))]
    assert names == ["triceps brachii (long head)", "triceps brachii (lateral and medial heads)"]
    assert antagonists(ATLAS, (Articulation.TRUNK, Movement.LATERAL_FLEXION)) == ()


def test_antagonists_go_both_ways():
    for joint, movement in motions_of(ATLAS):
        for muscle in antagonists(ATLAS, (joint, movement)):
            assert muscle.action(joint, movement) is None or muscle.action(joint, movement).when
