"""Body and motion to the muscle group that the load demands."""

from motionlabel.mechanics.stated import Carrier
from motionlabel.mechanics.work import contraction_of, muscle_work

__all__ = ["Carrier", "contraction_of", "muscle_work"]
