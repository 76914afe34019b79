"""How far measured angles are from the truth of the demo clips, raw landmarks against the body. Run by hand.

    python tests/benchmarks/accuracy.py [FOLDER]

FOLDER holds clips with their truth (demo_clips by default). Raw angles are those between landmarks, in
the picture and in the landmarker's own three dimensions. Prints a table in Markdown: bias, root mean
square error and measured over true range, degrees, a mean over the clips of a view.
"""

import sys
from collections import defaultdict
from pathlib import Path

import numpy as np

from motionlabel.body import AXIS_INDEX, Axis, Joint, Landmark, MotionAxis, Side
from motionlabel.kinematics import body_from_landmarks, measure_angles, zero_by_standing
from motionlabel.pose import smooth_track, track_clip
from motionlabel.records import LandmarkTrack
from motionlabel.video import FileSource
from tests.end_to_end.accuracy import near_side, true_angle, truth_of

# the joint of each raw angle between two lines, its proximal and distal line, and its angle at zero
LINES = {
    (Joint.HIP, Axis.FLEXION): (("SHOULDER", "HIP"), ("HIP", "KNEE"), 0.0),
    (Joint.KNEE, Axis.FLEXION): (("HIP", "KNEE"), ("KNEE", "ANKLE"), 0.0),
    (Joint.ANKLE, Axis.DORSIFLEXION): (("ANKLE", "KNEE"), ("HEEL", "FOOT_INDEX"), 90.0),
    (Joint.SHOULDER, Axis.FLEXION): (("SHOULDER", "HIP"), ("SHOULDER", "ELBOW"), 0.0),
    (Joint.ELBOW, Axis.FLEXION): (("SHOULDER", "ELBOW"), ("ELBOW", "WRIST"), 0.0),
}
SIDEWAYS = {(Joint.HIP, Axis.ABDUCTION): Joint.HIP, (Joint.SHOULDER, Axis.ABDUCTION): Joint.SHOULDER}
LEAST_RANGE_DEG = 15.0


def view_of(truth: dict) -> str:
    if truth["body_position"] != "upright":
        return "floor"
    turn = abs(truth["camera"]["azimuth_deg"]) % 180
    return "side" if 65 <= turn <= 115 else "front" if turn < 20 or turn > 160 else "three-quarter"


def raw_angle(points: np.ndarray, axis: MotionAxis) -> np.ndarray:
    """Angle between the two lines of a joint, degrees, from (F, L, 2 or 3) landmarks."""
    joint = SIDEWAYS.get((axis.joint, axis.axis), axis.joint)
    flexion = Axis.DORSIFLEXION if joint is Joint.ANKLE else Axis.FLEXION
    first, second, zero = LINES[joint, flexion]
    lines = [
        points[:, Landmark[f"{axis.side}_{end}".upper()]] - points[:, Landmark[f"{axis.side}_{start}".upper()]]
        for start, end in (first, second)
    ]
    cosine = (lines[0] * lines[1]).sum(axis=1) / np.prod([np.linalg.norm(line, axis=1) for line in lines], axis=0)
    angle = np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0)))
    return zero - angle if zero else angle


def main() -> None:
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parents[2] / "demo_clips"
    rows: dict[tuple[str, str], list[list[float]]] = defaultdict(list)
    for clip in sorted(folder.glob("*.mp4")):
        if clip.with_suffix(".truth.json").exists():
            measure(clip, rows)
    print("| view | angle | clips x sides | picture | landmarker's 3D | body | body within 2 sigma |")
    print("|---|---|---|---|---|---|---|")
    for (view, name), values in sorted(rows.items()):
        table = np.array(values)
        means = [np.nanmean(column) if np.isfinite(column).any() else np.nan for column in table.T]
        told = ["{:+.1f}, {:.1f}, {}".format(*means[k : k + 2], ratio(means[k + 2])) for k in (0, 3, 6)]
        print(f"| {view} | {name} | {len(table)} | {' | '.join(told)} | {means[9]:.2f} |")


def ratio(value: float) -> str:
    return f"{value:.2f}" if np.isfinite(value) else "-"


def measure(clip: Path, rows: dict[tuple[str, str], list[list[float]]]) -> None:
    truth = truth_of(clip)
    with FileSource(clip) as source:
        video = source.facts
    track: LandmarkTrack = smooth_track(track_clip(clip, "full").landmarks)
    body = body_from_landmarks(track, video)
    angles = zero_by_standing(measure_angles(body), body)
    view = view_of(truth)
    for joint, axis_name in (*LINES, *SIDEWAYS):
        for side in (Side.LEFT, Side.RIGHT):
            if view in ("side", "floor") and side is not near_side(truth):
                continue
            axis = MotionAxis(joint, side, axis_name)
            true = true_angle(truth, axis)
            sideways = (joint, axis_name) in SIDEWAYS
            if true is None or (sideways and view == "side"):
                continue
            measured = np.degrees(angles.angle_rad[:, AXIS_INDEX[axis]])
            known = np.isfinite(measured)
            if not known.any():
                continue
            values: list[float] = []
            for seen in (raw_angle(track.image_px, axis), raw_angle(track.world_m, axis), measured):
                error = (seen - true)[known]
                moved = float(np.ptp(true)) >= LEAST_RANGE_DEG
                reach = np.ptp(np.percentile(seen[known], (2, 98))) / np.ptp(np.percentile(true, (2, 98)))
                values += [float(error.mean()), float(np.sqrt((error**2).mean())), reach if moved else np.nan]
            sigma = np.degrees(angles.sigma_rad[:, AXIS_INDEX[axis]])
            values.append(float((np.abs(measured - true) < 2 * sigma)[known].mean()))
            rows[view, f"{joint} {axis_name}"].append(values)


if __name__ == "__main__":
    main()
