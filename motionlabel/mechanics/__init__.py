"""Body and motion to the muscle group that the load demands."""

from motionlabel.mechanics.work import muscle_work

__all__ = ["muscle_work"]
