"""The mirror: a student sees their own movement and what it asks of the muscles."""

from motionlabel.live.mirror import MirrorOptions, Outcome, run_mirror
from motionlabel.live.practise import Target, read_targets
from motionlabel.live.window import Window, check_display

__all__ = [
    "MirrorOptions",
    "Outcome",
    "Target",
    "Window",
    "check_display",
    "read_targets",
    "run_mirror",
]
