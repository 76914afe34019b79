"""Which parts of the body carry its weight, and how much each."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import nnls

from motionlabel.body import Centre, Segment, Side
from motionlabel.kinematics.known import known_median, known_quantile, known_quantiles
from motionlabel.records import Array, BodyTrack


@dataclass(frozen=True)
class ContactPoint:
    """A part of the body that can carry weight.

    Attributes
    ----------
    name
        What a reader calls it.
    centre
        Where it is.
    clearance
        Height of that point above the ground while it rests there, statures (own estimate).
    cost
        How unwillingly it carries: a lying arm could prop the body up but mostly just lies there.
    """

    name: str
    centre: Centre
    clearance: float
    cost: float = 0.0


def _both(part: str, centre: str, clearance: float, cost: float = 0.0) -> tuple[ContactPoint, ...]:
    return tuple(
        ContactPoint(f"{side} {part}", Centre[f"{side}_{centre}".upper()], clearance, cost)
        for side in (Side.LEFT, Side.RIGHT)
    )


_HEEL_BEHIND = 0.08
"""The edge one rocks on lies this far behind the heel landmark, fraction of heel to toe (measured on demo_clips)."""


def contact_places(centres_m: Array) -> Array:
    """Return where each of ``POINTS`` meets the ground.

    Parameters
    ----------
    centres_m
        (F, J, 3) joint centres.

    Returns
    -------
    (F, C, 3) places; a foot stands on the edge of its heel and on its ball, not on the landmarks.
    """
    places = centres_m[:, [point.centre for point in POINTS]].copy()
    names = [point.name for point in POINTS]
    for side in (Side.LEFT, Side.RIGHT):
        heel, toe = centres_m[:, Centre[f"{side}_HEEL".upper()]], centres_m[:, Centre[f"{side}_TOE".upper()]]
        places[:, names.index(f"{side} heel")] = heel - _HEEL_BEHIND * (toe - heel)
        places[:, names.index(f"{side} forefoot")] = centres_m[:, Centre[f"{side}_BALL".upper()]]
    return places


POINTS: tuple[ContactPoint, ...] = (
    *_both("heel", "heel", 0.01),
    *_both("forefoot", "toe", 0.01),
    *_both("hand", "hand", 0.015),
    *_both("elbow", "elbow", 0.025, 0.1),
    *_both("knee", "knee", 0.035),
    *_both("hip", "hip", 0.07),
    *_both("shoulder", "shoulder", 0.07),
    *_both("seat", "hip", 0.0),
)
"""Every part that may carry weight; the second axis of ``Support``'s arrays."""


def columns_of(*parts: str) -> list[int]:
    """Columns of ``POINTS`` that are one of these parts of either side, e.g. ``"heel"``."""
    return [column for column, point in enumerate(POINTS) if point.name.split(" ")[1] in parts]


_FEET = columns_of("heel", "forefoot")
SEAT = columns_of("seat")
"""Columns of the seat; it is no point of the ground: ``mechanics.raised`` finds it."""

_ACQUIRE = 0.025
_RELEASE = 0.045
_ACQUIRE_SPEED = 0.08
_RELEASE_SPEED = 0.15
_RELEASE_FRAMES = 3
_SWINGING = 2.0 * _RELEASE
"""A foot that moves with one end so far above its lowest level, statures, is in the air (own convention)."""

_FLOOR_REACH = 0.04
"""A point whose own lowest level is within this of the lowest one's can touch the floor, statures (own estimate)."""

_FARTHEST_REACH = 0.09
_PER_DEPTH = 0.4
"""A far foot looks higher: by up to this share of its distance in depth (a camera at 1 m seen from 2.5 m)."""

_KNEE_REACH = 0.03
"""A knee on the ground lies as low as the toes of its own leg; in a lunge it hovers (own estimate)."""

_PITCH_RAD = np.radians(7.0)
_LYING = 0.5
"""Cosine of the trunk against the vertical below which the body lies (own convention)."""

_FIRM = 10.0
"""Weight of forces that add up to body weight and of balance, against equal shares (own convention)."""

OFF_BALANCE = 0.06
"""Balance that misses by more, statures, says that something else carries (measured on demo_clips)."""


@dataclass(frozen=True)
class Support:
    """Contacts and their vertical forces.

    Attributes
    ----------
    touching
        (F, C) which of ``POINTS`` carry.
    force
        (F, C) vertical force, body weights; NaN where the balance does not close.
    """

    touching: NDArray[np.bool_]
    force: Array

    def parts(self, start: int, stop: int) -> tuple[str, ...]:
        """Names of the parts that carry for most of a span; heel and forefoot together are a foot."""
        share = self.touching[start:stop].mean(axis=0) > 0.5
        names = [point.name for point, on in zip(POINTS, share) if on]
        for side in ("left", "right"):
            heel, forefoot = f"{side} heel", f"{side} forefoot"
            if heel in names and forefoot in names:
                names[names.index(heel)] = f"{side} foot"
                names.remove(forefoot)
        for part, whole in (("hip", "pelvis"), ("shoulder", "back"), ("seat", "seat")):
            if f"left {part}" in names and f"right {part}" in names:
                names[names.index(f"left {part}")] = whole
                names.remove(f"right {part}")
        return tuple(names)


def find_contacts(body: BodyTrack, stated: Sequence[int] = ()) -> NDArray[np.bool_]:
    """Find which points touch the ground, frame by frame, with hysteresis.

    A point touches when it is low against its own lowest level and still; it lets go when it is higher
    or faster for three frames. Only points whose lowest level is near the floor count.

    Parameters
    ----------
    body
        Low-passed or not.
    stated
        Columns of ``POINTS`` that the educator says may carry: those alone, at whatever level.

    Returns
    -------
    (F, C) True where a point of ``POINTS`` touches.
    """
    touching = np.zeros((len(body), len(POINTS)), dtype=bool)
    position, level = _places_and_levels(body)
    known = np.asarray(np.isfinite(level).any(axis=0))
    known[SEAT] = False
    if len(body) < 2 or (not stated and _stands_out_of_the_picture(body, known)):
        return touching
    own_low = np.full(len(POINTS), np.inf)
    own_low[known] = known_quantiles(level[:, known], 0.04)
    floor = float(np.min(own_low))
    speed = np.linalg.norm(np.gradient(position, body.time_s, axis=0), axis=2)
    near = own_low < floor + _reach(body, own_low)
    for column in (column for column in stated or np.flatnonzero(near) if known[column]):
        above = np.nan_to_num(level[:, column] - own_low[column], nan=np.inf)
        acquire = (above < _ACQUIRE) & (speed[:, column] < _ACQUIRE_SPEED)
        release = (above > _RELEASE) | (np.nan_to_num(speed[:, column], nan=np.inf) > _RELEASE_SPEED)
        touching[:, column] = hysteresis(acquire, release)
    _tell_heel_from_toe(body, touching)
    if not stated:
        _lay_down(body, touching)
    return touching


def swinging_feet(body: BodyTrack) -> NDArray[np.bool_]:
    """Find the foot that moves well off the floor: it carries nothing, whatever else is unknown.

    Returns
    -------
    (F, C) True for its heel and forefoot; never for other points, since hands may swing by what holds them, nor
    where both feet seem to move in the air: one of them is seen wrongly then.
    """
    swinging = np.zeros((len(body), len(POINTS)), dtype=bool)
    if len(body) < 2:
        return swinging
    position, level = _places_and_levels(body)
    for side in (0, 1):
        foot = [column for column in _FEET if column % 2 == side]
        speed = np.linalg.norm(np.gradient(position[:, foot], body.time_s, axis=0), axis=2)
        if np.isfinite(level[:, foot]).any(axis=0).all():
            raised = level[:, foot] - known_quantiles(level[:, foot], 0.04) > _SWINGING
            swinging[:, foot] = (raised.any(axis=1) & (speed > _RELEASE_SPEED).all(axis=1))[:, None]
    swinging[swinging[:, _FEET].all(axis=1)] = False
    return swinging


def _places_and_levels(body: BodyTrack) -> tuple[Array, Array]:
    """(F, C, 2) places of ``POINTS`` in the picture plane, and (F, C) height of their undersides, statures."""
    position = np.stack([body.centres_m[:, point.centre, :2] for point in POINTS], axis=1) / body.stature_m
    return position, position[:, :, 1] - np.array([point.clearance for point in POINTS])


def _reach(body: BodyTrack, own_low: Array) -> Array:
    """(C,) how far above the lowest point a point may lie and still touch the floor, statures."""
    known = np.isfinite(own_low)
    depth = np.zeros(len(POINTS))
    depth[known] = known_quantiles(body.centres_m[:, [point.centre for point in POINTS], 2], 0.5)[known]
    apart = np.abs(depth - depth[int(np.argmin(own_low))]) / body.stature_m
    upright = known_median(np.nan_to_num(body.frame_of(Segment.TRUNK)[:, 1, 1])) > _LYING
    # the clearances of a body that lies down on its side, back or front are known less well
    reach = np.clip(_FLOOR_REACH + _PER_DEPTH * apart if upright else _FARTHEST_REACH, None, _FARTHEST_REACH)
    reach = np.broadcast_to(reach, len(POINTS)).copy()
    for knee in columns_of("knee") if upright else ():
        foot = min(own_low[column] for column in _FEET if column % 2 == knee % 2)
        if np.isfinite(foot):
            reach[knee] = foot - np.min(own_low) + _KNEE_REACH
    return reach


def _stands_out_of_the_picture(body: BodyTrack, known: NDArray[np.bool_]) -> bool:
    """Whether an upright person shows no foot: then the lowest point that is seen is not on the ground."""
    up = body.frame_of(Segment.TRUNK)[:, 1, 1]
    return not known[_FEET].any() and known_median(np.nan_to_num(up)) > _LYING


def _lay_down(body: BodyTrack, touching: NDArray[np.bool_]) -> None:
    """Let pelvis and shoulders of a lying body carry where nothing else was found to, in place.

    Depth may put the legs of somebody who points them at the camera below the floor.
    """
    lying = np.abs(body.frame_of(Segment.TRUNK)[:, 1, 1]) < _LYING
    found = touching.any(axis=1)
    for column, point in enumerate(POINTS):
        if point.name.endswith(("hip", "shoulder")):
            touching[:, column] |= lying & ~found


def still(speed: Array) -> NDArray[np.bool_]:
    """(F,) whether a point rests, from its (F,) speed in statures a second, with hysteresis."""
    return hysteresis(speed < _ACQUIRE_SPEED, np.nan_to_num(speed, nan=np.inf) > _RELEASE_SPEED)


def hysteresis(acquire: NDArray[np.bool_], release: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """(F,) state that begins where ``acquire`` holds and ends where ``release`` does for three frames."""
    state = np.zeros(len(acquire), dtype=bool)
    first = np.flatnonzero(acquire | release)
    on = bool(len(first)) and bool(acquire[first[0]])
    leaving = 0
    for frame in range(len(acquire)):
        if on:
            leaving = leaving + 1 if release[frame] else 0
            if leaving >= _RELEASE_FRAMES:
                on = False
                state[frame - _RELEASE_FRAMES + 1 : frame] = False
        elif acquire[frame]:
            on, leaving = True, 0
        state[frame] = on
    return state


def _tell_heel_from_toe(body: BodyTrack, touching: NDArray[np.bool_]) -> None:
    """Lift the higher end of a foot that is pitched against its own flat level, in place."""
    names = {point.name: column for column, point in enumerate(POINTS)}
    for side in ("left", "right"):
        heel, toe = names[f"{side} heel"], names[f"{side} forefoot"]
        line = body.centres_m[:, Centre[f"{side}_TOE".upper()]] - body.centres_m[:, POINTS[heel].centre]
        if not np.isfinite(line).any():
            continue
        length = known_quantile(np.linalg.norm(line, axis=1), 0.75)
        pitch = np.arcsin(np.clip(line[:, 1] / length, -1.0, 1.0))
        both = touching[:, heel] & touching[:, toe]
        if not both.any():
            continue
        flat = known_median(pitch[both])
        slope = np.nan_to_num(pitch - flat)
        touching[:, toe] &= ~((slope > _PITCH_RAD) & touching[:, heel])
        touching[:, heel] &= ~((slope < -_PITCH_RAD) & touching[:, toe])


def share_weight(
    touching: NDArray[np.bool_],
    centres_m: Array,
    body_com_m: Array,
    forward: Array,
    stature_m: float,
    falling: NDArray[np.bool_],
    largest_miss: float = OFF_BALANCE,
) -> Array:
    """Share the body's weight between the contacts.

    Vertical forces that are never negative, add up to body weight and put their centre under the mass
    centre in the person's fore-and-aft direction; left and right share alike where that leaves a choice
    (depth is too uncertain to balance sideways in most views).

    Parameters
    ----------
    touching
        (F, C) contacts.
    centres_m
        (F, J, 3) joint centres.
    body_com_m
        (F, 3) mass centre.
    forward
        (F, 3) horizontal unit vector of balance.
    stature_m
        Stature.
    falling
        (F,) frames of flight: without contact then, nothing carries; at other times contact was missed:
        by what is not seen where no foot is, else by any point.
    largest_miss
        Statures by which the centre of the forces may miss the mass centre; more says that they do not
        carry alone. Infinite where the educator says that they do.

    Returns
    -------
    (F, C) body weights, 0 for what does not touch; NaN for what touches where balance misses by more, and
    for what may have been missed.
    """
    force, miss = shares_and_miss(touching, centres_m, body_com_m, forward, stature_m)
    force[miss > largest_miss] = np.where(touching[miss > largest_miss], np.nan, 0.0)
    hidden = ~np.isfinite(contact_places(centres_m)[:, :, 0])
    for frame in np.flatnonzero(np.isnan(miss) & ~falling):
        force[frame, hidden[frame] if hidden[frame, _FEET].all() else slice(None)] = np.nan
    return force


def shares_and_miss(
    touching: NDArray[np.bool_], centres_m: Array, body_com_m: Array, forward: Array, stature_m: float
) -> tuple[Array, Array]:
    """Share the weight between the contacts as far as they can balance it.

    Parameters as for ``share_weight``.

    Returns
    -------
    share
        (F, C) body weights, 0 for what does not touch.
    miss
        (F,) statures by which balance misses; NaN where nothing touches.
    """
    offset = np.einsum("fci,fi->fc", contact_places(centres_m) - body_com_m[:, None], forward) / stature_m
    offset = np.where(np.isfinite(offset), offset, 0.0)
    force, miss = np.zeros(touching.shape), np.full(len(touching), np.nan)
    carried = touching.any(axis=1) & np.isfinite(body_com_m[:, 0])
    # frames in which the same points touch are balanced at once; their pattern as a number
    patterns = touching @ (1 << np.arange(touching.shape[1]))
    for pattern in np.unique(patterns[carried]):
        frames = np.flatnonzero(carried & (patterns == pattern))
        active = np.flatnonzero(touching[frames[0]])
        if len(active):
            share = _balance(active, offset[np.ix_(frames, active)])
            miss[frames] = np.abs((share * offset[np.ix_(frames, active)]).sum(axis=1))
            force[np.ix_(frames, active)] = share
    return force, miss


def _balance(active: NDArray[np.intp], offset: Array) -> Array:
    """(F, A) forces of the active points that add up to 1, from their (F, A) offsets, by least squares."""
    rows = [np.full(len(active), _FIRM)]
    for k, column in enumerate(active):
        twin = column + 1 if column % 2 == 0 else -1
        if twin in active:
            row = np.zeros(len(active))
            row[k], row[int(np.flatnonzero(active == twin)[0])] = 1.0, -1.0
            rows.append(row)
        row = np.zeros(len(active))
        row[k] = 0.05 + POINTS[column].cost * _FIRM
        rows.append(row)
    fixed = np.array(rows)
    target = np.zeros(len(fixed) + 1)
    target[0] = _FIRM
    balance = _FIRM * offset
    normal = fixed.T @ fixed + balance[:, :, None] * balance[:, None, :]
    force = np.linalg.solve(normal, np.tile((fixed.T @ target[:-1])[:, None], (len(offset), 1, 1)))[:, :, 0]
    for frame in np.flatnonzero((force < 0.0).any(axis=1)):  # ground only pushes
        force[frame], _ = nnls(np.vstack([fixed, balance[frame]]), target)
    return np.asarray(force / np.maximum(force.sum(axis=1, keepdims=True), 1e-9))
