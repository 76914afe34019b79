"""How far the camera leans to the side, from a person who stands or lies still."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from motionlabel.body import Centre, Segment
from motionlabel.kinematics.known import known_median, known_quantiles
from motionlabel.kinematics.reconstruct import body_from_landmarks
from motionlabel.kinematics.standing import quiet_frames, quiet_standing
from motionlabel.records import Array, BodyTrack, LandmarkTrack, VideoFacts

_LEAST_RAD = np.radians(4.0)
"""Smaller leans are left alone: people stand and lie up to 3 deg off (measured on demo_clips)."""

_STEEPEST_RAD = np.radians(25.0)
_AGREE_RAD = np.radians(4.0)
"""Body and ground must lean alike, or else it is the person who leans (own convention)."""

_LEAST_S = 0.5
_FRONT, _SIDE = 0.9, 0.4
"""Part of the shoulder line across the picture in views from the front and from the side: 25 deg either way."""

_TOES_DOWN_RAD = np.radians(3.0)
"""Toes of a flat foot look so much lower than the heel (measured on demo_clips: 0 to 6 deg)."""

_IN_LINE_RAD = np.radians(6.0)
_ARM_BELOW = 0.1
"""Hands farther than this below the line of trunk and legs prop it up, statures: it does not lie on the ground."""

_FEET = {side: [Centre[f"{side}_{part}"] for part in ("HEEL", "TOE", "ANKLE")] for side in ("LEFT", "RIGHT")}


def levelled_body(landmarks: LandmarkTrack, video: VideoFacts, roll_rad: float | None = None) -> BodyTrack:
    """Build the body in a frame that is level even if the camera was not.

    Parameters
    ----------
    landmarks, video
        As for ``body_from_landmarks``.
    roll_rad
        How far the camera leans, clockwise positive; ``None`` = found from the person, where they show it.

    Returns
    -------
    BodyTrack
        ``camera.roll_rad`` says what was taken.
    """
    body = body_from_landmarks(landmarks, video, roll_rad or 0.0)
    if roll_rad is not None:
        return body
    found = camera_roll(body)
    return body if found == 0.0 else body_from_landmarks(landmarks, video, found)


def camera_roll(body: BodyTrack) -> float:
    """Return how far a camera that was taken for level leans.

    Somebody who stands still in a line is upright to within 3 deg, or else the ground under their feet says
    that they lean: both have to tilt alike. On the back or front, trunk and legs lie along the ground. In
    oblique views the ground is not level in the picture, so nothing is found there.

    Returns
    -------
    Radians, clockwise positive; 0 below 4 deg and where it cannot be told.
    """
    if len(body) < 3:
        return 0.0
    fps = (len(body) - 1) / max(body.time_s[-1] - body.time_s[0], 1e-6)
    least = max(3, round(_LEAST_S * fps))
    points = replace(body, centres_m=body.centres_m / body.stature_m)
    for frames, estimate in (
        (np.flatnonzero(quiet_standing(body)), _from_standing),
        (np.flatnonzero(quiet_frames(body)), _from_lying),
    ):
        if len(frames) >= least:
            roll = estimate(points, frames)
            if _LEAST_RAD < abs(roll) < _STEEPEST_RAD:
                return roll
    return 0.0


def _middle(body: BodyTrack, frames: NDArray[np.intp], part: str) -> Array:
    """(F, 2) middle between left and right in the picture."""
    return body.centres_m[frames][:, [Centre[f"LEFT_{part}"], Centre[f"RIGHT_{part}"]], :2].mean(axis=1)


def _tilt(line: Array) -> float:
    """Median tilt of lines against the horizontal of the picture, anticlockwise positive, -90 to 90 deg."""
    tilt = np.arctan2(line[:, 1], line[:, 0])
    return known_median((tilt + 0.5 * np.pi) % np.pi - 0.5 * np.pi)


def _from_standing(body: BodyTrack, frames: NDArray[np.intp]) -> float:
    across = abs(known_median(body.frame_of(Segment.TRUNK)[frames, 0, 2]))
    up = _middle(body, frames, "SHOULDER") - _middle(body, frames, "ANKLE")
    lean = known_median(np.arctan2(up[:, 0], up[:, 1]))
    left, right = (body.centres_m[frames][:, feet, :2] for feet in _FEET.values())
    if across > _FRONT:
        ground = _tilt(right.mean(axis=1) - left.mean(axis=1))
    elif across < _SIDE:
        foot = (right[:, 1] - right[:, 0]) + (left[:, 1] - left[:, 0])
        ground = _tilt(foot) + _TOES_DOWN_RAD * np.sign(known_median(foot[:, 0]))
    else:
        return 0.0
    return -lean if abs(ground + lean) < _AGREE_RAD else 0.0


def _from_lying(body: BodyTrack, frames: NDArray[np.intp]) -> float:
    # on the side, the line of the shoulders stands up and lifts the middle between them
    if abs(known_median(body.frame_of(Segment.TRUNK)[frames, 2, 2])) < _FRONT:
        return 0.0
    shoulders, hips = _middle(body, frames, "SHOULDER"), _middle(body, frames, "HIP")
    ankles = body.centres_m[frames][:, [Centre.LEFT_ANKLE, Centre.RIGHT_ANKLE], :2]
    lower = np.take_along_axis(ankles, ankles[:, :, 1].argmin(axis=1)[:, None, None], axis=1)[:, 0]
    trunk, leg = _tilt(shoulders - hips), _tilt(hips - lower)
    along = known_quantiles(shoulders - lower, 0.5)
    along = along / np.linalg.norm(along) * np.sign(along[0])
    arms = body.centres_m[frames][:, [Centre[f"{s}_{p}"] for s in _FEET for p in ("ELBOW", "WRIST")], :2]
    below = (arms - hips[:, None]) @ np.array([along[1], -along[0]])
    propped = bool((known_quantiles(below, 0.5) > _ARM_BELOW).any())
    return trunk if abs(trunk - leg) < _IN_LINE_RAD and not propped else 0.0
