"""What can be said of the person a moment ago: the stages of a recording on the last seconds."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from motionlabel.body import AXES, Contraction, Motion, MotionAxis, Side
from motionlabel.drawing.plan import nearer_side
from motionlabel.kinematics import levelled_body, measure_angles, zero_by_standing
from motionlabel.kinematics.roll import camera_roll
from motionlabel.kinematics.standing import quiet_frames, quiet_standing
from motionlabel.live.lookback import RATE_HZ, Lookback, is_full
from motionlabel.mechanics import contraction_of, muscle_work
from motionlabel.movement import find_phases
from motionlabel.movement.repetitions import same_limb
from motionlabel.pose import smooth_track
from motionlabel.pose.sides import mend_sides
from motionlabel.records import Array, LandmarkTrack, PersonChoice, Phase, Study, VideoFacts, Work

LAG_S = 0.3
"""What is said holds for the frame so long before the one that is shown: what came after it decided with it."""

_SETTLED_S = 0.6  # a younger move says only by a clear load which group works: measured on demo_clips
_CLEAR = 2.0  # standard deviations that make a load clear: own convention
_CARRIED_S = 15.0  # how long what was decided of a motion stands for its next start: own convention
_ALTERNATES_S = 2.0  # in which a joint that turns back has the group it had: own convention
_GOES_ON_S = 0.6  # after the newest frame that was looked at; a slow machine must not say old things for new
_FEWEST = 8  # frames that show anything
_EDGE_FRAMES = 5  # a move that begins so near the window's beginning may have begun before it: own convention
_OPENING_S = 0.5  # moves that start so soon in a repetition begin it: own convention
_LARGE_SHARE = 0.5  # of the largest move, for one that counts: own convention
_REPEATED_S = 10.0  # after so long without a repetition another exercise may begin the other way: own convention
_TOLD_S = 1.0  # of the newest frames a reading tells


@dataclass(frozen=True, slots=True)
class Statement:
    """What is said of one axis for some time.

    Attributes
    ----------
    axis, motion
        What moves or is held.
    work
        What the load demands.
    since_s, until_s
        When, camera's clock; a little past the newest frame where it goes on.
    excursion_rad
        Signed change of the angle over that time.
    """

    axis: MotionAxis
    motion: Motion
    work: Work
    since_s: float
    until_s: float
    excursion_rad: float


@dataclass(frozen=True, slots=True)
class Moment:
    """What is said of one moment.

    Attributes
    ----------
    at_s
        The moment, camera's clock.
    statements
        Of all axes that move or are held.
    angle_rad, sigma_rad
        (D,) angles with their standard deviation, NaN = unknown.
    repetition_s
        When the repetition that is going on began; ``None`` = none is.
    """

    at_s: float
    statements: tuple[Statement, ...]
    angle_rad: Array
    sigma_rad: Array
    repetition_s: float | None


@dataclass(frozen=True, slots=True)
class Reading:
    """What is known of the last seconds.

    Attributes
    ----------
    seen_s
        (N,) the newest frames, camera's clock.
    statements
        All that is said of the whole window.
    near_side
        Side of the person nearer to the camera.
    angle_rad, sigma_rad
        (N, D) angles with their standard deviation.
    repetitions_s
        When each repetition began and ended.
    """

    seen_s: Array
    statements: tuple[Statement, ...] = ()
    near_side: Side = Side.RIGHT
    angle_rad: Array = field(default_factory=lambda: np.zeros((0, len(AXES))))
    sigma_rad: Array = field(default_factory=lambda: np.zeros((0, len(AXES))))
    repetitions_s: tuple[tuple[float, float], ...] = ()

    def at(self, time_s: float) -> Moment:
        """Return what is said of a moment; of one after the newest frame what is said of that frame."""
        unknown = np.full(len(AXES), np.nan)
        row = int(np.searchsorted(self.seen_s, time_s + 1e-6)) - 1
        known = 0 <= row < len(self.angle_rad)
        told_s = min(time_s, float(self.seen_s[-1]))
        going = [start for start, stop in self.repetitions_s if start <= told_s < stop]
        return Moment(
            at_s=time_s,
            statements=tuple(one for one in self.statements if one.since_s <= time_s < one.until_s),
            angle_rad=self.angle_rad[row] if known else unknown,
            sigma_rad=self.sigma_rad[row] if known else unknown,
            repetition_s=going[-1] if going else None,
        )


@dataclass(frozen=True, slots=True)
class Decision:
    """What was decided of a phase.

    Attributes
    ----------
    axis, motion
        What moved or was held.
    opens
        Whether the phase opens a move; a fast one is split where its demand turns.
    work
        What the load demanded.
    at_s
        When it was decided.
    """

    axis: MotionAxis
    motion: Motion
    opens: bool
    work: Work
    at_s: float

    @property
    def key(self) -> tuple[MotionAxis, Motion, bool]:
        """What it is a decision of."""
        return self.axis, self.motion, self.opens


@dataclass(frozen=True, slots=True)
class Carried:
    """What was found out earlier in the run.

    Attributes
    ----------
    works
        The last settled decision of each kind, the newest first.
    roll_rad
        How far the camera leans, clockwise positive.
    opening
        The moves with which the newest repetition began.
    begun_s
        When it did, camera's clock.
    """

    works: tuple[Decision, ...] = ()
    roll_rad: float = 0.0
    opening: tuple[Phase, ...] = ()
    begun_s: float = -np.inf

    def work_of(self, axis: MotionAxis, motion: Motion, opens: bool, now_s: float) -> Work | None:
        """Return what was last decided of a motion, if that was not long ago."""
        for known in self.works:
            if known.key == (axis, motion, opens) and now_s - known.at_s < _CARRIED_S:
                return known.work
        return None

    def group_of(self, axis: MotionAxis, now_s: float) -> Work | None:
        """Return the last decision about an axis, whatever the motion, if that was a moment ago."""
        for known in self.works:
            if known.axis == axis and known.work.working_group is not None:
                return known.work if now_s - known.at_s < _ALTERNATES_S else None
        return None

    def moved(self, now_s: float) -> frozenset[MotionAxis]:
        """Return the axes that moved not long ago."""
        return frozenset(
            known.axis for known in self.works if known.motion is not Motion.HOLD and now_s - known.at_s < _CARRIED_S
        )

    def joined(self, made: Decision) -> "Carried":
        """Return it with one more decision, the newest first."""
        return replace(self, works=(made, *(known for known in self.works if known.key != made.key)))


@dataclass(frozen=True, slots=True)
class Look:
    """A reading and what the next one needs.

    Attributes
    ----------
    reading
        What is said.
    carried
        What was decided so far.
    quiet, standing
        (F,) frames of the window in which the person is still, and stands still.
    """

    reading: Reading
    carried: Carried
    quiet: NDArray[np.bool_]
    standing: NDArray[np.bool_]


def read(lookback: Lookback, video: VideoFacts, carried: Carried) -> Look:
    """Run the stages of a recording on the last seconds.

    Parameters
    ----------
    lookback
        The last seconds.
    video
        Size of the picture.
    carried
        What was decided before.
    """
    nothing = np.zeros(len(lookback), dtype=bool)
    told = slice(max(0, len(lookback) - round(_TOLD_S * RATE_HZ)), len(lookback))
    if np.count_nonzero(lookback.track.present) < _FEWEST:
        return Look(Reading(lookback.seen_s[told]), carried, nothing, nothing)
    track = lookback.with_rest()
    before = len(track) - len(lookback)
    newest, newest_s = len(track) - 1, float(lookback.seen_s[-1])
    study = _study(smooth_track(mend_sides(track)), video, carried.moved(newest_s), carried.roll_rad)
    # a camera that is bumped now is level for the next reading
    carried = replace(carried, roll_rad=carried.roll_rad + camera_roll(study.body))
    rows: list[Work] = []
    begins: dict[tuple[MotionAxis, Motion, int], int] = {}  # where the move that ends there began
    for phase, work in zip(study.phases, study.work):
        move = phase.axis, phase.motion
        opens = (*move, phase.start) not in begins
        begins[(*move, phase.stop)] = begun = phase.start if opens else begins[(*move, phase.start)]
        age_s = (newest + 1 - begun) / RATE_HZ if phase.stop > newest else np.inf
        if not _settled(work, age_s):
            work = carried.work_of(*move, opens, newest_s) or _as_before(phase, work, carried, newest_s)
        elif phase.stop > before + told.start:
            carried = carried.joined(Decision(*move, opens, work, newest_s))
        rows.append(work)
    clock = _Clock(lookback.seen_s, before)
    first = before + _EDGE_FRAMES if is_full(lookback) else 0
    opening = carried.opening if newest_s - carried.begun_s < _REPEATED_S else ()
    repetitions = [one for one in _repetitions(study, opening) if one.start >= first]
    if repetitions and clock.start_s(repetitions[-1].start) > carried.begun_s - _OPENING_S:
        begun_s = clock.start_s(repetitions[-1].start)
        carried = replace(carried, opening=repetitions[-1].opening, begun_s=begun_s)
    reading = Reading(
        seen_s=lookback.seen_s[told],
        statements=tuple(
            clock.statement(phase, work) for phase, work in zip(study.phases, rows) if _says(phase, work, before)
        ),
        near_side=nearer_side(study),
        angle_rad=study.angles.angle_rad[before:][told],
        sigma_rad=study.angles.sigma_rad[before:][told],
        repetitions_s=tuple((clock.start_s(one.start), clock.stop_s(one.stop)) for one in repetitions),
    )
    return Look(reading, carried, quiet_frames(study.body)[before:], quiet_standing(study.body)[before:])


def _says(phase: Phase, work: Work, before: int) -> bool:
    """Whether a phase is of the window, and no hold by nothing, or nobody knows by what."""
    return phase.stop > before and (phase.motion is not Motion.HOLD or work.working_group is not None)


@dataclass(frozen=True, slots=True)
class _Clock:
    """From frames of the whole track to the camera's clock.

    Attributes
    ----------
    seen_s
        (F,) of the window.
    before
        Frames of the track before the window.
    """

    seen_s: Array
    before: int

    def statement(self, phase: Phase, work: Work) -> Statement:
        """Return what is said of a phase."""
        start_s, stop_s = self.start_s(phase.start), self.stop_s(phase.stop)
        return Statement(phase.axis, phase.motion, work, start_s, stop_s, phase.excursion_rad)

    def start_s(self, frame: int) -> float:
        """Time of a frame; one before the window counts as its first."""
        return float(self.seen_s[max(frame - self.before, 0)])

    def stop_s(self, frame: int) -> float:
        """Time of the first frame after a span; one that reaches the newest frame is taken to go on for a while."""
        row = max(frame - self.before, 0)
        return float(self.seen_s[row]) if row < len(self.seen_s) else float(self.seen_s[-1]) + _GOES_ON_S


def _study(track: LandmarkTrack, video: VideoFacts, begun: frozenset[MotionAxis], roll_rad: float) -> Study:
    facts = replace(video, rate=(round(RATE_HZ), 1))
    body = levelled_body(track, facts, roll_rad)
    angles = zero_by_standing(measure_angles(body), body)
    phases, work = muscle_work(body, angles, find_phases(angles, body, begun))
    return Study(facts, PersonChoice(), track, body, angles, phases, work, "")


def _settled(work: Work, age_s: float) -> bool:
    """Whether what the load demanded so far can be said of a move of that age; one that has ended is without age."""
    if work.working_group is not None and abs(work.demand) > _CLEAR * work.sigma:
        return True
    return age_s >= _SETTLED_S and (np.isfinite(work.demand) or np.isinf(age_s))


def _as_before(phase: Phase, work: Work, carried: Carried, now_s: float) -> Work:
    """Return what is said of a motion that has only begun: the group that just worked there, or nothing."""
    known = carried.group_of(phase.axis, now_s)
    if known is not None:
        # the load seldom turns about when a joint turns back
        sign = 1 if known.working_group is phase.axis.group(1) else -1
        return replace(known, contraction=contraction_of(phase.axis, phase.motion, sign))
    return Work(None, Contraction.UNKNOWN, work.demand, work.sigma, work.support, 0.0)


@dataclass(frozen=True, slots=True)
class _Repetition:
    """One repetition of the window.

    Attributes
    ----------
    start, stop
        Its frames.
    opening
        The moves with which it begins.
    """

    start: int
    stop: int
    opening: tuple[Phase, ...]


def _repetitions(study: Study, before: tuple[Phase, ...]) -> list[_Repetition]:
    """Find the repetitions, in order.

    What is left of one whose beginning fell out of the window looks like one that begins the other way; and in a kick
    the knee bends twice while the hip is held. So none begins with what leads back from the moves ``before`` with
    which the last one began, nor while a joint of the same limb that moved largely then is held.
    """
    ways_back = {(move.axis, _opposite(move)) for move in before}
    held = [
        phase
        for phase in study.phases
        if phase.motion is Motion.HOLD and phase.axis in {move.axis for move in _large(before)}
    ]
    own: dict[int, list[Phase]] = {}
    for phase in study.phases:
        if phase.repetition is not None and phase.motion is not Motion.HOLD:
            own.setdefault(phase.repetition, []).append(phase)
    found = []
    for _, moves in sorted(own.items()):
        first = min(
            (move for move in _large(moves) if (move.axis, move.motion) not in ways_back),
            key=lambda move: move.start,
            default=None,
        )
        if first is None:
            continue
        start, stop = first.start, max(move.stop for move in moves)
        if not any(same_limb(hold.axis, first.axis) and hold.start < start < hold.stop - 1 for hold in held):
            soon = [move for move in moves if start <= move.start <= start + _OPENING_S * RATE_HZ]
            # of each joint its first move: quick ones turn back that soon
            opening = {move.axis: move for move in reversed(soon)}
            found.append(_Repetition(start, stop, tuple(opening.values())))
    return found


def _large(moves: Sequence[Phase]) -> list[Phase]:
    least = _LARGE_SHARE * max((abs(move.excursion_rad) for move in moves), default=0.0)
    return [move for move in moves if abs(move.excursion_rad) >= least]


def _opposite(move: Phase) -> Motion:
    return move.axis.negative if move.motion is move.axis.positive else move.axis.positive
