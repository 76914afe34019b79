"""``motionlabel annotate``: the clip comes back whole, with its sound; a study is reused."""

import json

import cv2
import pytest
from numpy.testing import assert_allclose

import motionlabel.pipeline
from motionlabel.cli import main
from motionlabel.errors import ExitCode

from .conftest import facts


def annotated(clip, out, *options):
    assert main(["annotate", str(clip), "--out", str(out), *options]) == ExitCode.OK
    return out / f"{clip.stem}.annotated.mp4"


@pytest.fixture(scope="module")
def squat(clips, tmp_path_factory):
    """The annotated squat, made once."""
    return annotated(clips / "squat.mp4", tmp_path_factory.mktemp("squat"))


def test_clip_and_sound(clips, squat):
    before, after = facts(clips / "squat.mp4"), facts(squat)
    assert after.pictures == before.pictures
    assert after.size == before.size
    assert after.video == "h264 yuv420p"
    assert after.sound == before.sound == "aac"
    assert_allclose(after.duration_s, before.duration_s, atol=0.05)
    assert_allclose(after.sound_duration_s, before.sound_duration_s, atol=0.05)


def test_index_comes_first(squat):
    start = squat.read_bytes()[:4096]
    assert b"moov" in start


def test_something_is_drawn(clips, squat):
    def picture(path):
        capture = cv2.VideoCapture(str(path))
        capture.set(cv2.CAP_PROP_POS_FRAMES, 30)
        return capture.read()[1].astype(int)

    changed = abs(picture(clips / "squat.mp4") - picture(squat)).max(axis=2) > 60
    assert 0.01 < changed.mean() < 0.6


def test_only_whole_files_are_there(squat):
    assert {path.name for path in squat.parent.iterdir()} == {
        "squat.annotated.mp4",
        "squat.study.json",
        "squat.study.npz",
    }


def test_summary_goes_to_stdout_and_messages_to_stderr(clips, squat, capsys):
    annotated(clips / "squat.mp4", squat.parent)
    captured = capsys.readouterr()
    assert captured.out.startswith("squat.mp4: 2.0 s")
    assert str(squat) in captured.out
    assert "no medical advice" in captured.out
    assert "drawing" in captured.err
    assert "drawing" not in captured.out


@pytest.mark.parametrize(
    ("name", "size"),
    [
        ("six_frames", (720, 720)),
        ("huge", (4000, 3000)),
        ("portrait", (480, 720)),
        ("late", (720, 720)),
    ],
)
def test_unusual_clips_keep_size_and_length(clips, tmp_path, name, size):
    clip = clips / f"{name}.mp4"
    before, after = facts(clip), facts(annotated(clip, tmp_path))
    assert after.size == size
    assert after.pictures == before.pictures
    assert_allclose(after.duration_s, before.duration_s, atol=0.05)


def test_small_odd_clips_grow(clips, tmp_path):
    width, height = facts(annotated(clips / "tiny.mp4", tmp_path)).size
    assert min(width, height) >= 360
    assert (width % 2, height % 2) == (0, 0)
    assert_allclose(width / height, 97 / 131, rtol=0.01)


def test_variable_rate_keeps_its_times_and_sound(clips, tmp_path):
    clip = clips / "variable.mp4"
    before, after = facts(clip), facts(annotated(clip, tmp_path))
    assert_allclose(after.duration_s, before.duration_s, atol=0.07)
    assert_allclose(after.sound_duration_s, before.sound_duration_s, atol=0.05)
    assert after.pictures == pytest.approx(60, abs=2)


def test_a_clip_that_was_cut_short_is_told_or_done(clips, tmp_path, capfd):
    # its index is whole, half of its pictures are not
    code = main(["annotate", str(clips / "cut_short.mp4"), "--out", str(tmp_path)])
    err = capfd.readouterr().err
    assert "Traceback" not in err
    if code == ExitCode.OK:
        assert 10 < facts(tmp_path / "cut_short.annotated.mp4").pictures < 60
    else:
        assert code == ExitCode.UNREADABLE_INPUT
        assert not list(tmp_path.glob("*.annotated.mp4"))


def test_where_nobody_is_seen_the_picture_passes_through(clips, tmp_path, capsys):
    path = annotated(clips / "late.mp4", tmp_path, "--settings", str(_without_caution(tmp_path)))
    assert "No person was found at 0.0-1.0 s" in capsys.readouterr().out
    capture = cv2.VideoCapture(str(path))
    first = capture.read()[1].astype(int)
    assert abs(first - first[0, 0]).max() <= 6


def _without_caution(folder):
    path = folder / "plain.toml"
    path.write_text("[annotate]\ncaution = false\n")
    return path


@pytest.fixture
def no_detection(monkeypatch):
    def called(*rest):
        pytest.fail("detection ran although a study was stored")

    monkeypatch.setattr(motionlabel.pipeline, "track_clip", called)


def test_another_theme_detects_nothing(clips, squat, no_detection, capsys):
    before = squat.read_bytes()
    annotated(clips / "squat.mp4", squat.parent, "--theme", "paper")
    assert "stored study squat.study.json is used" in capsys.readouterr().err
    assert squat.read_bytes() != before


@pytest.fixture
def stored(clips, tmp_path, monkeypatch):
    """A folder with a clip and its study, and the list of detections from then on."""
    clip = tmp_path / "clip.mp4"
    clip.write_bytes((clips / "six_frames.mp4").read_bytes())
    assert main(["measure", str(clip)]) == ExitCode.OK
    detected = []
    track_clip = motionlabel.pipeline.track_clip

    def counted(*rest):
        detected.append(rest)
        return track_clip(*rest)

    monkeypatch.setattr(motionlabel.pipeline, "track_clip", counted)
    return clip, detected


@pytest.mark.parametrize(
    ("change", "options", "words"),
    [
        ("none", ["--model", "lite"], "another landmark model"),
        ("clip", [], "the clip has changed"),
        ("none", ["--person", "1"], "other settings"),
        ("version", [], "another version"),
        ("damage", [], "cannot be used any more"),
        ("arrays", [], "cannot be used any more"),
        ("none", ["--fresh"], ""),
    ],
)
def test_what_makes_a_study_anew(clips, stored, capsys, change, options, words):
    clip, detected = stored
    study = clip.with_name("clip.study.json")
    if change == "clip":
        clip.write_bytes((clips / "eight_frames.mp4").read_bytes())
    elif change == "version":
        document = json.loads(study.read_text())
        document["versions"]["motionlabel"] = "0.0.1"
        study.write_text(json.dumps(document))
    elif change == "damage":
        study.write_text("{")
    elif change == "arrays":
        study.with_suffix(".npz").unlink()
    assert main(["measure", str(clip), *options]) == ExitCode.OK
    assert len(detected) == 1
    assert words in capsys.readouterr().err
    assert main(["measure", str(clip), *(option for option in options if option != "--fresh")]) == ExitCode.OK
    assert len(detected) == 1, "the new study is used again"
