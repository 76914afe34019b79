"""Levels of the atlas, and a teacher's own file over it."""

import pytest

from motionlabel.anatomy import Level, level_named, read_course, whole_course
from motionlabel.anatomy.lookup import find
from motionlabel.anatomy.loss import motions_of
from motionlabel.anatomy.words import FIXED_WORDS
from motionlabel.body import WorkingGroup
from motionlabel.errors import BadSettingsError

GERMAN = """
only = ["iliopsoas", "gluteus maximus", "hamstrings", "quadriceps femoris", "gluteus medius"]

[muscle."gluteus maximus"]
name = "großer Gesäßmuskel"
proximal = "Darmbein, Kreuzbein"
hook = "hebt uns vom Stuhl"

[nerve."inferior gluteal nerve"]
name = "unterer Gesäßnerv"
roots = "L5-S1"

[collective.hamstrings]
name = "ischiokrurale Muskeln"

[motion."hip extension"]
axis = "quer durch den Hüftkopf"

[words]
"hip extension" = "Hüftstreckung"
"hip extensors" = "Hüftstrecker"
"extensors" = "Strecker"
"prime mover" = "Hauptmuskel"
"femur" = "Oberschenkelbein"
"posterior fibres" = "hintere Fasern"
"""


@pytest.fixture
def own(tmp_path):
    def write(text):
        path = tmp_path / "my.toml"
        path.write_text(text, encoding="utf-8")
        return path

    return write


def test_the_whole_course_is_the_atlas():
    course = whole_course()
    assert len(course.atlas.muscles) == len(read_course(Level.COMPLETE).atlas.muscles) > 100
    assert course.words("hip") == "hip"


def test_the_essential_level_has_a_chief_for_every_motion():
    course = read_course(Level.ESSENTIAL)
    assert set(course.atlas.muscles) < set(whole_course().atlas.muscles)
    assert all(facts.chief for facts in course.motions.values())
    for group in WorkingGroup:
        assert course.facts_of(group).muscles_line == whole_course().facts_of(group).muscles_line
    assert "anconeus" not in course.atlas.muscles
    assert set(motions_of(course.atlas)) < set(motions_of(whole_course().atlas))


def test_nothing_but_what_is_taught_is_left():
    course = read_course(Level.ESSENTIAL)
    taught = set(course.atlas.muscles.values())
    for facts in course.motions.values():
        assert {*facts.prime_movers, *facts.assisting, *facts.far_movers, *facts.antagonists} <= taught
        assert {muscle for item in facts.stabilisers for muscle in item.muscles} <= taught
    for nerve in course.atlas.nerves.values():
        assert set(nerve.muscles) <= set(course.atlas.muscles)
    assert {muscle for item in course.atlas.collectives.values() for muscle in item.muscles} <= taught


def test_own_names_reach_the_label(own):
    facts = read_course(own_file=own(GERMAN)).facts_of(WorkingGroup.HIP_EXTENSORS)
    assert facts.muscles_line == "großer Gesäßmuskel, ischiokrurale Muskeln"
    assert facts.nerve_line.startswith("unterer Gesäßnerv (L5-S2)")  # roots of the muscle, which stay
    assert facts.attachment_lines[0].startswith("großer Gesäßmuskel: Darmbein, Kreuzbein → ")
    assert facts.axis == "quer durch den Hüftkopf"


def test_only_the_listed_muscles_are_taught(own):
    course = read_course(Level.ESSENTIAL, own(GERMAN))
    assert len(course.atlas.muscles) == 2 + 1 + 3 + 4 + 1
    assert course.facts_of(WorkingGroup.ELBOW_FLEXORS).chief == ()
    assert "axillary nerve" not in course.atlas.nerves
    assert "sciatic nerve" in course.atlas.nerves  # its tibial part supplies the hamstrings


@pytest.mark.parametrize(
    "query", ["gluteus maximus", "großer Gesäßmuskel", "grosser gesaessmuskel", "Gesäßmuskel", "Hüftstreckung"]
)
def test_own_and_atlas_names_are_both_found(own, query):
    course = read_course(own_file=own(GERMAN))
    assert find(course, query).topics[0].name in ("großer Gesäßmuskel", "Hüftstreckung")


def test_own_file_does_not_change_the_atlas(own):
    read_course(own_file=own(GERMAN))
    assert whole_course().atlas.muscles["gluteus maximus"].name == "gluteus maximus"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('[muscle."gluteus maximis"]\nname = "x"', ("no muscle 'gluteus maximis'", "mean 'gluteus maximus'")),
        ('[nerve."femoral"]\nname = "x"', ("no nerve 'femoral'", "mean 'femoral nerve'")),
        ('[collective.hamstring]\nname = "x"', ("mean 'hamstrings'",)),
        ('[motion."hip extention"]\naxis = "x"', ("mean 'hip extension'",)),
        ('[motion."knee abduction"]\naxis = "x"', ("no motion 'knee abduction'",)),
        ('[muscle."soleus"]\nnmae = "x"', ("muscle (soleus), column 'nmae'", "mean 'name'")),
        ('[muscle."soleus"]\nname = 3', ("muscle (soleus), column 'name'", "not a text")),
        ('[muscle."soleus"]\nroots = "S9"', ("muscle (soleus), column 'roots'", "S9")),
        ('[muscle."soleus"]\nname = "plantaris"', ("column 'name'", "name of 'soleus' already")),
        ('[muscle."deltoid (acromial part)"]\nname = "D"\n[muscle."deltoid (spinal part)"]\nname = "D"', ("own name",)),
        ('muscle = "soleus"', ("as a table",)),
        ('[muscle]\nsoleus = "S"', ("as a table",)),
        ('only = ["soleos"]', ("only", "mean 'soleus'")),
        ('only = "soleus"', ("column 'only'", "list of texts")),
        ("only = []", ("column 'only'", "list of texts")),
        ('[word]\nhip = "H"', ("mean 'words'",)),
        ('[words]\n"hip extensor" = "H"', ("mean 'hip extensors'",)),
        ("[words]\nhip = 3", ("words, column 'hip'", "not a text")),
        ("[words", ("not valid TOML",)),
    ],
)
def test_mistakes_name_file_row_and_column(own, text, words):
    with pytest.raises(BadSettingsError) as caught:
        read_course(own_file=own(text))
    assert "my.toml" in str(caught.value)
    for word in words:
        assert word in str(caught.value)
    assert "\n" not in str(caught.value)


def test_missing_file(tmp_path):
    with pytest.raises(BadSettingsError, match=r"none\.toml cannot be read"):
        read_course(own_file=tmp_path / "none.toml")


def test_a_collective_name_stands_only_for_all_its_members(own):
    from motionlabel.anatomy.sheet import names_of

    course = read_course(own_file=own('only = ["supraspinatus", "infraspinatus", "hamstrings"]'))
    assert names_of(course, course.atlas.muscles.values()) == ("supraspinatus", "infraspinatus", "hamstrings")
    (topic,) = find(course, "rotator cuff").topics
    assert [muscle.name for muscle in topic.muscles] == ["supraspinatus", "infraspinatus"]


def test_level_by_name():
    assert level_named("essential") is Level.ESSENTIAL
    with pytest.raises(ValueError, match="essential, complete"):
        level_named("easy")


def test_words_of_label_and_summary_can_be_replaced():
    from motionlabel import summary
    from motionlabel.drawing import wording

    said = {*wording._DOING.values(), *wording._WORK.values(), *wording._PLURAL.values()}
    said |= {wording.BODY_WEIGHT_ONLY, wording.HIP_ANGLE, *summary._MANNER.values()}
    assert said <= FIXED_WORDS
