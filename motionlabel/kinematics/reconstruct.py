"""From landmarks to the body: joint centres with the hip's own path, and segment frames."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import uniform_filter1d

from motionlabel.body import Centre, Landmark, Segment
from motionlabel.kinematics.depth import ELBOW, KNEE, Evidence, depth_bias, gather_evidence, settle, settle_limb
from motionlabel.kinematics.gravity import camera_pitch, level, turned
from motionlabel.kinematics.head import head_frames
from motionlabel.kinematics.orientation import levelled_from_world, rightward_axis
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
from motionlabel.records import Array, BodyTrack, CameraModel, LandmarkTrack, VideoFacts

_LEAST_VISIBILITY = 0.02
"""Landmarks below this are invented. Limbs hidden by the body go down to 0.04 and are still placed well."""

_EDGE = 0.02
"""How far beyond the picture's edge a landmark may lie, fraction of the shorter side (own convention)."""

_POINTS: dict[Centre, tuple[Landmark, ...]] = {
    Centre.HEAD: (Landmark.LEFT_EAR, Landmark.RIGHT_EAR),
    Centre.LEFT_HAND: (Landmark.LEFT_INDEX, Landmark.LEFT_PINKY),
    Centre.RIGHT_HAND: (Landmark.RIGHT_INDEX, Landmark.RIGHT_PINKY),
    Centre.LEFT_TOE: (Landmark.LEFT_FOOT_INDEX,),
    Centre.RIGHT_TOE: (Landmark.RIGHT_FOOT_INDEX,),
    **{
        Centre[f"{side}_{part}"]: (Landmark[f"{side}_{part}"],)
        for side in ("LEFT", "RIGHT")
        for part in ("SHOULDER", "ELBOW", "WRIST", "HIP", "KNEE", "ANKLE", "HEEL")
    },
}

_SEEN_AS = {Centre.LEFT_BALL: Centre.LEFT_TOE, Centre.RIGHT_BALL: Centre.RIGHT_TOE}

_BALL_AT = 0.75
"""The ball of the foot, fraction of heel to toe tip (from memory; anthropometric tables give 0.72-0.75)."""

_LOW_STATURES = 0.02
_PLANTED_STATURES_S = 0.05
_FEWEST_PLANTED = 5

# Distance between landmark and joint centre in the picture, fraction of stature (root mean square over
# demo_clips, which show rendered bodies: a floor for real footage).
_PICTURE_SIGMA = {
    "HEAD": 0.025,
    "SHOULDER": 0.020,
    "ELBOW": 0.015,
    "WRIST": 0.012,
    "HAND": 0.015,
    "HIP": 0.023,
    "KNEE": 0.013,
    "ANKLE": 0.015,
    "HEEL": 0.015,
    "TOE": 0.015,
    "BALL": 0.015,
}


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
    image = turned(_seen(landmarks, video), roll_rad) * np.array([1.0, -1.0]) / px_per_m
    landmarks = replace(landmarks, world_m=turned(landmarks.world_m, roll_rad))
    world = levelled_from_world(landmarks.world_m) * _world_scale(landmarks, px_per_m)
    rightward = rightward_axis(landmarks, video.fps)

    frames = len(landmarks)
    centres = np.full((frames, len(Centre), 3), np.nan)
    variance = np.full((frames, len(Centre)), np.nan)
    for centre, points in _POINTS.items():
        centres[:, centre, :2] = image[:, list(points)].mean(axis=1)

    def evidence_of(links: list[Link]) -> list[Evidence]:
        pictures = [link_vector(image, link) for link in links]
        estimated = [link_vector(world, link)[:, 2] for link in links]
        lengths = [link.length * ASSUMED_STATURE_M for link in links]
        biases = depth_bias(pictures, estimated, lengths)
        return [
            gather_evidence(picture, depth, bias, rightward, length, link.lateral_spread, video.fps)
            for link, picture, depth, bias, length in zip(links, pictures, estimated, biases, lengths)
        ]

    trunk_depth, trunk_sigma = settle(*evidence_of([TRUNK]))
    head_depth, head_sigma = settle(*evidence_of([HEAD]))
    centres[:, Centre.HEAD, 2] = trunk_depth + head_depth
    variance[:, Centre.HEAD] = trunk_sigma**2 + head_sigma**2
    for side, sign in (("LEFT", -0.5), ("RIGHT", 0.5)):
        across = sign * rightward[:, 2] * ASSUMED_STATURE_M
        hip, shoulder = Centre[f"{side}_HIP"], Centre[f"{side}_SHOULDER"]
        centres[:, hip, 2] = across * HIP_WIDTH
        variance[:, hip] = 0.0
        centres[:, shoulder, 2] = trunk_depth + across * SHOULDER_WIDTH
        variance[:, shoulder] = trunk_sigma**2
        for chain, hinge in ((("HIP", "KNEE", "ANKLE"), KNEE), (("SHOULDER", "ELBOW", "WRIST"), ELBOW)):
            steps = list(pairwise(chain))
            upper, lower = evidence_of([LIMBS[f"{side}_{start}_{end}"] for start, end in steps])
            depths = settle_limb(upper, lower, rightward, hinge)
            for (start, end), (step, sigma) in zip(steps, depths):
                near, far = Centre[f"{side}_{start}"], Centre[f"{side}_{end}"]
                centres[:, far, 2] = centres[:, near, 2] + step
                variance[:, far] = variance[:, near] + sigma**2
        foot = settle(*evidence_of([LIMBS[f"{side}_HEEL_FOOT_INDEX"]]))
        _add_foot_and_hand(side, foot, centres, variance, video.fps)

    _plant_feet(centres, variance, landmarks.time_s)
    pitch = camera_pitch(landmarks, rightward)
    centres, rightward = level(centres, pitch), level(rightward, pitch)
    sigma_m = np.array([_PICTURE_SIGMA[centre.name.split("_")[-1]] for centre in Centre]) * ASSUMED_STATURE_M
    return BodyTrack(
        time_s=landmarks.time_s,
        centres_m=centres,
        segment_rotations=_segment_rotations(centres, rightward, head_frames(image)),
        sigma_m=np.where(np.isnan(centres[:, :, 0]), np.nan, sigma_m * _guessing(landmarks)),
        depth_sigma_m=np.sqrt(variance),
        stature_m=ASSUMED_STATURE_M,
        camera=CameraModel(
            px_per_m=px_per_m, roll_rad=roll_rad, width=video.width, height=video.height, pitch_rad=pitch
        ),
    )


def _add_foot_and_hand(side: str, foot: tuple[Array, Array], centres: Array, variance: Array, fps: float) -> None:
    ankle, heel, toe = (Centre[f"{side}_{part}"] for part in ("ANKLE", "HEEL", "TOE"))
    wrist, hand = Centre[f"{side}_WRIST"], Centre[f"{side}_HAND"]
    ball = Centre[f"{side}_BALL"]
    depth, sigma = foot
    # the heel lies about a quarter of the foot behind the ankle (own estimate)
    centres[:, heel, 2] = centres[:, ankle, 2] - 0.25 * depth
    variance[:, heel] = variance[:, ankle]
    centres[:, toe, 2] = centres[:, heel, 2] + depth
    variance[:, toe] = variance[:, heel] + sigma**2
    centres[:, ball] = _ball_of_foot(centres[:, heel], centres[:, toe], fps)
    variance[:, ball] = variance[:, toe]
    centres[:, hand, 2] = centres[:, wrist, 2]
    variance[:, hand] = variance[:, wrist]


def _ball_of_foot(heel: Array, toe: Array, fps: float) -> Array:
    """(F, 3) ball of the foot: on the line from heel to toe tip, or before toes that lie flat on the ground.

    When the heel rises the toes stay flat, so the line to their tip turns less than the foot does.
    """
    line = toe - heel
    ball = heel + _BALL_AT * line
    seen = np.isfinite(line[:, 0])
    if np.count_nonzero(seen) < 3:
        return ball
    length = np.percentile(np.linalg.norm(line[seen], axis=1), 75)
    lift = heel[:, 1] - toe[:, 1]
    flat_lift = np.median(lift[seen & (np.abs(lift - np.percentile(lift[seen], 25)) < 0.1 * length)])
    level = line * np.array([1.0, 0.0, 1.0])
    level /= np.maximum(np.linalg.norm(level, axis=1, keepdims=True), 1e-9)
    low = toe[:, 1] - np.percentile(toe[seen, 1], 5) < _LOW_STATURES * ASSUMED_STATURE_M
    drift = np.abs(np.gradient(toe[:, 0])) * fps < _PLANTED_STATURES_S * ASSUMED_STATURE_M
    # from nothing to wholly as the heel rises by a tenth of the foot, without a step
    risen = np.clip((lift - flat_lift) / (0.1 * length), 0.0, 1.0)
    flat = uniform_filter1d(np.where(low & drift, risen, 0.0), max(1, round(0.1 * fps)))[:, None]
    before_toes = toe - (1.0 - _BALL_AT) * length * level
    return (1.0 - flat) * ball + flat * before_toes


def _plant_feet(centres: Array, variance: Array, time_s: Array) -> None:
    """Keep the depth between two standing feet as it is for most of the time, in place.

    Feet on the ground do not move, so what their depths do against each other is error of the legs above:
    half of it is taken off each leg.
    """
    if len(time_s) < _FEWEST_PLANTED:
        return
    ankles = [Centre.LEFT_ANKLE, Centre.RIGHT_ANKLE]
    speed = np.linalg.norm(np.gradient(centres[:, ankles, :2], time_s, axis=0), axis=2)
    planted = (speed < _PLANTED_STATURES_S * ASSUMED_STATURE_M).all(axis=1)
    apart = centres[:, ankles[0], 2] - centres[:, ankles[1], 2]
    if np.count_nonzero(planted & np.isfinite(apart)) < _FEWEST_PLANTED:
        return
    wrong = apart - np.nanmedian(apart[planted])
    for side, sign in (("LEFT", -0.5), ("RIGHT", 0.5)):
        knee, ankle = Centre[f"{side}_KNEE"], Centre[f"{side}_ANKLE"]
        share = np.where(variance[:, ankle] > 0.0, variance[:, knee] / np.maximum(variance[:, ankle], 1e-12), 0.5)
        shift = np.where(planted, np.nan_to_num(sign * wrong), 0.0)
        for part in ("KNEE", "ANKLE", "HEEL", "TOE", "BALL"):
            # the mean of two legs has half the variance of one
            variance[planted, Centre[f"{side}_{part}"]] *= 0.5
        centres[:, knee, 2] += share * shift
        for part in ("ANKLE", "HEEL", "TOE", "BALL"):
            centres[:, Centre[f"{side}_{part}"], 2] += shift


def _guessing(landmarks: LandmarkTrack) -> Array:
    """(F, J) factor on the spread of points that the landmarker guesses behind the body: 1 to 3."""
    visibility = np.stack(
        [landmarks.visibility[:, list(_POINTS[_SEEN_AS.get(centre, centre)])].mean(axis=1) for centre in Centre], axis=1
    )
    return 1.0 + 2.0 * (1.0 - np.clip(visibility, 0.0, 1.0))


def _seen(landmarks: LandmarkTrack, video: VideoFacts) -> Array:
    margin = _EDGE * min(video.width, video.height)
    points = landmarks.image_px
    inside = (points > -margin).all(axis=2) & (points < np.array([video.width, video.height]) + margin).all(axis=2)
    return np.where((inside & (landmarks.visibility >= _LEAST_VISIBILITY))[:, :, None], points, np.nan)


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
