"""Feet: the ball of the foot, feet that stand, and where they stand under the body."""

import numpy as np
from scipy.ndimage import uniform_filter1d

from motionlabel.body import Centre, Landmark
from motionlabel.kinematics.depth import Tether
from motionlabel.kinematics.known import known_median, known_quantile
from motionlabel.kinematics.proportions import ASSUMED_STATURE_M
from motionlabel.kinematics.rotations import level_forward
from motionlabel.records import Array

_BALL_AT = 0.75
"""The ball of the foot, fraction of heel to toe tip (from memory; anthropometric tables give 0.72-0.75)."""

_LOW_STATURES = 0.02
_PLANTED_STATURES_S = 0.05
_FEWEST_PLANTED = 5

_LOWER_STATURES = 0.04
_LEG_BELOW_STATURES = 0.15
_TRUNK_ABOVE_STATURES = 0.1
"""A foot bears an upright body if it is about the lower one, well below the hips, and these below the shoulders."""

_TRUNK_AND_HEAD = 0.42
_ARM = 0.1
"""Depth of the body's mass centre per depth of the shoulders, and of the elbow against the shoulder: masses of trunk,
head and arms (de Leva 1996) times their places; both arms count as the one of this side."""

_ANKLE_BEHIND_STATURES = 0.035
"""The weight lies before the ankle, near the middle of the foot (half of 0.15 statures of foot, less the heel's
0.04, from memory: Drillis & Contini 1966)."""

_BALANCE_STATURES = 0.02
"""Standard deviation of this in slow standing exercises (measured on demo_clips); long tails beyond."""


def ball_of_foot(heel: Array, toe: Array, fps: float) -> Array:
    """(F, 3) ball of the foot: on the line from heel to toe tip, or before toes that lie flat on the ground.

    When the heel rises the toes stay flat, so the line to their tip turns less than the foot does.
    """
    line = toe - heel
    ball = heel + _BALL_AT * line
    seen = np.isfinite(line[:, 0])
    if np.count_nonzero(seen) < 3:
        return ball
    length = known_quantile(np.linalg.norm(line[seen], axis=1), 0.75)
    lift = heel[:, 1] - toe[:, 1]
    flat_lift = known_median(lift[seen & (np.abs(lift - known_quantile(lift[seen], 0.25)) < 0.1 * length)])
    level = line * np.array([1.0, 0.0, 1.0])
    level /= np.maximum(np.linalg.norm(level, axis=1, keepdims=True), 1e-9)
    low = toe[:, 1] - known_quantile(toe[seen, 1], 0.05) < _LOW_STATURES * ASSUMED_STATURE_M
    drift = np.abs(np.gradient(toe[:, 0])) * fps < _PLANTED_STATURES_S * ASSUMED_STATURE_M
    # from nothing to wholly as the heel rises by a tenth of the foot, without a step
    risen = np.clip((lift - flat_lift) / (0.1 * length), 0.0, 1.0)
    flat = uniform_filter1d(np.where(low & drift, risen, 0.0), max(1, round(0.1 * fps)))[:, None]
    before_toes = toe - (1.0 - _BALL_AT) * length * level
    return (1.0 - flat) * ball + flat * before_toes


def plant_feet(centres: Array, variance: Array, time_s: Array) -> None:
    """Keep the depth between two standing feet as it is for most of the time, in place.

    Feet on the ground do not move, so what their depths do against each other is error of the legs above:
    half of it is taken off each leg.
    """
    if len(time_s) < _FEWEST_PLANTED:
        return
    ankles = [Centre.LEFT_ANKLE, Centre.RIGHT_ANKLE]
    speed = np.linalg.norm(np.gradient(centres[:, ankles, :2], time_s, axis=0), axis=2)
    planted = (speed < _PLANTED_STATURES_S * ASSUMED_STATURE_M).all(axis=1)
    apart = centres[:, ankles[0], 2] - centres[:, ankles[1], 2]
    if np.count_nonzero(planted & np.isfinite(apart)) < _FEWEST_PLANTED:
        return
    wrong = apart - known_median(apart[planted])
    for side, sign in (("LEFT", -0.5), ("RIGHT", 0.5)):
        knee, ankle = Centre[f"{side}_KNEE"], Centre[f"{side}_ANKLE"]
        share = np.where(variance[:, ankle] > 0.0, variance[:, knee] / np.maximum(variance[:, ankle], 1e-12), 0.5)
        shift = np.where(planted, np.nan_to_num(sign * wrong), 0.0)
        for part in ("KNEE", "ANKLE", "HEEL", "TOE", "BALL"):
            # the mean of two legs has half the variance of one
            variance[planted, Centre[f"{side}_{part}"]] *= 0.5
        centres[:, knee, 2] += share * shift
        for part in ("ANKLE", "HEEL", "TOE", "BALL"):
            centres[:, Centre[f"{side}_{part}"], 2] += shift


def under_the_body(side: str, image: Array, trunk: Array, elbow: Array, rightward: Array, fps: float) -> Tether:
    """Say where the ankle of a foot that bears an upright body lies in depth: under the body's weight.

    From the front a bent leg looks the same whether the shank leans forwards or backwards; only one of the two
    keeps the person on their feet.

    Parameters
    ----------
    side
        ``"LEFT"`` or ``"RIGHT"``.
    image
        (F, L, 2) landmarks in the picture, metres of the assumed stature, y up; NaN = unknown.
    trunk, elbow
        (F,) depth of the shoulders against the hips, and of this side's elbow against its shoulder.
    rightward
        (F, 3) unit vector from the person's left to right.
    fps
        Frames per second.
    """

    def point(*names: str) -> Array:
        return np.asarray(image[:, [Landmark[name] for name in names]].mean(axis=1))

    other_side = "LEFT" if side == "RIGHT" else "RIGHT"
    ankle, other = point(f"{side}_ANKLE"), point(f"{other_side}_ANKLE")
    hips, shoulders = point("LEFT_HIP", "RIGHT_HIP"), point("LEFT_SHOULDER", "RIGHT_SHOULDER")
    path = np.gradient(ankle, axis=0) if len(ankle) > 1 else np.zeros_like(ankle)
    moving = np.linalg.norm(path, axis=1) * fps > _PLANTED_STATURES_S * ASSUMED_STATURE_M
    lifted = ankle[:, 1] - other[:, 1] > _LOWER_STATURES * ASSUMED_STATURE_M
    upright = hips[:, 1] - ankle[:, 1] > _LEG_BELOW_STATURES * ASSUMED_STATURE_M
    upright &= shoulders[:, 1] - hips[:, 1] > _TRUNK_ABOVE_STATURES * ASSUMED_STATURE_M
    weight = _TRUNK_AND_HEAD * trunk + _ARM * np.nan_to_num(elbow)
    forward = level_forward(rightward)[:, 2]
    depth = np.nan_to_num(weight - _ANKLE_BEHIND_STATURES * ASSUMED_STATURE_M * forward)
    return Tether(depth, _BALANCE_STATURES * ASSUMED_STATURE_M, np.asarray(upright & ~moving & ~lifted))
