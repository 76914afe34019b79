"""Pictures in and pictures out: clips read with their own timestamps, clips written with their sound."""

from motionlabel.video.camera import CameraSource, camera_is_there
from motionlabel.video.clip import ClipSink
from motionlabel.video.encoder import encoder_path
from motionlabel.video.file import FileSource
from motionlabel.video.memory import MemorySink, MemorySource
from motionlabel.video.overlap import read_ahead, write_behind
from motionlabel.video.played_clip import PlayedClip
from motionlabel.video.stream import FrameSink, FrameSource
from motionlabel.video.timing import frame_slots

__all__ = [
    "CameraSource",
    "ClipSink",
    "FileSource",
    "FrameSink",
    "FrameSource",
    "MemorySink",
    "MemorySource",
    "PlayedClip",
    "camera_is_there",
    "encoder_path",
    "frame_slots",
    "read_ahead",
    "write_behind",
]
