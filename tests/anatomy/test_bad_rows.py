"""A slip in an anatomy file is reported with file, row and column."""

import shutil

import pytest

from motionlabel.anatomy import read_atlas
from motionlabel.anatomy.atlas import DATA_FOLDER
from motionlabel.anatomy.facts import read_facts
from motionlabel.errors import BadSettingsError


@pytest.fixture
def folder(tmp_path):
    copy = tmp_path / "anatomy"
    shutil.copytree(DATA_FOLDER, copy, ignore=shutil.ignore_patterns("*.py", "__pycache__"))
    return copy


def _replace(path, old, new):
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


@pytest.mark.parametrize(
    ("file", "old", "new", "row", "column", "why"),
    [
        ("muscles/leg.toml", 'roots = "S1-S2"', 'roots = "S1-S7"', "(gastrocnemius)", "roots", "no spinal nerve S7"),
        ("muscles/leg.toml", 'roots = "S1-S2"', "roots = 12", "(gastrocnemius)", "roots", "not a text"),
        (
            "muscles/hip.toml",
            '["inferior gluteal nerve"]',
            '["inferior gluteal"]',
            "(gluteus maximus)",
            "nerves",
            "mean",
        ),
        (
            "muscles/hip.toml",
            'motion = "flexion"',
            'motion = "flexon"',
            "(psoas major), actions 1",
            "motion",
            "flexion",
        ),
        ("muscles/hip.toml", 'role = "assists"', 'role = "helps"', "(psoas major), actions 2", "role", "prime mover"),
        ("muscles/arm.toml", "proximal = ", "origin = ", "(coracobrachialis)", "origin", "no such column"),
        ("muscles/arm.toml", 'distal = "middle medial humerus"', "", "(coracobrachialis)", "distal", "needed"),
        (
            "muscles/arm.toml",
            'name = "brachialis"',
            'name = "coracobrachialis"',
            "(coracobrachialis)",
            "name",
            "already",
        ),
        ("muscles/thigh.toml", '"uberon"', '"uberron"', "(rectus femoris)", "sources", "mean 'uberon'"),
        ("nerves.toml", 'roots = "L2-L4"', 'roots = "L4-L2"', "(femoral nerve)", "roots", "tail to head"),
        ("collectives.toml", '"iliacus"]', '"iliacis"]', "(iliopsoas)", "members", "mean 'iliacus'"),
        (
            "muscles/hip.toml",
            'other_roots = ["L1-L2"]',
            'other_roots = ["L1-L9"]',
            "(psoas major)",
            "other_roots",
            "L9",
        ),
        ("muscles/hip.toml", 'hook = "the only', 'hok = "the only', "(psoas major)", "hok", "mean 'hook'"),
        ("muscles/hip.toml", 'hook = "the only muscle', 'hook = "" # "', "(psoas major)", "hook", "not a text"),
        (
            "muscles/hip.toml",
            'when = [{ joint = "knee", motion = "flexion", to = 30 }]',
            'when = [{ joint = "knee", motion = "extension", to = 30 }]',
            "(tensor fasciae latae), actions 4, when 1",
            "motion",
            "no angle of knee extension is measured",
        ),
        (
            "muscles/hip.toml",
            'when = [{ joint = "knee", motion = "flexion", to = 30 }]',
            'when = [{ joint = "knee", motion = "flexion", from = 40, to = 30 }]',
            "(tensor fasciae latae), actions 4, when 1",
            "to",
            "30 does not lie above 40",
        ),
        (
            "muscles/hip.toml",
            'when = [{ joint = "knee", motion = "flexion", to = 30 }]',
            'when = [{ joint = "knee", motion = "flexion" }]',
            "(tensor fasciae latae), actions 4, when 1",
            "from",
            "needs from, to or both",
        ),
        (
            "muscles/hip.toml",
            'when = [{ joint = "knee", motion = "flexion", to = 30 }]',
            'when = [{ joint = "knee", motion = "flexion", to = "bent" }]',
            "(tensor fasciae latae), actions 4, when 1",
            "to",
            "not a number",
        ),
        (
            "muscles/leg.toml",
            ', when = [{ joint = "knee", motion = "flexion", from = 75 }]',
            "",
            "(gastrocnemius)",
            "actions",
            "twice for the same posture",
        ),
        (
            "nerves.toml",
            'sign = "weak knee extension',
            'sgn = "weak knee extension',
            "(femoral nerve)",
            "sgn",
            "'sign'",
        ),
        ("sources.toml", 'address = "https', 'adress = "https', "uberon", "adress", "mean 'address'"),
        ("sources.toml", 'reading = "read"', 'reading = "rumour"', "uberon", "reading", "from memory"),
    ],
)
def test_bad_row_is_named(folder, file, old, new, row, column, why):
    path = folder / file
    _replace(path, old, new)
    with pytest.raises(BadSettingsError) as caught:
        read_atlas(folder)
    for part in (path.name, row, f"column {column!r}", why):
        assert part in str(caught.value)


@pytest.mark.parametrize(
    ("old", "new", "row", "column", "why"),
    [
        ('label = ["iliopsoas"]', 'label = ["vastus lateralis"]', "motion 1 (flexion)", "label", "no prime mover"),
        ('label = ["iliopsoas"]', 'label = ["psoas minor"]', "motion 1 (flexion)", "label", "no short attachments"),
        ('group = "hip extensors"', 'group = "hip extenders"', "motion 2 (extension)", "group", "hip extensors"),
        ('motion = "extension"', 'motion = "flexion"', "motion 2 (flexion)", "label", "no prime mover"),
        ('movement = "lateral flexion"', "", "(lateral bend to the left)", "motion", "not known"),
        ('plane = "sagittal"', 'plane = "sagital"', "motion 1 (flexion)", "plane", "sagittal"),
        (
            'stabilisers = ["rectus abdominis"',
            'stabilisers = ["gracilis"',
            "(flexion)",
            "stabilisers",
            "stabilises nothing",
        ),
        (
            'stabilisers = ["rectus abdominis"',
            'stabilisers = ["rectus"',
            "(flexion)",
            "stabilisers",
            "no row of its own",
        ),
        ('articulations = ["great toe"', 'articulations = ["big toe"', "(extension)", "articulations", "'big toe'"),
        ('"adductor magnus (hamstring part)", when', '"soleus", when', "(extension)", "label", "no prime mover"),
        ('"hip", motion = "flexion", from = 45', '"hip", motion = "flexion"', "label_when 1, when 1", "from", "needs"),
        (
            'far_movement = "contralateral',
            'far_movement = "contralat',
            "(rotation to the left)",
            "far_movement",
            "mean",
        ),
    ],
)
def test_bad_motion_is_named(folder, old, new, row, column, why):
    path = folder / "motions.toml"
    _replace(path, old, new)
    with pytest.raises(BadSettingsError) as caught:
        read_facts(path, read_atlas(folder))
    for part in ("motions.toml", row, f"column {column!r}", why):
        assert part in str(caught.value)


def test_working_group_without_a_row_is_named(folder):
    _replace(folder / "motions.toml", 'group = "knee flexors"', "")
    with pytest.raises(BadSettingsError, match=r"motions\.toml has no row for knee flexors"):
        read_facts(folder / "motions.toml", read_atlas(folder))


@pytest.mark.parametrize(
    ("content", "message"),
    [
        ("[[muscle]\n", "leg.toml is not valid TOML"),
        ("[[nerve]]\nname = 'x'\n", "leg.toml must hold nothing but"),
    ],
)
def test_file_that_is_something_else(folder, content, message):
    (folder / "muscles" / "leg.toml").write_text(content, encoding="utf-8")
    with pytest.raises(BadSettingsError, match=message.replace(".", r"\.")):
        read_atlas(folder)


def test_missing_file(folder):
    (folder / "nerves.toml").unlink()
    with pytest.raises(BadSettingsError, match=r"nerves\.toml is missing"):
        read_atlas(folder)
