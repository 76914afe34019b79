"""The words of the mirror, in one place."""

import numpy as np

from motionlabel.body import Axis, Contraction, Joint, Side
from motionlabel.drawing.plan import Beat, Detail, Label, Rank
from motionlabel.drawing.wording import (
    BODY_WEIGHT_ONLY,
    HIP_ANGLE,
    LabelText,
    Line,
    Role,
    degrees_text,
    label_text,
    phase_text,
)
from motionlabel.live.choice import Spoken
from motionlabel.live.latency import Latency
from motionlabel.live.practise import TissueTarget
from motionlabel.live.session import Mode, Outcome, Session
from motionlabel.live.tally import Tally

_A_PAGE = 3  # targets to revise on one page: own convention
_FACTS = 3  # lines of facts of each

OPENING = (
    Line("Before you begin", Role.TITLE),
    Line("Clear the floor about you, and over your head.", Role.TEXT),
    Line("Wear shoes that do not slip, or none.", Role.TEXT),
    Line("Warm up first. Stop at any pain.", Role.TEXT),
    Line("For teaching, not medical advice: it describes the load, it diagnoses nothing.", Role.TEXT),
    Line("Clinician, coach and house rules come first.", Role.TEXT),
    Line("The picture stays on this computer; nothing is kept unless you press R.", Role.QUIET),
    Line("Press the space bar to confirm and begin. Q quits.", Role.GROUP),
)


def label_words(spoken: Spoken, slot: int) -> LabelText | None:
    """Return the words of a label; ``None`` where there is nothing to say but that a joint pauses."""
    said = spoken.statement
    beats: tuple[Beat, ...] = ()
    if said is not None:
        beats = (Beat(0, 1, said.motion, said.work.working_group, said.work.contraction),)
    free = said is not None and said.work.contraction is Contraction.FREE
    rank = Rank.WORKS if spoken.groups else Rank.FREE if free else Rank.CANNOT_TELL
    if said is None and not spoken.groups:
        return None
    label = Label(spoken.axes, spoken.groups, beats, rank, 0.0, 0, 1, slot)
    words = label_text(label, Detail.NERVE)
    return LabelText(words.above, (phase_text(label, beats[0] if beats else None),), words.below)


def keys_line(session: Session) -> Line:
    """Return the keys that do something now."""
    modes = [f"{mode.value[0].upper()} {mode}" for mode in Mode if mode is not session.mode]
    task = ["N next", "D done"] if session.target is not None else []
    return Line(" · ".join([*modes, *task, "R record", "F figures", "Q quit"]), Role.QUIET)


def tally_lines(tally: Tally, spoken: tuple[Spoken, ...]) -> tuple[Line, ...]:
    """Return repetitions, and the range so far of the joints that are spoken of."""
    count = f"{tally.repetitions} repetitions" if tally.repetitions != 1 else "1 repetition"
    lines = [Line(count, Role.GROUP)] if tally.repetitions else []
    ranges = []
    for one in spoken:
        known = tally.range_of(one.axis)
        if known is not None:
            least, most = (degrees_text(round(np.degrees(value))) for value in (known.least_rad, known.most_rad))
            side = "" if one.axis.side is Side.MIDLINE else f"{one.axis.side} "
            ranges.append(Line(f"{side}{one.axis.joint} {one.axis.axis}: {least} to {most}", Role.TEXT))
    return (*lines, Line("Your range so far", Role.QUIET), *ranges) if ranges else tuple(lines)


def notes(spoken: tuple[Spoken, ...]) -> tuple[Line, ...]:
    """Return what holds for all that is said."""
    if not any(one.groups for one in spoken):
        return ()
    at_hip = any(one.axis.joint is Joint.HIP and one.axis.axis in (Axis.FLEXION, Axis.ABDUCTION) for one in spoken)
    return tuple(Line(text, Role.QUIET) for text in (BODY_WEIGHT_ONLY, *([HIP_ANGLE] if at_hip else ())))


def task_lines(session: Session) -> tuple[Line, ...]:
    """Return the target and what is seen of it; nothing while exploring."""
    target = session.target
    if target is None:
        return ()
    asks = isinstance(target, TissueTarget)
    facts = target.facts[0] if isinstance(target, TissueTarget) else ""
    lines = [Line(f"{target.words[:1].upper()}{target.words[1:]}" if asks else f"Target: {target.words}", Role.TITLE)]
    if session.praised_s is not None:
        lines.append(Line(f"✓ Right! {facts}".strip(), Role.GROUP))
    elif session.told_instead:
        seen = "The load demands instead: " if asks else "Seen: "
        lines.append(Line(seen + session.told_instead, Role.TEXT))
    number = f"{len(session.results) + 1} of {len(session.asked)}"
    lines.append(Line(f"{number}; any posture or motion, holds too" if asks else number, Role.QUIET))
    return tuple(lines)


def end_lines(session: Session) -> tuple[Line, ...]:
    """Return a page of the end of a mode: what was right, and what to revise with the facts."""
    if not session.asked:
        kind = "motion" if session.mode is Mode.PERFORM else "muscle or nerve"
        return (Line(f"The list names no {kind}.", Role.TITLE), Line("Choose another mode.", Role.TEXT))
    right = [result.target for result in session.results if result.outcome is Outcome.RIGHT]
    revise = [result.target for result in session.results if result.outcome is Outcome.REVISE]
    lines = [Line(f"{len(right)} of {len(session.results)} right", Role.TITLE)]
    if right:
        lines.append(Line("Right: " + "; ".join(_name(target) for target in right), Role.TEXT))
    pages = max(1, -(-len(revise) // _A_PAGE))
    page = session.page % pages
    if revise:
        lines.append(Line("To revise:" if pages == 1 else f"To revise, page {page + 1} of {pages}:", Role.GROUP))
    for target in revise[page * _A_PAGE : (page + 1) * _A_PAGE]:
        facts = target.facts[:_FACTS] if isinstance(target, TissueTarget) else (target.words,)
        lines += [Line(fact, Role.TEXT if number == 0 else Role.QUIET) for number, fact in enumerate(facts)]
    turn = "N next page, " if pages > 1 else ""
    return (*lines, Line(f"{turn}{session.mode.value[0].upper()} again, E explore, Q quit", Role.GROUP))


def _name(target: object) -> str:
    return target.name if isinstance(target, TissueTarget) else str(getattr(target, "words", ""))


def figures_lines(latency: Latency, dropped: int, took_s: float) -> tuple[Line, ...]:
    """Return how fast the mirror is."""
    return (
        Line(f"{latency.per_second:.0f} pictures/s, {dropped} dropped", Role.TEXT),
        Line(f"delay {latency.percentile_ms(50):.0f} ms, 95 %: {latency.percentile_ms(95):.0f} ms", Role.TEXT),
        Line(f"a reading takes {took_s * 1000:.0f} ms", Role.QUIET),
    )
