"""Horizontal forces at the contacts, which no picture shows."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from motionlabel.body import Axis, Centre, Joint, MotionAxis, Side
from motionlabel.kinematics.rotations import cross
from motionlabel.mechanics.moments import LIMB_AXES, distal_contacts
from motionlabel.mechanics.support import POINTS, contact_places
from motionlabel.records import Array, BodyTrack

_FRICTION = 0.03
"""Horizontal share of a contact force in slow exercise (own estimate)."""

_STRUT = 0.3
"""Of a push straight along the line to the mass centre, the share that is open (own estimate)."""

_SEATED = 0.5
"""Horizontal share of the force of a foot while a seat carries too: they push against each other as far as soles
hold (common friction of shoes, own estimate)."""

_OWN_WEIGHT = 0.16
"""What a leg may hand down to the floor while one sits, body weights: its 0.20 of body mass (de Leva 1996) less
the part of the thigh that lies on the seat (own estimate)."""

_ALONE = 0.01
"""The same where one limb carries all: nothing pushes back, but the body sways by 0.1 m/s^2 (own estimate)."""

_ALL = 0.999
_LEGS = (Joint.HIP, Joint.KNEE, Joint.ANKLE)
_LEAST_HEIGHT = 0.1
_APART = 0.2
"""Lean of both legs from which feet count as apart: 11 deg (own convention)."""


@dataclass(frozen=True)
class Bearing:
    """What carries beyond a joint.

    Attributes
    ----------
    total
        (F,) vertical force, body weights.
    place
        (F, 3) where it acts.
    lean
        (F,) tangent of the line from there to the mass centre, forwards positive, at most 1.
    """

    total: Array
    place: Array
    lean: Array


def find_bearings(body: BodyTrack, force: Array, body_com_m: Array, forward: Array) -> dict[tuple[int, ...], Bearing]:
    """Return what carries, for the contacts beyond each joint (``distal_contacts``).

    Parameters
    ----------
    body
        The body.
    force
        (F, C) vertical forces, body weights; NaN counts as nothing.
    body_com_m, forward
        (F, 3) mass centre and (F, 3) horizontal unit vector of balance.
    """
    weights = np.nan_to_num(force)
    places = np.nan_to_num(body.centres_m[:, [point.centre for point in POINTS]])
    found = {}
    for contacts in dict.fromkeys(tuple(distal_contacts(axis)) for axis in LIMB_AXES):
        weight = weights[:, contacts]
        total = weight.sum(axis=1)
        place = np.einsum("fci,fc->fi", places[:, contacts], weight) / np.maximum(total, 1e-9)[:, None]
        away = body_com_m - place
        height = np.maximum(np.abs(away[:, 1]), _LEAST_HEIGHT * body.stature_m)
        found[contacts] = Bearing(total, place, np.clip((away * forward).sum(axis=1) / height, -1.0, 1.0))
    return found


def shear_spread(
    body: BodyTrack, force: Array, bearings: Mapping[tuple[int, ...], Bearing], planted: NDArray[np.bool_]
) -> Array:
    """Return the spread of moments from horizontal forces.

    A foot far before or behind the mass centre pushes along the leg towards it, by a share that no picture
    shows; feet under the mass centre hardly push sideways.

    Parameters
    ----------
    body
        The body.
    force
        (F, C) vertical forces, body weights.
    bearings
        Of the same forces.
    planted
        (F, A) limbs that touch the floor while a seat carries too: how much of their own weight they hand down
        there, and how hard they push, is not seen.

    Returns
    -------
    (F, A) body weight x height.
    """
    result, places = np.empty((len(body), len(LIMB_AXES))), np.nan_to_num(contact_places(body.centres_m))
    whole = np.nan_to_num(force).sum(axis=1)
    for column, axis in enumerate(LIMB_AXES):
        contacts = distal_contacts(axis)
        bearing = bearings[tuple(contacts)]
        share = np.where(bearing.total >= _ALL * whole, _ALONE, _FRICTION + _STRUT * np.abs(bearing.lean))
        joint = body.centres_m[:, Centre[f"{axis.side}_{axis.joint}".upper()]]
        height = np.abs(joint[:, 1] - bearing.place[:, 1])
        spread = np.where(bearing.total > 0.0, share * bearing.total * height, 0.0)
        if planted[:, column].any():
            lever = np.abs(places[:, contacts].mean(axis=1) - joint)
            pushed = np.maximum(bearing.total, _OWN_WEIGHT) * (
                _SEATED * lever[:, 1] + np.hypot(lever[:, 0], lever[:, 2])
            )
            spread = np.where(planted[:, column], pushed, spread)
        result[:, column] = spread / body.stature_m
    return result


def strut_moment(
    body: BodyTrack, forward: Array, bearings: Mapping[tuple[int, ...], Bearing], about: Mapping[MotionAxis, Array]
) -> Array:
    """Return what the muscles of the legs must do more if the feet push straight towards the mass centre.

    Only two feet that stand before and behind the mass centre can push towards each other.

    Parameters
    ----------
    body
        The body.
    forward
        (F, 3) horizontal unit vector of balance.
    bearings
        What carries.
    about
        (F, 3) unit vector of each axis.

    Returns
    -------
    (F, A) body weight x height, towards the axis's positive motion; 0 for the arms.
    """
    result = np.zeros((len(body), len(LIMB_AXES)))
    apart = _feet_apart(bearings)
    if not apart.any():
        return result
    for column, axis in enumerate(LIMB_AXES):
        if axis.joint not in _LEGS:
            continue
        bearing = bearings[tuple(distal_contacts(axis))]
        push = (bearing.total * bearing.lean)[:, None] * forward
        arm = bearing.place - body.centres_m[:, Centre[f"{axis.side}_{axis.joint}".upper()]]
        moment = -(cross(arm, push) * about[axis]).sum(axis=1)
        result[:, column] = np.where(apart & (bearing.total > 0.0), moment, 0.0) / body.stature_m
    return result


def _feet_apart(bearings: Mapping[tuple[int, ...], Bearing]) -> NDArray[np.bool_]:
    """(F,) whether one foot that carries is before the mass centre and the other behind."""
    leans = []
    for side in (Side.LEFT, Side.RIGHT):
        foot = distal_contacts(MotionAxis(Joint.ANKLE, side, Axis.DORSIFLEXION))
        bearing = bearings[tuple(foot)]
        leans.append(np.where(bearing.total > 0.0, bearing.lean, 0.0))
    return np.asarray((leans[0] * leans[1] < 0.0) & (np.min(np.abs(leans), axis=0) > _APART))
