"""What every finder of landmarks can do."""

from dataclasses import dataclass
from types import TracebackType
from typing import Protocol, Self

from motionlabel.body import Landmark
from motionlabel.records import Array, Frame


@dataclass(frozen=True, slots=True)
class Detection:
    """One person in one frame.

    Attributes
    ----------
    image_px
        (L, 2) pixels of the upright picture, x right, y down.
    world_m
        (L, 3) metres about the mid-hip, x right, y down, z away from the camera.
    visibility
        (L,) 0-1.
    """

    image_px: Array
    world_m: Array
    visibility: Array

    def __post_init__(self) -> None:
        for name, shape in (("image_px", (len(Landmark), 2)), ("world_m", (len(Landmark), 3))):
            if getattr(self, name).shape != shape:
                raise ValueError(f"{name}: wanted shape {shape}, got {getattr(self, name).shape}")
        if self.visibility.shape != (len(Landmark),):
            raise ValueError(f"visibility: wanted shape {(len(Landmark),)}, got {self.visibility.shape}")


class PoseBackend(Protocol):
    """Finds one person, frame after frame; a context manager."""

    def detect(self, frame: Frame) -> Detection | None:
        """Return the person's landmarks; ``None`` where nobody is seen.

        Frames come in order of time; a ``ValueError`` if not.
        """

    def __enter__(self) -> Self: ...

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None: ...
