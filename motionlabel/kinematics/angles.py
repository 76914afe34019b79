"""Anatomical angles of a body, with their rates and uncertainty."""

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import label, uniform_filter1d

from motionlabel.body import AXES, AXIS_INDEX, Axis, Centre, Joint, MotionAxis, Segment, Side
from motionlabel.kinematics.axial import horizontal_adduction, internal_rotation, turn_between, unturned_frame
from motionlabel.kinematics.head import measure_neck
from motionlabel.kinematics.pelvis import pelvis_drop
from motionlabel.kinematics.proportions import LIMBS
from motionlabel.kinematics.rotations import (
    frontal_swing_angles,
    hinge_angle,
    level_forward,
    segment_frame,
    swing_angles,
    unit,
)
from motionlabel.kinematics.toes import toe_extension
from motionlabel.kinematics.wrist import wrist_flexion
from motionlabel.records import AngleTrack, Array, BodyTrack

_RAISED_RAD = np.radians(45.0)
_YAW_SIGMA_RAD = np.radians(7.0)
"""Standard deviation of the rightward axis about the vertical (measured on demo_clips)."""

_ACROSS = 0.3
"""Share of two centres' variance that turns the line between them: half lies along it, and they err alike
(measured on demo_clips and other rendered clips: 0.95 of side-view angles lie within two sigma)."""

_END_ON = 0.6
"""A foot shorter than this in the picture, against its usual length, points at the camera (own convention)."""

_HIP_LINE_SIGMA_RAD = np.radians(20.0)
"""Standard deviation of the tilt of a hip line seen end-on (own estimate)."""

_TURN_SIGMA_RAD = {Joint.HIP: np.radians(7.0), Joint.SHOULDER: np.radians(20.0)}
"""Spread of the turn of a limb beyond what its points explain (measured on rendered bodies)."""

_TRUNK_TURN_SIGMA_RAD = np.radians(17.0)
"""Shoulder and hip landmarks show between none and 0.4 of a turn of the trunk (measured on rendered bodies)."""

_FRONTAL = 0.9
"""Share of the line across the person that the picture shows from the front or behind (own convention)."""

_ARM_PLANE_SIGMA_RAD = np.radians(17.0)
"""An arm's depth decides its plane in most views (measured on rendered bodies)."""

_BENT_FOR_SURE = 2.5
_ELBOW_BENT_RAD = np.radians(50.0)
"""A straight elbow looks bent by up to 45 deg where depth is wrong (measured on rendered bodies)."""

_SIDE_VIEW = 0.7
_LEAST_TOLD_RAD = np.radians(35.0)

_SIDES = ((Side.LEFT, "LEFT"), (Side.RIGHT, "RIGHT"))


def measure_angles(body: BodyTrack) -> AngleTrack:
    """Measure every axis of ``AXES`` in every frame.

    The hip is the thigh against the line from mid-hip to mid-shoulder: two hips and two shoulders do
    not show the tilt of the pelvis. Trunk flexion is therefore a weak estimate.

    Returns
    -------
    AngleTrack
        Radians; NaN where a point is not seen. ``sigma_rad`` joins the spread of the joint centres in
        the picture and in depth, and of the direction the person faces.
    """
    angle = _angles(body.centres_m, body.frame_of(Segment.TRUNK)[:, :, 2])
    depth = np.sqrt(_depth_variance(body, angle))
    sigma = np.hypot(np.sqrt(_picture_variance(body, angle)), depth)
    trunk = AXIS_INDEX[MotionAxis(Joint.TRUNK, Side.MIDLINE, Axis.FLEXION)]
    # how much of a lean is spine and how much is hip is not seen
    sigma[:, trunk] = depth[:, trunk] = np.hypot(np.radians(6.0), 2.0 * np.abs(angle[:, trunk]))
    _hide_end_on_feet(body, angle)
    # from the front the turn of the shoulders against the hips is all depth
    frontal = np.abs(body.frame_of(Segment.TRUNK)[:, 0, 2]) > _FRONTAL
    angle[frontal, AXIS_INDEX[MotionAxis(Joint.TRUNK, Side.MIDLINE, Axis.ROTATION)]] = np.nan
    for side, _ in _SIDES:
        _doubt_turns(body, side, angle, sigma, depth)
        _set(Joint.WRIST, side, Axis.FLEXION, wrist_flexion(body, side), angle, sigma, depth)
        _set(Joint.MTP, side, Axis.EXTENSION, toe_extension(body, side), angle, sigma, depth)
    neck = measure_neck(body.frame_of(Segment.TRUNK), body.frame_of(Segment.HEAD))
    for axis, measured in zip((Axis.FLEXION, Axis.LATERAL_BEND, Axis.ROTATION), neck):
        _set(Joint.NECK, Side.MIDLINE, axis, measured, angle, sigma, depth)
    _set(Joint.PELVIS, Side.MIDLINE, Axis.DROP, pelvis_drop(body), angle, sigma, depth)
    sigma[~np.isfinite(angle)] = depth[~np.isfinite(angle)] = np.nan
    rate = np.gradient(angle, body.time_s, axis=0) if len(body) > 1 else np.zeros_like(angle)
    return AngleTrack(time_s=body.time_s, angle_rad=angle, rate_rad_s=rate, sigma_rad=sigma, depth_sigma_rad=depth)


def _doubt_turns(body: BodyTrack, side: Side, angle: Array, sigma: Array, depth: Array) -> None:
    """Make the turn of a limb unknown where its hinge may as well be straight, and widen its spread, in place.

    The far arm of a side view is a guess of the landmarker, so its turn is unknown as well.
    """
    toward_camera = body.frame_of(Segment.TRUNK)[:, 2, 2] * (1.0 if side is Side.RIGHT else -1.0)
    for joint, hinge in ((Joint.HIP, Joint.KNEE), (Joint.SHOULDER, Joint.ELBOW)):
        bend = AXIS_INDEX[MotionAxis(hinge, side, Axis.FLEXION)]
        turn = AXIS_INDEX[MotionAxis(joint, side, Axis.INTERNAL_ROTATION)]
        unsure = angle[:, bend] < _BENT_FOR_SURE * sigma[:, bend]
        if joint is Joint.SHOULDER:
            unsure |= (angle[:, bend] < _ELBOW_BENT_RAD) | (toward_camera < -_SIDE_VIEW)
        angle[unsure | (sigma[:, turn] > _LEAST_TOLD_RAD), turn] = np.nan
        sigma[:, turn] = np.hypot(sigma[:, turn], _TURN_SIGMA_RAD[joint])
        depth[:, turn] = sigma[:, turn]


def _set(
    joint: Joint, side: Side, axis: Axis, measured: tuple[Array, Array], angle: Array, sigma: Array, depth: Array
) -> None:
    """Put one angle and its standard deviation in place; all of the latter may wobble."""
    column = AXIS_INDEX[MotionAxis(joint, side, axis)]
    angle[:, column], sigma[:, column] = measured
    depth[:, column] = sigma[:, column]


def _angles(centres: Array, rightward: Array, bodies: int = 1) -> Array:
    """(F, D) angles; of several bodies, the frames of one after those of the other."""

    def point(name: str) -> Array:
        return centres[:, Centre[name]]

    mid_hip = 0.5 * (point("LEFT_HIP") + point("RIGHT_HIP"))
    mid_shoulder = 0.5 * (point("LEFT_SHOULDER") + point("RIGHT_SHOULDER"))
    up = mid_shoulder - mid_hip
    trunk = segment_frame(up, rightward)
    result = np.full((len(centres), len(AXES)), np.nan)

    def put(joint: Joint, side: Side, axis: Axis, values: Array) -> None:
        result[:, AXIS_INDEX[MotionAxis(joint, side, axis)]] = values

    for side, name in _SIDES:
        thigh = point(f"{name}_KNEE") - point(f"{name}_HIP")
        shank = point(f"{name}_ANKLE") - point(f"{name}_KNEE")
        foot = point(f"{name}_BALL") - point(f"{name}_HEEL")
        upper_arm = point(f"{name}_ELBOW") - point(f"{name}_SHOULDER")
        forearm = point(f"{name}_WRIST") - point(f"{name}_ELBOW")

        flexion, abduction = swing_angles(_in_frame(thigh, trunk), side)
        put(Joint.HIP, side, Axis.FLEXION, flexion)
        put(Joint.HIP, side, Axis.ABDUCTION, abduction)
        unturned = trunk @ unturned_frame(flexion, abduction, side, np.zeros(len(centres), dtype=bool))
        turn = internal_rotation(_in_frame(shank, unturned), side, bends_forward=False)
        put(Joint.HIP, side, Axis.INTERNAL_ROTATION, turn)
        put(Joint.KNEE, side, Axis.FLEXION, -hinge_angle(thigh, shank, rightward))
        put(Joint.ELBOW, side, Axis.FLEXION, np.abs(hinge_angle(upper_arm, forearm, rightward)))
        cosine = (unit(-shank) * unit(foot)).sum(axis=1)
        put(Joint.ANKLE, side, Axis.DORSIFLEXION, np.pi / 2 - np.arccos(np.clip(cosine, -1.0, 1.0)))
        arm = _in_frame(upper_arm, trunk)
        flexion, abduction, sideways = _arm_angles(arm, side, bodies)
        put(Joint.SHOULDER, side, Axis.FLEXION, flexion)
        put(Joint.SHOULDER, side, Axis.ABDUCTION, abduction)
        put(Joint.SHOULDER, side, Axis.HORIZONTAL_ADDUCTION, horizontal_adduction(arm, side))
        unturned = trunk @ unturned_frame(flexion, abduction, side, sideways)
        turn = internal_rotation(_in_frame(forearm, unturned), side, bends_forward=True)
        put(Joint.SHOULDER, side, Axis.INTERNAL_ROTATION, turn)

    hips = point("RIGHT_HIP") - point("LEFT_HIP")
    across = unit(hips - (hips * trunk[:, :, 0]).sum(axis=1, keepdims=True) * trunk[:, :, 0])
    put(Joint.TRUNK, Side.MIDLINE, Axis.LATERAL_BEND, -np.arcsin(np.clip((across * unit(up)).sum(axis=1), -1, 1)))
    shoulders = point("RIGHT_SHOULDER") - point("LEFT_SHOULDER")
    put(Joint.TRUNK, Side.MIDLINE, Axis.ROTATION, turn_between(_in_frame(hips, trunk), _in_frame(shoulders, trunk)))
    lean = np.arctan2((up * unit(level_forward(rightward))).sum(axis=1), up[:, 1])
    # a fifth of an upright person's lean is taken for the spine's (own estimate, hence its spread)
    put(Joint.TRUNK, Side.MIDLINE, Axis.FLEXION, np.where(np.abs(lean) < np.radians(60), 0.2 * lean, np.nan))
    return result


def _hide_end_on_feet(body: BodyTrack, angle: Array) -> None:
    """Make the ankle unknown where the foot points at the camera, in place: its pitch is not seen there."""
    usual = LIMBS["LEFT_HEEL_FOOT_INDEX"].length * body.stature_m
    window = 1 + 2 * min(7, len(body) // 4)
    for side, name in _SIDES:
        line = body.centres_m[:, Centre[f"{name}_TOE"], :2] - body.centres_m[:, Centre[f"{name}_HEEL"], :2]
        length = uniform_filter1d(np.nan_to_num(np.linalg.norm(line, axis=1)), window, mode="nearest")
        angle[length < _END_ON * usual, AXIS_INDEX[MotionAxis(Joint.ANKLE, side, Axis.DORSIFLEXION)]] = np.nan


def _in_frame(vectors: Array, frame: Array) -> Array:
    return np.einsum("fij,fi->fj", frame, vectors)


def _arm_angles(direction: Array, side: Side, bodies: int) -> tuple[Array, Array, NDArray[np.bool_]]:
    """Shoulder angles, told as flexion or as abduction by the plane of each raise as a whole.

    The third array is True where abduction comes first.
    """
    sideways = np.zeros(len(direction), dtype=bool)
    flexion, abduction = swing_angles(direction, side)
    side_flexion, side_abduction = frontal_swing_angles(direction, side)
    elevation = np.arccos(np.clip(-unit(direction)[:, 1], -1.0, 1.0))
    raised = (np.nan_to_num(elevation) > _RAISED_RAD).reshape(bodies, -1)
    # a raise ends with the frames of its body
    spans, count = label(raised, structure=[[0, 0, 0], [1, 1, 1], [0, 0, 0]])
    for span in range(1, count + 1):
        frames = (spans == span).ravel()
        weight = np.sin(elevation[frames])
        forward, outward = np.abs(unit(direction[frames])[:, 0]), np.abs(unit(direction[frames])[:, 2])
        if np.nansum(weight * outward) > np.nansum(weight * forward):
            flexion[frames], abduction[frames] = side_flexion[frames], side_abduction[frames]
            sideways |= frames
    return flexion, abduction, sideways


def _picture_variance(body: BodyTrack, angle: Array) -> Array:
    """Spread of the angles from the spread of the joint centres in the picture."""
    sigma = np.nan_to_num(body.sigma_m, nan=0.03 * body.stature_m)
    result = np.zeros((len(body), len(AXES)))
    trunk = _line_variance(body, sigma, "LEFT_HIP", "LEFT_SHOULDER") / 2.0

    def put(joint: Joint, side: Side, axis: Axis, variance: Array) -> None:
        result[:, AXIS_INDEX[MotionAxis(joint, side, axis)]] = variance

    def bent(joint: Joint, side: Side) -> Array:
        """Squared sine of a hinge: how far the segment beyond it stands out from the axis it shows the turn of."""
        flexion = angle[:, AXIS_INDEX[MotionAxis(joint, side, Axis.FLEXION)]]
        return np.maximum(np.square(np.sin(np.nan_to_num(flexion))), 0.1)

    for axis in (Axis.FLEXION, Axis.LATERAL_BEND):
        put(Joint.TRUNK, Side.MIDLINE, axis, trunk + np.square(np.radians(3.0)))
    put(Joint.TRUNK, Side.MIDLINE, Axis.ROTATION, np.full(len(body), np.square(_TRUNK_TURN_SIGMA_RAD)))
    for side, name in _SIDES:
        lines = {
            Joint.HIP: ("HIP", "KNEE"),
            Joint.KNEE: ("KNEE", "ANKLE"),
            Joint.ANKLE: ("HEEL", "BALL"),
            Joint.SHOULDER: ("SHOULDER", "ELBOW"),
            Joint.ELBOW: ("ELBOW", "WRIST"),
        }
        own = {
            joint: _line_variance(body, sigma, f"{name}_{start}", f"{name}_{end}")
            for joint, (start, end) in lines.items()
        }
        for joint in (Joint.HIP, Joint.SHOULDER):
            for axis in (Axis.FLEXION, Axis.ABDUCTION):
                put(joint, side, axis, trunk + own[joint])
        for near, far in ((Joint.HIP, Joint.KNEE), (Joint.SHOULDER, Joint.ELBOW)):
            put(far, side, Axis.FLEXION, own[near] + own[far])
            put(near, side, Axis.INTERNAL_ROTATION, own[near] + own[far] / bent(far, side))
        put(Joint.ANKLE, side, Axis.DORSIFLEXION, own[Joint.KNEE] + own[Joint.ANKLE])
        plane = trunk + 2.0 * own[Joint.SHOULDER] + np.square(_ARM_PLANE_SIGMA_RAD)
        put(Joint.SHOULDER, side, Axis.HORIZONTAL_ADDUCTION, plane)
    return result


def _line_variance(body: BodyTrack, sigma: Array, start: str, end: str) -> Array:
    a, b = Centre[start], Centre[end]
    length = np.linalg.norm(body.centres_m[:, b] - body.centres_m[:, a], axis=1)
    across = _ACROSS * (sigma[:, a] ** 2 + sigma[:, b] ** 2)
    return across / np.square(np.maximum(length, 0.02 * body.stature_m))


def _depth_variance(body: BodyTrack, angle: Array) -> Array:
    """Spread of the angles from depth and from the direction faced, by moving each a little."""
    rightward = body.frame_of(Segment.TRUNK)[:, :, 2]
    parts = (("SHOULDER", "HEAD"), ("KNEE", "ELBOW"), ("ANKLE", "WRIST"), ("BALL", "HAND"))
    chain = {"SHOULDER": "HIP", "KNEE": "HIP", "ELBOW": "SHOULDER", "ANKLE": "KNEE", "WRIST": "ELBOW", "BALL": "HEEL"}
    moved_centres = np.tile(body.centres_m, (len(parts) + 1, 1, 1, 1))
    for centres, moved in zip(moved_centres, parts):
        for _, side in _SIDES:
            for part in moved:
                if part not in chain:
                    continue
                this, before = Centre[f"{side}_{part}"], Centre[f"{side}_{chain[part]}"]
                step = np.sqrt(np.maximum(body.depth_sigma_m[:, this] ** 2 - body.depth_sigma_m[:, before] ** 2, 0.0))
                for centre in _beyond(side, part):
                    centres[:, centre, 2] += step
    cos, sin = np.cos(_YAW_SIGMA_RAD), np.sin(_YAW_SIGMA_RAD)
    yaw = np.array([[cos, 0.0, sin], [0.0, 1.0, 0.0], [-sin, 0.0, cos]])
    facing = np.concatenate([np.tile(rightward, (len(parts), 1)), rightward @ yaw.T])
    angles = _angles(moved_centres.reshape(-1, *body.centres_m.shape[1:]), facing, len(moved_centres))
    total = np.square(_turned(angles.reshape(-1, *angle.shape) - angle)).sum(axis=0)
    window = 1 + 2 * min(5, len(body) // 4)
    bend = AXIS_INDEX[MotionAxis(Joint.TRUNK, Side.MIDLINE, Axis.LATERAL_BEND)]
    total[:, bend] += np.square(rightward[:, 2] * _HIP_LINE_SIGMA_RAD)
    # the running mean may fall a rounding below zero
    return np.maximum(uniform_filter1d(np.nan_to_num(total), window, axis=0, mode="nearest"), 0.0)


def _beyond(side: str, part: str) -> list[Centre]:
    leg, arm = ["KNEE", "ANKLE", "HEEL", "BALL"], ["SHOULDER", "ELBOW", "WRIST", "HAND"]
    limb = leg if part in leg else arm
    names = limb[limb.index(part) :] if part != "BALL" else ["BALL"]
    return [Centre[f"{side}_{name}"] for name in names]


def _turned(difference: Array) -> Array:
    return (difference + np.pi) % (2.0 * np.pi) - np.pi
