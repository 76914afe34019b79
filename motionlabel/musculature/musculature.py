"""Where the muscles of the tracked person lie in the picture, worked out at a frame when it is asked for."""

import numpy as np

from motionlabel.anatomy import Muscle, Nerve
from motionlabel.body import AXIS_INDEX, Axis, Joint, MotionAxis, Side
from motionlabel.musculature.bone import LEG_BONES, TRUNK_BONES, Bone, Freedom
from motionlabel.musculature.curve import NERVE_POINTS, POINTS, smooth_curve
from motionlabel.musculature.line import BonePlace, Bones, Flexions, Line, PathPoint, length_m
from motionlabel.musculature.nerve_courses import course_of
from motionlabel.musculature.paths import lines_of
from motionlabel.musculature.placed_line import BodyPoint, PlacedLine
from motionlabel.musculature.posture import freedoms_of, posture_of
from motionlabel.musculature.skeleton import flexions_of, posed
from motionlabel.musculature.tracked_bones import SpineBend, TrackedBones, UsualLengths, usual_lengths
from motionlabel.records import Array, Study

_ANATOMY_SIGMA_M = 0.010
"""How far people's attachments differ from the model's, scaled to their bones (own estimate)."""

_TURN_SIGMA = float(np.sin(np.radians(10.0)))
"""A limb's turn about its own axis is not seen well: what stands out from the axis moves with it (own estimate)."""

MOST_SIGMA_STATURES = 0.045
"""Lines whose place is less sure are not placed: more than half a thigh's width (own convention)."""

_SURE_BEND_RAD = np.radians(12.0)
"""A side-bend less sure than this is not put into the spine (own convention)."""

_BELLY = 0.6
"""Share of the anatomical length that is belly and takes up all change; the tendons keep theirs (own convention)."""

_FULLNESS = (0.7, 1.5)

_ENTRY = slice(3, 10)
"""Where along its line a nerve enters a muscle: the middle of the belly and nearer (own convention)."""


class Musculature:
    """The muscles of the person of one study. Keeps nothing that grows with the clip.

    Parameters
    ----------
    study
        What was found in the clip.
    """

    def __init__(self, study: Study) -> None:
        self._study = study
        self._px_per_m = study.body.camera.px_per_m
        self._usual: dict[Side, UsualLengths] = {}
        self._lengths: dict[tuple[str, str], float] = {}
        self._frame = -1
        self._scenes: dict[Side, _Scene] = {}

    def muscle(self, muscle: Muscle, side: Side, frame: int) -> tuple[PlacedLine, ...]:
        """Return the lines of a muscle at a frame; empty where it has no path or its place is too uncertain.

        Parameters
        ----------
        muscle
            A muscle of the atlas.
        side
            Left or right.
        frame
            Number of the frame.
        """
        scene = self._scene(side, frame)
        placed = (self._placed(line, scene) for line in lines_of(muscle))
        return tuple(line for line in placed if line is not None)

    def attachments(self, muscle: Muscle, side: Side, frame: int) -> tuple[BodyPoint, ...]:
        """Return the proximal and the distal attachment at a frame, as named on a label.

        Empty where the muscle has no path, its names are not short enough for a label, or its place is too
        uncertain. A muscle of several lines is attached in their middle.
        """
        lines = self.muscle(muscle, side, frame)
        names = (muscle.proximal_short, muscle.distal_short)
        if not lines or not all(names):
            return ()
        sigma = float(np.mean([line.sigma_px for line in lines]))
        return tuple(
            BodyPoint(name, np.mean([line.points_px[end] for line in lines], axis=0), sigma)
            for name, end in zip(names, (0, POINTS - 1))
        )

    def nerve(self, nerve: Nerve, muscle: Muscle | None, side: Side, frame: int) -> PlacedLine | None:
        """Return the course of a nerve from its plexus to a muscle, or to its end, at a frame.

        ``None`` where the nerve has no course or its place is too uncertain. The last piece, into the muscle, goes
        to the nearest place of its belly.
        """
        course = course_of(nerve)
        if course is None:
            return None
        scene = self._scene(side, frame)
        points = course.points
        target = None
        if muscle is not None:
            bellies = [scene.vertices(line.drawn(scene.flexions)) for line in lines_of(muscle)]
            curves = [smooth_curve(belly[0])[_ENTRY] for belly in bellies if belly is not None]
            target = np.concatenate(curves) if curves else None
            points = _up_to(points, muscle)
        placed = scene.vertices(points)
        if placed is None or not self._sure(placed[1]):
            return None
        curve = smooth_curve(placed[0], NERVE_POINTS)
        if target is not None:
            curve = smooth_curve(_into(curve, target), NERVE_POINTS)
        return self._line(curve, placed[1], 1.0, True)

    def _sure(self, sigma_m: float) -> bool:
        return sigma_m <= MOST_SIGMA_STATURES * self._study.body.stature_m

    def _line(self, curve: Array, sigma_m: float, fullness: float, estimated: bool) -> PlacedLine:
        pixels = curve[:, :2] * np.array([self._px_per_m, -self._px_per_m])
        return PlacedLine(pixels, curve[:, 3], sigma_m * self._px_per_m, fullness, estimated)

    def _scene(self, side: Side, frame: int) -> "_Scene":
        if side not in (Side.LEFT, Side.RIGHT):
            raise ValueError(f"a muscle lies on the left or on the right, not on {side}")
        if frame != self._frame:
            self._frame, self._scenes = frame, {}
        if side not in self._scenes:
            if side not in self._usual:
                self._usual[side] = usual_lengths(self._study.body, side)
            self._scenes[side] = _Scene(self._study, self._usual[side], side, frame)
        return self._scenes[side]

    def _placed(self, line: Line, scene: "_Scene") -> PlacedLine | None:
        vertices = scene.vertices(line.drawn(scene.flexions))
        if vertices is None:
            return None
        points, sigma_m = vertices
        if not self._sure(sigma_m):
            return None
        return self._line(smooth_curve(points), sigma_m, self._fullness(line, scene), line.estimated)

    def _fullness(self, line: Line, scene: "_Scene") -> float:
        if scene.unknown & set(freedoms_of(line)):
            return 1.0
        key = (line.muscle, line.name)
        if key not in self._lengths:
            self._lengths[key] = length_m(line.active({}), posed({}), {})
        anatomical = self._lengths[key]
        now = length_m(line.active(scene.flexions), scene.reference, scene.flexions)
        belly = max(1.0 + (now / anatomical - 1.0) / _BELLY, 0.1)
        return float(np.clip(belly**-0.5, *_FULLNESS))


class _Scene:
    """One side of the body at one frame."""

    def __init__(self, study: Study, usual: UsualLengths, side: Side, frame: int) -> None:
        angles = study.angles
        self.posture, self.unknown = posture_of(angles.angle_rad[frame], side)
        self.flexions: Flexions = flexions_of(self.posture)
        bend = AXIS_INDEX[MotionAxis(Joint.TRUNK, Side.MIDLINE, Axis.LATERAL_BEND)]
        sure = angles.sigma_rad[frame, bend] < _SURE_BEND_RAD
        spine = SpineBend(
            flexion=self.posture.get(Freedom.TRUNK_FLEXION, 0.0),
            left=float(np.nan_to_num(angles.angle_rad[frame, bend])) if sure else 0.0,
        )
        tracked = TrackedBones(study.body, usual, side, frame, spine)
        self._bones = tracked.place()
        self._hips, self._trunk_up = tracked.trunk_axis()
        self._reference: Bones | None = None

    @property
    def reference(self) -> Bones:
        """The reference body in the same posture."""
        if self._reference is None:
            self._reference = posed(self.posture)
        return self._reference

    def vertices(self, points: tuple[PathPoint, ...]) -> tuple[Array, float] | None:
        """Return (V, 4) place and depth beside the limb, metres, and the spread; ``None`` where a bone is not seen."""
        if any(point.bone not in self._bones for point in points):
            return None
        leg = any(point.bone in LEG_BONES for point in points)
        result = np.empty((len(points), 4))
        variance = _ANATOMY_SIGMA_M**2
        for row, point in zip(result, points):
            bone = self._bones[point.bone]
            at = point.place(self.flexions)
            offset = bone.axes @ (at * _ACROSS)
            row[:3] = bone.origin + bone.axes @ at
            row[3] = self._beside(row[:3], point.bone, offset, leg)
            variance += (bone.sigma_m**2 + _TURN_SIGMA**2 * float(offset @ offset)) / len(points)
        return (result, float(np.sqrt(variance))) if np.isfinite(result).all() else None

    def _beside(self, place: Array, bone: Bone, offset: Array, leg: bool) -> float:
        """Return the depth against the axis of the limb: the trunk's for trunk bones, the hip for a leg's muscle."""
        if bone not in TRUNK_BONES:
            return float(offset[2])
        if leg:
            hip: BonePlace = self._bones[Bone.FEMUR]
            return float(place[2] - hip.origin[2])
        along = float((place - self._hips) @ self._trunk_up)
        return float(place[2] - self._hips[2] - along * self._trunk_up[2])


_ACROSS = np.array([1.0, 0.0, 1.0])


def _up_to(points: tuple[PathPoint, ...], muscle: Muscle) -> tuple[PathPoint, ...]:
    """Leave out what lies beyond the last bone that a muscle touches, so that an unseen foot hides no thigh."""
    farthest = max((_REACH.get(bone, 0) for line in lines_of(muscle) for bone in line.bones), default=9)
    return tuple(point for point in points if _REACH.get(point.bone, 0) <= farthest)


def _into(curve: Array, target: Array) -> Array:
    """End the course of a nerve at the nearest place of a muscle's belly."""
    apart = np.linalg.norm(curve[1:, None, :3] - target[None, :, :3], axis=2)
    leave, enter = np.unravel_index(np.argmin(apart), apart.shape)
    return np.concatenate([curve[: int(leave) + 2], target[None, int(enter)]])


_REACH = {
    Bone.FEMUR: 1,
    Bone.HUMERUS: 1,
    Bone.TIBIA: 2,
    Bone.ULNA: 2,
    Bone.RADIUS: 2,
    Bone.FOOT: 3,
    Bone.TOES: 3,
    Bone.HAND: 3,
}
