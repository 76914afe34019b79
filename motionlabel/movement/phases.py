"""Spans in which an angle moves one way, and spans in which it is held."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from motionlabel.body import AXIS_INDEX, PHASE_AXES, Axis, Joint, Motion, MotionAxis, Side
from motionlabel.kinematics.known import known_median, known_quantile
from motionlabel.movement.quiet import STILL_RAD_S, Rest, away_from_rest_rad, find_rest
from motionlabel.movement.repetitions import number_repetitions
from motionlabel.movement.stirring import picture_rates
from motionlabel.pose.smoothing import smooth_points
from motionlabel.records import AngleTrack, Array, BodyTrack, Phase, PhaseTable

_MOVING_RAD_S = np.radians(14.0)
"""A span moves if its rate passes this once (measured on demo_clips)."""

_FASTEST_THRESHOLD_RAD_S = np.radians(35.0)
_LEAST_EXCURSION_RAD = np.radians(4.0)
"""Smallest change called a motion: the error of one tester's goniometer (Boone et al. 1978: 3-4 deg)."""

_SURE_SIGMA_RAD = np.radians(4.0)
"""Up to this spread from depth an angle hardly wobbles (measured on demo_clips)."""

_WOBBLE_S = 1.0
"""Depth wobbles by about its spread within this time (measured on demo_clips)."""

_JITTER_STATURES = 0.006
_JITTER_S = 0.28
"""Landmarks wander against each other by so much, in about this time (measured on demo_clips)."""

_HIDDEN, _HIDDEN_BALL = 2.2, 1.6
"""An angle that is so many times less sure in the picture than its fellow belongs to a hidden limb, of visibility
below 0.4; hips and shoulders share the trunk's spread."""

_WANDERS = 3.0
"""Standard deviations by which guesses at a hidden limb wander (measured on demo_clips)."""

_SHORTER_SEGMENT = {
    Joint.HIP: 0.240,
    Joint.KNEE: 0.240,
    Joint.ANKLE: 0.131,
    Joint.SHOULDER: 0.178,
    Joint.ELBOW: 0.157,
    Joint.TRUNK: 0.300,
}
"""Between landmarks, statures; see ``kinematics.proportions``."""

_STIRRING_RAD_S = np.radians(5.0)
"""Slower in the picture than this, nothing moves (common practice, no source)."""

_UNNOTICED_S = 0.1
"""A move is noticed at most so late (own convention)."""

_TAIL_SHARE = 0.08
"""A move ends where its rate has fallen to this share of its peak (own convention)."""

_MINOR_SHARE = 0.35
"""A joint's lesser axis is silent below this share of its greater one (measured on demo_clips)."""

_HELD_SHARE = 0.3
_PAUSE_S = 0.12
_BEGUN_SHARE = 0.2
"""Of the least excursion, for a move that goes on after the last frame (measured on demo_clips)."""

_LEAST_HOLD_S = 0.1
_CUTOFF_HZ = 4.0

_BALLS = (Joint.HIP, Joint.SHOULDER)
_OTHER_SIDE = {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT}
_RIVALS = {Axis.FLEXION: Axis.ABDUCTION, Axis.ABDUCTION: Axis.FLEXION}


def find_phases(angles: AngleTrack, body: BodyTrack, begun: frozenset[MotionAxis] = frozenset()) -> PhaseTable:
    """Cut every axis of ``PHASE_AXES`` into moving and held spans and number the repetitions.

    Parameters
    ----------
    angles, body
        Of the same frames.
    begun
        Axes whose move may go on after the last frame: live, those that moved a while ago. A move of theirs
        that has only begun counts from a smaller excursion on.

    Returns
    -------
    PhaseTable
        No row where an axis rests, is unknown, or moves less than can be told from noise.
    """
    if len(angles) < 3:
        return PhaseTable(())
    rest = find_rest(angles, body)
    columns = [AXIS_INDEX[axis] for axis in PHASE_AXES]
    stirring = picture_rates(body, _CUTOFF_HZ)[:, columns] > _STIRRING_RAD_S
    smooth = smooth_points(angles.time_s, angles.angle_rad[:, columns, None], _CUTOFF_HZ)[:, :, 0]
    rates = np.gradient(smooth, angles.time_s, axis=0)
    moving = {
        axis: _moving_spans(angles, axis, smooth[:, number], rates[:, number], stirring[:, number], axis in begun)
        for number, axis in enumerate(PHASE_AXES)
    }
    moving = {
        axis: [span for span in spans if not (_is_minor(span, angles) or _is_guess(span, angles))]
        for axis, spans in moving.items()
    }
    rows: list[Phase] = []
    for axis, spans in moving.items():
        rows += spans + _held_spans(spans, angles, axis, rest)
    rows.sort(key=lambda row: (row.start, AXIS_INDEX[row.axis]))
    return PhaseTable(number_repetitions(tuple(rows), angles, rest))


def frames_per_second(time_s: Array) -> float:
    """Return the mean frame rate of a track of at least two frames."""
    return float((len(time_s) - 1) / max(time_s[-1] - time_s[0], 1e-6))


def _moving_spans(
    angles: AngleTrack, axis: MotionAxis, angle: Array, rate: Array, stirring: NDArray[np.bool_], begun: bool
) -> list[Phase]:
    """Spans in which the smoothed ``angle``, of that ``rate``, moves while its segments stir in the picture."""
    column = AXIS_INDEX[axis]
    fps = frames_per_second(angles.time_s)
    known = np.isfinite(angle)
    if known.sum() < 3:
        return []
    noise = known_quantile(np.abs(rate), 0.25) / 0.3186  # a quarter of normal noise lies within 0.3186 sigma
    threshold = float(np.clip(3.0 * noise, _MOVING_RAD_S, _FASTEST_THRESHOLD_RAD_S))
    blur = float(np.nan_to_num(known_median(angles.depth_sigma_rad[:, column])))
    jitter = _JITTER_STATURES / _SHORTER_SEGMENT[axis.joint]
    least = max(_LEAST_EXCURSION_RAD, 3.0 * jitter) + 3.0 * max(0.0, blur - _SURE_SIGMA_RAD)
    still = max(STILL_RAD_S, blur / _WOBBLE_S, jitter / _JITTER_S)
    stirred = np.where(stirring & np.isfinite(rate), rate, 0.0)
    spans = []
    for sign, motion in ((1, axis.positive), (-1, axis.negative)):
        along = sign * stirred
        for first, last in _runs(along > still, round(_PAUSE_S * fps)):
            fast = first + np.flatnonzero(along[first:last] > _TAIL_SHARE * along[first:last].max())
            start, stop = int(fast[0]), int(fast[-1]) + 1
            excursion = float(angle[stop - 1] - angle[start])
            arc = sign * excursion * _arc_share(angles, axis, slice(start, stop))
            share = _BEGUN_SHARE if begun and stop == len(angle) else 1.0
            if along[start:stop].max() > threshold and arc >= share * least:
                spans.append(Phase(axis, motion, start, stop, None, excursion))
    return _out_to_rest(_without_overlap(sorted(spans, key=lambda span: span.start)), rate, fps)


def _out_to_rest(spans: list[Phase], rate: Array, fps: float) -> list[Phase]:
    """Begin each move where its rate, drawn on in a straight line, comes from zero.

    A move is only noticed once it is faster than noise; near its start the rate grows about linearly.
    """
    earliest, result = 0, []
    for span in spans:
        growth = abs(rate[min(span.start + 2, span.stop - 1)]) - abs(rate[span.start])
        frames = 2.0 * abs(rate[span.start]) / growth if growth > 0.0 else 0.0
        back = min(round(frames), round(_UNNOTICED_S * fps))
        start = max(earliest, span.start - back)
        result.append(replace(span, start=start))
        earliest = span.stop
    return result


def _runs(active: NDArray[np.bool_], bridge: int) -> list[tuple[int, int]]:
    """Half-open runs of True, joined over gaps of at most ``bridge`` frames."""
    edges = np.flatnonzero(np.diff(active, prepend=False, append=False)).tolist()
    runs: list[tuple[int, int]] = []
    for start, stop in zip(edges[::2], edges[1::2]):
        if runs and start - runs[-1][1] <= bridge:
            runs[-1] = (runs[-1][0], stop)
        else:
            runs.append((start, stop))
    return runs


def _without_overlap(spans: list[Phase]) -> list[Phase]:
    """Bridged runs of one direction may span a short move the other way: the larger excursion stays."""
    kept: list[Phase] = []
    for span in spans:
        if kept and span.start < kept[-1].stop:
            if abs(span.excursion_rad) <= abs(kept[-1].excursion_rad):
                continue
            kept.pop()
        kept.append(span)
    return kept


def _is_minor(span: Phase, angles: AngleTrack) -> bool:
    """Whether the joint's other axis moves so much more meanwhile that this is its shadow."""
    if span.axis.joint not in _BALLS:
        return False
    rival = MotionAxis(span.axis.joint, span.axis.side, _RIVALS[span.axis.axis])
    margin = round(0.25 * frames_per_second(angles.time_s))
    window = slice(max(0, span.start - margin), span.stop + margin)
    column = AXIS_INDEX[rival]
    values = angles.angle_rad[window, column]
    if not np.isfinite(values).any():
        return False
    reach = float(np.nanmax(values) - np.nanmin(values))
    own_spread, rival_spread = (
        known_median(angles.depth_sigma_rad[window, AXIS_INDEX[one]]) for one in (span.axis, rival)
    )
    # the axis that depth blurs more has to show more
    blur = float(np.clip(own_spread / max(rival_spread, 1e-3), 0.5, 2.0))
    arc = abs(span.excursion_rad) * _arc_share(angles, span.axis, slice(span.start, span.stop))
    return arc < _MINOR_SHARE * blur * reach * _arc_share(angles, rival, window)


def _is_guess(span: Phase, angles: AngleTrack) -> bool:
    """Whether a limb that is hidden, other than its fellow, moves by no more than guesses at it wander."""
    if span.axis.side not in _OTHER_SIDE:
        return False
    frames = slice(span.start, span.stop)
    sigma = known_median(angles.sigma_rad[frames, AXIS_INDEX[span.axis]])
    if not abs(span.excursion_rad) < _WANDERS * sigma:
        return False
    own, fellow = (
        known_median(np.square(angles.sigma_rad[frames, column]) - np.square(angles.depth_sigma_rad[frames, column]))
        for column in (AXIS_INDEX[span.axis], AXIS_INDEX[replace(span.axis, side=_OTHER_SIDE[span.axis.side])])
    )
    hidden = _HIDDEN_BALL if span.axis.joint in _BALLS else _HIDDEN
    return own > hidden**2 * fellow


def _arc_share(angles: AngleTrack, axis: MotionAxis, window: slice) -> float:
    """How much of a change of flexion moves the limb: little of it once the limb is far abducted."""
    if axis.axis is not Axis.FLEXION or axis.joint not in _BALLS:
        return 1.0
    abduction = angles.angle_rad[window, AXIS_INDEX[MotionAxis(axis.joint, axis.side, Axis.ABDUCTION)]]
    known = abduction[np.isfinite(abduction)]
    return float(np.abs(np.cos(known)).mean()) if len(known) else 1.0


def _held_spans(spans: list[Phase], angles: AngleTrack, axis: MotionAxis, rest: Rest) -> list[Phase]:
    """Stretches in which the angle stays away from rest, and whole pauses between two moves.

    A pause near rest is listed too: whether it is a hold or rest depends on the load.
    """
    if not spans:
        return []
    column = AXIS_INDEX[axis]
    offset = np.abs(angles.angle_rad[:, column] - rest.angle_rad[column])
    reach = known_quantile(offset, 0.98)
    away = np.nan_to_num(offset) > max(away_from_rest_rad(axis.joint), _HELD_SHARE * reach)
    least = max(2, round(_LEAST_HOLD_S * frames_per_second(angles.time_s)))
    held = []
    edges = [0, *(edge for span in spans for edge in (span.start, span.stop)), len(angles)]
    for start, stop in zip(edges[::2], edges[1::2]):
        runs = _runs(away[start:stop], least)
        if not runs and start > 0 and stop < len(angles) and np.isfinite(offset[start:stop]).all():
            runs = [(0, stop - start)]
        for first, last in runs:
            if last - first >= least:
                held.append(
                    replace(spans[0], motion=Motion.HOLD, start=start + first, stop=start + last, excursion_rad=0.0)
                )
    return held
