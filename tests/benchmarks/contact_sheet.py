"""Make the contact sheet of the README again from the demo clips, with the command line. Run by hand.

python tests/benchmarks/contact_sheet.py
"""

import tempfile
from dataclasses import fields
from pathlib import Path

import numpy as np
from PIL import Image

from motionlabel.cli import main
from motionlabel.drawing import load_theme
from motionlabel.video import FileSource

ROOT = Path(__file__).parents[2]
SHEET = ROOT / "demo_clips" / "contact_sheet.png"
MOMENTS = {"squat_side": 4.6, "hip_abduction_front": 4.8, "heel_raise_side": 3.2, "front_kick_side": 6.3}
"""Clip and second: after the caution, in the midst of a movement."""
SIDE_PX, ACROSS = 520, 2


def picture(clip: Path, second: float) -> Image.Image:
    """Return the picture of a clip at a time."""
    with FileSource(clip) as source:
        frame = next(frame for frame in source if frame.time_s >= second)
    return Image.fromarray(np.ascontiguousarray(frame.image[..., ::-1]))


def few_colours(sheet: Image.Image) -> Image.Image:
    """Return the sheet in 256 colours; those of the theme are kept, however few pixels have them."""
    theme = load_theme("slate")
    kept = [value for f in fields(theme) if isinstance(value := getattr(theme, f.name), tuple)]
    found = sheet.quantize(256 - len(kept)).getpalette()[: 3 * (256 - len(kept))]
    palette = Image.new("P", (1, 1))
    palette.putpalette([*found, *(part for colour in kept for part in colour)])
    return sheet.quantize(palette=palette, dither=Image.Dither.NONE)


def make_sheet() -> None:
    """Annotate the clips and put one picture of each on the sheet."""
    clips = [ROOT / "demo_clips" / f"{name}.mp4" for name in MOMENTS]
    sheet = Image.new("RGB", (SIDE_PX * ACROSS, SIDE_PX * -(-len(clips) // ACROSS)), "white")
    with tempfile.TemporaryDirectory() as folder:
        code = main(["annotate", *map(str, clips), "--out", folder])
        if code:
            raise SystemExit(code)
        for i, (name, second) in enumerate(MOMENTS.items()):
            shot = picture(Path(folder) / f"{name}.annotated.mp4", second)
            place = (i % ACROSS * SIDE_PX, i // ACROSS * SIDE_PX)
            sheet.paste(shot.resize((SIDE_PX, SIDE_PX), Image.Resampling.LANCZOS), place)
    few_colours(sheet).save(SHEET, optimize=True)
    print(f"{SHEET}: {SHEET.stat().st_size / 1e3:.0f} kB")


if __name__ == "__main__":
    make_sheet()
