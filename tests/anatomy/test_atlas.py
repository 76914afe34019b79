import pytest

from motionlabel.anatomy import Articulation, Movement, Reading, Role, atlas, read_atlas
from motionlabel.anatomy.atlas import DATA_FOLDER

MUSCLES = atlas().muscles
LONGEST_HOOK = 100


def test_every_region_is_there_and_read_once():
    assert len(MUSCLES) == 118
    assert len(atlas().nerves) == 43
    assert atlas() is atlas()
    assert read_atlas(DATA_FOLDER).muscles == MUSCLES


@pytest.mark.parametrize("name", MUSCLES)
def test_every_muscle_is_complete(name):
    muscle = MUSCLES[name]
    assert muscle.full_name == name
    assert muscle.proximal_attachment
    assert muscle.distal_attachment
    assert muscle.nerves
    assert muscle.roots.text
    assert muscle.actions
    assert muscle.sources
    assert 0 < len(muscle.hook) <= LONGEST_HOOK
    assert bool(muscle.proximal_short) == bool(muscle.distal_short)


def test_every_nerve_names_its_muscles_and_back():
    for nerve in atlas().nerves.values():
        assert nerve.muscles or nerve.also_supplies, nerve.name
        assert nerve.course
        assert nerve.sign
        assert 0 < len(nerve.hook) <= LONGEST_HOOK
        for name in nerve.muscles:
            assert nerve in MUSCLES[name].nerves + MUSCLES[name].also_nerves


@pytest.mark.parametrize("name", MUSCLES)
def test_roots_of_a_muscle_lie_within_those_of_its_nerves(name):
    muscle = MUSCLES[name]
    of_nerves = {level for nerve in muscle.nerves for level in nerve.roots.levels + nerve.roots.also}
    segmental = any(nerve.roots.special for nerve in muscle.nerves)
    assert segmental or set(muscle.roots.levels) <= of_nerves


@pytest.mark.parametrize(
    ("muscle", "nerves", "also"),
    [
        ("psoas major", ["lumbar anterior rami"], []),
        ("iliacus", ["femoral nerve"], []),
        ("pectineus", ["femoral nerve"], ["obturator nerve", "accessory obturator nerve"]),
        ("adductor magnus (adductor part)", ["obturator nerve"], []),
        ("adductor magnus (hamstring part)", ["tibial part of sciatic nerve"], []),
        ("biceps femoris (long head)", ["tibial part of sciatic nerve"], []),
        ("biceps femoris (short head)", ["common fibular part of sciatic nerve"], []),
        ("fibularis tertius", ["deep fibular nerve"], []),
        ("brachialis", ["musculocutaneous nerve"], ["radial nerve"]),
        ("brachioradialis", ["radial nerve"], []),
        ("teres minor", ["axillary nerve"], []),
        ("teres major", ["lower subscapular nerve"], []),
    ],
)
def test_supplies_that_are_easily_got_wrong(muscle, nerves, also):
    assert [nerve.name for nerve in MUSCLES[muscle].nerves] == nerves
    assert [nerve.name for nerve in MUSCLES[muscle].also_nerves] == also


@pytest.mark.parametrize(
    ("muscle", "joint", "motion", "role"),
    [
        ("biceps femoris (short head)", Articulation.HIP, Movement.EXTENSION, None),
        ("biceps femoris (long head)", Articulation.HIP, Movement.EXTENSION, Role.PRIME_MOVER),
        ("psoas minor", Articulation.HIP, Movement.FLEXION, None),
        ("rectus femoris", Articulation.HIP, Movement.FLEXION, Role.ASSISTS),
        ("vastus lateralis", Articulation.HIP, Movement.FLEXION, None),
        ("soleus", Articulation.KNEE, Movement.FLEXION, None),
        ("gastrocnemius (medial and lateral heads)", Articulation.KNEE, Movement.FLEXION, Role.ASSISTS),
        ("triceps brachii (lateral and medial heads)", Articulation.SHOULDER, Movement.EXTENSION, None),
    ],
)
def test_muscles_act_only_on_joints_they_cross(muscle, joint, motion, role):
    action = MUSCLES[muscle].action(joint, motion)
    assert (action.role if action else None) is role


def test_hooks_are_each_said_once():
    hooks = [muscle.hook for muscle in MUSCLES.values()] + [nerve.hook for nerve in atlas().nerves.values()]
    assert len(hooks) == len(set(hooks))


def test_rows_rest_on_what_was_read_as_well_as_on_memory():
    assert not any(muscle.from_memory for muscle in MUSCLES.values())
    assert any(source.reading is Reading.FROM_MEMORY for source in MUSCLES["brachioradialis"].sources)


@pytest.mark.parametrize(
    ("muscle", "text"),
    [
        ("gluteus medius", "L4-S1; some texts L5-S1"),
        ("semitendinosus", "L5-S2; some texts L5-S1"),
        ("flexor digitorum longus", "S2-S3; some texts L5-S3; some texts S1-S2; some texts L5-S1"),
        ("supraspinatus", "C5-C6; some texts C4-C6"),
        ("soleus", "S1-S2"),
        ("multifidus", "segmental"),
    ],
)
def test_disagreement_on_roots_is_told(muscle, text):
    assert MUSCLES[muscle].roots_text == text


@pytest.mark.parametrize("name", MUSCLES)
def test_stabilising_is_a_role_of_its_own_and_says_of_what(name):
    for action in MUSCLES[name].actions:
        assert (action.role is Role.STABILISES) is (action.motion is Movement.STABILISATION)
        assert action.condition or action.role is not Role.STABILISES


def test_hip_flexion_of_adductors_is_said_with_its_condition():
    for name in ("pectineus", "adductor longus", "adductor brevis", "adductor magnus (adductor part)"):
        action = MUSCLES[name].action(Articulation.HIP, Movement.FLEXION)
        assert action is not None
        assert action.condition
        assert atlas().sources["gait2392"] in MUSCLES[name].sources
