"""How fast the segments at a joint turn in the picture."""

import numpy as np

from motionlabel.body import AXES, AXIS_INDEX, PHASE_AXES, Centre, Joint, MotionAxis
from motionlabel.kinematics.gravity import picture_of
from motionlabel.kinematics.known import known_quantiles
from motionlabel.pose.smoothing import smooth_points
from motionlabel.records import Array, BodyTrack

_SEGMENTS: dict[Joint, tuple[tuple[str, str], ...]] = {
    Joint.HIP: (("HIP", "SHOULDER"), ("HIP", "KNEE")),
    Joint.KNEE: (("HIP", "KNEE"), ("KNEE", "ANKLE")),
    Joint.ANKLE: (("KNEE", "ANKLE"), ("HEEL", "BALL")),
    Joint.SHOULDER: (("HIP", "SHOULDER"), ("SHOULDER", "ELBOW")),
    Joint.ELBOW: (("SHOULDER", "ELBOW"), ("ELBOW", "WRIST")),
    Joint.TRUNK: (("HIP", "SHOULDER"),),
}


def _lines_at(axis: MotionAxis) -> list[tuple[str, str]]:
    sides = ("LEFT", "RIGHT") if axis.joint is Joint.TRUNK else (axis.side.upper(),)
    return [(f"{side}_{start}", f"{side}_{end}") for side in sides for start, end in _SEGMENTS[axis.joint]]


_LINES = list(dict.fromkeys(line for axis in PHASE_AXES for line in _lines_at(axis)))


def picture_rates(body: BodyTrack, cutoff_hz: float) -> Array:
    """Return how fast the faster segment at each joint turns or shortens in the picture.

    What does not move in the picture does not move: a change of angle without it is wobble of depth.

    Parameters
    ----------
    body
        The body.
    cutoff_hz
        Low-pass before the rate is taken.

    Returns
    -------
    (F, D) speed of one end against the other over the segment's length, rad/s; NaN where not seen and
    for axes that have no phases.
    """
    starts, ends = ([Centre[line[k]] for line in _LINES] for k in (0, 1))
    lines = smooth_points(body.time_s, body.centres_m[:, ends] - body.centres_m[:, starts], cutoff_hz)
    speed = np.linalg.norm(np.gradient(picture_of(lines, body.camera.pitch_rad), body.time_s, axis=0), axis=2)
    speed /= known_quantiles(np.linalg.norm(lines, axis=2), 0.5)
    rates = np.full((len(body), len(AXES)), np.nan)
    for axis in PHASE_AXES:
        rates[:, AXIS_INDEX[axis]] = np.fmax.reduce(speed[:, [_LINES.index(line) for line in _lines_at(axis)]], axis=1)
    return rates
