"""Which labels are shown when: decided once for a clip, from its phases and their muscle work.

A label belongs to a joint and the group that works there. It stays for a whole set, short pauses
included; only its *beats* change: the motion and the contraction of the phase that is running.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from enum import StrEnum
from itertools import groupby, pairwise

import numpy as np

from motionlabel.anatomy import JointAngles
from motionlabel.body import Axis, Centre, Contraction, Joint, Motion, MotionAxis, Side, WorkingGroup, sided
from motionlabel.drawing.posture import typical_posture
from motionlabel.musculature import LengthVerdict
from motionlabel.records import Phase, Study, Work

MOST_LABELS = 2
"""Labels shown at once: more cannot be read while watching. *Source*: own convention."""
PAUSE_S = 1.5
"""A shorter pause between phases does not end a set. *Source*: own convention."""
SHORTEST_S = 1.5
"""A label is shown at least so long, time to find and read two words. *Source*: own convention."""
_HOLD_WEIGHT = 0.5  # a moving joint goes before a held one of like demand; own convention
_FULL_MOTION_RAD = np.radians(30.0)  # a smaller motion counts less, in proportion; own convention
_BUSY = 0.4  # a label that pauses longer does not stand beside another; own convention
_RARE = 0.2  # a group with less than this share of a set's working time does not make the heading; own convention
_SAME = 0.7  # sides that agree in this share of the frames are one label; own convention


class Detail(StrEnum):
    """How much a label says; each level adds to the one before."""

    MOTION = "motion"
    NERVE = "nerve"
    ATTACHMENTS = "attachments"


class Show(StrEnum):
    """What is drawn beside cards and angles."""

    LABELS = "labels"
    MUSCLES = "muscles"


@dataclass(frozen=True, slots=True)
class LabelOptions:
    """What the labels say and of which joints, and whether muscles and nerves are drawn on the body.

    Attributes
    ----------
    detail
        Motion and group; with muscles and nerve; with attachments too.
    focus
        Joints to label; empty = all.
    show
        Labels alone, or muscles and nerves on the body too.
    """

    detail: Detail = Detail.ATTACHMENTS
    focus: tuple[Joint, ...] = ()
    show: Show = Show.MUSCLES


class Rank(StrEnum):
    """What a label can say of the work, from what is shown first to what is shown last."""

    WORKS = "works"
    CANNOT_TELL = "cannot tell"
    FREE = "free"


@dataclass(frozen=True, slots=True)
class OwnLength:
    """How the length of a muscle, or of those of a collective name, changes in a beat, whatever their group does.

    ``label`` is its name on a card.
    """

    name: str
    verdict: LengthVerdict
    label: str


@dataclass(frozen=True, slots=True)
class Beat:
    """What changes in a label: the motion and contraction from frame ``start`` up to ``stop``.

    ``lengths`` are those of the group's chief muscles, as far as their paths tell them.
    """

    start: int
    stop: int
    motion: Motion
    group: WorkingGroup | None
    contraction: Contraction
    lengths: tuple[OwnLength, ...] = ()


@dataclass(frozen=True, slots=True)
class Label:
    """A label and when it is shown.

    Attributes
    ----------
    axes
        The angles it speaks of: one, or both sides with the side nearer to the camera first.
    groups
        Working groups of its heading; empty when none is named.
    beats
        The phases in their order.
    rank, demand
        What is known of the work; mean weighted demand, % of body weight x height, of all sides
        together (see ``_weight``), 0 where unknown. They decide who is shown.
    start, stop
        Frames in which it is shown, half-open.
    slot
        0 or 1: which of the two colours and forms it has.
    posture
        Typical joint angles while the group works: they decide which muscles are named.
    """

    axes: tuple[MotionAxis, ...]
    groups: tuple[WorkingGroup, ...]
    beats: tuple[Beat, ...]
    rank: Rank
    demand: float
    start: int
    stop: int
    slot: int = 0
    posture: JointAngles = field(default=JointAngles(), compare=False)

    @property
    def axis(self) -> MotionAxis:
        """The angle that is drawn at the joint."""
        return self.axes[0]

    @property
    def side(self) -> Side:
        """Side of the person it speaks of."""
        return Side.BOTH if len(self.axes) > 1 else self.axis.side

    @property
    def moves(self) -> bool:
        """Whether the joint moves at any time."""
        return any(beat.motion is not Motion.HOLD for beat in self.beats)

    def beat_at(self, frame: int) -> Beat | None:
        """Return the beat of a frame, ``None`` in a pause."""
        return next((beat for beat in self.beats if beat.start <= frame < beat.stop), None)


@dataclass(frozen=True, slots=True)
class LabelPlan:
    """All labels of a clip, at most two at any frame."""

    labels: tuple[Label, ...]

    def shown(self, frame: int) -> Iterator[Label]:
        """Labels of a frame."""
        return (label for label in self.labels if label.start <= frame < label.stop)


def plan_labels(study: Study, options: LabelOptions) -> LabelPlan:
    """Decide which labels are shown when.

    Parameters
    ----------
    study
        Phases and their work; frames without a person do not matter here.
    options
        ``focus`` restricts the labels to some joints.
    """
    frames = len(study.landmarks)
    per_second = _frames_per_second(study)
    labels: list[Label] = []
    for axis, rows in _by_axis(study, options.focus):
        for rows_of_set in _sets(rows, PAUSE_S * per_second):
            labels += _labels_of_set(axis, rows_of_set, SHORTEST_S * per_second)
    labels = _merge_sides(labels, nearer_side(study), frames)
    shortest = min(round(SHORTEST_S * per_second), frames)
    shown = _shown([_long_enough(label, shortest, frames) for label in labels], shortest, frames)
    return LabelPlan(tuple(replace(label, posture=_posture(label, study)) for label in shown))


def _posture(label: Label, study: Study) -> JointAngles:
    working = [beat for beat in label.beats if beat.group is not None] or list(label.beats)
    return typical_posture(study.angles, label.axis.side, ((beat.start, beat.stop) for beat in working))


def nearer_side(study: Study) -> Side:
    """Return the side of the person nearer to the camera; right where it cannot be told."""
    z = study.body.centres_m[:, :, 2]
    parts = ("shoulder", "hip")
    left, right = (
        np.concatenate([z[:, sided(Centre, side, part)] for part in parts]) for side in (Side.LEFT, Side.RIGHT)
    )
    lead = (left - right)[np.isfinite(left - right)]
    return Side.LEFT if lead.size and lead.mean() > 0 else Side.RIGHT


def _frames_per_second(study: Study) -> float:
    steps = np.diff(study.landmarks.time_s)
    return 1.0 / float(np.median(steps)) if steps.size and np.median(steps) > 0 else study.video.fps


def _by_axis(study: Study, focus: tuple[Joint, ...]) -> Iterator[tuple[MotionAxis, list[tuple[Phase, Work]]]]:
    rows: dict[MotionAxis, list[tuple[Phase, Work]]] = {}
    for phase, work in zip(study.phases, study.work):
        if focus and phase.axis.joint not in focus:
            continue
        # a joint that is held by nothing, or nobody knows by what, is no news
        if phase.motion is Motion.HOLD and work.working_group is None:
            continue
        rows.setdefault(phase.axis, []).append((phase, work))
    for axis, found in rows.items():
        yield axis, sorted(found, key=lambda row: row[0].start)


def _sets(rows: list[tuple[Phase, Work]], pause: float) -> Iterator[list[tuple[Phase, Work]]]:
    first = 0
    for i, (row, later) in enumerate(pairwise(rows), start=1):
        if later[0].start - row[0].stop >= pause:
            yield rows[first:i]
            first = i
    yield rows[first:]


def _labels_of_set(axis: MotionAxis, rows: list[tuple[Phase, Work]], shortest: float) -> list[Label]:
    """Return one label for each run of the same group or, where runs are too short to read, one for all."""
    runs = _runs(rows)
    if len(runs) > 1 and min(run[-1][0].stop - run[0][0].start for run in runs) < shortest:
        runs = [rows]
    return [_label(axis, run, shortest) for run in runs]


def _runs(rows: list[tuple[Phase, Work]]) -> list[list[tuple[Phase, Work]]]:
    """Split rows where the working group changes; a phase without a group stays in the run before it."""
    runs: list[list[tuple[Phase, Work]]] = []
    current: WorkingGroup | None = None
    for row in rows:
        group = row[1].working_group
        if not runs or (group is not None and current is not None and group is not current):
            runs.append([])
        current = group or current
        runs[-1].append(row)
    return runs


def _label(axis: MotionAxis, rows: list[tuple[Phase, Work]], shortest: float) -> Label:
    beats = tuple(Beat(p.start, p.stop, p.motion, w.working_group, w.contraction) for p, w in rows)
    working = [row for row in rows if row[1].working_group is not None]
    named = {work.working_group: 0 for _, work in working}
    for phase, work in working:
        named[work.working_group] += phase.stop - phase.start
    total = sum(named.values())
    groups = tuple(
        group
        for group, length in sorted(named.items(), key=lambda item: -item[1])
        if group is not None and length >= _RARE * total
    )
    unknown = any(work.contraction is Contraction.UNKNOWN for _, work in rows)
    rank = Rank.WORKS if groups else Rank.CANNOT_TELL if unknown else Rank.FREE
    return Label((axis,), groups, beats, rank, _weight(rows, shortest), beats[0].start, beats[-1].stop)


def _weight(rows: list[tuple[Phase, Work]], shortest: float) -> float:
    """Return the mean absolute demand, as far as it is trusted, over the time a set is shown.

    Small motions count less, holds half, pauses nothing, so the driving joint goes before the small
    swaying of the leg that carries the weight.
    """
    sizes = [
        (phase.stop - phase.start) * abs(work.demand) * work.trust * _share_of(phase)
        for phase, work in rows
        if np.isfinite(work.demand)
    ]
    return sum(sizes) / max(shortest, rows[-1][0].stop - rows[0][0].start)


def _share_of(phase: Phase) -> float:
    if phase.motion is Motion.HOLD:
        return _HOLD_WEIGHT
    return min(1.0, abs(phase.excursion_rad) / _FULL_MOTION_RAD)


def _merge_sides(labels: list[Label], near: Side, frames: int) -> list[Label]:
    """Make one label of two sides that do the same at the same time."""
    merged: list[Label] = []
    left = list(labels)
    while left:
        label = left.pop(0)
        twin = next((other for other in left if _same(label, other, frames)), None)
        if twin is None:
            merged.append(label)
            continue
        left.remove(twin)
        first, second = (label, twin) if label.axis.side is near else (twin, label)
        merged.append(
            replace(
                first,
                axes=first.axes + second.axes,
                demand=first.demand + second.demand,
                start=min(first.start, second.start),
                stop=max(first.stop, second.stop),
            )
        )
    return merged


def _same(label: Label, other: Label, frames: int) -> bool:
    mine, its = label.axis, other.axis
    if (mine.joint, mine.axis) != (its.joint, its.axis) or mine.side is its.side or label.groups != other.groups:
        return False
    codes = [np.full(frames, -1), np.full(frames, -1)]
    known: dict[tuple[Motion, WorkingGroup | None, Contraction], int] = {}
    for code, one in zip(codes, (label, other)):
        for beat in one.beats:
            code[beat.start : beat.stop] = known.setdefault((beat.motion, beat.group, beat.contraction), len(known))
    busy = (codes[0] >= 0) | (codes[1] >= 0)
    return bool(np.mean((codes[0] == codes[1])[busy]) >= _SAME)


def _long_enough(label: Label, shortest: int, frames: int) -> Label:
    stop = min(frames, max(label.stop, label.start + shortest))
    return replace(label, start=max(0, min(label.start, stop - shortest)), stop=stop)


_RANKS = tuple(Rank)


def _shown(labels: list[Label], shortest: int, frames: int) -> tuple[Label, ...]:
    """Give the two places to the labels: the first to what moves, the other to whatever carries most."""
    ranked = sorted(labels, key=lambda label: (_RANKS.index(label.rank), -label.demand, label.start))
    taken = np.zeros((MOST_LABELS, frames), dtype=bool)
    shown: list[Label] = []
    movers, busy = [label for label in ranked if label.moves], [label for label in ranked if _is_busy(label)]
    for capacity, candidates in ((1, movers), (MOST_LABELS, busy)):
        for label in candidates:
            span = slice(label.start, label.stop)
            free = taken[:, span].sum(axis=0) < capacity
            for start, stop in _true_spans(free, label.start):
                if stop - start < shortest or _overlaps_itself(label, shown, start, stop):
                    continue
                slot = int(np.argmin(taken[:, start:stop].sum(axis=1)))
                if taken[slot, start:stop].any():
                    continue
                taken[slot, start:stop] = True
                shown.append(replace(label, start=start, stop=stop, slot=slot))
    return tuple(sorted(shown, key=lambda label: (label.start, label.slot)))


def _is_busy(label: Label) -> bool:
    """Return whether a label has something to say often enough to stand beside another."""
    return sum(beat.stop - beat.start for beat in label.beats) >= _BUSY * (label.stop - label.start)


def _overlaps_itself(label: Label, shown: list[Label], start: int, stop: int) -> bool:
    return any(other.axes == label.axes and other.start < stop and start < other.stop for other in shown)


def _true_spans(mask: np.ndarray, offset: int) -> Iterator[tuple[int, int]]:
    position = offset
    for value, run in groupby(mask.tolist()):
        length = len(list(run))
        if value:
            yield position, position + length
        position += length


def is_hip(label: Label) -> bool:
    """Return whether the label's angle is the thigh against the trunk."""
    return label.axis.joint is Joint.HIP and label.axis.axis in (Axis.FLEXION, Axis.ABDUCTION)
