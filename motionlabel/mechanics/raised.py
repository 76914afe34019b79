"""Support above the floor: a seat, and a step under one foot."""

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import label

from motionlabel.body import Centre, Segment
from motionlabel.kinematics.known import known_quantile
from motionlabel.mechanics.masses import locate_masses
from motionlabel.mechanics.support import OFF_BALANCE, POINTS, SEAT, shares_and_miss, still
from motionlabel.records import Array, BodyTrack

_LEVEL = 0.13
"""A thigh is level whose ends differ by less, statures: 32 deg (own convention)."""

_SEAT_HEIGHT = 0.12
"""Lower than this over the lowest foot one sits on the ground (own convention)."""

_UPRIGHT = 0.5
_LEAST_S = 0.2
_MISSED_SHARE = 0.3
"""Share of a stretch in which the floor must be unable to balance the body for something else to carry it
(own convention)."""

_AROUND_S = 1.0
_CLIMB = 0.08
"""A foot on a step stays still while the hips travel up or down by so much, statures (own convention)."""

_STAYS = 0.04
_STEP_HEIGHT = 0.05
_FLAT = 0.05

_FEET = {
    side: [k for k, point in enumerate(POINTS) if point.name in {f"{side} heel", f"{side} forefoot"}]
    for side in ("left", "right")
}


def sits(body: BodyTrack) -> NDArray[np.bool_]:
    """(F,) frames in which the posture is that of sitting on a seat: hips still, high, thighs level, trunk up.

    The bottom of a squat that is held looks the same; only balance tells.
    """
    height, fps = body.stature_m, _fps(body)
    hip, knee, low = (
        np.stack([body.centres_m[:, Centre[f"{side}_{part}"]] for side in ("LEFT", "RIGHT")]) / height
        for part in ("HIP", "KNEE", "TOE")
    )
    middle = hip.mean(axis=0)
    if len(body) < 3 or not np.isfinite(low[:, :, 1]).any():
        return np.zeros(len(body), dtype=bool)
    hanging = hip[:, :, 1] - knee[:, :, 1]
    thighs = (hanging < _LEVEL).all(axis=0) & (np.abs(hanging) < _LEVEL).any(axis=0)
    high = middle[:, 1] - known_quantile(low[:, :, 1].ravel(), 0.04) > _SEAT_HEIGHT
    upright = body.frame_of(Segment.TRUNK)[:, 1, 1] > _UPRIGHT
    speed = np.linalg.norm(np.gradient(middle[:, :2], body.time_s, axis=0), axis=1)
    posture = thighs & high & upright & still(speed)
    return _mask(len(body), [run for run in _runs(posture) if run.stop - run.start >= _LEAST_S * fps])


def add_raised(
    body: BodyTrack, touching: NDArray[np.bool_], forward: Array, end_on: NDArray[np.bool_]
) -> NDArray[np.bool_]:
    """Add seat and step where the floor cannot balance the body.

    Parameters
    ----------
    body
        Low-passed.
    touching
        (F, C) contacts with the floor.
    forward
        (F, 3) horizontal unit vector of balance.
    end_on
        (F,) whether the person faces the camera or turns the back to it, so that balance fore and aft is not
        seen: then a clip that begins or ends with somebody sitting says that it is a seat, since squats are
        not held that long.

    Returns
    -------
    (F, C) contacts. A seat carries from the first to the last moment of sitting still, even while the feet
    could balance the body. Where the floor misses the balance on the way there too (a wall behind the
    back), what carries stays unknown.
    """
    sitting, steps = sits(body), _steps(body, touching)
    if not sitting.any() and not any(steps.values()):
        return touching
    com = locate_masses(body.centres_m, body.time_s).body_com_m
    found = touching.copy()

    def unbalanced(contacts: NDArray[np.bool_]) -> NDArray[np.bool_]:
        _, miss = shares_and_miss(contacts, body.centres_m, com, forward, body.stature_m)
        return ~(miss <= OFF_BALANCE)

    missed = unbalanced(touching)
    around = round(_AROUND_S * _fps(body))
    for run in _runs(sitting):
        beside = np.zeros(len(body), dtype=bool)
        beside[max(0, run.start - around) : run.stop + around] = True
        beside &= ~sitting & touching.any(axis=1)
        leant = beside.any() and missed[beside].mean() > 0.5
        outer = run.start == 0 or run.stop == len(body)
        if (missed[run].mean() >= _MISSED_SHARE and not leant) or (outer and end_on[run].mean() > 0.5):
            found[_rows(run), SEAT] = True
    for side, runs in steps.items():
        for run in runs:
            with_step = found.copy()
            with_step[_rows(run), _FEET[side]] = True
            better = missed[run] & ~unbalanced(with_step)[run]
            if better.mean() >= _MISSED_SHARE:
                found[run] = with_step[run]
    return found


def _steps(body: BodyTrack, touching: NDArray[np.bool_]) -> dict[str, list[slice]]:
    """Stretches in which a flat foot rests above the floor while the hips climb or descend over it."""
    height = body.stature_m
    hips = 0.5 * (body.centres_m[:, Centre.LEFT_HIP, 1] + body.centres_m[:, Centre.RIGHT_HIP, 1]) / height
    ends = {
        side: np.stack([body.centres_m[:, Centre[f"{side}_{part}".upper()], :2] for part in ("heel", "toe")]) / height
        for side in _FEET
    }
    lows = [known_quantile(end[:, :, 1].ravel(), 0.04) for end in ends.values() if np.isfinite(end).any()]
    result: dict[str, list[slice]] = {side: [] for side in _FEET}
    if len(body) < 3 or not lows:
        return result
    for side, (heel, toe) in ends.items():
        middle = 0.5 * (heel + toe)
        speed = np.linalg.norm(np.gradient(middle, body.time_s, axis=0), axis=1)
        raised = (middle[:, 1] - min(lows) > _STEP_HEIGHT) & (np.abs(heel[:, 1] - toe[:, 1]) < _FLAT)
        resting = raised & still(speed) & ~touching[:, _FEET[side]].any(axis=1)
        result[side] = [
            run for run in _runs(resting) if np.ptp(hips[run]) > _CLIMB and np.ptp(middle[run], axis=0).max() < _STAYS
        ]
    return result


def _fps(body: BodyTrack) -> float:
    return float((len(body) - 1) / max(body.time_s[-1] - body.time_s[0], 1e-6))


def _runs(active: NDArray[np.bool_]) -> list[slice]:
    marks, count = label(active)
    frames = [np.flatnonzero(marks == number) for number in range(1, count + 1)]
    return [slice(int(run[0]), int(run[-1]) + 1) for run in frames]


def _rows(run: slice) -> NDArray[np.intp]:
    return np.arange(run.start, run.stop)[:, None]


def _mask(length: int, runs: list[slice]) -> NDArray[np.bool_]:
    mask = np.zeros(length, dtype=bool)
    for run in runs:
        mask[run] = True
    return mask
