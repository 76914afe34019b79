"""What a new user gets wrong: one clear sentence, the documented code, nothing half-written."""

import shutil
import subprocess

import pytest

from motionlabel.cli import main
from motionlabel.errors import ExitCode

from .conftest import run_cli


def _sentence(capfd) -> str:
    """Return the one message on stderr; the descriptor is watched, so native libraries count too."""
    err = capfd.readouterr().err
    lines = [line for line in err.splitlines() if not line.endswith("...")]
    assert len(lines) == 1, err
    assert "Traceback" not in err
    return lines[0]


@pytest.mark.parametrize("command", ["annotate", "measure"])
@pytest.mark.parametrize(
    ("name", "code", "words"),
    [
        ("none.mp4", ExitCode.UNREADABLE_INPUT, "does not exist"),
        ("a_folder.mp4", ExitCode.UNREADABLE_INPUT, "folder"),
        ("text.mp4", ExitCode.UNREADABLE_INPUT, "not a readable video"),
        ("zero.mp4", ExitCode.UNREADABLE_INPUT, "empty"),
        ("truncated.mp4", ExitCode.UNREADABLE_INPUT, "cut off"),
        ("sound_only.mp4", ExitCode.UNREADABLE_INPUT, "no picture"),
        ("nobody.mp4", ExitCode.NO_PERSON, "nobody whose movement"),
        ("one_frame.mp4", ExitCode.NO_PERSON, "too few"),
        ("two_frames.mp4", ExitCode.NO_PERSON, "too few"),
    ],
)
def test_clip(clips, tmp_path, capfd, command, name, code, words):
    out = tmp_path / "out"
    assert main([command, str(clips / name), "--out", str(out)]) == code
    message = _sentence(capfd)
    assert words in message
    assert name in message
    assert not out.exists() or not list(out.iterdir())


def test_out_below_a_file(clips, tmp_path, capfd):
    (tmp_path / "file").write_text("")
    out = tmp_path / "file" / "out"
    assert main(["measure", str(clips / "squat.mp4"), "--out", str(out)]) == ExitCode.CANNOT_WRITE
    assert str(out) in _sentence(capfd)


def test_two_clips_of_one_name(clips, tmp_path, capfd):
    arguments = ["measure", str(clips / "a" / "x.mp4"), str(clips / "b" / "x.mov"), "--out", str(tmp_path)]
    assert main(arguments) == ExitCode.USAGE
    assert "same name" in _sentence(capfd)


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        (["--theme", "slat"], ExitCode.BAD_SETTINGS, "slate"),
        (["--focus", "nee"], ExitCode.USAGE, "hip, knee"),
        (["--detail", "everything"], ExitCode.USAGE, "attachments"),
        (["--person", "-1"], ExitCode.USAGE, "person"),
        (["--model", "heavy"], ExitCode.MISSING_DEPENDENCY, "full"),
        (["--settings", "none.toml"], ExitCode.BAD_SETTINGS, "none.toml"),
    ],
)
def test_option(clips, tmp_path, capfd, arguments, code, words):
    assert main(["annotate", str(clips / "six_frames.mp4"), "--out", str(tmp_path / "out"), *arguments]) == code
    assert words in _sentence(capfd)


def test_a_damaged_model_file(clips, tmp_path, capfd):
    model = tmp_path / "mine.task"
    model.write_bytes(b"no model")
    arguments = ["measure", str(clips / "six_frames.mp4"), "--out", str(tmp_path / "out"), "--model", str(model)]
    assert main(arguments) == ExitCode.MISSING_DEPENDENCY
    assert "mine.task" in _sentence(capfd)


@pytest.mark.parametrize("arguments", [[], ["annotate"], ["annotate", "--frobnicate", "x.mp4"], ["dance"]])
def test_wrong_call(capsys, arguments):
    with pytest.raises(SystemExit) as caught:
        main(arguments)
    assert caught.value.code == ExitCode.USAGE
    assert "usage: motionlabel" in capsys.readouterr().err


def test_one_bad_clip_does_not_stop_the_others(clips, tmp_path, capfd):
    clip = clips / "six_frames.mp4"
    arguments = ["measure", clips / "zero.mp4", clip, clips / "none.mp4", "--out", tmp_path]
    assert main([str(a) for a in arguments]) == ExitCode.UNREADABLE_INPUT
    err = capfd.readouterr().err
    assert "2 of 3 clips failed" in err
    assert (tmp_path / "six_frames.angles.csv").exists()


def test_a_mistake_of_our_own_is_owned_up_to(clips, tmp_path, capfd, monkeypatch):
    import motionlabel.pipeline

    def broken(*rest):
        raise ZeroDivisionError("division by zero")

    monkeypatch.setattr(motionlabel.pipeline, "track_clip", broken)
    arguments = ["measure", str(clips / "six_frames.mp4"), "--out", str(tmp_path)]
    assert main(arguments) == ExitCode.INTERNAL
    assert "--traceback" in _sentence(capfd)
    assert main([*arguments, "--traceback"]) == ExitCode.INTERNAL
    assert "Traceback" in capfd.readouterr().err


@pytest.fixture
def small_disk(tmp_path):
    """A disk that holds 100 kB: less than a study of the squat."""
    disk = tmp_path / "disk"
    disk.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", "size=100k", "tmpfs", disk]
    if subprocess.run(command, capture_output=True, check=False).returncode != 0:
        pytest.skip("mounting is not permitted here")
    yield disk
    subprocess.run(["umount", disk], check=True)


@pytest.mark.parametrize("command", ["annotate", "measure"])
def test_full_disk(clips, small_disk, capfd, command):
    assert main([command, str(clips / "squat.mp4"), "--out", str(small_disk)]) == ExitCode.CANNOT_WRITE
    assert "full" in _sentence(capfd)
    assert not list(small_disk.iterdir())


def test_full_disk_while_encoding(clips, small_disk, capfd):
    """The study lies there already and leaves room for a part of the clip only."""
    assert main(["measure", str(clips / "squat.mp4"), "--out", str(small_disk.parent)]) == ExitCode.OK
    capfd.readouterr()
    studies = [small_disk.parent / f"squat.study.{suffix}" for suffix in ("json", "npz")]
    room = sum(-(-path.stat().st_size // 4096) * 4096 for path in studies) + 24 * 1024
    subprocess.run(["mount", "-o", f"remount,size={room}", small_disk], check=True)
    for path in studies:
        shutil.copy(path, small_disk)
    assert main(["annotate", str(clips / "squat.mp4"), "--out", str(small_disk)]) == ExitCode.CANNOT_WRITE
    assert "full" in capfd.readouterr().err.splitlines()[-1]
    assert sorted(path.name for path in small_disk.iterdir()) == [path.name for path in studies]


@pytest.mark.parametrize("command", ["annotate", "measure"])
def test_read_only_folder(clips, small_disk, capfd, command):
    subprocess.run(["mount", "-o", "remount,ro", small_disk], check=True)
    assert main([command, str(clips / "squat.mp4"), "--out", str(small_disk)]) == ExitCode.CANNOT_WRITE
    message = _sentence(capfd)
    assert "read-only" in message
    assert str(small_disk) in message


def test_no_traceback_from_a_program_of_its_own(clips):
    done = run_cli("annotate", clips / "text.mp4")
    assert done.returncode == ExitCode.UNREADABLE_INPUT
    assert done.stdout == ""
    assert len(done.stderr.splitlines()) == 1
