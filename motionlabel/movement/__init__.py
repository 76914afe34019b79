"""Angles to phases and repetitions."""

from motionlabel.movement.phases import find_phases, frames_per_second
from motionlabel.movement.quiet import Rest, find_rest

__all__ = ["Rest", "find_phases", "find_rest", "frames_per_second"]
