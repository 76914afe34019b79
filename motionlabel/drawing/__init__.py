"""What the viewer sees: labels, angle, limb and caution on each picture."""

from motionlabel.drawing.annotator import Annotator, output_size
from motionlabel.drawing.assets import DEFAULT_THEME, font_path, list_themes, load_theme, overlays_folder
from motionlabel.drawing.plan import Detail, LabelOptions, Show
from motionlabel.drawing.theme import Theme
from motionlabel.drawing.wording import left_out

__all__ = [
    "DEFAULT_THEME",
    "Annotator",
    "Detail",
    "LabelOptions",
    "Show",
    "Theme",
    "font_path",
    "left_out",
    "list_themes",
    "load_theme",
    "output_size",
    "overlays_folder",
]
