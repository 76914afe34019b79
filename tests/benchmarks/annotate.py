"""How fast ``annotate`` is against what it cannot beat, and how much memory it takes. Run by hand.

    python tests/benchmarks/annotate.py                # speed on 30 s, memory on 1 and 10 min
    python tests/benchmarks/annotate.py --no-memory
    python tests/benchmarks/annotate.py --only-memory

Everything is measured in one run, in alternation, because machines that share their cores give
more or less of them from one minute to the next; the best of the rounds counts.
"""

import argparse
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import imageio_ffmpeg
from moviepy import VideoFileClip

from motionlabel.drawing import Annotator, LabelOptions, load_theme
from motionlabel.output.study_store import load_study
from motionlabel.pose import model_path
from motionlabel.pose.landmarker import Landmarker
from motionlabel.records import Frame, Study
from motionlabel.video import ClipSink, FileSource

ROOT = Path(__file__).parents[2]
CORES = len(os.sched_getaffinity(0))


@dataclass
class Cost:
    """Wall and CPU time, seconds; children counted once they have ended."""

    wall_s: float = 0.0
    cpu_s: float = 0.0


@contextmanager
def timed() -> Iterator[Cost]:
    """Measure a block."""
    cost = Cost(time.perf_counter(), _cpu_s())
    yield cost
    cost.wall_s, cost.cpu_s = time.perf_counter() - cost.wall_s, _cpu_s() - cost.cpu_s


def _cpu_s() -> float:
    return sum(
        usage.ru_utime + usage.ru_stime
        for usage in (resource.getrusage(resource.RUSAGE_SELF), resource.getrusage(resource.RUSAGE_CHILDREN))
    )


def make_clip(path: Path, seconds: int) -> None:
    """Make a 720p clip with sound from a demo clip, with the noise of a camera."""
    picture = ROOT / "demo_clips" / "squat_side.mp4"
    look = "pad=1280:720:-1:-1:color=gray,noise=alls=6:allf=t,format=yuv420p"
    command = [imageio_ffmpeg.get_ffmpeg_exe(), "-loglevel", "error", "-y", "-stream_loop", "-1", "-i", picture]
    command += ["-f", "lavfi", "-i", "sine=frequency=220", "-t", seconds, "-vf", look]
    command += ["-c:v", "libx264", "-preset", "veryfast", "-c:a", "aac", path]
    subprocess.run([str(part) for part in command], check=True)


def repeat_clip(source: Path, path: Path, seconds: int) -> None:
    """Repeat a clip without encoding it again."""
    command = [imageio_ffmpeg.get_ffmpeg_exe(), "-loglevel", "error", "-y", "-stream_loop", "-1", "-i", source]
    subprocess.run([str(part) for part in (*command, "-t", seconds, "-c", "copy", path)], check=True)


def annotate(clip: Path, out: Path) -> None:
    """Do what a user does: a program of its own, start and imports included."""
    command = [sys.executable, "-m", "motionlabel.cli", "annotate", clip, "--out", out, "--fresh"]
    subprocess.run([str(part) for part in command], check=True, capture_output=True, cwd=ROOT)


def bare_landmarker(clip: Path) -> Cost:
    """Time the landmarker alone, one of it, on the decoded frames."""
    total = Cost()
    with FileSource(clip) as source, Landmarker(model_path("full")) as landmarker:
        for frame in source:
            with timed() as cost:
                landmarker.detect(frame)
            total.wall_s += cost.wall_s
            total.cpu_s += cost.cpu_s
    return total


def stage_costs(clip: Path, study: Study, out: Path) -> dict[str, Cost]:
    """Time decoding, drawing and encoding, each alone."""
    facts = study.video
    annotator = Annotator(study, load_theme("slate"), LabelOptions())
    costs = {"decode": Cost(), "drawing": Cost(), "encoding": Cost()}
    with timed() as decode, FileSource(clip, facts) as source:
        for _ in source:
            pass
    costs["decode"] = decode
    with FileSource(clip, facts) as source:
        # the encoder is a child: its time counts when it has ended, so this block is timed as a whole
        with timed() as all_of_it, ClipSink(out / "stages.mp4", annotator.size, facts.rate, clip) as sink:
            for frame in source:
                with timed() as drawing:
                    picture = annotator.paint(frame)
                costs["drawing"].cpu_s += drawing.cpu_s
                sink.write(picture)
        costs["encoding"].cpu_s = all_of_it.cpu_s - decode.cpu_s - costs["drawing"].cpu_s
    return costs


def moviepy_loop(clip: Path, study: Study, out: Path) -> None:
    """Do the same work frame by frame in moviepy's own loop: detect, draw, encode, sound.

    It is given the finished study for drawing, which it could not have had before the last frame.
    """
    annotator = Annotator(study, load_theme("slate"), LabelOptions())
    times = iter(range(len(study.landmarks)))
    with Landmarker(model_path("full")) as landmarker, VideoFileClip(str(clip)) as video:

        def painted(image):
            index = min(next(times, len(study.landmarks) - 1), len(study.landmarks) - 1)
            frame = Frame(image[:, :, ::-1].copy(), index, clock())
            landmarker.detect(frame)
            return annotator.paint(frame)[:, :, ::-1]

        clock = _clock(video.fps)
        result = video.image_transform(painted)
        result.write_videofile(
            str(out / "moviepy.mp4"), codec="libx264", preset="veryfast", audio_codec="aac", logger=None
        )


def _clock(fps: float) -> Callable[[], float]:
    """Return times that grow by a frame at each call: moviepy asks for the first frame more than once."""
    calls = iter(range(1 << 30))
    return lambda: next(calls) / fps


def speed(folder: Path, seconds: int, rounds: int) -> None:
    """Print the table of speed."""
    clip = folder / "clip.mp4"
    make_clip(clip, seconds)
    walls: dict[str, list[float]] = {"annotate": [], "landmarker": [], "moviepy": []}
    cpus = []
    for _ in range(rounds):
        with timed() as cost:
            annotate(clip, folder)
        walls["annotate"].append(cost.wall_s)
        study = load_study(folder / "clip.study.json")
        bare = bare_landmarker(clip)
        walls["landmarker"].append(bare.wall_s)
        with timed() as cost:
            moviepy_loop(clip, study, folder)
        walls["moviepy"].append(cost.wall_s)
        stages = stage_costs(clip, study, folder)
        cpus.append({"landmarker": bare.cpu_s, **{name: stage.cpu_s for name, stage in stages.items()}})
    best = {name: min(times) for name, times in walls.items()}
    cpu = {name: min(each[name] for each in cpus) for name in cpus[0]}
    bound = max(best["landmarker"], sum(cpu.values()) / CORES)
    frames = len(study.landmarks)
    print(f"\n{seconds} s, 1280 x 720, {frames} frames, {CORES} cores, best of {rounds} rounds\n")
    print("| what | seconds | frames/s | against the bound |\n|---|---|---|---|")
    rows = {
        "`annotate`, start included": best["annotate"],
        "landmarker alone, one of it": best["landmarker"],
        f"CPU of all stages / {CORES} cores": sum(cpu.values()) / CORES,
        "bound: the larger of these two": bound,
        "moviepy's own loop, same work": best["moviepy"],
    }
    for name, wall in rows.items():
        print(f"| {name} | {wall:.1f} | {frames / wall:.0f} | {wall / bound:.2f} |")
    print("\n| CPU of | ms a frame |\n|---|---|")
    for name, value in cpu.items():
        print(f"| {name} | {1000 * value / frames:.1f} |")


def peak_memory(clip: Path, out: Path) -> tuple[float, float]:
    """Annotate a clip and return the peak resident memory of the program and of its encoder, MB.

    The kernel's own high-water marks are read (VmHWM), since the figure that it keeps for ended
    children counts the moment before they became the encoder.
    """
    command = [sys.executable, "-m", "motionlabel.cli", "annotate", clip, "--out", out, "--fresh"]
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    program = subprocess.Popen([str(part) for part in command], cwd=ROOT, **quiet)
    own = encoder = 0.0
    while program.poll() is None:
        own = max(own, _high_water_mb(program.pid))
        for task in Path(f"/proc/{program.pid}/task").glob("*/children"):
            for child in _read(task).split():
                if "ffmpeg" in _read(Path(f"/proc/{child}/comm")):
                    encoder = max(encoder, _high_water_mb(int(child)))
        time.sleep(0.1)
    assert program.returncode == 0
    return own, encoder


def _read(path: Path) -> str:
    try:
        return path.read_text()
    except OSError:  # it has ended meanwhile
        return ""


def _high_water_mb(process: int) -> float:
    lines = [line for line in _read(Path(f"/proc/{process}/status")).splitlines() if line.startswith("VmHWM")]
    return int(lines[0].split()[1]) / 1024 if lines else 0.0


def memory(folder: Path, minutes: int) -> None:
    """Print the table of peak memory."""
    short, long = folder / "one_minute.mp4", folder / "minutes.mp4"
    make_clip(short, 60)
    repeat_clip(short, long, 60 * minutes)
    peaks = {"1 min": peak_memory(short, folder), f"{minutes} min": peak_memory(long, folder)}
    print("\n| 1280 x 720 | program, MB | encoder, MB |\n|---|---|---|")
    for name, (own, encoder) in peaks.items():
        print(f"| {name} | {own:.0f} | {encoder:.0f} |")
    ratios = [late / early for early, late in zip(*peaks.values())]
    print(f"| {minutes} min / 1 min | {ratios[0]:.2f} | {ratios[1]:.2f} |")


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seconds", type=int, default=30)
    parser.add_argument("--rounds", type=int, default=2)
    parser.add_argument("--minutes", type=int, default=10)
    part = parser.add_mutually_exclusive_group()
    part.add_argument("--no-memory", action="store_true")
    part.add_argument("--only-memory", action="store_true")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        if not options.only_memory:
            speed(Path(folder), options.seconds, options.rounds)
        if not options.no_memory:
            memory(Path(folder), options.minutes)


if __name__ == "__main__":
    main()
