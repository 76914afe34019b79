"""Pictures in and pictures out: clips read with their own timestamps, clips written with their sound."""

from motionlabel.video.camera import camera_is_there
from motionlabel.video.clip import ClipSink
from motionlabel.video.encoder import encoder_path
from motionlabel.video.file import FileSource
from motionlabel.video.memory import MemorySink, MemorySource
from motionlabel.video.overlap import read_ahead, write_behind
from motionlabel.video.stream import FrameSink, FrameSource
from motionlabel.video.timing import frame_slots

__all__ = [
    "ClipSink",
    "FileSource",
    "FrameSink",
    "FrameSource",
    "MemorySink",
    "MemorySource",
    "camera_is_there",
    "encoder_path",
    "frame_slots",
    "read_ahead",
    "write_behind",
]
