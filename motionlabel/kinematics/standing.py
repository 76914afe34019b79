"""Quiet standing: when it is, and the zero of the angles that it gives."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import binary_opening

from motionlabel.body import AXIS_INDEX, Axis, Centre, Joint, MotionAxis, Segment, Side
from motionlabel.kinematics.gravity import UNNOTICED_PITCH_RAD
from motionlabel.kinematics.known import known_median, known_quantiles
from motionlabel.kinematics.rotations import level_forward
from motionlabel.records import AngleTrack, Array, BodyTrack

_STILL_S = 0.25
_STILL_STATURES_S = 0.05
"""Joint centres slower than this, statures a second, are still: 8 deg/s of a leg is 0.07 (own convention)."""

_FLAT_STATURES = 0.02
_UPRIGHT_RAD = np.radians(20.0)
_STRAIGHT_RAD = np.radians(30.0)

_STANDING_RAD = {
    (Joint.HIP, Axis.FLEXION): np.radians(2.0),
    (Joint.KNEE, Axis.FLEXION): np.radians(2.5),
    (Joint.ANKLE, Axis.DORSIFLEXION): 0.0,
}
"""Angles of relaxed standing: knees 0-5 deg by most gait laboratories, thigh and trunk nearly in line, sole
square to the shank (from memory)."""

_FEWEST = 5
_FARTHEST_RAD = np.radians(9.0)
"""Beyond this and the spread of depth a stance is another posture: landmarks are off by up to 8 deg in side
views (measured on demo_clips)."""

_FADE_RAD = np.radians(30.0)
_SEEN_RAD = np.radians(4.0)
"""An angle that depth spreads by less is seen in the picture, and its offset is the same at all angles."""


def quiet_frames(body: BodyTrack) -> NDArray[np.bool_]:
    """(F,) frames in which trunk and legs are still for a quarter of a second."""
    fps = (len(body) - 1) / max(body.time_s[-1] - body.time_s[0], 1e-6)
    return np.asarray(binary_opening(_still(body), np.ones(max(1, round(_STILL_S * fps)))))


def quiet_standing(body: BodyTrack) -> NDArray[np.bool_]:
    """(F,) frames of quiet, upright standing on flat feet."""
    if len(body) < 2:
        return np.zeros(len(body), dtype=bool)
    return quiet_frames(body) & _upright(body) & _feet_flat(body)


def zero_by_standing(angles: AngleTrack, body: BodyTrack) -> AngleTrack:
    """Shift hip, knee and ankle so that quiet standing reads as relaxed standing does.

    Landmarks lie beside the joint centres, by about the same all through a clip; and depth bends straight
    legs. Seen by a camera that looks down a little, feet that point at it look toes down. The first offset holds
    at all angles. The second fades away from standing. A stance that is
    plainly another posture (a held half squat, toes up) is left as it is.

    Parameters
    ----------
    angles
        As measured.
    body
        The same frames.

    Returns
    -------
    AngleTrack
        As given where the clip has no quiet standing.
    """
    standing = quiet_standing(body)
    if np.count_nonzero(standing) < _FEWEST:
        return angles
    angle = angles.angle_rad.copy()
    forward = level_forward(body.frame_of(Segment.TRUNK)[standing, :, 2])
    toes_down = known_median(np.abs(forward[:, 2])) * UNNOTICED_PITCH_RAD
    for (joint, axis), relaxed in _STANDING_RAD.items():
        farthest = _FARTHEST_RAD + (toes_down if joint is Joint.ANKLE else 0.0)
        for side in (Side.LEFT, Side.RIGHT):
            column = AXIS_INDEX[MotionAxis(joint, side, axis)]
            values = angle[standing, column]
            values = values[np.isfinite(values)]
            if len(values) < _FEWEST:
                continue
            offset = known_median(values) - relaxed
            depth = known_median(angles.depth_sigma_rad[standing, column])
            if abs(offset) > farthest + depth:
                continue
            away = (angle[:, column] - relaxed - offset) / _FADE_RAD
            angle[:, column] -= offset * (1.0 if depth < _SEEN_RAD else np.exp(-np.square(away)))
    rate = np.gradient(angle, angles.time_s, axis=0)
    return replace(angles, angle_rad=angle, rate_rad_s=rate)


def _still(body: BodyTrack) -> NDArray[np.bool_]:
    watched = [Centre[f"{side}_{part}"] for side in ("LEFT", "RIGHT") for part in ("SHOULDER", "HIP", "KNEE", "ANKLE")]
    velocity = np.gradient(body.centres_m[:, watched, :2], body.time_s, axis=0)
    speed = np.linalg.norm(velocity, axis=2)
    return np.isfinite(speed[:, 2]) & (np.nan_to_num(speed).max(axis=1) < _STILL_STATURES_S * body.stature_m)


def _feet_flat(body: BodyTrack) -> NDArray[np.bool_]:
    """Heels and toes each at their own lowest level; a foot that is not seen does not count."""
    feet = [Centre[f"{side}_{part}"] for side in ("LEFT", "RIGHT") for part in ("HEEL", "TOE")]
    height = body.centres_m[:, feet, 1]
    if not np.isfinite(height).any():
        return np.zeros(len(body), dtype=bool)
    seen = np.isfinite(height).any(axis=0)
    low = known_quantiles(height[:, seen], 0.05)
    lifted = height[:, seen] - low > _FLAT_STATURES * body.stature_m
    return ~np.asarray(lifted.any(axis=1))


def _upright(body: BodyTrack) -> NDArray[np.bool_]:
    """Trunk and both legs near the vertical in the picture."""

    def lean(upper: Array, lower: Array) -> Array:
        line = upper - lower
        return np.abs(np.arctan2(line[:, 0], line[:, 1]))

    def point(name: str) -> Array:
        return body.centres_m[:, Centre[name]]

    middle = {part: 0.5 * (point(f"LEFT_{part}") + point(f"RIGHT_{part}")) for part in ("SHOULDER", "HIP")}
    upright = lean(middle["SHOULDER"], middle["HIP"]) < _UPRIGHT_RAD
    for side in ("LEFT", "RIGHT"):
        for upper, lower in (("HIP", "KNEE"), ("KNEE", "ANKLE")):
            upright &= ~(lean(point(f"{side}_{upper}"), point(f"{side}_{lower}")) > _STRAIGHT_RAD)
    return upright
