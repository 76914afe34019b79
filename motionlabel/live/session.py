"""One run of the mirror: mode, target, what was right; pure steps from one state to the next."""

from dataclasses import dataclass, field, replace
from enum import StrEnum

from motionlabel.live.choice import Spoken, choose
from motionlabel.live.practise import MotionTarget, Target
from motionlabel.live.reading import LAG_S, Moment, Reading
from motionlabel.live.tally import Tally, counted
from motionlabel.live.verdict import judged

# Source of all: own convention
_LASTS_S = 0.4  # so long must a target be met
_PRAISE_S = 2.0  # how long "right" stands before the next target comes
_INSTEAD_S = 0.5  # so long must something else be seen before it is said


class Mode(StrEnum):
    """How the mirror is used."""

    EXPLORE = "explore"
    PERFORM = "perform"
    IDENTIFY = "identify"


class Outcome(StrEnum):
    """What became of a target."""

    RIGHT = "right"
    REVISE = "to revise"


@dataclass(frozen=True, slots=True)
class Result:
    """A target and what became of it."""

    target: Target
    outcome: Outcome


@dataclass(frozen=True, slots=True)
class Session:
    """The state of a run.

    Attributes
    ----------
    targets
        All that is practised; motions are for *perform*, the others for *identify*.
    mode
        How the mirror is used now.
    confirmed
        Whether the cautions of the opening screen were confirmed.
    results
        What became of the targets of this mode so far, in order.
    met_s
        Since when the present target is met; ``None`` = it is not.
    praised_s
        When it was confirmed; ``None`` = not yet.
    instead, instead_s
        What is seen instead, and since when.
    tally
        Range and repetitions.
    spoken
        What is said of the present moment.
    moment
        The present moment; ``None`` before the first reading.
    page
        Page of the end that is shown, from 0.
    """

    targets: tuple[Target, ...] = ()
    mode: Mode = Mode.EXPLORE
    confirmed: bool = False
    results: tuple[Result, ...] = ()
    met_s: float | None = None
    praised_s: float | None = None
    instead: str = ""
    instead_s: float = 0.0
    tally: Tally = field(default_factory=Tally)
    spoken: tuple[Spoken, ...] = ()
    moment: Moment | None = None
    page: int = 0

    @property
    def asked(self) -> tuple[Target, ...]:
        """Targets of the present mode."""
        if self.mode is Mode.EXPLORE:
            return ()
        motions = self.mode is Mode.PERFORM
        return tuple(target for target in self.targets if isinstance(target, MotionTarget) is motions)

    @property
    def target(self) -> Target | None:
        """The target asked for now; ``None`` = none, or all are done."""
        return self.asked[len(self.results)] if len(self.results) < len(self.asked) else None

    @property
    def ended(self) -> bool:
        """Whether all targets of the mode are done: the end page is shown."""
        return self.mode is not Mode.EXPLORE and self.target is None

    @property
    def told_instead(self) -> str:
        """What is said to be seen instead."""
        return self.instead if self.moment is not None and self.moment.at_s - self.instead_s >= _INSTEAD_S else ""


def in_mode(session: Session, mode: Mode) -> Session:
    """Return the session at the start of a mode."""
    return replace(session, mode=mode, results=(), met_s=None, praised_s=None, instead="", instead_s=0.0, tally=Tally())


def skipped(session: Session) -> Session:
    """Return the session at its next target, or next page of the end; what was not met is to be revised."""
    if session.target is None:
        return replace(session, page=session.page + 1)
    outcome = Outcome.RIGHT if session.praised_s is not None else Outcome.REVISE
    return _next(session, outcome)


def finished(session: Session) -> Session:
    """Return the session at its end page; what was not met is to be revised."""
    while session.target is not None:
        session = skipped(session)
    return session


def advanced(session: Session, reading: Reading, now_s: float) -> Session:
    """Return the session after one more frame.

    Parameters
    ----------
    session
        The state before.
    reading
        The newest reading.
    now_s
        Time of the frame that is shown, camera's clock; what is said holds for ``LAG_S`` before.
    """
    at_s = now_s - LAG_S
    moment = reading.at(at_s)
    session = replace(
        session,
        moment=moment,
        spoken=choose(session.spoken, reading, at_s),
        tally=counted(session.tally, moment),
    )
    target = session.target
    if target is None:
        return session
    if session.praised_s is not None:
        return _next(session, Outcome.RIGHT) if at_s - session.praised_s >= _PRAISE_S else session
    verdict = judged(target, moment)
    if verdict.right:
        met_s = at_s if session.met_s is None else session.met_s
        praised_s = at_s if at_s - met_s >= _LASTS_S else None
        return replace(session, met_s=met_s, praised_s=praised_s, instead="")
    # what grows by the degree is the same thing seen
    same = _kind(verdict.instead) == _kind(session.instead)
    instead_s = session.instead_s if same else at_s
    return replace(session, met_s=None, instead=verdict.instead, instead_s=instead_s)


def _kind(instead: str) -> str:
    return instead.split(",")[0]


def _next(session: Session, outcome: Outcome) -> Session:
    assert session.target is not None
    results = (*session.results, Result(session.target, outcome))
    return replace(session, results=results, met_s=None, praised_s=None, instead="", instead_s=0.0)
