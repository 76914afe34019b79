"""Where muscles and nerves lie on the tracked body, and how the length of a muscle changes."""

from motionlabel.musculature.musculature import Musculature
from motionlabel.musculature.placed_line import BodyPoint, PlacedLine

__all__ = ["BodyPoint", "Musculature", "PlacedLine"]
