"""What a muscle does by joint angle, and which muscles a label names in a posture."""

import math

import pytest

from motionlabel.anatomy import AngleRange, Articulation, JointAngles, Movement, Role, atlas, facts_of
from motionlabel.body import WorkingGroup

HIP = (Articulation.HIP, Movement.FLEXION)
KNEE = (Articulation.KNEE, Movement.FLEXION)
SHOULDER = (Articulation.SHOULDER, Movement.FLEXION)
RAISED = (Articulation.SHOULDER, Movement.ABDUCTION)
STANDING = JointAngles()


def _at(**degrees: float) -> JointAngles:
    names = {"hip": HIP, "knee": KNEE, "shoulder": SHOULDER, "raised": RAISED}
    return JointAngles({names[name]: angle for name, angle in degrees.items()})


def _names(muscles) -> set[str]:
    return {muscle.full_name for muscle in muscles}


def test_range_is_half_open_and_reads_well():
    part = AngleRange(*KNEE, 30.0, 60.0)
    assert [part.holds(_at(knee=angle)) for angle in (29.9, 30.0, 59.9, 60.0)] == [False, True, True, False]
    assert part.text == "knee flexion from 30 up to 60 deg"
    assert AngleRange(*HIP, 45.0, math.inf).text == "hip flexion from 45 deg"


@pytest.mark.parametrize("angles", [JointAngles(), _at(knee=math.nan), _at(knee=0.0)])
def test_unknown_angle_counts_as_anatomical_position(angles):
    assert angles.of(*KNEE) == 0.0
    assert not AngleRange(*KNEE, 30.0, math.inf).holds(angles)


@pytest.mark.parametrize(
    ("group", "angles", "line"),
    [
        (WorkingGroup.ANKLE_PLANTARFLEXORS, STANDING, "gastrocnemius, soleus"),
        (WorkingGroup.ANKLE_PLANTARFLEXORS, _at(knee=40.0), "gastrocnemius, soleus"),
        (WorkingGroup.ANKLE_PLANTARFLEXORS, _at(knee=90.0), "soleus"),
        (WorkingGroup.HIP_EXTENSORS, STANDING, "gluteus maximus, hamstrings"),
        (WorkingGroup.HIP_EXTENSORS, _at(hip=5.0, knee=90.0), "gluteus maximus"),
        (
            WorkingGroup.HIP_EXTENSORS,
            _at(hip=80.0, knee=90.0),
            "gluteus maximus, hamstrings, adductor magnus",
        ),
        (WorkingGroup.KNEE_EXTENSORS, _at(hip=90.0, knee=60.0), "quadriceps femoris"),
        (
            WorkingGroup.KNEE_EXTENSORS,
            _at(hip=100.0, knee=5.0),
            "vastus lateralis, vastus medialis, vastus intermedius",
        ),
        (WorkingGroup.SHOULDER_FLEXORS, _at(shoulder=60.0), "anterior deltoid, pectoralis major (clavicular)"),
        (WorkingGroup.SHOULDER_FLEXORS, _at(shoulder=120.0), "anterior deltoid"),
        (WorkingGroup.SHOULDER_ADDUCTORS, _at(raised=60.0), "pectoralis major (sternocostal), latissimus dorsi"),
        (WorkingGroup.SHOULDER_ADDUCTORS, _at(raised=5.0), "pectoralis major (sternocostal)"),
        (WorkingGroup.ELBOW_FLEXORS, _at(shoulder=90.0), "biceps brachii, brachialis"),
    ],
)
def test_label_follows_the_posture(group, angles, line):
    facts = facts_of(group).at(angles)
    assert facts.muscles_line == line
    named = [muscle for item in facts.chief for muscle in item.muscles]
    assert _names(m for supply in facts.supplies for m in supply.muscles) == _names(named)
    assert len(facts.attachment_lines) == len(facts.chief)


def test_muscle_that_fades_still_assists():
    bent = facts_of(WorkingGroup.ANKLE_PLANTARFLEXORS).at(_at(knee=90.0))
    assert "gastrocnemius (medial and lateral heads)" in _names(bent.assisting)
    assert "gastrocnemius (medial and lateral heads)" not in _names(bent.prime_movers)
    assert bent.nerve_line == "tibial (S1-S2)"


@pytest.mark.parametrize(
    ("degrees", "flexors", "extensors"),
    [
        (0.0, {"pectineus", "adductor longus", "adductor brevis", "gracilis"}, {"adductor magnus (adductor part)"}),
        (40.0, {"pectineus", "adductor longus", "gluteus medius"}, {"adductor brevis", "gracilis"}),
        (68.0, {"pectineus"}, {"adductor longus", "adductor brevis"}),
        (90.0, {"gluteus minimus"}, {"pectineus", "adductor longus", "adductor brevis", "gracilis"}),
    ],
)
def test_adductors_change_from_flexing_to_extending(degrees, flexors, extensors):
    angles = _at(hip=degrees)
    adductors = {"pectineus", "adductor longus", "adductor brevis", "gracilis", "adductor magnus (adductor part)"}
    flex = _names(facts_of(WorkingGroup.HIP_FLEXORS).at(angles).assisting)
    extend = _names(facts_of(WorkingGroup.HIP_EXTENSORS).at(angles).assisting)
    assert flexors <= flex
    assert extensors <= extend
    assert not flex & extend & adductors
    assert not flex & adductors - flexors


@pytest.mark.parametrize(("degrees", "abducts"), [(0.0, False), (90.0, True)])
def test_obturator_internus_abducts_the_flexed_hip_only(degrees, abducts):
    found = facts_of(WorkingGroup.HIP_ABDUCTORS).at(_at(hip=degrees)).assisting
    assert ("obturator internus" in _names(found)) is abducts


def test_usual_facts_leave_nothing_out_and_are_not_changed():
    usual = facts_of(WorkingGroup.HIP_EXTENSORS)
    usual.at(_at(hip=5.0, knee=90.0))
    assert facts_of(WorkingGroup.HIP_EXTENSORS) is usual
    assert {"adductor longus", "pectineus"} <= _names(usual.assisting)


@pytest.mark.parametrize("group", WorkingGroup)
@pytest.mark.parametrize("hip", [-20.0, 0.0, 45.0, 90.0, 120.0])
@pytest.mark.parametrize("knee", [0.0, 45.0, 90.0, 130.0])
def test_every_posture_has_a_label_that_fits(group, hip, knee):
    facts = facts_of(group).at(_at(hip=hip, knee=knee, shoulder=hip, raised=knee))
    assert facts.chief
    assert len(facts.muscles_line) <= 62
    assert not set(facts.prime_movers) & set(facts.assisting)


def test_row_with_the_most_ranges_decides():
    hamstring = atlas().muscles["semitendinosus"]
    hip_extension = (Articulation.HIP, Movement.EXTENSION)
    assert hamstring.action(*hip_extension).role is Role.PRIME_MOVER
    assert hamstring.action(*hip_extension, _at(hip=0.0, knee=90.0)).role is Role.ASSISTS
    assert hamstring.action(*hip_extension, _at(hip=60.0, knee=90.0)).role is Role.PRIME_MOVER
    assert atlas().muscles["gracilis"].action(Articulation.HIP, Movement.FLEXION, _at(hip=50.0)) is None
