"""Where the mass of the body is."""

from dataclasses import dataclass

import numpy as np

from motionlabel.body import Centre, Segment
from motionlabel.kinematics.rotations import cross
from motionlabel.mechanics.segments import Sex, parameters
from motionlabel.records import Array

# first and second end point of each segment, in the sense of ``com_fraction``
_ENDS: dict[Segment, tuple[tuple[Centre, ...], tuple[Centre, ...]]] = {
    Segment.TRUNK: ((Centre.LEFT_SHOULDER, Centre.RIGHT_SHOULDER), (Centre.LEFT_HIP, Centre.RIGHT_HIP)),
}
for _side in ("LEFT", "RIGHT"):
    for _segment, _start, _end in (
        ("UPPER_ARM", "SHOULDER", "ELBOW"),
        ("FOREARM", "ELBOW", "WRIST"),
        ("HAND", "WRIST", "HAND"),
        ("THIGH", "HIP", "KNEE"),
        ("SHANK", "KNEE", "ANKLE"),
        ("FOOT", "HEEL", "TOE"),
    ):
        _ENDS[Segment[f"{_side}_{_segment}"]] = ((Centre[f"{_side}_{_start}"],), (Centre[f"{_side}_{_end}"],))


@dataclass(frozen=True)
class Masses:
    """Segments as masses with their inertia; second axis is ``Segment``.

    Attributes
    ----------
    fraction
        (S,) of body mass.
    com_m
        (F, S, 3) mass centres, levelled frame; an unseen segment sits at the joint it hangs from.
    body_com_m
        (F, 3) mass centre of the whole body.
    spin
        (F, S, 3) moment of inertia about the mass centre x angular acceleration, in
        fractions of body mass x m^2/s^2.
    com_acceleration
        (F, S, 3) m/s^2.
    """

    fraction: Array
    com_m: Array
    body_com_m: Array
    spin: Array
    com_acceleration: Array

    def vertical_acceleration(self) -> Array:
        """(F,) upward acceleration of the whole body's mass centre, m/s^2."""
        return (self.com_acceleration[:, :, 1] * self.fraction).sum(axis=1) / self.fraction.sum()


def mass_fractions(sex: Sex = Sex.MEAN) -> Array:
    """(S,) mass of each segment as a fraction of body mass."""
    return np.array([parameters(segment, sex).mass_fraction for segment in Segment])


def locate_masses(centres_m: Array, time_s: Array, sex: Sex = Sex.MEAN) -> Masses:
    """Place the mass of every segment.

    Parameters
    ----------
    centres_m
        (F, J, 3) joint centres, low-passed; F is that of ``time_s``, or a multiple of it for several bodies, one
        after the other.
    time_s
        (F,) seconds.
    sex
        Which table of masses.

    Returns
    -------
    Masses
        NaN only where the trunk itself is not seen.
    """
    fraction = mass_fractions(sex)
    values = [parameters(segment, sex) for segment in _ENDS]
    segments = list(_ENDS)
    share, radius = (
        np.array([getattr(v, name) for v in values])[:, None] for name in ("com_fraction", "radius_fraction")
    )
    first, second = (_middles(centres_m, [ends[k] for ends in _ENDS.values()]) for k in (0, 1))
    line = second - first
    com = np.empty((len(centres_m), len(Segment), 3))
    # the head's mass centre lies about at the ears (own estimate)
    com[:, Segment.HEAD] = centres_m[:, Centre.HEAD]
    com[:, segments] = first + share * line
    length = np.linalg.norm(line, axis=2, keepdims=True)
    direction = line / np.maximum(length, 1e-9)
    turning = cross(direction, _accelerations(direction, time_s))
    spin = np.zeros_like(com)
    spin[:, segments] = fraction[segments, None] * np.square(radius * length) * turning
    _hang_unseen(com, centres_m)
    body = np.einsum("fsi,s->fi", com, fraction) / fraction.sum()
    return Masses(fraction, com, body, np.nan_to_num(spin), np.nan_to_num(_accelerations(com, time_s)))


def _middles(centres_m: Array, points: list[tuple[Centre, ...]]) -> Array:
    """(F, N, 3) middle of each group of one or two joint centres."""
    return 0.5 * (centres_m[:, [group[0] for group in points]] + centres_m[:, [group[-1] for group in points]])


def _hang_unseen(com: Array, centres: Array) -> None:
    """Let a segment that is not seen hang below its limb's root, in place."""
    middle = 0.5 * (centres[:, Centre.LEFT_SHOULDER] + centres[:, Centre.RIGHT_SHOULDER])
    trunk = com[:, Segment.TRUNK]
    for segment in Segment:
        unseen = ~np.isfinite(com[:, segment, 0])
        if segment in (Segment.TRUNK,) or not unseen.any():
            continue
        side = segment.name.split("_")[0]
        if segment is Segment.HEAD:
            root = middle
        elif segment.name.endswith(("ARM", "FOREARM", "HAND")):
            root = centres[:, Centre[f"{side}_SHOULDER"]]
        else:
            root = centres[:, Centre[f"{side}_HIP"]]
        root = np.where(np.isfinite(root), root, trunk)
        com[unseen, segment] = root[unseen]


def _accelerations(values: Array, time_s: Array) -> Array:
    """Second difference over neighbouring frames of any spacing; both ends take their neighbour's.

    Differences of differences reach over four frames and lose a tenth of a movement at 2.5 Hz and 30 frames/s.
    (F, ...) of one body or of several, one after the other; zero where there are less than three frames.
    """
    if len(time_s) < 3:
        return np.zeros_like(values)
    bodies = values.reshape(-1, len(time_s), *values.shape[1:])
    shape = (-1,) + (1,) * (values.ndim - 1)
    before, after = np.diff(time_s)[:-1].reshape(shape), np.diff(time_s)[1:].reshape(shape)
    step = np.diff(bodies, axis=1)
    inner = 2.0 * (step[:, 1:] / after - step[:, :-1] / before) / (before + after)
    return np.concatenate([inner[:, :1], inner, inner[:, -1:]], axis=1).reshape(values.shape)
