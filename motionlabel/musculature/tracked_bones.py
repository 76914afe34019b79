"""The bones of the tracked body at one frame, as the camera sees them: x right, y up, z towards it.

Bones end at the joint centres of the body, so that a line stays on its limb; what stands out from a limb's line
goes by the person's usual lengths, so that it does not shrink with a misjudged depth.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from motionlabel.body import Centre, Segment, Side
from motionlabel.musculature.bone import Bone
from motionlabel.musculature.line import TURN_SIGMA, BonePlace
from motionlabel.musculature.skeleton import (
    BALL_OF_FOOT,
    LUMBOSACRAL,
    PELVIS_OF_FEMUR,
    SHOULDER_OF_THORAX,
    STERNOCLAVICULAR,
    about_forward,
    about_outward,
    scapular_turn,
)
from motionlabel.records import Array, BodyTrack

_HINGE_BEHIND = 0.025
"""The knee turns about an axis this far behind the tracked knee, femur lengths. *Source*: fitted to the sliding
knee of gait2392 (10 mm)."""

_BENT_KNEE_RAD = (np.radians(40.0), np.radians(80.0))
_BENT_ELBOW_RAD = (np.radians(50.0), np.radians(80.0))
"""From here to there a bend comes to tell how the limb above it is turned (own convention; a straight elbow looks
bent by up to 45 deg where depth is wrong)."""

_MOST_TURNED = (-0.5, -0.1)
"""Cosine against the resting axis from which a hinge's axis is an error of depth, and from which it is believed: no
limb turns by 120 degrees, an arm may by 95 (own convention)."""

_GIRDLE_SIGMA_M = 0.015
"""What the shoulder blade does beyond the shoulder's landmark is not seen (own estimate)."""


@dataclass(frozen=True, slots=True)
class UsualLengths:
    """Usual lengths of one side of the person over the clip, metres; NaN = never seen."""

    trunk: float
    shoulders: float
    thigh: float
    shank: float
    foot: float
    upper_arm: float
    forearm: float
    hand: float


def usual_lengths(body: BodyTrack, side: Side) -> UsualLengths:
    """Return the medians over the clip of the lengths between joint centres."""
    centres = body.centres_m

    def point(part: str, of: Side = side) -> Array:
        return centres[:, Centre[f"{of}_{part}".upper()]]

    def length(a: Array, b: Array) -> float:
        lengths = np.linalg.norm(a - b, axis=1)
        lengths = lengths[np.isfinite(lengths)]
        return float(np.median(lengths)) if len(lengths) else np.nan

    def middle(part: str) -> Array:
        return 0.5 * (point(part, Side.LEFT) + point(part, Side.RIGHT))

    return UsualLengths(
        trunk=length(middle("hip"), middle("shoulder")),
        shoulders=length(point("shoulder", Side.LEFT), point("shoulder", Side.RIGHT)),
        thigh=length(point("hip"), point("knee")),
        shank=length(point("knee"), point("ankle")),
        foot=length(point("heel"), point("ball")),
        upper_arm=length(point("shoulder"), point("elbow")),
        forearm=length(point("elbow"), point("wrist")),
        hand=length(point("wrist"), point("hand")),
    )


@dataclass(frozen=True, slots=True)
class SpineBend:
    """How the thorax is bent against the pelvis, radians; 0 where it is not known."""

    flexion: float = 0.0
    left: float = 0.0


class TrackedBones:
    """Places the bones of one side at one frame.

    Parameters
    ----------
    body
        The tracked body.
    usual
        Lengths of this side.
    side
        Left or right.
    frame
        Number of the frame.
    spine
        Bend of the spine at this frame.
    """

    def __init__(self, body: BodyTrack, usual: UsualLengths, side: Side, frame: int, spine: SpineBend) -> None:
        self._usual, self._side = usual, side
        self._sign = 1.0 if side is Side.RIGHT else -1.0
        pitch = body.camera.pitch_rad
        cos, sin = np.cos(pitch), np.sin(pitch)
        # levelled axes to the camera's: the inverse of kinematics.gravity.level
        self._camera = np.array([[1.0, 0.0, 0.0], [0.0, cos, -sin], [0.0, sin, cos]])
        self._centres = body.centres_m[frame] @ self._camera.T
        self._sigma = body.sigma_m[frame]
        self._depth_variance = body.depth_sigma_m[frame] ** 2
        self._rotations = body.segment_rotations[frame]
        self._trunk = self._segment(Segment.TRUNK)
        self._spine = spine

    def place(self) -> Mapping[Bone, BonePlace]:
        """Return the bones whose joint centres are seen, metres in camera axes."""
        bones = {**self._trunk_bones(), **self._arm(), **self._leg()}
        return {bone: place for bone, place in bones.items() if np.isfinite(place.origin).all()}

    def trunk_axis(self) -> tuple[Array, Array]:
        """Return middle of the hips and direction to the middle of the shoulders, (3,) each."""
        hips, shoulders = self._middle("hip"), self._middle("shoulder")
        return hips, _unit(shoulders - hips)

    def _segment(self, segment: Segment) -> Array:
        return self._camera @ self._rotations[segment].astype(np.float64)

    def _centre(self, part: str, side: Side | None = None) -> Array:
        return self._centres[Centre[f"{side or self._side}_{part}".upper()]]

    def _middle(self, part: str) -> Array:
        return 0.5 * (self._centre(part, Side.LEFT) + self._centre(part, Side.RIGHT))

    def _spread(self, *parts: str) -> float:
        return float(np.mean([self._sigma[Centre[f"{self._side}_{part}".upper()]] for part in parts]))

    def _axes(self, rotation: Array, across: float, along: float, forward: float | None = None) -> Array:
        """Return axes scaled by a bone's lengths, the third outward to the side meant."""
        return rotation * np.array([forward or across, along, across * self._sign])

    def _long_bone(
        self, ends: tuple[Array, Array], rotation: Array, usual_m: float, parts: tuple[str, str]
    ) -> BonePlace:
        """Return a bone between two joints; what turns it is also the spread of its direction in depth."""
        near, far = (self._depth_variance[Centre[f"{self._side}_{part}".upper()]] for part in parts)
        direction = np.sqrt(max(far - near, 0.0)) / usual_m
        return BonePlace(
            ends[0],
            self._axes(rotation, usual_m, float(np.linalg.norm(ends[0] - ends[1]))),
            self._spread(*parts),
            min(float(np.hypot(TURN_SIGMA, np.nan_to_num(direction))), 1.0),
        )

    def _trunk_bones(self) -> dict[Bone, BonePlace]:
        usual = self._usual
        hips, shoulders = self._middle("hip"), self._middle("shoulder")
        own_hip, own_shoulder = self._centre("hip"), self._centre("shoulder")
        pelvis_rotation = self._trunk @ about_outward(self._spine.flexion) @ about_forward(self._spine.left)
        half = self._trunk @ about_outward(0.5 * self._spine.flexion) @ about_forward(0.5 * self._spine.left)
        pelvis_m = PELVIS_OF_FEMUR * usual.thigh
        axes = self._axes(pelvis_rotation, pelvis_m, pelvis_m)
        # hung on the hip of this side: what crosses the hip keeps its lever
        pelvis = BonePlace(own_hip - axes @ np.array([0.0, 0.0, 0.5]), axes, self._spread("hip"))
        joint = pelvis.point(LUMBOSACRAL)
        lumbar_axes = self._axes(half, pelvis_m, pelvis_m)
        spread = self._spread("hip", "shoulder")
        thorax = BonePlace(
            shoulders, self._axes(self._trunk, usual.trunk, float(np.linalg.norm(shoulders - hips))), spread
        )
        turned = scapular_turn(self._elevation()) * self._sign
        girdle = float(np.hypot(self._spread("shoulder"), _GIRDLE_SIGMA_M))
        shoulders_m = usual.shoulders
        # hung on the shoulder of this side, as the pelvis is on its hip
        own_thorax = own_shoulder - thorax.axes @ SHOULDER_OF_THORAX
        head = self._centres[Centre.HEAD]
        return {
            Bone.PELVIS: pelvis,
            Bone.LUMBAR: BonePlace(joint - lumbar_axes @ LUMBOSACRAL, lumbar_axes, spread),
            Bone.THORAX: thorax,
            Bone.SKULL: BonePlace(
                head,
                self._axes(self._segment(Segment.HEAD), usual.trunk, usual.trunk),
                float(self._sigma[Centre.HEAD]),
            ),
            Bone.SCAPULA: BonePlace(
                own_shoulder, self._axes(self._trunk @ about_forward(-turned), shoulders_m, shoulders_m), girdle
            ),
            Bone.CLAVICLE: BonePlace(
                own_thorax + thorax.axes @ STERNOCLAVICULAR,
                self._axes(self._trunk @ about_forward(-0.5 * turned), shoulders_m, shoulders_m),
                girdle,
            ),
        }

    def _elevation(self) -> float:
        arm = _unit(self._centre("elbow") - self._centre("shoulder"))
        return float(np.nan_to_num(np.arccos(np.clip(-arm @ self._trunk[:, 1], -1.0, 1.0))))

    def _leg(self) -> dict[Bone, BonePlace]:
        usual = self._usual
        hip, knee, ankle = (self._centre(part) for part in ("hip", "knee", "ankle"))
        outward = self._trunk[:, 2]
        thigh = _frame(hip - knee, outward)
        bend = _cross(ankle - knee, knee - hip)
        thigh = _frame(hip - knee, _turned(thigh[:, 2], bend, knee - hip, ankle - knee, _BENT_KNEE_RAD))
        hinge = knee - _HINGE_BEHIND * usual.thigh * thigh[:, 0]
        thigh, shank = _frame(hip - hinge, thigh[:, 2]), _frame(hinge - ankle, thigh[:, 2])
        heel, ball = self._centre("heel"), self._centre("ball")
        foot = _foot_frame(ball - heel, shank[:, 2])
        along = float(np.linalg.norm(ball - heel))
        foot_place = BonePlace(
            ankle, self._axes(foot, usual.foot, usual.foot, along), self._spread("ankle", "heel", "ball")
        )
        toe = self._centre("toe") - ball
        toes = _foot_frame(toe, foot[:, 2])
        return {
            Bone.FEMUR: self._long_bone((hip, hinge), thigh, usual.thigh, ("hip", "knee")),
            Bone.TIBIA: self._long_bone((hinge, ankle), shank, usual.shank, ("knee", "ankle")),
            Bone.FOOT: foot_place,
            Bone.TOES: BonePlace(
                foot_place.point(BALL_OF_FOOT), self._axes(toes, usual.foot, usual.foot), self._spread("ball", "toe")
            ),
        }

    def _arm(self) -> dict[Bone, BonePlace]:
        usual = self._usual
        shoulder, elbow, wrist, hand = (self._centre(part) for part in ("shoulder", "elbow", "wrist", "hand"))
        hanging = _swung(self._trunk, shoulder - elbow)
        bend = _cross(elbow - shoulder, wrist - elbow)
        across = _turned(hanging[:, 2], bend, elbow - shoulder, wrist - elbow, _BENT_ELBOW_RAD)
        upper_arm = _frame(shoulder - elbow, across)
        forearm = _frame(elbow - wrist, upper_arm[:, 2])
        palm = _frame(wrist - hand, forearm[:, 2])
        lower = self._long_bone((elbow, wrist), forearm, usual.forearm, ("elbow", "wrist"))
        return {
            Bone.HUMERUS: self._long_bone((shoulder, elbow), upper_arm, usual.upper_arm, ("shoulder", "elbow")),
            Bone.ULNA: lower,
            Bone.RADIUS: lower,
            Bone.HAND: BonePlace(wrist, self._axes(palm, usual.hand, usual.hand), self._spread("wrist", "hand")),
        }


def _cross(a: Array, b: Array) -> Array:
    # numpy's own takes ten times as long on one vector
    return np.array([a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]])


def _unit(vector: Array) -> Array:
    return vector / max(float(np.sqrt(vector @ vector)), 1e-9)


def _frame(up: Array, outward: Array) -> Array:
    """Return (3, 3) columns forward, up, right of a segment, as ``kinematics.rotations.segment_frame``."""
    y = _unit(up)
    x = _unit(_cross(y, outward))
    return np.stack([x, y, _cross(x, y)], axis=1)


def _foot_frame(forward: Array, outward: Array) -> Array:
    x = _unit(forward)
    y = _unit(_cross(outward, x))
    return np.stack([x, y, _cross(x, y)], axis=1)


def _turned(resting: Array, bend: Array, upper: Array, lower: Array, bent_rad: tuple[float, float]) -> Array:
    """Return the axis across a limb: at rest while its hinge is straight, the hinge's own once it is bent."""
    angle = np.arctan2(float(np.sqrt(bend @ bend)), float(upper @ lower))
    if np.isnan(angle):  # the segment beyond is not seen
        return resting
    hinge = _unit(bend)
    bent = np.clip((angle - bent_rad[0]) / (bent_rad[1] - bent_rad[0]), 0.0, 1.0)
    possible = np.clip((hinge @ resting - _MOST_TURNED[0]) / (_MOST_TURNED[1] - _MOST_TURNED[0]), 0.0, 1.0)
    share = bent * possible
    return (1.0 - share) * resting + share * hinge


def _swung(trunk: Array, up: Array) -> Array:
    """Return the trunk's frame swung the shortest way so that its up axis lies along the limb."""
    start, end = trunk[:, 1], _unit(up)
    axis = _cross(start, end)
    cosine = float(start @ end)
    if cosine < -0.999:
        # overhead the shortest way is not one way
        return np.stack([-trunk[:, 0], end, trunk[:, 2]], axis=1)
    factor = 1.0 / (1.0 + cosine)
    x, y, z = axis
    cross = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    return (np.eye(3) + cross + factor * (cross @ cross)) @ trunk
