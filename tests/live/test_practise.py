"""The list of what is practised."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from motionlabel.body import Axis, Joint, Motion, Side, WorkingGroup
from motionlabel.errors import BadSettingsError
from motionlabel.live.practise import STARTERS, MotionTarget, TissueTarget, read_targets, target_named


@pytest.mark.parametrize(
    "line", ["left hip abduction beyond 30 deg", "Left  hip ABDUCTION beyond 30°", "left hip abduction beyond 30"]
)
def test_a_motion(line):
    target = target_named(line)
    assert isinstance(target, MotionTarget)
    assert (target.axis.joint, target.axis.side, target.axis.axis) == (Joint.HIP, Side.LEFT, Axis.ABDUCTION)
    assert target.motion is Motion.ABDUCTION
    assert_allclose(np.degrees(target.beyond_rad), 30.0)


@pytest.mark.parametrize(
    ("line", "groups"),
    [
        ("deep fibular nerve", {WorkingGroup.ANKLE_DORSIFLEXORS}),
        ("deep peroneal nerve", {WorkingGroup.ANKLE_DORSIFLEXORS}),
        ("gluteus medius", {WorkingGroup.HIP_ABDUCTORS}),
        ("hamstrings", {WorkingGroup.HIP_EXTENSORS, WorkingGroup.KNEE_FLEXORS}),
        ("femoral nerve", {WorkingGroup.HIP_FLEXORS, WorkingGroup.KNEE_EXTENSORS}),
    ],
)  # fmt: skip
def test_a_muscle_or_nerve_and_the_groups_that_hold_it(line, groups):
    """Source: the atlas; femoral nerve: iliacus and quadriceps."""
    target = target_named(line)
    assert isinstance(target, TissueTarget)
    assert set(target.groups) == groups
    assert target.facts


@pytest.mark.parametrize("line", STARTERS)
def test_the_list_of_its_own_is_understood(line):
    assert target_named(line).words


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("hip flexion", "say which side"),
        ("left trunk flexion", "no side"),
        ("left hip wiggle", "use flexion, extension, abduction, adduction"),
        ("gluteus medus", "did you mean 'gluteus medius'"),
        ("left knee flexion beyond 300 deg", "more than any joint"),
        ("sartorius", "no prime mover"),
        ("bananas", "no motion, muscle or nerve"),
    ],
)
def test_a_wrong_line_is_named_with_its_file(tmp_path, line, says):
    path = tmp_path / "list.txt"
    path.write_text(f"# mine\n\ngluteus medius\n{line}  # note\n")
    with pytest.raises(BadSettingsError, match=rf"list\.txt, line 4: .*{says}"):
        read_targets(path)


def test_comments_and_empty_lines_do_not_count(tmp_path):
    path = tmp_path / "list.txt"
    path.write_text("# a list\n\nleft hip abduction beyond 30 deg\ndeep fibular nerve # ask twice\n")
    assert len(read_targets(path)) == 2


@pytest.mark.parametrize("content", [b"", b"# nothing\n", b"\xff\xfe\x00"])
def test_a_list_without_anything_is_an_error(tmp_path, content):
    path = tmp_path / "list.txt"
    path.write_bytes(content)
    with pytest.raises(BadSettingsError, match=r"list\.txt"):
        read_targets(path)


def test_a_list_that_is_not_there(tmp_path):
    with pytest.raises(BadSettingsError, match="cannot be read"):
        read_targets(tmp_path / "none.txt")
