import pytest

from motionlabel.anatomy import Articulation, Movement, Role, atlas, read_atlas
from motionlabel.anatomy.atlas import DATA_FOLDER

MUSCLES = atlas().muscles


def test_every_region_is_there_and_read_once():
    assert len(MUSCLES) == 101
    assert len(atlas().nerves) == 40
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
    assert bool(muscle.proximal_short) == bool(muscle.distal_short)


def test_every_nerve_names_its_muscles_and_back():
    for nerve in atlas().nerves.values():
        assert nerve.muscles or nerve.also_supplies, nerve.name
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


def test_what_nobody_looked_up_is_marked():
    assert MUSCLES["brachioradialis"].from_memory
    assert MUSCLES["quadratus lumborum"].from_memory
    assert not MUSCLES["iliacus"].from_memory


def test_hip_flexion_of_adductors_is_said_with_its_condition():
    for name in ("pectineus", "adductor longus", "adductor brevis", "adductor magnus (adductor part)"):
        action = MUSCLES[name].action(Articulation.HIP, Movement.FLEXION)
        assert action is not None
        assert action.condition
        assert atlas().sources["gait2392"] in MUSCLES[name].sources
