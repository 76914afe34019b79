"""From demand and motion to the working group and its contraction, phase by phase.

Motion is not muscle: in the lowering half of a squat the hip flexes while the load asks for the hip
extensors, which lengthen. So the group comes from the sign of the demand alone, and the contraction
from demand against motion.
"""

from dataclasses import dataclass, replace
from itertools import pairwise
from math import erf, sqrt

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import label

from motionlabel.body import AXIS_INDEX, Contraction, Motion, MotionAxis
from motionlabel.kinematics.known import known_median
from motionlabel.mechanics.demand import Demand, column_of, measure_demand
from motionlabel.mechanics.stance import stance_holds
from motionlabel.mechanics.stated import Carrier
from motionlabel.movement import Rest, away_from_rest_rad, find_rest, frames_per_second
from motionlabel.records import AngleTrack, Array, BodyTrack, Phase, PhaseTable, Work, WorkTable, angle_trust

ASSUMPTIONS = (
    "Body weight alone loads the joints: no weight in the hand, no band.",
    "The group is the one that the load demands; muscles that tense against each other are not seen.",
    "The hip is measured as thigh against trunk; the tilt of the pelvis is not seen.",
)

_MINORITY_SHARE = 0.25
_MINORITY_S = 0.12
_CARRYING = 0.15
"""A limb that carries more than this share of body weight is never called free."""

_CLEAR = 2.0
"""A pause at the resting angle is a hold only if its load passes the threshold this many times."""

_STANCE_CLEAR = 1.25
"""The same for the standing hip against standing on both legs: a foot that is lost for a moment bears nothing."""

_STRUT_SHARE = 0.75
"""Feet apart push towards each other by up to this share of a push straight to the mass centre (own estimate)."""

_FOR_IT = 0.5
"""Share of the unseen spread that is left where the feet's push can only add to the load (own estimate)."""

_SURE = 1.0
"""Demand must exceed its standard deviation this many times to name a group."""


@dataclass(frozen=True)
class _Load:
    """Signed load of one phase: frames that count, and which way."""

    sign: int
    start: int
    stop: int


def muscle_work(
    body: BodyTrack, angles: AngleTrack, phases: PhaseTable, carriers: tuple[Carrier, ...] = ()
) -> tuple[PhaseTable, WorkTable]:
    """Name the group that works in every phase, and how.

    Parameters
    ----------
    body, angles, phases
        Of one clip.
    carriers
        What carries the body, if the educator states it.

    Returns
    -------
    phases, work
        Rows match. A phase is split where its demand clearly changes sign; a hold that nothing loads is
        rest and is left out.
    """
    assumptions: tuple[str, ...] = ASSUMPTIONS
    if carriers:
        assumptions += (f"What carries the body is as stated: {', '.join(carriers)}.",)
    if not len(phases):
        return phases, WorkTable((), assumptions)
    rest = find_rest(angles, body)
    demand = measure_demand(body, angles, rest, carriers)
    fps = frames_per_second(body.time_s)
    rows: list[tuple[Phase, Work]] = []
    for phase in phases:
        column = column_of(phase.axis)
        if column is None:
            support = demand.support.parts(phase.start, phase.stop)
            if phase.motion is not Motion.HOLD:
                rows.append((phase, Work(None, Contraction.UNKNOWN, np.nan, np.nan, support, 0.0)))
            continue
        for load in _loads(phase, demand, column, fps):
            part = _part(phase, load, angles)
            seen = angles.sigma_rad[part.start : part.stop, AXIS_INDEX[part.axis]]
            work = _judge(part, load.sign, demand, column, _median_trust(seen))
            if work is None or (part.motion is Motion.HOLD and _rests(part, work, angles, rest, demand, column)):
                continue
            rows.append((part, work))
    for phase in stance_holds(body, demand.support.touching, [phase for phase, _ in rows]):
        work = _stance_work(phase, demand, rest, angles)
        if work is not None:
            rows.append((phase, work))
    rows.sort(key=lambda row: (row[0].start, row[0].axis.name))
    return PhaseTable(tuple(phase for phase, _ in rows)), WorkTable(tuple(work for _, work in rows), assumptions)


def _loads(phase: Phase, demand: Demand, column: int, fps: float) -> list[_Load]:
    """Cut a phase where the demand turns for good; frames below the threshold take their span's sign."""
    span = slice(phase.start, phase.stop)
    moment = np.nan_to_num(demand.moment[span, column])
    sure = np.abs(moment) > demand.threshold[span, column]
    signs = np.sign(moment) * sure
    if not sure.any():
        return [_Load(0, phase.start, phase.stop)]
    impulse = {sign: float(np.abs(moment[signs == sign]).sum()) for sign in (-1, 1)}
    major = 1 if impulse[1] >= impulse[-1] else -1
    minor = signs == -major
    if np.count_nonzero(minor) < _MINORITY_S * fps:
        return [_Load(major, phase.start, phase.stop)]
    lasting = np.zeros_like(minor)
    marks, count = label(minor)
    for number in range(1, count + 1):
        run = marks == number
        if run.sum() >= _MINORITY_S * fps and np.abs(moment[run]).sum() >= _MINORITY_SHARE * sum(impulse.values()):
            lasting |= run
    if not lasting.any():
        return [_Load(major, phase.start, phase.stop)]
    return _cut(np.where(lasting, -major, np.where(signs == major, major, 0)), phase.start, _MINORITY_S * fps)


def _cut(signs: NDArray[np.int_], start: int, least: float) -> list[_Load]:
    """Cut into runs of one sign of at least so many frames; undecided frames go to the nearest decided one."""
    decided = np.flatnonzero(signs)
    nearest = decided[np.abs(np.arange(len(signs))[:, None] - decided[None, :]).argmin(axis=1)]
    full = signs[nearest]
    while True:
        edges = [0, *(np.flatnonzero(np.diff(full)) + 1), len(full)]
        lengths = np.diff(edges)
        shortest = int(lengths.argmin())
        if len(lengths) == 1 or lengths[shortest] >= least:
            return [_Load(int(full[a]), start + int(a), start + int(b)) for a, b in pairwise(edges)]
        full[edges[shortest] : edges[shortest + 1]] *= -1


def _part(phase: Phase, load: _Load, angles: AngleTrack) -> Phase:
    if (load.start, load.stop) == (phase.start, phase.stop):
        return phase
    share = (load.stop - load.start) / (phase.stop - phase.start)
    return replace(phase, start=load.start, stop=load.stop, excursion_rad=phase.excursion_rad * share)


def _median_trust(sigma_rad: Array) -> float:
    median = known_median(sigma_rad)
    return float(angle_trust(median)) if np.isfinite(median) else 0.0


def _judge(phase: Phase, sign: int, demand: Demand, column: int, seen: float) -> Work | None:
    """Decide one phase, whose angle has the trust ``seen``; ``None`` for a hold without load."""
    span = slice(phase.start, phase.stop)
    support = demand.support.parts(phase.start, phase.stop)
    moment = demand.moment[span, column]
    known = np.isfinite(moment)
    if known.mean() < 0.5:
        return Work(None, Contraction.UNKNOWN, np.nan, np.nan, support, 0.0)
    mean = float(moment[known].mean())
    threshold = float(demand.threshold[span, column].mean())
    # the frames that decide; without any, all of them
    deciding = known & (moment * sign > demand.threshold[span, column]) if sign else known
    deciding = deciding if deciding.any() else known
    load = float(moment[deciding].mean())
    drawn = demand.samples[:, span, column][:, deciding]
    balanced = np.isfinite(drawn)
    counts = balanced.sum(axis=1)
    means = np.where(balanced, drawn, 0.0).sum(axis=1)[counts > 0] / counts[counts > 0]
    spread = float(np.std(means)) if len(means) else np.inf  # some bodies that were drawn cannot keep their balance
    strut = _mean(demand.strut[span, column][deciding])
    # feet apart push towards each other: that unseen push can speak against the load, or only for it
    unseen = _mean(demand.unseen[span, column][deciding]) * (_FOR_IT if load * strut > 0.0 else 1.0)
    sigma = float(np.hypot(spread, unseen))
    carrying = float(np.nan_to_num(demand.carried[span, column]).mean()) > _CARRYING
    hold = phase.motion is Motion.HOLD
    if sign == 0:
        if sigma < threshold and not carrying:
            return (
                None
                if hold
                else Work(None, Contraction.FREE, mean, sigma, support, min(seen, _trust(threshold, sigma)))
            )
        return None if hold else Work(None, Contraction.UNKNOWN, mean, sigma, support, 0.0)
    if abs(load) < _SURE * sigma or load * (load + _STRUT_SHARE * strut) < 0.0:
        return Work(None, Contraction.UNKNOWN, mean, sigma, support, 0.0)
    group = phase.axis.group(sign)
    return Work(
        group, contraction_of(phase.axis, phase.motion, sign), mean, sigma, support, min(seen, _trust(load, sigma))
    )


def _mean(values: Array) -> float:
    """Mean of what is known; NaN where nothing is."""
    known = values[np.isfinite(values)]
    return float(known.mean()) if len(known) else np.nan


def _rests(phase: Phase, work: Work, angles: AngleTrack, rest: Rest, demand: Demand, column: int) -> bool:
    """Whether a pause is rest: near the resting angle, unless the load of a free limb is clear."""
    span = slice(phase.start, phase.stop)
    axis = AXIS_INDEX[phase.axis]
    offset = known_median(np.abs(angles.angle_rad[span, axis] - rest.angle_rad[axis]))
    if offset > away_from_rest_rad(phase.axis.joint):
        return False
    carried = float(np.nan_to_num(demand.carried[span, column]).mean())
    clear = abs(work.demand) > _CLEAR * float(demand.threshold[span, column].mean())
    return work.working_group is None or carried > 0.0 or not clear


def _stance_work(phase: Phase, demand: Demand, rest: Rest, angles: AngleTrack) -> Work | None:
    """Work of the standing hip, or ``None`` unless its load is clear and unlike that of standing on both legs."""
    column = column_of(phase.axis)
    assert column is not None
    span = slice(phase.start, phase.stop)
    least = _STANCE_CLEAR * float(demand.threshold[span, column].mean())
    level = float(np.nan_to_num(known_median(demand.moment[rest.standing, column])))
    seen = _median_trust(angles.sigma_rad[span, AXIS_INDEX[phase.axis]])
    work = _judge(phase, 1, demand, column, seen)
    # both sides of a group in the table: a load the other way round is a lean and no stance hold
    if work is None or work.working_group is None or work.demand - max(level, 0.0) < least:
        return None
    return work


def contraction_of(axis: MotionAxis, motion: Motion, sign: int) -> Contraction:
    """Return how the group of the positive (sign 1) or negative (-1) motion of an axis works during a motion."""
    if motion is Motion.HOLD:
        return Contraction.ISOMETRIC
    shortening = (motion is axis.positive) == (sign > 0)
    return Contraction.CONCENTRIC if shortening else Contraction.ECCENTRIC


def _trust(mean: float, sigma: float) -> float:
    """Chance that the sign is right, stretched to 0-1: 2 Phi(|mean| / sigma) - 1."""
    return erf(abs(mean) / max(sigma, 1e-9) / sqrt(2.0))
