"""Taking out of the picture that what is nearer looks larger."""

import numpy as np

from motionlabel.body import Centre
from motionlabel.kinematics.points import POINTS
from motionlabel.records import Array, VideoFacts

_FOCAL = 1.4
"""Focal length over the picture's shorter side: a phone's or a webcam's usual lens, 28 mm for 36 x 24 mm in 16 : 9
(from memory). Nothing is sensitive to it."""

_LEGS = tuple(Centre[f"{side}_{part}"] for side in ("LEFT", "RIGHT") for part in ("HIP", "KNEE", "ANKLE"))
"""Arms gain nothing: their depth is too rough (measured on demo_clips)."""


def without_perspective(image: Array, depth: Array, video: VideoFacts, px_per_m: float) -> Array:
    """Show the legs as a camera far away would see them.

    Parameters
    ----------
    image
        (F, L, 2) landmarks, metres right of and above the picture's top left corner.
    depth
        (F, J) depth of the joint centres against the hips, metres, towards the camera positive; NaN = 0.
    video
        Size of the picture; its middle is taken for the camera's axis.
    px_per_m
        Pixels per metre at the hips.

    Returns
    -------
    (F, L, 2) landmarks likewise.
    """
    distance = _FOCAL * min(video.width, video.height) / px_per_m
    middle = np.array([video.width, -video.height]) / (2.0 * px_per_m)
    nearer = np.zeros(image.shape[:2])
    for centre in _LEGS:
        nearer[:, list(POINTS[centre])] = np.nan_to_num(depth[:, [centre]])
    return np.asarray(middle + (image - middle) * (1.0 - nearer / distance)[:, :, None])
