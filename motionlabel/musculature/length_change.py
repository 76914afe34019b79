"""How the length of a muscle changes over a phase: told of the muscle, not of its group at one joint.

A muscle of two joints may keep its length while its group works eccentrically at one of them.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from motionlabel.anatomy import Collective, Muscle
from motionlabel.body import Joint, Side
from motionlabel.musculature.bone import Freedom
from motionlabel.musculature.line import Line, length_m
from motionlabel.musculature.paths import lines_of
from motionlabel.musculature.posture import MEASURED, column_of, freedoms_of, posture_of
from motionlabel.musculature.skeleton import Posture, flexions_of, posed
from motionlabel.records import Phase, Study

_ARM_SPREAD = 0.20
"""How far people's moment arms lie from the path's. *Source*: the spread of published arms (4 to 20 %, see
``tests/published/moment_arms.csv``), its larger end."""

_RANGE_SPREAD = 0.10
"""How far a measured change of an angle lies from the true one (measured on rendered bodies: 0.9 to 1.05)."""

_JITTER_RAD = np.radians(1.0)
_STEP_RAD = np.radians(5.0)

_CANCELS = 0.5
"""Joints that pull both ways leave the length nearly constant where the lesser undoes at least this share of the
greater (own convention)."""

_NEARLY = 0.03
"""A change below this share of the anatomical length is nearly none (own convention: a fifth of what the quadriceps
does in a squat)."""

_SURE = 2.0
"""Standard deviations from no change at which shortening or lengthening is told (common practice)."""


class LengthVerdict(StrEnum):
    """What a muscle's length does over a phase."""

    SHORTENS = "shortens"
    LENGTHENS = "lengthens"
    NEARLY_CONSTANT = "length nearly constant"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class LengthChange:
    """Change of a muscle's length over a phase, tendons included.

    Attributes
    ----------
    ratio
        Length at the end over length at the start; NaN = unknown.
    sigma
        Its standard deviation.
    verdict
        What may be said of it.
    """

    ratio: float
    sigma: float
    verdict: LengthVerdict


_UNKNOWN = LengthChange(np.nan, np.nan, LengthVerdict.UNKNOWN)


@dataclass(frozen=True, slots=True)
class _Share:
    """What one joint does to the length over the phase, metres, and how sure that is."""

    metres: float
    sigma_m: float


def length_change(study: Study, muscle: Muscle | Collective, side: Side, phase: Phase) -> LengthChange:
    """Return how the length of a muscle changes from the first to the last frame of a phase.

    Parameters
    ----------
    study
        What was found in the clip.
    muscle
        A muscle, or a collective name such as the hamstrings: the mean of its members.
    side
        Left or right.
    phase
        A row of the study's phase table, of any joint.

    Returns
    -------
    LengthChange
        Unknown where the muscle has no path or an angle that it depends on is unknown. From noise alone nothing
        is said to shorten or lengthen.

    *Source*: tendon excursion (An et al. 1984) on the path of ``paths/``; thresholds own convention.
    """
    lines = [line for member in muscle.muscles for line in lines_of(member)]
    if not lines:
        return _UNKNOWN
    ends = (phase.start, phase.stop - 1)
    (start, unknown_start), (end, unknown_end) = (posture_of(study.angles.angle_rad[frame], side) for frame in ends)
    needed = {freedom for line in lines for freedom in freedoms_of(line)}
    if needed & (unknown_start | unknown_end):
        return _UNKNOWN
    shares = _shares(study, lines, (start, end), side, ends)
    first, last, anatomical = (_mean_length(lines, posture) for posture in (start, end, {}))
    change, sigma = last - first, float(np.sqrt(sum(share.sigma_m**2 for share in shares)))
    verdict = _verdict(change, sigma, [share.metres for share in shares], anatomical)
    return LengthChange(last / first, sigma / first, verdict)


def _verdict(change_m: float, sigma_m: float, shares_m: list[float], anatomical_m: float) -> LengthVerdict:
    longer, shorter = (sum(max(sign * share, 0.0) for share in shares_m) for sign in (1.0, -1.0))
    greater, lesser = max(longer, shorter), min(longer, shorter)
    small = _NEARLY * anatomical_m
    if greater > max(_SURE * sigma_m, small) and lesser >= _CANCELS * greater:
        return LengthVerdict.NEARLY_CONSTANT
    if abs(change_m) > max(_SURE * sigma_m, small):
        return LengthVerdict.LENGTHENS if change_m > 0.0 else LengthVerdict.SHORTENS
    if abs(change_m) + _SURE * sigma_m < 2.0 * small:
        return LengthVerdict.NEARLY_CONSTANT
    return LengthVerdict.UNKNOWN


def _shares(
    study: Study, lines: list[Line], postures: tuple[Posture, Posture], side: Side, ends: tuple[int, int]
) -> list[_Share]:
    """Return the share of each joint, its freedoms moved one after the other from the start's to the end's."""
    start, end = postures
    middle = {freedom: 0.5 * (start.get(freedom, 0.0) + end.get(freedom, 0.0)) for freedom in {**start, **end}}
    by_joint: dict[Joint, list[_Share]] = {}
    for freedom in sorted({freedom for line in lines for freedom in freedoms_of(line)}):
        turned = end.get(freedom, 0.0) - start.get(freedom, 0.0)
        there = {**middle, freedom: end.get(freedom, 0.0)}
        here = {**middle, freedom: start.get(freedom, 0.0)}
        metres = _mean_length(lines, there) - _mean_length(lines, here)
        wobble = study.angles.depth_sigma_rad[list(ends), column_of(freedom, side)]
        angle_sigma = float(np.sqrt(np.sum(wobble**2) + 2.0 * _JITTER_RAD**2 + (_RANGE_SPREAD * turned) ** 2))
        sigma = np.hypot(_ARM_SPREAD * metres, angle_sigma * abs(_slope(lines, freedom, middle)))
        by_joint.setdefault(MEASURED[freedom][0], []).append(_Share(metres, float(sigma)))
    return [
        _Share(sum(s.metres for s in parts), float(np.sqrt(sum(s.sigma_m**2 for s in parts))))
        for parts in by_joint.values()
    ]


def _slope(lines: Iterable[Line], freedom: Freedom, posture: Mapping[Freedom, float]) -> float:
    ends = [
        _mean_length(lines, {**posture, freedom: posture.get(freedom, 0.0) + step}) for step in (-_STEP_RAD, _STEP_RAD)
    ]
    return (ends[1] - ends[0]) / (2.0 * _STEP_RAD)


def _mean_length(lines: Iterable[Line], posture: Posture) -> float:
    bones, flexions = posed(posture), flexions_of(posture)
    return float(np.mean([length_m(line.active(flexions), bones, flexions) for line in lines]))
