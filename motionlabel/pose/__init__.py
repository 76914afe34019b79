"""Landmarks of the person who exercises: found, followed, smoothed."""

from motionlabel.pose.backend import Detection, PoseBackend
from motionlabel.pose.model import model_checksum, model_path
from motionlabel.pose.smoothing import smooth_track
from motionlabel.pose.tracking import TrackResult, track_clip

__all__ = [
    "Detection",
    "PoseBackend",
    "TrackResult",
    "model_checksum",
    "model_path",
    "smooth_track",
    "track_clip",
]
