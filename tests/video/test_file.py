import subprocess
import sys
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal

from motionlabel.errors import UnreadableInputError
from motionlabel.video import FileSource, frame_slots
from tests.video.conftest import H264, picture

DEMO = Path(__file__).parents[2] / "demo_clips"


def test_facts_of_a_demo_clip():
    facts = FileSource(DEMO / "squat_side.mp4").facts
    assert (facts.width, facts.height, facts.rate, facts.has_sound) == (720, 720, (30, 1), False)
    assert_allclose(facts.duration_s, 292 / 30, atol=1e-6)
    assert len(facts.sha256) == 64


def test_times_are_those_of_the_container(variable):
    with FileSource(variable) as source:
        time_s = np.array([frame.time_s for frame in source])
    assert_allclose(time_s, np.concatenate([np.arange(30) / 15, 2 + np.arange(120) / 60]), atol=1e-3)
    assert source.facts.rate == (60, 1)
    assert frame_slots(time_s, source.facts.rate, source.facts.duration_s).sum() == 240


def test_turned_phone_clip_comes_upright(make_clip):
    flat = make_clip("flat.mp4", *picture("160x90"), *H264)
    turned = make_clip("turned.mp4", "-display_rotation", "90", "-i", str(flat), "-c", "copy")
    with FileSource(flat) as before, FileSource(turned) as after:
        assert (after.facts.width, after.facts.height) == (90, 160)
        first, second = next(iter(before)).image, next(iter(after)).image
    assert_array_equal(second, np.rot90(first, 1))


@pytest.mark.parametrize(("count", "size"), [(1, "160x120"), (2, "97x131"), (2, "4000x3000")])
def test_few_frames_and_odd_sizes(make_clip, count, size):
    odd = ("-c:v", "libx264", "-pix_fmt", "yuv444p", "-preset", "ultrafast", "-frames:v", str(count))
    path = make_clip(f"{count}_{size}.mp4", *picture(size), *odd)
    with FileSource(path) as source:
        frames = list(source)
    width, height = (int(v) for v in size.split("x"))
    assert [frame.image.shape for frame in frames] == [(height, width, 3)] * count
    assert Fraction(*source.facts.rate) == 30


def test_pictures_later_than_sound_count_from_the_first_picture(make_clip, with_sound):
    late = ("-i", str(with_sound), "-itsoffset", "0.5", "-i", str(with_sound), "-map", "1:v", "-map", "0:a")
    with FileSource(make_clip("late.mp4", *late, "-c", "copy")) as source:
        assert next(iter(source)).time_s == 0.0
        assert_allclose(source.container.picture_start_s, 0.5, atol=1e-3)


@pytest.mark.parametrize("start", [0, 5, 75, 147, 291])
def test_frames_from_the_middle_are_the_same(start):
    with FileSource(DEMO / "squat_side.mp4") as source:
        jumped = next(source.frames(start, start + 1))
        walked = list(source.frames(0, start + 1))[-1]
    assert jumped.index == walked.index == start
    assert jumped.time_s == walked.time_s
    assert_array_equal(jumped.image, walked.image)


def test_a_jump_in_a_variable_clip(variable):
    with FileSource(variable) as source:
        assert_allclose(next(source.frames(100, 101)).time_s, source.time_s[100], atol=1e-6)


def test_a_clip_cut_in_the_middle_gives_what_is_there(make_clip, tmp_path):
    whole = make_clip("stream.mp4", *picture(seconds=4), *H264, "-movflags", "+faststart")
    cut = tmp_path / "cut.mp4"
    cut.write_bytes(whole.read_bytes()[: whole.stat().st_size // 2])
    with FileSource(cut) as source:
        count = sum(1 for _ in source)
    assert 10 < count < 110
    assert source.facts.duration_s < 4
    assert_allclose(source.facts.duration_s + source.facts.missing_s, 4.0, atol=0.1)


def test_a_whole_clip_misses_nothing(with_sound):
    assert FileSource(with_sound).facts.missing_s == 0.0


def _unreadable(tmp_path: Path, make_clip, with_sound: Path, kind: str) -> Path:
    path = tmp_path / f"{kind}.mp4"
    match kind:
        case "folder":
            path.mkdir()
        case "text":
            path.write_text("this is no video\n" * 20)
        case "empty":
            path.write_bytes(b"")
        case "no_index":
            path.write_bytes(with_sound.read_bytes()[:3000])
        case "sound_only":
            return make_clip("sound_only.mp4", "-i", str(with_sound), "-map", "0:a", "-c", "copy")
        case "playlist":
            path.write_text(f"ffconcat version 1.0\nfile '{with_sound}'\n")
    return path


@pytest.mark.parametrize("kind", ["missing", "folder", "text", "empty", "no_index", "sound_only", "playlist"])
def test_unreadable_input_is_one_sentence_naming_the_file(tmp_path, make_clip, with_sound, kind):
    path = _unreadable(tmp_path, make_clip, with_sound, kind)
    with pytest.raises(UnreadableInputError) as caught:
        FileSource(path)
    message = str(caught.value)
    assert str(path) in message
    assert ":" in message.removeprefix(str(path))  # what is wrong: what to do
    assert "\n" not in message


def test_damaged_input_brings_no_native_messages(make_clip, tmp_path):
    whole = make_clip("stream.mp4", *picture(seconds=4), *H264, "-movflags", "+faststart")
    broken = bytearray(whole.read_bytes())
    broken[len(broken) // 2 : len(broken) // 2 + 500] = b"\x55" * 500
    path = tmp_path / "broken.mp4"
    path.write_bytes(bytes(broken))
    code = f"from pathlib import Path; from motionlabel.video import FileSource; list(FileSource(Path({str(path)!r})))"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True)
    assert run.stderr == b""


def test_a_closed_source_gives_no_more_frames(with_sound):
    with FileSource(with_sound) as source:
        frames = iter(source)
        next(frames)
    assert list(frames) == []
