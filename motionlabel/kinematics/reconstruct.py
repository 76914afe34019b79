"""From landmarks to the body: joint centres with the hip's own path, and segment frames."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from motionlabel.body import Centre, Landmark, Segment
from motionlabel.kinematics.depth import (
    ELBOW,
    KNEE,
    Evidence,
    depth_bias,
    gather_evidence,
    settle,
    settle_limb,
)
from motionlabel.kinematics.feet import ball_of_foot, plant_feet, under_the_body
from motionlabel.kinematics.gravity import camera_pitch, level, turned
from motionlabel.kinematics.head import head_frames
from motionlabel.kinematics.orientation import levelled_from_world, rightward_axis
from motionlabel.kinematics.perspective import without_perspective
from motionlabel.kinematics.points import across_the_picture, seen_landmarks
from motionlabel.kinematics.proportions import (
    ASSUMED_STATURE_M,
    HEAD,
    HIP_WIDTH,
    LIMBS,
    SHOULDER_WIDTH,
    TRUNK,
    Link,
    link_vector,
    stature_px,
)
from motionlabel.kinematics.rotations import segment_frame
from motionlabel.kinematics.spread import picture_sigma
from motionlabel.records import Array, BodyTrack, CameraModel, LandmarkTrack, VideoFacts

Step = tuple[Array, Array]
"""(F,) depth of a segment's far end against its near one, and (F,) its standard deviation."""


def body_from_landmarks(landmarks: LandmarkTrack, video: VideoFacts, roll_rad: float = 0.0) -> BodyTrack:
    """Build the body from smoothed landmarks.

    The picture, turned upright, gives x and y (scaled orthographic); depth comes from ``settle_limb``.

    Parameters
    ----------
    landmarks
        Smoothed landmarks of one person.
    video
        Size and rate of the clip.
    roll_rad
        How far the camera leans, clockwise positive.

    Returns
    -------
    BodyTrack
        NaN where the person, or the point, is not seen.

    Raises
    ------
    ValueError
        No frame shows a person.
    """
    height_px = stature_px(landmarks)
    px_per_m = height_px / ASSUMED_STATURE_M
    middle = 0.5 * np.array([video.width, video.height])
    upright = turned(seen_landmarks(landmarks, video) - middle, roll_rad) + middle
    image = upright * np.array([1.0, -1.0]) / px_per_m
    landmarks = replace(landmarks, world_m=turned(landmarks.world_m, roll_rad))
    world = levelled_from_world(landmarks.world_m) * _world_scale(landmarks, px_per_m)
    rightward = rightward_axis(landmarks, video.fps)

    sight = _Sight(image, world, rightward, video.fps)
    outer = _outer_steps(sight)
    flat, _ = _depths(sight, outer)
    # what is nearer looks larger: the depths of a first pass take that out of the picture of the legs
    depth, variance = _depths(replace(sight, image=without_perspective(image, flat, video, px_per_m)), outer)
    centres = np.concatenate([across_the_picture(image), depth[:, :, None]], axis=2)
    for side in ("LEFT", "RIGHT"):
        heel, toe, ball = (Centre[f"{side}_{part}"] for part in ("HEEL", "TOE", "BALL"))
        centres[:, ball] = ball_of_foot(centres[:, heel], centres[:, toe], video.fps)
    plant_feet(centres, variance, landmarks.time_s)
    pitch = camera_pitch(landmarks, rightward)
    centres, rightward = level(centres, pitch), level(rightward, pitch)
    return BodyTrack(
        time_s=landmarks.time_s,
        centres_m=centres,
        segment_rotations=_segment_rotations(centres, rightward, head_frames(image)),
        sigma_m=np.where(np.isnan(centres[:, :, 0]), np.nan, picture_sigma(landmarks, image)),
        depth_sigma_m=np.sqrt(variance),
        stature_m=ASSUMED_STATURE_M,
        camera=CameraModel(
            px_per_m=px_per_m, roll_rad=roll_rad, width=video.width, height=video.height, pitch_rad=pitch
        ),
    )


@dataclass(frozen=True)
class _Sight:
    """What the depths are told from.

    Attributes
    ----------
    image
        (F, L, 2) landmarks, metres of the assumed stature.
    world
        (F, L, 3) the landmarker's own, of the same scale.
    rightward
        (F, 3) unit vector from the person's left to right.
    fps
        Frames per second.
    """

    image: Array
    world: Array
    rightward: Array
    fps: float

    def evidence_of(self, *links: Link) -> list[Evidence]:
        """Return what speaks for the depth of links in line, near to far."""
        pictures = [link_vector(self.image, link) for link in links]
        estimated = [link_vector(self.world, link)[:, 2] for link in links]
        lengths = [link.length * ASSUMED_STATURE_M for link in links]
        biases = depth_bias(pictures, estimated, lengths)
        return [
            gather_evidence(picture, depth, bias, self.rightward, length, link.lateral_spread, self.fps)
            for link, picture, depth, bias, length in zip(links, pictures, estimated, biases, lengths)
        ]


def _outer_steps(sight: _Sight) -> dict[str, Step]:
    """Settle head, arms and feet, whose picture is taken as it is: each by its far end, against its near one."""
    steps = {"HEAD": settle(*sight.evidence_of(HEAD))}
    for side in ("LEFT", "RIGHT"):
        upper, lower = sight.evidence_of(LIMBS[f"{side}_SHOULDER_ELBOW"], LIMBS[f"{side}_ELBOW_WRIST"])
        steps[f"{side}_ELBOW"], steps[f"{side}_WRIST"] = settle_limb(upper, lower, sight.rightward, ELBOW)
        steps[f"{side}_TOE"] = settle(*sight.evidence_of(LIMBS[f"{side}_HEEL_FOOT_INDEX"]))
    return steps


def _depths(sight: _Sight, outer: dict[str, Step]) -> tuple[Array, Array]:
    """Return the depth of the joint centres against the hips and its variance, (F, J) each, but for the balls' depth.

    Parameters
    ----------
    sight
        Its picture without perspective.
    outer
        What is settled already.
    """
    depth, variance = np.full((2, len(sight.image), len(Centre)), np.nan)

    def add(near: Centre, far: Centre, step: Step) -> None:
        depth[:, far] = depth[:, near] + step[0]
        variance[:, far] = variance[:, near] + step[1] ** 2

    trunk, trunk_sigma = settle(*sight.evidence_of(TRUNK))
    depth[:, Centre.HEAD] = trunk + outer["HEAD"][0]
    variance[:, Centre.HEAD] = trunk_sigma**2 + outer["HEAD"][1] ** 2
    for side, sign in (("LEFT", -0.5), ("RIGHT", 0.5)):
        across = sign * sight.rightward[:, 2] * ASSUMED_STATURE_M
        hip, knee, ankle = (Centre[f"{side}_{part}"] for part in ("HIP", "KNEE", "ANKLE"))
        shoulder, elbow, wrist = (Centre[f"{side}_{part}"] for part in ("SHOULDER", "ELBOW", "WRIST"))
        depth[:, hip] = across * HIP_WIDTH
        variance[:, hip] = 0.0
        depth[:, shoulder] = trunk + across * SHOULDER_WIDTH
        variance[:, shoulder] = trunk_sigma**2
        add(shoulder, elbow, outer[elbow.name])
        add(elbow, wrist, outer[wrist.name])
        tether = under_the_body(side, sight.image, trunk, outer[elbow.name][0], sight.rightward, sight.fps)
        upper, lower = sight.evidence_of(LIMBS[f"{side}_HIP_KNEE"], LIMBS[f"{side}_KNEE_ANKLE"])
        thigh, shank = settle_limb(upper, lower, sight.rightward, KNEE, tether)
        add(hip, knee, thigh)
        add(knee, ankle, shank)
        _add_foot_and_hand(side, outer[f"{side}_TOE"], depth, variance)
    return depth, variance


def _add_foot_and_hand(side: str, foot: Step, depth: Array, variance: Array) -> None:
    ankle, heel, toe, ball = (Centre[f"{side}_{part}"] for part in ("ANKLE", "HEEL", "TOE", "BALL"))
    wrist, hand = Centre[f"{side}_WRIST"], Centre[f"{side}_HAND"]
    length, sigma = foot
    # the heel lies about a quarter of the foot behind the ankle (own estimate)
    depth[:, heel] = depth[:, ankle] - 0.25 * length
    variance[:, heel] = variance[:, ankle]
    depth[:, toe] = depth[:, heel] + length
    variance[:, toe] = variance[:, ball] = variance[:, heel] + sigma**2
    depth[:, hand] = depth[:, wrist]
    variance[:, hand] = variance[:, wrist]


def _world_scale(landmarks: LandmarkTrack, px_per_m: float) -> float:
    """Metres of the levelled frame per metre of the landmarker's world."""
    parts = [Landmark[f"{side}_{part}"] for side in ("LEFT", "RIGHT") for part in ("SHOULDER", "HIP", "KNEE", "ANKLE")]
    image = landmarks.image_px[landmarks.present][:, parts] / px_per_m
    world = landmarks.world_m[landmarks.present][:, parts, :2]
    spread = [np.sqrt(np.square(v - v.mean(axis=1, keepdims=True)).sum(axis=(1, 2))) for v in (image, world)]
    scale = spread[0] / spread[1]
    return float(np.median(scale[np.isfinite(scale)])) if np.isfinite(scale).any() else 1.0


def _segment_rotations(centres: Array, rightward: Array, head: Array) -> NDArray[np.float32]:
    def point(name: str) -> Array:
        return centres[:, Centre[name]]

    middle = {part: 0.5 * (point(f"LEFT_{part}") + point(f"RIGHT_{part}")) for part in ("HIP", "SHOULDER")}
    axes = {
        Segment.TRUNK: middle["SHOULDER"] - middle["HIP"],
        Segment.HEAD: point("HEAD") - middle["SHOULDER"],
    }
    for side in ("LEFT", "RIGHT"):
        for part, upper, lower in (
            ("THIGH", "HIP", "KNEE"),
            ("SHANK", "KNEE", "ANKLE"),
            ("UPPER_ARM", "SHOULDER", "ELBOW"),
            ("FOREARM", "ELBOW", "WRIST"),
            ("HAND", "WRIST", "HAND"),
            # the foot's long axis runs forward: its frame has the sole's normal up (see segment_frame)
            ("FOOT", "TOE", "HEEL"),
        ):
            axes[Segment[f"{side}_{part}"]] = point(f"{side}_{upper}") - point(f"{side}_{lower}")
    # single precision: the largest part of a long clip's study, and 1e-7 rad is plenty
    rotations = np.full((len(centres), len(Segment), 3, 3), np.nan, dtype=np.float32)
    for segment, up in axes.items():
        rotations[:, segment] = segment_frame(up, rightward)
    # the line of the neck stands in where the face does not tell
    rotations[:, Segment.HEAD] = np.where(np.isnan(head), rotations[:, Segment.HEAD], head)
    return rotations
