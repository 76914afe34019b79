"""Where the muscles of the tracked person lie in the picture, worked out at a frame when it is asked for."""

from functools import cached_property

import numpy as np

from motionlabel.anatomy import Muscle, Nerve
from motionlabel.body import AXIS_INDEX, Axis, Joint, MotionAxis, Side
from motionlabel.musculature.bone import Bone, Freedom
from motionlabel.musculature.curve import NERVE_POINTS, POINTS, smooth_curve
from motionlabel.musculature.line import Flexions, Line, PathPoint
from motionlabel.musculature.nerve_courses import course_of
from motionlabel.musculature.paths import lines_of
from motionlabel.musculature.placed_bones import PlacedBones, point_set
from motionlabel.musculature.placed_line import BodyPoint, PlacedLine
from motionlabel.musculature.posture import freedoms_of, posture_of
from motionlabel.musculature.skeleton import flexions_of, posed
from motionlabel.musculature.tracked_bones import SpineBend, TrackedBones, UsualLengths, usual_lengths
from motionlabel.records import Array, Study

_ANATOMY_SIGMA_M = 0.010
"""How far people's attachments differ from the model's, scaled to their bones (own estimate)."""

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
        self._straight = PlacedBones(posed({}))
        self._lengths: dict[Line, float] = {}
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
            bellies = [scene.curve(line) for line in lines_of(muscle)]
            curves = [belly[0][_ENTRY] for belly in bellies if belly is not None]
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
        found = scene.curve(line)
        if found is None or not self._sure(found[1]):
            return None
        return self._line(*found, self._fullness(line, scene), line.estimated)

    def _fullness(self, line: Line, scene: "_Scene") -> float:
        if scene.unknown and not scene.unknown.isdisjoint(freedoms_of(line)):
            return 1.0
        if line not in self._lengths:
            self._lengths[line] = self._straight.length_m(point_set(line.active({})), {})
        now = scene.reference.length_m(point_set(line.active(scene.flexions)), scene.flexions)
        belly = max(1.0 + (now / self._lengths[line] - 1.0) / _BELLY, 0.1)
        return min(max(belly**-0.5, _FULLNESS[0]), _FULLNESS[1])


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
        bones = tracked.place()
        self._bones = PlacedBones(bones)
        self._hip_depth = bones[Bone.FEMUR].origin[2] if Bone.FEMUR in bones else np.nan
        self._hips, self._trunk_up = tracked.trunk_axis()
        self._curves: dict[Line, tuple[Array, float] | None] = {}

    @cached_property
    def reference(self) -> PlacedBones:
        """The reference body in the same posture."""
        return PlacedBones(posed(self.posture))

    def curve(self, line: Line) -> tuple[Array, float] | None:
        """Return (POINTS, 4) place and depth beside the limb of a line, metres, and its spread."""
        if line not in self._curves:
            vertices = self.vertices(line.drawn(self.flexions))
            self._curves[line] = None if vertices is None else (smooth_curve(vertices[0]), vertices[1])
        return self._curves[line]

    def vertices(self, points: tuple[PathPoint, ...]) -> tuple[Array, float] | None:
        """Return (V, 4) place and depth beside the limb, metres, and the spread; ``None`` where a bone is not seen."""
        together, bones = point_set(points), self._bones
        if not bones.seen[together.bone].all():
            return None
        places, offset = bones.places(together, self.flexions)
        result = np.empty((len(places), 4))
        result[:, :3] = places
        result[:, 3] = np.where(together.in_trunk, self._beside_trunk(places, together.of_leg), offset[:, 2])
        stands_out = np.einsum("ij,ij->i", offset, offset)
        each = bones.variance[together.bone] + bones.turn_variance[together.bone] * stands_out
        variance = _ANATOMY_SIGMA_M**2 + each.sum() / len(places)
        # a bone of a person half seen may have no direction
        return (result, float(np.sqrt(variance))) if np.isfinite(result).all() else None

    def _beside_trunk(self, places: Array, leg: bool) -> Array:
        """Return the depth against the trunk's line, or against the hip for a muscle of the leg."""
        if leg:
            return places[:, 2] - self._hip_depth
        along = (places - self._hips) @ self._trunk_up
        return places[:, 2] - self._hips[2] - along * self._trunk_up[2]


def _up_to(points: tuple[PathPoint, ...], muscle: Muscle) -> tuple[PathPoint, ...]:
    """Leave out what lies beyond the last bone that a muscle touches, so that an unseen foot hides no thigh."""
    farthest = max((_REACH.get(bone, 0) for line in lines_of(muscle) for bone in line.bones), default=9)
    return tuple(point for point in points if _REACH.get(point.bone, 0) <= farthest)


def _into(curve: Array, target: Array) -> Array:
    """End the course of a nerve at the nearest place of a muscle's belly."""
    steps = curve[1:, None, :3] - target[None, :, :3]
    leave, enter = divmod(int(np.einsum("ijk,ijk->ij", steps, steps).argmin()), len(target))
    return np.concatenate([curve[: leave + 2], target[None, enter]])


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
