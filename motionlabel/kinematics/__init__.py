"""Landmarks to the body, and the body to anatomical angles with their uncertainty."""

from motionlabel.kinematics.angles import measure_angles
from motionlabel.kinematics.reconstruct import body_from_landmarks

__all__ = ["body_from_landmarks", "measure_angles"]
