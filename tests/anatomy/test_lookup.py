"""Questions in words: what they are understood as."""

import pytest

from motionlabel.anatomy import whole_course
from motionlabel.anatomy.lookup import find
from motionlabel.anatomy.spelling import synonyms, tokens, with_synonyms
from motionlabel.anatomy.topic import Kind
from motionlabel.errors import UsageError

COURSE = whole_course()


@pytest.mark.parametrize(
    ("query", "kind", "name"),
    [
        ("hip extension", Kind.MOTION, "hip extension"),
        ("Extension of the hip", Kind.MOTION, "hip extension"),
        ("hip extensors", Kind.MOTION, "hip extension"),
        ("plantarflexors", Kind.MOTION, "ankle plantarflexion"),
        ("dorsiflexion", Kind.MOTION, "ankle dorsiflexion"),
        ("shoulder lateral rotation", Kind.MOTION, "shoulder external rotation"),
        ("foot eversion", Kind.MOTION, "subtalar eversion"),
        ("gluteus maximus", Kind.MUSCLE, "gluteus maximus"),
        ("what does the gluteus medius do?", Kind.MUSCLE, "gluteus medius"),
        ("antagonists of brachialis", Kind.MUSCLE, "brachialis"),
        ("abductor hallucis", Kind.MUSCLE, "abductor hallucis"),
        ("longissimus", Kind.MUSCLE, "erector spinae (iliocostalis, longissimus, spinalis)"),
        ("Obturator internus", Kind.MUSCLE, "obturator internus"),
        ("nerve to obturator internus", Kind.NERVE, "nerve to obturator internus"),
        ("hamstrings", Kind.MUSCLE, "hamstrings"),
        ("rotator cuff", Kind.MUSCLE, "rotator cuff"),
        ("deltoid", Kind.MUSCLE, "deltoid"),
        ("biceps femoris", Kind.MUSCLE, "biceps femoris"),
        ("tibial nerve", Kind.NERVE, "tibial nerve"),
        ("femoral", Kind.NERVE, "femoral nerve"),
        ("what is lost when the radial nerve fails", Kind.NERVE, "radial nerve"),
        ("CN XI", Kind.NERVE, "accessory nerve"),
        ("L4", Kind.ROOT, "L4"),
        ("root l 4", Kind.ROOT, "L4"),
        ("L5-S2", Kind.ROOT, "L5-S2"),
        ("L5 to S1 roots", Kind.ROOT, "L5-S1"),
        ("foot drop", Kind.SIGN, "foot drop"),
        ("Trendelenburg", Kind.SIGN, "trendelenburg"),
        ("winged scapula", Kind.SIGN, "winged scapula"),
        ("femur", Kind.BONE, "femur"),
        ("what attaches to the fibula", Kind.BONE, "fibula"),
        ("ischial tuberosity", Kind.BONE, "ischial tuberosity"),
        ("hip bone", Kind.BONE, "hip bone"),
        ("knee", Kind.JOINT, "knee"),
        ("two-joint muscles", Kind.TWO_JOINT, "two-joint muscles"),
        ("biarticular", Kind.TWO_JOINT, "two-joint muscles"),
        ("muscles crossing hip and knee", Kind.TWO_JOINT, "two-joint muscles"),
        ("posterior thigh", Kind.MATCHES, "posterior thigh"),
        ("brachial plexus", Kind.MATCHES, "brachial plexus"),
        ("flexion", Kind.MATCHES, "flexion"),
    ],
)
def test_what_a_question_is_understood_as(query, kind, name):
    answer = find(COURSE, query)
    assert [(topic.kind, topic.name) for topic in answer.topics] == [(kind, name)]
    assert not answer.is_guess


@pytest.mark.parametrize(
    ("query", "read_as"),
    [
        ("TFL", "tensor fasciae latae"),
        ("SCM", "sternocleidomastoid"),
        ("peroneus longus", "fibularis longus"),
        ("peroneal nerve", "fibular nerve"),
        ("quadriceps", "quadriceps femoris"),
        ("medial popliteal nerve", "tibial nerve"),
        ("shoulder blade", "scapula"),
        ("anterior deltoid", None),
    ],
)
def test_synonyms_are_told(query, read_as):
    answer = find(COURSE, query)
    assert not answer.is_guess
    assert answer.read_as == (read_as or "")


@pytest.mark.parametrize(
    ("query", "read_as"),
    [
        ("gluteous maximums", "gluteus maximus"),
        ("hip extention", "hip extension"),
        ("tibal nerve", "tibial nerve"),
        ("sternoclydomastoid", "sternocleidomastoid"),
        ("tensor fascia lata", "tensor fasciae latae"),
        ("deltiod", "deltoid"),
        ("perineal nerve", "fibular nerve"),
        ("hamstrung", "hamstrings"),
        ("poplitius", "popliteus"),
        ("wrist dorp", "wrist drop"),
    ],
)
def test_slips_are_mended_and_told(query, read_as):
    answer = find(COURSE, query)
    assert answer.is_guess
    assert answer.read_as == read_as


@pytest.mark.parametrize(
    ("british", "american"),
    [
        ("fibres", "fibers"),
        ("centre", "center"),
        ("stabilises", "stabilizes"),
        ("stabilisation", "stabilization"),
        ("tumour", "tumor"),
        ("fasciae latae", "fascie late"),
        ("Glutéus", "gluteus"),
        ("hamstrings", "hamstring"),
    ],
)
def test_spellings_that_are_the_same(british, american):
    assert tokens(british) == tokens(american)


def test_peroneal_finds_nerves_and_muscles():
    (topic,) = find(COURSE, "peroneal").topics
    assert {nerve.short for nerve in topic.nerves} >= {"common fibular", "deep fibular", "superficial fibular"}
    assert {muscle.name for muscle in topic.muscles} == {"fibularis longus", "fibularis brevis", "fibularis tertius"}


def test_foot_drop_names_its_nerves():
    (topic,) = find(COURSE, "drop foot").topics
    assert {"common fibular nerve", "deep fibular nerve"} <= {nerve.name for nerve in topic.nerves}


@pytest.mark.parametrize("said", synonyms())
def test_every_synonym_finds_something(said):
    assert with_synonyms(tokens(said)) == tokens(synonyms()[said])
    answer = find(COURSE, said)
    assert answer.topics
    assert not answer.is_guess


@pytest.mark.parametrize("name", [*COURSE.atlas.muscles, *COURSE.atlas.nerves, *COURSE.atlas.collectives])
def test_every_name_of_the_atlas_is_found(name):
    answer = find(COURSE, name)
    assert name in [topic.name for topic in answer.topics]
    assert not answer.read_as


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ("xyzzy", "ask for a muscle"),
        ("knee abduction", "did you mean hip abduction"),
        ("L9", "no spinal nerve L9"),
        ("S1-L4", "no range of roots"),
        ("??", "Ask for a muscle"),
    ],
)
def test_nothing_found_is_one_sentence_with_a_hint(query, words):
    with pytest.raises(UsageError) as caught:
        find(COURSE, query)
    assert words in str(caught.value)
    assert "\n" not in str(caught.value)
