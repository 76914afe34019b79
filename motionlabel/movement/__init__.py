"""Angles to phases and repetitions."""

from motionlabel.movement.phases import find_phases, frames_per_second
from motionlabel.movement.quiet import Rest, away_from_rest_rad, find_rest

__all__ = ["Rest", "away_from_rest_rad", "find_phases", "find_rest", "frames_per_second"]
