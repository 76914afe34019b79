"""A study in words, for the end of a run. It describes; it judges and diagnoses nothing."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from motionlabel.anatomy import ENGLISH, Words
from motionlabel.anatomy.norms import Norm, norm_for
from motionlabel.anatomy.terms import Posture
from motionlabel.body import AXIS_INDEX, Axis, Contraction, Joint, Motion, MotionAxis, Segment, Side, WorkingGroup
from motionlabel.mechanics.stance import swing_drops
from motionlabel.records import Array, Phase, Study, Work, angle_trust

CAUTION = "This is a teaching aid and no medical advice. Stop an exercise that hurts."

_TRUSTED = 0.3
"""Ranges of less trust are not put into words (own convention)."""

_LEVEL_DEG = 0.5
_FOUND = "auto"
"""Text of the setting where the program found the lean of the camera by itself."""

_HEEL_UP_RAD = np.radians(15.0)
"""Toes bent by more stay on the ground under a risen heel, whose landmark turns by 0.5 to 0.9 of the foot (measured on
demo_clips)."""

_SMALL_DEG = 10.0
_LIGHT_SHARE = 0.05
"""Groups that bear less than this share of what the first one bears are only named (own convention)."""

_MOST_NORMS = 3
_RANGE_DEG = 10.0
"""A motion that goes less far past the anatomical zero is no range to set beside a norm (own convention)."""

_UPRIGHT_RAD = np.radians(20.0)
_LYING_RAD = np.radians(60.0)
_HIP_FLEXED_RAD = np.radians(45.0)
"""Where a trunk counts as upright or lying and a hip as flexed, as in a range-of-motion test (own convention)."""

_LIMB_PARTS = {
    Joint.SHOULDER: ("hand", "elbow"),
    Joint.ELBOW: ("hand", "elbow"),
    Joint.HIP: ("foot", "heel", "forefoot", "knee"),
    Joint.KNEE: ("foot", "heel", "forefoot", "knee"),
    Joint.ANKLE: ("foot", "heel", "forefoot"),
}

_MANNER = {
    Contraction.CONCENTRIC: "shortening",
    Contraction.ECCENTRIC: "lengthening under load",
    Contraction.ISOMETRIC: "holding",
}


def summary(study: Study, words: Words = ENGLISH) -> list[str]:
    """Return the lines that say what was found in a clip.

    Parameters
    ----------
    study
        What was found.
    words
        What is said instead of the fixed words for joints, motions, groups and their work.
    """
    video = study.video
    count = study.phases.repetitions
    heads = {0: "no repeated movement", 1: "1 repetition"}
    lines = [f"{video.name}: {video.duration_s:.1f} s, {heads.get(count, f'{count} repetitions')}."]
    if video.missing_s:
        lines.append(f"The file breaks off: its last {video.missing_s:.1f} s cannot be read, what is there was used.")
    lines += _person(study)
    lines += _camera(study)
    lines += _section("Motions seen:", _motions(study, words), "No motion was seen.")
    lines += _pelvis(study)
    if beside := _beside_norms(study):
        lines += _section("Beside a goniometer norm; an exercise need not use the full range:", beside, "")
    lines += _section("Muscle work that the load demands:", _work(study, words), "No working group is named.")
    lines += list(study.work.assumptions)
    return [*lines, CAUTION]


def _section(title: str, lines: list[str], empty: str) -> list[str]:
    return [title, *(f"  {line}" for line in lines)] if lines else [empty]


def _person(study: Study) -> list[str]:
    lines = [study.person.reason] if study.person.reason else []
    gaps = absent_spans_s(study)
    if gaps:
        spans = ", ".join(f"{start:.1f}-{stop:.1f} s" for start, stop in gaps)
        lines.append(f"No person was found at {spans}; there the clip is left as it is.")
    return lines


def _camera(study: Study) -> list[str]:
    """Say that the camera leaned, and how that is known."""
    roll = float(np.degrees(study.body.camera.roll_rad))
    if abs(roll) < _LEVEL_DEG:
        return []
    side = "right" if roll > 0.0 else "left"
    found = study.settings.get("camera.roll_deg", _FOUND) == _FOUND
    how = "as the person shows; the setting roll_deg corrects it" if found else "as the settings say"
    return [f"The camera leaned {abs(roll):.0f} degrees to the {side}, {how}."]


def absent_spans_s(study: Study) -> list[tuple[float, float]]:
    """Return the spans without a person, seconds."""
    absent = np.concatenate([[False], ~study.landmarks.present, [False]])
    edges = np.flatnonzero(np.diff(absent.astype(np.int8)))
    times = np.append(study.landmarks.time_s, study.video.duration_s)
    return [(float(times[start]), float(times[stop])) for start, stop in zip(edges[::2], edges[1::2])]


def _motions(study: Study, words: Words) -> list[str]:
    """Return a line for every axis that moves: motions, range, uncertainty."""
    moving: dict[MotionAxis, list[Phase]] = defaultdict(list)
    for phase in study.phases:
        if phase.motion is not Motion.HOLD:
            moving[phase.axis].append(phase)
    lines, small, unsure = [], [], []
    joined = f" {words('and')} "
    for axis in sorted(moving, key=lambda a: AXIS_INDEX[a]):
        column = AXIS_INDEX[axis]
        frames = np.concatenate([np.arange(p.start, p.stop) for p in moving[axis]])
        angle = np.degrees(study.angles.angle_rad[frames, column])
        sigma = np.degrees(study.angles.sigma_rad[frames, column])
        known = np.isfinite(angle)
        motions = joined.join(words(motion) for motion in dict.fromkeys(p.motion for p in moving[axis]))
        spread = float(np.nanmedian(sigma[known])) if known.any() else np.nan
        if angle_trust(np.radians(spread)) < _TRUSTED:
            unsure.append(f"{_axis_words(axis, words)} {words(axis.axis)}")
        elif np.ptp(angle[known]) < _SMALL_DEG:
            small.append(f"{_axis_words(axis, words)} {words(axis.axis)}")
        else:
            span = f"from {round(angle[known].min())} to {round(angle[known].max())} degrees"
            spread_words = f"(give or take {spread:.0f}){_definition(axis)}{_bound(study, axis, frames)}"
            lines.append(f"{_axis_words(axis, words)}: {motions}, {span} {spread_words}")
    if small:
        lines.append(f"less than {_SMALL_DEG:.0f} degrees: {', '.join(small)}")
    if unsure:
        lines.append(f"moving, but too uncertain from this view for a range: {', '.join(unsure)}")
    return lines


def _pelvis(study: Study) -> list[str]:
    """Describe a pelvis that hangs to the side of the leg in the air; diagnose nothing."""
    return [
        f"Standing on the {drop.standing} leg: pelvis {np.degrees(drop.drop_rad):.0f} degrees lower on the "
        f"{drop.side}, the swing side (give or take {np.degrees(drop.sigma_rad):.0f}); "
        f"the abductors of the {drop.standing}, standing hip hold it level."
        for drop in swing_drops(study.body, study.angles)
    ]


def _axis_words(axis: MotionAxis, words: Words) -> str:
    return words(axis.joint if axis.side is Side.MIDLINE else f"{axis.side} {axis.joint}")


def _definition(axis: MotionAxis) -> str:
    return ", thigh against trunk" if axis.joint is Joint.HIP and axis.axis is Axis.FLEXION else ""


def _bound(study: Study, axis: MotionAxis, frames: Array) -> str:
    """Say of an ankle over a risen heel that its range is at least so much."""
    if axis.joint is not Joint.ANKLE:
        return ""
    toes = study.angles.angle_rad[frames, AXIS_INDEX[MotionAxis(Joint.MTP, axis.side, Axis.EXTENSION)]]
    if not (toes > _HEEL_UP_RAD).any():
        return ""
    return "; a lower bound: heels rise by more than the picture shows of them"


@dataclass(frozen=True)
class _Reach:
    """How far a motion went, where it can be set beside a norm.

    Attributes
    ----------
    side
        Whose limb.
    degrees, spread
        Largest angle past the anatomical zero, and its standard deviation.
    """

    side: Side
    degrees: float
    spread: float


def _beside_norms(study: Study) -> list[str]:
    """Return a line for each motion that was made as in the test of a norm: position, definition, a free limb."""
    found: dict[Norm, list[_Reach]] = defaultdict(list)
    axes = dict.fromkeys(phase.axis for phase in study.phases)
    for axis in sorted(axes, key=lambda a: AXIS_INDEX[a]):
        for sign, motion in ((1.0, axis.positive), (-1.0, axis.negative)):
            phases = [(p, w) for p, w in zip(study.phases, study.work) if p.axis == axis and p.motion is motion]
            frame, work = _farthest(study, sign, phases)
            if work is None or not _is_free(axis, work):
                continue
            norm = norm_for(axis.joint, motion, _posture(study, axis, frame))
            if norm is not None:
                degrees = sign * np.degrees(study.angles.angle_rad[frame, AXIS_INDEX[axis]])
                spread = np.degrees(study.angles.sigma_rad[frame, AXIS_INDEX[axis]])
                found[norm].append(_Reach(axis.side, float(degrees), float(spread)))
    return [_norm_line(norm, reaches) for norm, reaches in list(found.items())[:_MOST_NORMS]]


def _farthest(study: Study, sign: float, phases: list[tuple[Phase, Work]]) -> tuple[int, Work | None]:
    """Frame of the largest trusted angle in some phases, and the work there; ``None`` if it is no range."""
    best, frame, found = np.radians(_RANGE_DEG), 0, None
    for phase, work in phases:
        column = AXIS_INDEX[phase.axis]
        span = slice(phase.start, phase.stop)
        trusted = np.asarray(angle_trust(study.angles.sigma_rad[span, column])) >= _TRUSTED
        reach = np.where(trusted, sign * study.angles.angle_rad[span, column], np.nan)
        if np.isfinite(reach).any() and np.nanmax(reach) > best:
            best, frame, found = float(np.nanmax(reach)), phase.start + int(np.nanargmax(reach)), work
    return frame, found


def _is_free(axis: MotionAxis, work: Work) -> bool:
    """Whether the limb bears no weight; not so where nobody knows what does."""
    on_limb = {f"{axis.side} {part}" for part in _LIMB_PARTS.get(axis.joint, ())}
    return axis.joint in _LIMB_PARTS and bool(work.support) and not on_limb & set(work.support)


def _posture(study: Study, axis: MotionAxis, frame: int) -> Posture:
    forward, up = study.body.segment_rotations[frame, Segment.TRUNK, 1, :2]
    if up > np.cos(_UPRIGHT_RAD):
        return Posture.UPRIGHT
    hip = study.angles.angle_rad[frame, AXIS_INDEX[MotionAxis(Joint.HIP, axis.side, Axis.FLEXION)]]
    if abs(up) < np.cos(_LYING_RAD) and forward > np.sin(_LYING_RAD) and hip > _HIP_FLEXED_RAD:
        return Posture.SUPINE_HIP_FLEXED
    return Posture.LIMB_FREE


def _norm_line(norm: Norm, reaches: list[_Reach]) -> str:
    seen = " and ".join(f"{r.side} {r.degrees:.0f} (give or take {r.spread:.0f})" for r in reaches)
    return f"{norm.mode} {norm.joint} {norm.motion}: {seen} degrees; {norm.text}"


@dataclass
class _Line:
    """Work of one group: manners seen on each side with their contraction, and its impulse for the ranking."""

    manners: dict[str, dict[str, Contraction]]
    impulse: float = 0.0


def _work(study: Study, words: Words) -> list[str]:
    """Return a line for every working group, the one that bears most first, then what stays open."""
    groups: dict[WorkingGroup, _Line] = defaultdict(lambda: _Line({}))
    rows = list(zip(study.phases, study.work))
    for phase, work in rows:
        if work.working_group is None or work.contraction not in _MANNER:
            continue
        line = groups[work.working_group]
        during = "" if phase.motion is Motion.HOLD else f" {words('during')} {words(phase.motion)}"
        manner = f"{words(_MANNER[work.contraction])} ({words(work.contraction)}){during}"
        line.manners.setdefault(phase.axis.side, {})[manner] = work.contraction
        line.impulse += abs(np.nan_to_num(work.demand)) * (phase.stop - phase.start) * work.trust
    ranked = sorted(groups, key=lambda group: -groups[group].impulse)
    heavy = [group for group in ranked if groups[group].impulse >= _LIGHT_SHARE * groups[ranked[0]].impulse]
    lines = [line for group in heavy for line in _group_lines(group, groups[group].manners, words)]
    if light := ranked[len(heavy) :]:
        lines.append(f"little or briefly: {', '.join(f'{words(g)}{_sides(groups[g].manners, words)}' for g in light)}")
    free = _named(rows, Contraction.FREE, words)
    unknown = _named(rows, Contraction.UNKNOWN, words)
    if free:
        lines.append(f"free movement, no group demanded: {free}")
    if unknown:
        lines.append(f"cannot tell from this view: {unknown}")
    return lines


def _group_lines(group: WorkingGroup, manners: dict[str, dict[str, Contraction]], words: Words) -> list[str]:
    """Return one line for a group, or two where one side only holds while the other moves."""
    only_holds = {side for side, manner in manners.items() if set(manner.values()) == {Contraction.ISOMETRIC}}
    lines = []
    for part in ([s for s in manners if s not in only_holds], [s for s in manners if s in only_holds]):
        if part:
            seen = dict.fromkeys(manner for side in part for manner in manners[side])
            lines.append(f"{words(group)}{_sides(part, words)}: {'; '.join(seen)}")
    return lines


def _sides(sides: Iterable[str], words: Words) -> str:
    named = [words(side) for side in (Side.LEFT, Side.RIGHT) if side in sides]
    joined = f" {words('and')} "
    return f", {joined.join(named)}" if named else ""


def _named(rows: Iterable[tuple[Phase, Work]], contraction: Contraction, words: Words) -> str:
    """Return the motions with one contraction, each named once."""
    sides: dict[str, dict[str, None]] = defaultdict(dict)
    for phase, work in rows:
        if work.contraction is contraction:
            sides[f"{words(phase.axis.joint)} {words(phase.motion)}"][phase.axis.side] = None
    joined = f" {words('and')} "
    return ", ".join(
        f"{joined.join(words(s) for s in where if s != Side.MIDLINE)} {what}".strip() for what, where in sides.items()
    )
