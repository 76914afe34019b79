"""How fast the mirror is, how well it agrees with recordings, and whether it lasts. Run by hand.

    python tests/benchmarks/live.py                  # delay and rate, 30 s of a clip as the camera
    python tests/benchmarks/live.py --agreement      # every demo clip against its recorded analysis
    python tests/benchmarks/live.py --soak 30        # so many minutes of a looping clip, sped up

The delay needs a display; ``xvfb-run`` gives one.
"""

import argparse
import time
from functools import partial
from pathlib import Path

import numpy as np

from motionlabel.drawing import DEFAULT_THEME, load_theme
from motionlabel.live import MirrorOptions, Window, run_mirror
from motionlabel.live.reading import LAG_S
from motionlabel.live.window import Key
from motionlabel.pose import model_path
from motionlabel.video import PlayedClip
from tests.live.played import agreement
from tests.live.soak import soak

DEMO = Path(__file__).parents[2] / "demo_clips"
SIZE = 1280, 720


class TimedWindow(Window):
    """A window whose student confirms at once and quits after a while."""

    def __init__(self, seconds: float) -> None:
        super().__init__(SIZE)
        self._until_s, self._confirmed = time.monotonic() + seconds, False

    def show(self, image):
        super().show(image)
        if not self._confirmed:
            self._confirmed = True
            return Key.CONFIRM
        return Key.QUIT if time.monotonic() > self._until_s else None


def delay(seconds: float) -> None:
    options = MirrorOptions(
        connect=partial(PlayedClip, DEMO / "squat_side.mp4", SIZE),
        size=SIZE,
        model=model_path("lite"),
        theme=load_theme(DEFAULT_THEME),
    )
    with TimedWindow(seconds) as window:
        latency = run_mirror(options, window).latency
    print("| what | measured | bar |\n|---|---|---|")
    print(f"| delay, median | {latency.percentile_ms(50):.0f} ms | 80 ms |")
    print(f"| delay, 95 % | {latency.percentile_ms(95):.0f} ms | 120 ms |")
    print(f"| pictures a second | {latency.per_second:.0f} | 24 |")


def agreements() -> None:
    print("| clip | first time | again |\n|---|---|---|")
    shares = []
    for clip in sorted(DEMO.glob("*.truth.json")):
        name = clip.name.removesuffix(".truth.json")
        shares.append(agreement(name, LAG_S))
        print(f"| {name} | {shares[-1][0]:.2f} | {shares[-1][1]:.2f} |", flush=True)
    first, second = np.mean(shares, axis=0)
    print(f"| mean | {first:.2f} | {second:.2f} |")


def lasting(minutes: float) -> None:
    found = soak("squat_side", minutes)
    print(f"{found.frames} frames: memory {found.early_mb:.0f} -> {found.late_mb:.0f} MB, ", end="")
    print(f"a reading {found.early_ms:.0f} -> {found.late_ms:.0f} ms of CPU")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seconds", type=float, default=30.0)
    parser.add_argument("--agreement", action="store_true")
    parser.add_argument("--soak", type=float, metavar="MINUTES")
    options = parser.parse_args()
    if options.soak:
        lasting(options.soak)
    elif options.agreement:
        agreements()
    else:
        delay(options.seconds)


if __name__ == "__main__":
    main()
