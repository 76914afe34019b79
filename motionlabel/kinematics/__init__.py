"""Landmarks to the body, and the body to anatomical angles with their uncertainty."""

from motionlabel.kinematics.angles import measure_angles
from motionlabel.kinematics.reconstruct import body_from_landmarks
from motionlabel.kinematics.roll import levelled_body
from motionlabel.kinematics.standing import zero_by_standing

__all__ = ["body_from_landmarks", "levelled_body", "measure_angles", "zero_by_standing"]
