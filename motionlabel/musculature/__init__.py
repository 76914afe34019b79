"""Where muscles and nerves lie on the tracked body, and how the length of a muscle changes."""

from motionlabel.musculature.length_change import LengthChange, LengthVerdict, length_change
from motionlabel.musculature.musculature import Musculature
from motionlabel.musculature.placed_line import BodyPoint, PlacedLine

__all__ = ["BodyPoint", "LengthChange", "LengthVerdict", "Musculature", "PlacedLine", "length_change"]
