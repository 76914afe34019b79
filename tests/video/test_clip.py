import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose

from motionlabel.errors import CannotWriteError, MissingDependencyError
from motionlabel.video import ClipSink, FileSource, encoder_path, frame_slots, read_ahead, write_behind
from tests.video.conftest import H264, picture


def copy(path: Path, out: Path) -> None:
    with FileSource(path) as source:
        facts = source.facts
        slots = frame_slots(source.time_s, facts.rate, facts.duration_s)
        sink = ClipSink(out, (facts.width, facts.height), facts.rate, sound_from=path)
        with sink, read_ahead(source) as frames, write_behind(sink.write) as write:
            for frame in frames:
                for _ in range(slots[frame.index]):
                    write(frame.image)


def told(path: Path) -> str:
    return subprocess.run([str(encoder_path()), "-i", str(path)], capture_output=True, check=False).stderr.decode()


def sound(path: Path) -> np.ndarray:
    """Samples of the sound from the start of the file on."""
    resample = ("-af", "aresample=44100:async=1:first_pts=0", "-f", "s16le", "-ac", "1", "-")
    run = subprocess.run(
        [str(encoder_path()), "-v", "error", "-i", str(path), "-map", "0:a", *resample], capture_output=True, check=True
    )
    return np.frombuffer(run.stdout, np.int16)


def loud_s(path: Path) -> float:
    return float(np.flatnonzero(np.abs(sound(path)) > 8000)[0] / 44100)


def test_pictures_survive(tmp_path, with_sound):
    copy(with_sound, tmp_path / "out.mp4")
    with FileSource(with_sound) as before, FileSource(tmp_path / "out.mp4") as after:
        assert after.facts.rate == before.facts.rate
        assert_allclose(after.facts.duration_s, before.facts.duration_s, atol=1e-6)
        for first, second in zip(before, after, strict=True):
            assert np.mean(np.abs(first.image.astype(int) - second.image)) < 6  # lossy twice
            assert_allclose(second.time_s, first.time_s, atol=1e-6)
    assert os.listdir(tmp_path) == ["out.mp4"]
    assert "h264" in told(tmp_path / "out.mp4")
    assert "yuv420p" in told(tmp_path / "out.mp4")


def test_index_comes_first(tmp_path, with_sound):
    copy(with_sound, tmp_path / "out.mp4")
    data = (tmp_path / "out.mp4").read_bytes()
    assert data.index(b"moov") < data.index(b"mdat")


@pytest.mark.parametrize(
    ("name", "sound_codec", "kept"),
    [("a.mkv", "aac", "aac"), ("b.mkv", "libvorbis", "aac"), ("c.mov", "pcm_s16le", "aac"), ("d.mkv", "mp3", "mp3")],
)
def test_sound_stays_in_step(tmp_path, make_clip, with_sound, name, sound_codec, kept):
    path = make_clip(name, "-i", str(with_sound), "-c:v", "copy", "-c:a", sound_codec)
    copy(path, tmp_path / "out.mp4")
    assert f"Audio: {kept}" in told(tmp_path / "out.mp4")
    shift_s = FileSource(path).container.picture_start_s - FileSource(tmp_path / "out.mp4").container.picture_start_s
    assert_allclose(loud_s(tmp_path / "out.mp4") + shift_s, loud_s(path), atol=0.005)


def test_pictures_that_began_late_do_so_again(tmp_path, make_clip, with_sound):
    late = ("-i", str(with_sound), "-itsoffset", "0.5", "-i", str(with_sound), "-map", "1:v", "-map", "0:a")
    path = make_clip("late.mp4", *late, "-c", "copy")
    copy(path, tmp_path / "out.mp4")
    assert_allclose(FileSource(tmp_path / "out.mp4").container.picture_start_s, 0.5, atol=0.001)
    assert_allclose(loud_s(tmp_path / "out.mp4"), loud_s(path), atol=0.002)


def test_variable_rate_keeps_its_times(tmp_path, variable):
    copy(variable, tmp_path / "out.mp4")
    with FileSource(variable) as before, FileSource(tmp_path / "out.mp4") as after:
        assert_allclose(after.facts.duration_s, before.facts.duration_s, atol=1e-3)
        pictures = [frame.image.astype(int) for frame in after]
        assert len(pictures) == 240
        for frame in list(before)[::10]:
            shown = pictures[round(frame.time_s * 60)]
            assert np.mean(np.abs(shown - frame.image)) < 6


@pytest.mark.parametrize("count", [1, 2])
def test_odd_sizes_are_padded(tmp_path, make_clip, count):
    path = make_clip(f"odd{count}.mp4", *picture("97x131"), "-c:v", "libx264", "-frames:v", str(count))
    copy(path, tmp_path / "out.mp4")
    facts = FileSource(tmp_path / "out.mp4").facts
    assert (facts.width, facts.height) == (98, 132)
    assert_allclose(facts.duration_s, count / 30, atol=1e-6)


def test_an_error_leaves_nothing_and_the_old_clip_untouched(tmp_path):
    (tmp_path / "out.mp4").write_text("old")

    def fail() -> None:
        with ClipSink(tmp_path / "out.mp4", (64, 64), (30, 1)) as sink:
            sink.write(np.zeros((64, 64, 3), np.uint8))
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fail()
    assert os.listdir(tmp_path) == ["out.mp4"]
    assert (tmp_path / "out.mp4").read_text() == "old"


def test_ctrl_c_leaves_nothing(tmp_path):
    code = f"""
import numpy as np, os, signal, threading
from pathlib import Path
from motionlabel.video import ClipSink, write_behind
signal.signal(signal.SIGINT, signal.default_int_handler)  # a shell's background jobs ignore it
image = np.random.default_rng(0).integers(0, 255, (360, 640, 3), dtype=np.uint8)
threading.Timer(0.5, lambda: os.kill(os.getpid(), signal.SIGINT)).start()
try:
    with ClipSink(Path({str(tmp_path)!r}) / "out.mp4", (640, 360), (30, 1)) as sink, write_behind(sink.write) as write:
        while True:
            write(image)
except KeyboardInterrupt:
    print("interrupted")
"""
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True, timeout=30)
    assert run.stdout == b"interrupted\n"
    assert run.stderr == b""
    assert os.listdir(tmp_path) == []


def test_folder_that_cannot_be_written_to(tmp_path):
    (tmp_path / "file").write_text("not a folder")
    with pytest.raises(CannotWriteError, match=r"out\.mp4.*--out"):
        ClipSink(tmp_path / "file" / "out.mp4", (64, 64), (30, 1))


# the clip takes 290 kB: no room at all, for half, for all but the index
@pytest.mark.parametrize("size", ["16k", "140k", "276k", "280k"])
def test_full_disk_is_told_and_leaves_nothing(tmp_path, size):
    mount = ["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", str(tmp_path)]
    if sys.platform != "linux" or subprocess.run(mount, capture_output=True, check=False).returncode != 0:
        pytest.skip("no small disk can be mounted here")
    try:
        noise = np.random.default_rng(0).integers(0, 255, (30, 120, 160, 3), dtype=np.uint8)

        def fill() -> None:
            with ClipSink(tmp_path / "out.mp4", (160, 120), (30, 1)) as sink:
                for image in noise:
                    sink.write(image)

        with pytest.raises(CannotWriteError, match="disk full"):
            fill()
        assert os.listdir(tmp_path) == []
    finally:
        subprocess.run(["umount", str(tmp_path)], check=True)


def test_missing_encoder(monkeypatch, tmp_path):
    monkeypatch.setenv("IMAGEIO_FFMPEG_EXE", str(tmp_path / "no_ffmpeg"))
    encoder_path.cache_clear()
    try:
        with pytest.raises(MissingDependencyError, match="imageio-ffmpeg"):
            encoder_path()
    finally:
        monkeypatch.undo()
        encoder_path.cache_clear()


def test_a_name_with_odd_characters(tmp_path, make_clip):
    path = make_clip("a: 100% 'q' [1].mp4", *picture(), *H264)
    copy(path, tmp_path / "b: %d 'é'.mp4")
    assert os.listdir(tmp_path) == ["b: %d 'é'.mp4"]
