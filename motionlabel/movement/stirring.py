"""How fast the segments at a joint turn in the picture."""

from functools import cache

import numpy as np

from motionlabel.body import AXES, AXIS_INDEX, PHASE_AXES, Centre, Joint
from motionlabel.kinematics.gravity import picture_of
from motionlabel.pose.smoothing import smooth_values
from motionlabel.records import Array, BodyTrack

_SEGMENTS: dict[Joint, tuple[tuple[str, str], ...]] = {
    Joint.HIP: (("HIP", "SHOULDER"), ("HIP", "KNEE")),
    Joint.KNEE: (("HIP", "KNEE"), ("KNEE", "ANKLE")),
    Joint.ANKLE: (("KNEE", "ANKLE"), ("HEEL", "BALL")),
    Joint.SHOULDER: (("HIP", "SHOULDER"), ("SHOULDER", "ELBOW")),
    Joint.ELBOW: (("SHOULDER", "ELBOW"), ("ELBOW", "WRIST")),
    Joint.TRUNK: (("HIP", "SHOULDER"),),
}


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
    rates = np.full((len(body), len(AXES)), np.nan)

    @cache
    def turning(start: str, end: str) -> Array:
        line = body.centres_m[:, Centre[end]] - body.centres_m[:, Centre[start]]
        line = smooth_values(body.time_s, line, cutoff_hz)
        picture = picture_of(line, body.camera.pitch_rad)
        speed = np.linalg.norm(np.gradient(picture, body.time_s, axis=0), axis=1)
        seen = np.isfinite(line[:, 0])
        length = np.median(np.linalg.norm(line[seen], axis=1)) if seen.any() else np.nan
        return speed / length

    for axis in PHASE_AXES:
        sides = ("LEFT", "RIGHT") if axis.joint is Joint.TRUNK else (axis.side.upper(),)
        speeds = [turning(f"{side}_{a}", f"{side}_{b}") for side in sides for a, b in _SEGMENTS[axis.joint]]
        rates[:, AXIS_INDEX[axis]] = np.fmax.reduce(speeds)
    return rates
