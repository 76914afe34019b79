"""A simple body posed by anatomical angles: joint centres that are known exactly.

The body's own axes are forward, up and right; it stands facing the right edge of the picture, so that
its right side is towards the camera. Lengths are fractions of stature after Drillis & Contini 1966
(from memory); only the tests depend on them.
"""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from scipy.spatial.transform import Rotation

from motionlabel.body import Centre, Landmark, Segment, Side
from motionlabel.kinematics.pelvis import BENDS_AT
from motionlabel.kinematics.rotations import segment_frame
from motionlabel.records import BodyTrack, CameraModel, LandmarkTrack, VideoFacts

STATURE_M = 1.70
FORWARD, UP, RIGHT = np.eye(3)

HALF_HIPS, HALF_SHOULDERS, TRUNK, HEAD = 0.055, 0.105, 0.288, 0.12
THIGH, SHANK, UPPER_ARM, FOREARM, HAND = 0.245, 0.246, 0.186, 0.146, 0.06
ANKLE_HEIGHT, HEEL_BEHIND, FOOT, BALL_AT = 0.039, 0.035, 0.145, 0.72

SIZE, PX_PER_M = (1280, 1280), 500.0
FLOOR_PX = 1150.0


def ramp(time_s: np.ndarray, keys: list[tuple[float, float]]) -> np.ndarray:
    """Angle that goes from key to key (time, value) by raised cosines and rests outside."""
    times, values = np.array(keys).T
    after = np.clip(np.searchsorted(times, time_s, side="right"), 1, len(times) - 1)
    start, stop = times[after - 1], times[after]
    share = np.clip((time_s - start) / (stop - start), 0.0, 1.0)
    return values[after - 1] + (values[after] - values[after - 1]) * (0.5 - 0.5 * np.cos(np.pi * share))


def clock(seconds: float, fps: float = 30.0) -> np.ndarray:
    """Times of the frames."""
    return np.arange(round(seconds * fps)) / fps


def posed_body(
    time_s: np.ndarray,
    degrees: Mapping[str, np.ndarray | float],
    *,
    lean: np.ndarray | float = 0.0,
    facing: float = 0.0,
    fixed: Centre | None = None,
    depth_sigma_m: float = 0.005,
    stature_m: float = STATURE_M,
) -> BodyTrack:
    """Pose the body.

    Parameters
    ----------
    time_s
        (F,) seconds.
    degrees
        Angles by axis name, e.g. ``left_knee_flexion``, each one value or (F,); what is missing is 0.
        ``knee_flexion`` without a side means both.
    lean
        Forward lean of the trunk from the vertical, degrees; -90 lies on the back.
    facing
        Turn from a side view (0) to a front view (90), degrees.
    fixed
        A point that stays where it is in the first frame; without it the mid-hip does.
    depth_sigma_m, stature_m
        Of the track.

    Returns
    -------
    BodyTrack
        Levelled; in the first frame the lowest point lies at height 0.
    """
    frames = len(time_s)

    def angle(side: Side, name: str) -> np.ndarray:
        value = degrees.get(f"{side}_{name}", degrees.get(name, 0.0))
        return np.broadcast_to(np.asarray(value, dtype=float), (frames,))

    def about(letters: str, *angles: np.ndarray) -> Rotation:
        return Rotation.from_euler(letters, np.column_stack(angles), degrees=True)

    turned = Rotation.from_euler("y", -facing, degrees=True)
    trunk = turned * about("z", -np.broadcast_to(np.asarray(lean, dtype=float), (frames,)))
    centres = np.zeros((frames, len(Centre), 3))
    shoulders = trunk.apply(TRUNK * UP)
    centres[:, Centre.HEAD] = trunk.apply((TRUNK + HEAD) * UP)
    for side, outward in ((Side.LEFT, -1.0), (Side.RIGHT, 1.0)):
        name = side.upper()

        def put(part: str, place: np.ndarray, name: str = name) -> np.ndarray:
            centres[:, Centre[f"{name}_{part}"]] = place
            return place

        thigh = trunk * about("ZX", angle(side, "hip_flexion"), -outward * angle(side, "hip_abduction"))
        shank = thigh * about("Z", -angle(side, "knee_flexion"))
        foot = shank * about("Z", angle(side, "ankle_dorsiflexion"))
        upper_arm = trunk * about("ZX", angle(side, "shoulder_flexion"), -outward * angle(side, "shoulder_abduction"))
        forearm = upper_arm * about("Z", angle(side, "elbow_flexion"))
        hip = put("HIP", trunk.apply(outward * HALF_HIPS * RIGHT))
        knee = put("KNEE", hip - thigh.apply(THIGH * UP))
        ankle = put("ANKLE", knee - shank.apply(SHANK * UP))
        heel = put("HEEL", ankle + foot.apply(-HEEL_BEHIND * FORWARD - ANKLE_HEIGHT * UP))
        put("TOE", heel + foot.apply(FOOT * FORWARD))
        put("BALL", heel + foot.apply(BALL_AT * FOOT * FORWARD))
        shoulder = put("SHOULDER", shoulders + trunk.apply(outward * HALF_SHOULDERS * RIGHT))
        elbow = put("ELBOW", shoulder - upper_arm.apply(UPPER_ARM * UP))
        wrist = put("WRIST", elbow - forearm.apply(FOREARM * UP))
        put("HAND", wrist - forearm.apply(HAND * UP))
    centres *= stature_m
    if fixed is not None:
        centres -= centres[:, [fixed]] - centres[0, fixed]
    centres[:, :, 1] -= centres[0, :, 1].min()
    return body_of(time_s, centres, depth_sigma_m=depth_sigma_m, stature_m=stature_m)


def body_of(
    time_s: np.ndarray, centres_m: np.ndarray, depth_sigma_m: float = 0.005, stature_m: float = STATURE_M
) -> BodyTrack:
    """Body track of exact joint centres, facing as hips and shoulders do."""
    frames = len(time_s)

    def point(name: str) -> np.ndarray:
        return centres_m[:, Centre[name]]

    rightward = point("RIGHT_HIP") - point("LEFT_HIP") + point("RIGHT_SHOULDER") - point("LEFT_SHOULDER")
    rightward /= np.linalg.norm(rightward, axis=1, keepdims=True)
    up = point("LEFT_SHOULDER") + point("RIGHT_SHOULDER") - point("LEFT_HIP") - point("RIGHT_HIP")
    rotations = np.full((frames, len(Segment), 3, 3), np.nan)
    rotations[:, Segment.TRUNK] = segment_frame(up, rightward)
    for side in ("LEFT", "RIGHT"):
        for segment, near, far in (("THIGH", "HIP", "KNEE"), ("SHANK", "KNEE", "ANKLE"), ("FOOT", "TOE", "HEEL")):
            line = point(f"{side}_{near}") - point(f"{side}_{far}")
            rotations[:, Segment[f"{side}_{segment}"]] = segment_frame(line, rightward)
    # nothing here hides the hips: their depth is the origin of the others'
    depth = np.full((frames, len(Centre)), depth_sigma_m)
    depth[:, [Centre.LEFT_HIP, Centre.RIGHT_HIP]] = 0.0
    return BodyTrack(
        time_s=time_s,
        centres_m=centres_m,
        segment_rotations=rotations,
        sigma_m=np.full((frames, len(Centre)), 0.005),
        depth_sigma_m=depth,
        stature_m=stature_m,
        camera=CameraModel(PX_PER_M, 0.0, *SIZE),
    )


def on_one_leg(time_s: np.ndarray, swing: str, drop: np.ndarray, lift_m: np.ndarray, facing: float) -> BodyTrack:
    """Stand with the pelvis hanging to one side about the other hip; the spine bends so that the thorax stays upright.

    Parameters
    ----------
    time_s
        (F,) seconds.
    swing
        Side of the leg that is in the air, ``left`` or ``right``.
    drop, lift_m
        (F,) degrees by which its hip hangs; metres by which its foot is lifted.
    facing
        As in ``posed_body``.
    """
    body = posed_body(time_s, {}, facing=facing)
    centres = body.centres_m.copy()
    outward = -1.0 if swing == "left" else 1.0
    aside = outward * Rotation.from_euler("y", -facing, degrees=True).apply(RIGHT)
    cos, sin = np.cos(np.radians(drop))[:, None], np.sin(np.radians(drop))[:, None]
    stance = centres[:, Centre.RIGHT_HIP if swing == "left" else Centre.LEFT_HIP].copy()
    half, bend = HALF_HIPS * STATURE_M, BENDS_AT * STATURE_M
    centres[:, Centre[f"{swing}_hip".upper()]] = stance + 2.0 * half * (cos * aside - sin * UP)
    spine = half * (cos * aside - sin * UP) + bend * (cos * UP + sin * aside) - (half * aside + bend * UP)
    for centre in Centre:
        if centre.name.endswith(("HEAD", "SHOULDER", "ELBOW", "WRIST", "HAND")):
            centres[:, centre] += spine
        elif centre.name.startswith(swing.upper()) and not centre.name.endswith("HIP"):
            centres[:, centre] += lift_m[:, None] * UP
    return replace(body, centres_m=centres)


def squat(time_s: np.ndarray, bend: np.ndarray, facing: float = 0.0, stature_m: float = STATURE_M) -> BodyTrack:
    """Squat whose knee bends by ``bend`` (F,) degrees; the lean keeps the mass centre over the foot."""
    ankle = 0.27 * bend
    lean = 0.38 * bend
    angles = {
        "knee_flexion": bend,
        "ankle_dorsiflexion": ankle,
        "hip_flexion": lean + bend - ankle,
        "shoulder_flexion": 0.9 * bend,
    }
    return posed_body(time_s, angles, lean=lean, facing=facing, fixed=Centre.LEFT_HEEL, stature_m=stature_m)


def landmarks_of(body: BodyTrack, depth_shrink: float = 1.0) -> LandmarkTrack:
    """Project a body orthographically into landmarks; estimated depth is ``depth_shrink`` of the true one."""
    frames = len(body)
    image = np.full((frames, len(Landmark), 2), np.nan)
    world = np.full((frames, len(Landmark), 3), np.nan)
    middle = 0.5 * (body.centres_m[:, Centre.LEFT_HIP] + body.centres_m[:, Centre.RIGHT_HIP])
    for landmark in Landmark:
        place = body.centres_m[:, _centre_of(landmark)]
        image[:, landmark, 0] = SIZE[0] / 2 + PX_PER_M * place[:, 0]
        image[:, landmark, 1] = FLOOR_PX - PX_PER_M * place[:, 1]
        world[:, landmark] = (place - middle) * np.array([1.0, -1.0, -depth_shrink])
    return LandmarkTrack(body.time_s, image, world, np.ones((frames, len(Landmark))))


def _centre_of(landmark: Landmark) -> Centre:
    side, _, part = landmark.name.partition("_")
    parts = {"FOOT_INDEX": "TOE", "PINKY": "HAND", "INDEX": "HAND", "THUMB": "HAND"}
    name = f"{side}_{parts.get(part, part)}"
    return Centre[name] if name in Centre.__members__ else Centre.HEAD


def facts_of(body: BodyTrack) -> VideoFacts:
    """Facts of the video that a body would be filmed in."""
    fps = round((len(body) - 1) / (body.time_s[-1] - body.time_s[0])) if len(body) > 1 else 30
    return VideoFacts("synthetic.mp4", *SIZE, (fps, 1), len(body) / fps, False, "0" * 64)
