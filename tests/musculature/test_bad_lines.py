"""A slip in a file of lines or courses is reported with file, row and column; shipped rows have fit sources."""

import pytest

from motionlabel.anatomy import atlas
from motionlabel.errors import BadSettingsError
from motionlabel.musculature.line import Origin
from motionlabel.musculature.nerve_courses import FILE, read_courses
from motionlabel.musculature.paths import FOLDER, all_lines, read_lines


def _changed(tmp_path, source, old, new):
    text = source.read_text(encoding="utf-8")
    assert old in text
    path = tmp_path / source.name
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("file", "old", "new", "row", "column", "why"),
    [
        ("hip.toml", '"psoas major"', '"psoas mayor"', "line 1 (psoas mayor)", "muscle", "mean 'psoas major'"),
        ("hip.toml", '"gait2392"', '"gait2393"', "(psoas major)", "source", "mean 'gait2392'"),
        ("hip.toml", 'bone = "pelvis"', 'bone = "pelvic"', "(psoas major), points 2", "bone", "mean 'pelvis'"),
        ("hip.toml", "at = [0.0359, ", "at = [", "(psoas major), points 2", "at", "3 numbers"),
        ("hip.toml", "at = [0.0359, ", "at = [35.9, ", "(psoas major), points 2", "at", "slip"),
        ("hip.toml", "at = [0.0359, ", "at = [true, ", "(psoas major), points 2", "at", "3 numbers"),
        ("hip.toml", "at = ", "place = ", "(psoas major), points 1", "place", "no such column"),
        ("hip.toml", 'while = "hip"', 'while = "hop"', "(psoas major), points 4", "while", "mean 'hip'"),
        ("hip.toml", "to_deg = 45", "to_deg = -95", "(psoas major), points 4", "to_deg", "not above"),
        ("hip.toml", ", from_deg = -90", "", "(psoas major), points 4", "from_deg", "needed"),
        ("hip.toml", "drawn_only = true", 'drawn_only = "yes"', "(psoas major), points 1", "drawn_only", "true"),
        ("hip.toml", 'name = "middle"', 'name = "superior"', "(gluteus maximus)", "name", "already"),
        ("thigh.toml", "[0, 0.1611", "[-20, 0.1611", "(rectus femoris), points 3", "track", "growing"),
        ("thigh.toml", "[0, 0.1611, ", "[0, ", "(rectus femoris), points 3", "track", "4 numbers"),
    ],
)
def test_a_slip_in_a_line_names_its_place(tmp_path, file, old, new, row, column, why):
    with pytest.raises(BadSettingsError) as caught:
        read_lines([_changed(tmp_path, FOLDER / file, old, new)], atlas().muscles)
    message = str(caught.value)
    assert message.startswith(f"{file}, line ")
    assert row in message
    assert f"column '{column}'" in message
    assert why in message


@pytest.mark.parametrize(
    ("old", "new", "column", "why"),
    [
        ('nerve = "femoral nerve"', 'nerve = "femural nerve"', "nerve", "mean 'femoral nerve'"),
        ('nerve = "obturator nerve"', 'nerve = "femoral nerve"', "nerve", "already"),
        ('after = "tibial part of sciatic nerve"', 'after = "radial nerve"', "after", "no row"),
        ("leaves_after = 8", "leaves_after = 80", "leaves_after", "points"),
        ('bone = "lumbar"', 'bone = "lumber"', "bone", "mean 'lumbar'"),
        (', landmark = "L2-L4 beside the vertebrae"', "", "landmark", "needed"),
    ],
)
def test_a_slip_in_a_course_names_its_place(tmp_path, old, new, column, why):
    with pytest.raises(BadSettingsError) as caught:
        read_courses(_changed(tmp_path, FILE, old, new), atlas().nerves)
    assert str(caught.value).startswith("nerves.toml, course ")
    assert f"column '{column}'" in str(caught.value)
    assert why in str(caught.value)


def test_a_line_needs_two_points_and_attachments_that_stay(tmp_path):
    path = tmp_path / "few.toml"
    row = '[[line]]\nmuscle = "soleus"\nsource = "estimate"\npoints = [%s]\n'
    point = '{ bone = "tibia", at = [0.0, -0.3, 0.0]%s }'
    for points, why in (
        (point % "", "two points"),
        (", ".join([point % ', while = "knee", from_deg = 0, to_deg = 9', point % ""]), "come and go"),
    ):
        path.write_text(row % points, encoding="utf-8")
        with pytest.raises(BadSettingsError, match=why):
            read_lines([path], atlas().muscles)


def test_every_chief_muscle_has_a_line_and_every_source_is_credited():
    credits = " ".join((FOLDER.parent / "README.md").read_text(encoding="utf-8").split())
    for collective in atlas().collectives.values():
        assert all(muscle.full_name in all_lines() for muscle in collective.muscles)
    used = {point.origin for lines in all_lines().values() for line in lines for point in line.points}
    assert used == set(Origin)
    for origin in Origin:
        assert f"`{origin}`" in credits
    without = [name for name in atlas().muscles if name not in all_lines()]
    for name in without:
        assert name in credits, f"README.md does not say that {name} has no line"
