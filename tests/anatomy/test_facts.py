import pytest

from motionlabel.anatomy import GroupFacts, Role, facts_of, facts_of_motion
from motionlabel.anatomy.terms import Articulation, Movement
from motionlabel.body import AXES, PHASE_AXES, Joint, Motion, Side, WorkingGroup

# longest line that a label takes without wrapping, and what the anatomy does not allow to be shorter
LONGEST_LINE = 60
WRAPPED = {WorkingGroup.TRUNK_LEFT_LATERAL_FLEXORS: 75, WorkingGroup.TRUNK_RIGHT_LATERAL_FLEXORS: 75}
LONGEST_ATTACHMENTS = 85

groups = pytest.mark.parametrize("group", WorkingGroup)


@groups
def test_every_group_has_a_complete_prime_mover(group):
    facts = facts_of(group)
    assert facts.group is group
    assert facts.prime_movers
    for muscle in facts.prime_movers:
        assert muscle.nerves
        assert muscle.roots.text
        assert muscle.proximal_attachment
        assert muscle.distal_attachment
        assert muscle.sources


@groups
def test_roles_are_those_of_the_muscles(group):
    facts = facts_of(group)
    assert not set(facts.prime_movers) & set(facts.assisting)
    movement = Movement.LATERAL_FLEXION if facts.side else Movement(facts.motion)
    for muscles, role in ((facts.prime_movers, Role.PRIME_MOVER), (facts.assisting, Role.ASSISTS)):
        for muscle in muscles:
            assert muscle.action(Articulation(facts.joint), movement).role is role


@groups
def test_short_lines_fit_a_label(group):
    facts = facts_of(group)
    assert 0 < len(facts.muscles_line) <= LONGEST_LINE
    assert 0 < len(facts.nerve_line) <= WRAPPED.get(group, LONGEST_LINE)
    assert len(facts.attachment_lines) == len(facts.chief)
    for line in facts.attachment_lines:
        assert len(line) <= LONGEST_ATTACHMENTS
        assert "→" in line


@groups
def test_supplies_cover_the_chief_muscles_once(group):
    facts = facts_of(group)
    chief = [muscle for item in facts.chief for muscle in item.muscles]
    assert sorted(muscle.full_name for supply in facts.supplies for muscle in supply.muscles) == sorted(
        muscle.full_name for muscle in chief
    )
    named = [nerve for supply in facts.supplies for nerve in supply.nerves]
    assert len(named) == len(set(named))


@pytest.mark.parametrize(
    ("group", "muscles", "nerves"),
    [
        (
            WorkingGroup.HIP_EXTENSORS,
            "gluteus maximus, hamstrings",
            "inferior gluteal (L5-S2); tibial part of sciatic (L5-S2)",
        ),
        (
            WorkingGroup.HIP_FLEXORS,
            "iliopsoas (psoas major, iliacus)",
            "lumbar anterior rami (L1-L3); femoral (L2-L3)",
        ),
        (WorkingGroup.HIP_ABDUCTORS, "gluteus medius, gluteus minimus", "superior gluteal (L4-S1)"),
        (
            WorkingGroup.KNEE_FLEXORS,
            "hamstrings, biceps femoris short head",
            "tibial part of sciatic (L5-S2); common fibular part (L5-S2)",
        ),
        (WorkingGroup.KNEE_EXTENSORS, "quadriceps femoris", "femoral (L2-L4)"),
        (WorkingGroup.ANKLE_DORSIFLEXORS, "tibialis anterior", "deep fibular (L4-L5)"),
        (WorkingGroup.ANKLE_PLANTARFLEXORS, "gastrocnemius, soleus", "tibial (S1-S2)"),
        (
            WorkingGroup.SHOULDER_ABDUCTORS,
            "middle deltoid, supraspinatus",
            "axillary (C5-C6); suprascapular (C5-C6)",
        ),
        (WorkingGroup.ELBOW_FLEXORS, "biceps brachii, brachialis", "musculocutaneous (C5-C6)"),
        (WorkingGroup.ELBOW_EXTENSORS, "triceps brachii", "radial (C6-C8)"),
        (WorkingGroup.TRUNK_EXTENSORS, "erector spinae", "posterior rami of spinal nerves (segmental)"),
    ],
)
def test_label_lines(group, muscles, nerves):
    facts = facts_of(group)
    assert (facts.muscles_line, facts.nerve_line) == (muscles, nerves)


def test_attachments_of_the_hip_extensors():
    assert facts_of(WorkingGroup.HIP_EXTENSORS).attachment_lines == (
        "gluteus maximus: ilium, sacrum → iliotibial tract, gluteal tuberosity",
        "hamstrings: ischial tuberosity → head of fibula, medial tibia",
    )


def test_hamstrings_leave_out_the_short_head():
    facts = facts_of(WorkingGroup.HIP_EXTENSORS)
    assert "biceps femoris (short head)" not in {muscle.full_name for muscle in facts.prime_movers}
    assert "adductor magnus (hamstring part)" in {muscle.full_name for muscle in facts.prime_movers}


@pytest.mark.parametrize("axis", PHASE_AXES, ids=lambda axis: axis.name)
def test_motion_and_group_look_ups_agree(axis):
    for motion, sign in ((axis.positive, 1.0), (axis.negative, -1.0)):
        facts = facts_of_motion(axis.joint, motion)
        assert isinstance(facts, GroupFacts)
        assert facts is facts_of(axis.group(sign))


@pytest.mark.parametrize("axis", AXES, ids=lambda axis: axis.name)
def test_every_measured_motion_has_plane_axis_movers_and_stabilisers(axis):
    for motion, other in ((axis.positive, axis.negative), (axis.negative, axis.positive)):
        facts = facts_of_motion(axis.joint, motion)
        assert facts is not None
        assert facts.plane
        assert facts.axis
        assert facts.prime_movers
        assert facts.stabilisers
        assert facts.holding
        opposite = facts_of_motion(axis.joint, other)
        assert facts.antagonists == tuple(dict.fromkeys(opposite.prime_movers + opposite.far_movers))
        for item in facts.stabilisers:
            for muscle in item.muscles:
                assert any(action.role is Role.STABILISES for action in muscle.actions)


@pytest.mark.parametrize(
    ("joint", "motion", "movers", "far", "antagonists"),
    [
        (Joint.KNEE, Motion.EXTENSION, {"rectus femoris"}, set(), {"semitendinosus", "biceps femoris (short head)"}),
        (Joint.TRUNK, Motion.ROTATION_LEFT, {"internal oblique"}, {"external oblique"}, {"internal oblique"}),
        (Joint.NECK, Motion.ROTATION_LEFT, {"splenius capitis and cervicis"}, {"sternocleidomastoid"}, set()),
        (Joint.PELVIS, Motion.DROP_LEFT, {"quadratus lumborum"}, {"gluteus medius"}, {"gluteus medius"}),
        (Joint.MTP, Motion.EXTENSION, {"extensor hallucis longus"}, set(), {"flexor hallucis brevis"}),
        (Joint.WRIST, Motion.FLEXION, {"flexor carpi ulnaris"}, set(), {"extensor carpi radialis brevis"}),
    ],
)
def test_movers_of_both_sides_and_their_antagonists(joint, motion, movers, far, antagonists):
    facts = facts_of_motion(joint, motion)
    for wanted, found in ((movers, facts.prime_movers), (far, facts.far_movers), (antagonists, facts.antagonists)):
        assert wanted <= {muscle.full_name for muscle in found}


def test_rotation_and_pelvis_name_the_side_of_their_muscles():
    assert facts_of_motion(Joint.TRUNK, Motion.ROTATION_LEFT).side is Side.LEFT
    # the left side drops where the right one is raised
    assert facts_of_motion(Joint.PELVIS, Motion.DROP_LEFT).side is Side.RIGHT


def test_sides_of_the_trunk_and_unlisted_motions():
    assert facts_of(WorkingGroup.TRUNK_LEFT_LATERAL_FLEXORS).side is Side.LEFT
    assert facts_of(WorkingGroup.TRUNK_RIGHT_LATERAL_FLEXORS).side is Side.RIGHT
    assert facts_of(WorkingGroup.KNEE_EXTENSORS).side is None
    assert facts_of_motion(Joint.KNEE, Motion.HOLD) is None
    rotators = facts_of_motion(Joint.SHOULDER, Motion.EXTERNAL_ROTATION)
    assert rotators is not None
    assert rotators.group is None
    assert rotators.muscles_line == "infraspinatus, teres minor"
