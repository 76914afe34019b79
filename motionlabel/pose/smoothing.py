"""Smoothing of recorded landmarks: gaps bridged, noise removed without delay."""

from motionlabel.records import LandmarkTrack


def smooth_track(track: LandmarkTrack, cutoff_hz: float = 6.0) -> LandmarkTrack:
    """Bridge gaps up to 0.25 s and smooth with a 4th-order zero-lag Butterworth low-pass."""
    raise NotImplementedError
