import pytest

from motionlabel.anatomy.roots import Roots, roots_from_text, union


@pytest.mark.parametrize(
    ("written", "levels", "also", "shown"),
    [
        ("L5-S2", ("L5", "S1", "S2"), (), "L5-S2"),
        ("L4", ("L4",), (), "L4"),
        ("T12-L2", ("T12", "L1", "L2"), (), "T12-L2"),
        ("(C4) C5-C6", ("C5", "C6"), ("C4",), "C5-C6"),
        ("S2-S3 (L5-S1)", ("S2", "S3"), ("L5", "S1"), "S2-S3"),
        ("segmental", (), (), "segmental"),
        ("CN XI", (), (), "CN XI"),
    ],
)
def test_roots_are_read_and_shown(written, levels, also, shown):
    roots = roots_from_text(written)
    assert (roots.levels, roots.also, roots.text) == (levels, also, shown)


@pytest.mark.parametrize("written", ["L5,S1", "L6", "S2-L5", "(L4", "(L4)", "femoral", "C0"])
def test_what_is_no_root_is_refused(written):
    with pytest.raises(ValueError, match=r"root|spinal nerve|tail to head"):
        roots_from_text(written)


def test_union_keeps_what_one_surely_has_and_shows_gaps():
    joined = union(roots_from_text("L2-L3 (L4)"), roots_from_text("L4-L5 (S2)"))
    assert joined == Roots(levels=("L2", "L3", "L4", "L5"), also=("S2",))
    assert union(roots_from_text("C5"), roots_from_text("C7-T1")).text == "C5, C7-T1"


def test_segmental_and_named_roots_do_not_join():
    assert union(roots_from_text("segmental"), roots_from_text("segmental")).text == "segmental"
    with pytest.raises(ValueError, match="cannot be joined"):
        union(roots_from_text("segmental"), roots_from_text("L1"))
