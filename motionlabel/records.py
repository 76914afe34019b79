"""The data that travels between stages: frozen dataclasses, time first, shapes checked.

Letters in shapes: F frames, L landmarks (33), J joint centres (``Centre``), S segments
(``Segment``), D motion axes (``AXES``), P phases. Unknown is NaN or ``None``, never zero.
Angles are radians, times seconds from the start of the clip.

Axes of ``BodyTrack``: right-handed and levelled: x to the right of the picture, y up against
gravity, z towards the camera; metres of a person of the assumed stature.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from motionlabel.body import AXES, Centre, Contraction, Landmark, Motion, MotionAxis, Segment, WorkingGroup

Array = NDArray[np.float64]
Points = NDArray[np.floating]
"""Landmarks may be of single precision: they are the largest part of a long clip's study."""

SCHEMA_VERSION = 2
"""Version of a stored study; raised when its meaning changes."""

_HALF_TRUST_RAD = np.radians(10.0)


def angle_trust(sigma_rad: Array | float) -> Array | float:
    """Trust 0-1 of an angle from its standard deviation: 0.5 at 10 deg, 0 where unknown.

    So a stated error band of two standard deviations of 20 deg has trust 0.5.
    *Source*: own convention.
    """
    if np.ndim(sigma_rad) == 0:
        return 0.0 if np.isnan(sigma_rad) else 1.0 / (1.0 + (float(sigma_rad) / _HALF_TRUST_RAD) ** 2)
    return np.nan_to_num(1.0 / (1.0 + (np.asarray(sigma_rad) / _HALF_TRUST_RAD) ** 2), nan=0.0)


def _check(name: str, array: NDArray, shape: tuple[int | None, ...]) -> None:
    wrong = array.ndim != len(shape) or any(want is not None and want != got for want, got in zip(shape, array.shape))
    if wrong:
        raise ValueError(f"{name}: wanted shape {shape}, got {array.shape}")


@dataclass(frozen=True, slots=True)
class Frame:
    """One upright picture of a video.

    Attributes
    ----------
    image
        (H, W, 3) uint8, BGR, turned upright.
    index
        Number of the frame in the clip, from 0.
    time_s
        Presentation time from the container, seconds.
    """

    image: NDArray[np.uint8]
    index: int
    time_s: float


@dataclass(frozen=True, slots=True)
class VideoFacts:
    """What is known of a clip without detecting anything.

    Attributes
    ----------
    name
        File name without folder.
    width, height
        Pixels of the upright picture.
    rate
        Nominal frames per second as a fraction ``(numerator, denominator)``.
    duration_s
        Duration of the picture track, seconds.
    has_sound
        Whether a sound track is there.
    sha256
        Checksum of the file, hexadecimal.
    missing_s
        Time that the file promises at its end and does not hold, seconds: it was cut off.
    """

    name: str
    width: int
    height: int
    rate: tuple[int, int]
    duration_s: float
    has_sound: bool
    sha256: str
    missing_s: float = 0.0

    @property
    def fps(self) -> float:
        """Nominal frames per second."""
        return self.rate[0] / self.rate[1]


@dataclass(frozen=True, slots=True)
class LandmarkTrack:
    """Landmarks of the followed person.

    Attributes
    ----------
    time_s
        (F,) seconds.
    image_px
        (F, L, 2) pixels of the upright picture, x right, y down; NaN = nobody found.
    world_m
        (F, L, 3) metres about the mid-hip, x right, y down, z away from the camera; NaN = nobody.
    visibility
        (F, L) 0-1; 0 where nobody was found.
    """

    time_s: Array
    image_px: Points
    world_m: Points
    visibility: Points

    def __post_init__(self) -> None:
        frames = len(self.time_s)
        _check("time_s", self.time_s, (frames,))
        _check("image_px", self.image_px, (frames, len(Landmark), 2))
        _check("world_m", self.world_m, (frames, len(Landmark), 3))
        _check("visibility", self.visibility, (frames, len(Landmark)))

    def __len__(self) -> int:
        return len(self.time_s)

    @property
    def present(self) -> NDArray[np.bool_]:
        """(F,) whether the person was found."""
        return np.isfinite(self.image_px[:, Landmark.LEFT_HIP, 0])


@dataclass(frozen=True, slots=True)
class CameraModel:
    """How levelled metres become pixels: scaled orthographic, one scale for the clip.

    Attributes
    ----------
    px_per_m
        Pixels per metre of the levelled frame.
    roll_rad
        Turn of the picture against gravity; positive when the camera leans clockwise.
    width, height
        Pixels of the picture.
    pitch_rad
        How far the camera looks down; 0 where that is small.
    """

    px_per_m: float
    roll_rad: float
    width: int
    height: int
    pitch_rad: float = 0.0


@dataclass(frozen=True, slots=True)
class BodyTrack:
    """The body in space, with the hip's own path.

    Attributes
    ----------
    time_s
        (F,) seconds.
    centres_m
        (F, J, 3) levelled frame (see the module), metres.
    segment_rotations
        (F, S, 3, 3) segment in levelled frame; columns forward, up along the segment, right (ISB).
    sigma_m
        (F, J) standard deviation of a centre in the picture plane, metres.
    depth_sigma_m
        (F, J) standard deviation of its depth, metres.
    stature_m
        Stature that fixes the scale (assumed: only ratios matter later).
    camera
        How the levelled frame was made from the picture.
    """

    time_s: Array
    centres_m: Array
    segment_rotations: NDArray[np.floating]
    sigma_m: Array
    depth_sigma_m: Array
    stature_m: float
    camera: CameraModel

    def __post_init__(self) -> None:
        frames = len(self.time_s)
        _check("centres_m", self.centres_m, (frames, len(Centre), 3))
        _check("segment_rotations", self.segment_rotations, (frames, len(Segment), 3, 3))
        _check("sigma_m", self.sigma_m, (frames, len(Centre)))
        _check("depth_sigma_m", self.depth_sigma_m, (frames, len(Centre)))

    def frame_of(self, segment: Segment) -> Array:
        """Return the (F, 3, 3) frame of one segment in the levelled frame, double precision."""
        return self.segment_rotations[:, segment].astype(np.float64)

    def __len__(self) -> int:
        return len(self.time_s)


@dataclass(frozen=True, slots=True)
class AngleTrack:
    """Anatomical angles: columns are ``AXES``.

    Attributes
    ----------
    time_s
        (F,) seconds.
    angle_rad, rate_rad_s, sigma_rad
        (F, D) angle, its rate and its standard deviation; NaN = unknown.
    depth_sigma_rad
        (F, D) the part of ``sigma_rad`` that comes from depth: it wobbles from frame to frame, while the
        rest is mostly a constant offset of the landmarks.
    """

    time_s: Array
    angle_rad: Array
    rate_rad_s: Array
    sigma_rad: Array
    depth_sigma_rad: Array

    def __post_init__(self) -> None:
        shape = (len(self.time_s), len(AXES))
        for name in ("angle_rad", "rate_rad_s", "sigma_rad", "depth_sigma_rad"):
            _check(name, getattr(self, name), shape)

    def __len__(self) -> int:
        return len(self.time_s)


@dataclass(frozen=True, slots=True)
class Phase:
    """One span in which an angle moves one way or is held.

    Attributes
    ----------
    axis
        What moves.
    motion
        Motion of the span, or ``Motion.HOLD``.
    start, stop
        Half-open range of frames.
    repetition
        Number of the repetition, from 1; ``None`` outside any.
    excursion_rad
        Signed change of the angle over the span.
    """

    axis: MotionAxis
    motion: Motion
    start: int
    stop: int
    repetition: int | None
    excursion_rad: float

    def __contains__(self, frame: int) -> bool:
        return self.start <= frame < self.stop


@dataclass(frozen=True, slots=True)
class PhaseTable:
    """Phases in order of their start; those of one axis never overlap."""

    rows: tuple[Phase, ...]

    def __post_init__(self) -> None:
        last: dict[MotionAxis, int] = {}
        for row in sorted(self.rows, key=lambda r: r.start):
            if row.stop <= row.start or row.start < last.get(row.axis, 0):
                raise ValueError(f"phase {row.axis.name} {row.start}-{row.stop} is empty or overlaps another")
            last[row.axis] = row.stop

    def __iter__(self) -> Iterator[Phase]:
        return iter(self.rows)

    def __len__(self) -> int:
        return len(self.rows)

    @property
    def repetitions(self) -> int:
        """Number of repetitions found."""
        return max((row.repetition or 0 for row in self.rows), default=0)


@dataclass(frozen=True, slots=True)
class Work:
    """What the load demands during one phase.

    Attributes
    ----------
    working_group
        The group that the load demands; ``None`` when none is named.
    contraction
        How it works.
    demand
        Mean signed muscle moment, % of body weight x height; positive = towards the axis's
        positive motion. NaN = unknown.
    sigma
        Its standard deviation.
    support
        Body parts that carry the weight during the phase, e.g. ``("left foot", "right foot")``.
    trust
        0-1: how sure the named group is; never more than the trust of the angle that tells the motion.
    """

    working_group: WorkingGroup | None
    contraction: Contraction
    demand: float
    sigma: float
    support: tuple[str, ...]
    trust: float


@dataclass(frozen=True, slots=True)
class WorkTable:
    """One ``Work`` for each row of a ``PhaseTable``, in its order.

    Attributes
    ----------
    rows
        (P,) work.
    assumptions
        Sentences that hold for all rows, e.g. that body weight alone loads the joints.
    """

    rows: tuple[Work, ...]
    assumptions: tuple[str, ...]

    def __iter__(self) -> Iterator[Work]:
        return iter(self.rows)

    def __len__(self) -> int:
        return len(self.rows)


@dataclass(frozen=True, slots=True)
class PersonChoice:
    """Who was followed.

    Attributes
    ----------
    count
        People seen at once.
    number
        Number of the followed one, from 1 (as on the people picture), left to right at first sight.
    reason
        A sentence for the summary.
    """

    count: int = 1
    number: int = 1
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Study:
    """All that was found in one clip.

    Attributes
    ----------
    video, person, landmarks, body, angles, phases, work
        The results of the stages; ``work`` has one row for each phase.
    model_sha256
        Checksum of the landmark model.
    versions
        Name and version of the tool and of the libraries that decide a result.
    settings
        The settings that decided a result, as flat names and texts.
    """

    video: VideoFacts
    person: PersonChoice
    landmarks: LandmarkTrack
    body: BodyTrack
    angles: AngleTrack
    phases: PhaseTable
    work: WorkTable
    model_sha256: str
    versions: dict[str, str] = field(default_factory=dict)
    settings: dict[str, str] = field(default_factory=dict)
    schema_version: int = SCHEMA_VERSION

    def __post_init__(self) -> None:
        frames = len(self.landmarks)
        if not (len(self.body) == len(self.angles) == frames):
            raise ValueError(f"a study of {frames} landmark frames has {len(self.body)} body, {len(self.angles)} angle")
        if len(self.work) != len(self.phases):
            raise ValueError(f"{len(self.phases)} phases but {len(self.work)} rows of work")

    def active(self, frame: int) -> Iterator[tuple[Phase, Work]]:
        """Phases that run at a frame, with their work."""
        return ((phase, work) for phase, work in zip(self.phases, self.work) if frame in phase)
