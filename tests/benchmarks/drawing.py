"""What drawing costs, CPU milliseconds a frame on one core at 1280 x 720. Run by hand.

    python tests/benchmarks/drawing.py

Each demo clip is studied once and set into the wider picture; then all its frames are painted several
times and the best round counts.
"""

import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np

from motionlabel.drawing import Annotator, LabelOptions, Show, load_theme
from motionlabel.output.file_names import distinct_names
from motionlabel.pipeline import study_clip
from motionlabel.progress import PlainProgress
from motionlabel.records import Frame, Study
from motionlabel.settings import Settings

ROOT = Path(__file__).parents[2]
CLIPS = ("squat_side", "squat_three_quarter", "hip_abduction_front", "heel_raise_side", "front_kick_side")
SIZE = (1280, 720)
ROUNDS = 3


def studied(name: str, folder: Path) -> Study:
    """Study a demo clip and set it into the middle of the wider picture."""
    clip = ROOT / "demo_clips" / f"{name}.mp4"
    names = distinct_names([clip], folder)[clip]
    with PlainProgress(sys.stderr) as progress:
        study, _ = study_clip(clip, Settings(), names, progress)
    aside = np.array([(SIZE[0] - study.video.width) / 2, (SIZE[1] - study.video.height) / 2])
    landmarks = replace(study.landmarks, image_px=study.landmarks.image_px + aside)
    camera = replace(study.body.camera, width=SIZE[0], height=SIZE[1])
    centres = study.body.centres_m + np.array([aside[0], -aside[1], 0.0]) / camera.px_per_m
    video = replace(study.video, width=SIZE[0], height=SIZE[1])
    return replace(study, video=video, landmarks=landmarks, body=replace(study.body, centres_m=centres, camera=camera))


def cost_ms(study: Study, show: Show) -> tuple[float, float, float]:
    """Return CPU milliseconds: mean and worst frame, and of laying out once."""
    start = time.process_time()
    annotator = Annotator(study, load_theme("slate"), LabelOptions(show=show))
    layout = time.process_time() - start
    image = np.full((SIZE[1], SIZE[0], 3), 150, np.uint8)
    costs = []
    for _ in range(ROUNDS):
        spent = []
        for index, at in enumerate(study.landmarks.time_s.tolist()):
            start = time.process_time()
            annotator.paint(Frame(image, index, at))
            spent.append(time.process_time() - start)
        costs.append((float(np.mean(spent)), float(np.percentile(spent, 99))))
    mean, worst = min(costs)
    return mean * 1e3, worst * 1e3, layout * 1e3


def main() -> None:
    """Print a table."""
    cv2.setNumThreads(1)
    print("| clip | labels, ms a frame | with muscles | 99 of 100 frames under | layout, once, ms |")
    print("|---|---|---|---|---|")
    with tempfile.TemporaryDirectory() as folder:
        for name in CLIPS:
            study = studied(name, Path(folder))
            plain, full = cost_ms(study, Show.LABELS), cost_ms(study, Show.MUSCLES)
            print(f"| {name} | {plain[0]:.1f} | {full[0]:.1f} | {full[1]:.1f} | {full[2]:.0f} |")


if __name__ == "__main__":
    main()
