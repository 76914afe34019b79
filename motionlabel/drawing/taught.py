"""Which muscles and nerves of a label's groups are drawn on the body, and on which sides of it.

Chief muscles only, as the card names them; both sides only where they stand apart in the picture.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from motionlabel.anatomy import Collective, GroupFacts, Muscle, Nerve
from motionlabel.body import Contraction, Joint, Landmark, Side, WorkingGroup, sided
from motionlabel.drawing.canvas import Canvas
from motionlabel.drawing.plan import Label, nearer_side
from motionlabel.musculature import LengthVerdict

MOST_MUSCLES = 5
"""Muscles drawn for a group on one side; more lie over each other. *Source*: own convention."""
MOST_NERVES = 2
"""Nerves drawn for a label. *Source*: own convention."""
# distance of the two sides in the picture from which both are drawn, shares of body height: own conventions
_HIPS_APART = 0.09
_SHOULDERS_APART = 0.15
_UPPER = (Joint.SHOULDER, Joint.ELBOW, Joint.TRUNK)
_STATES = {
    LengthVerdict.SHORTENS: Contraction.CONCENTRIC,
    LengthVerdict.LENGTHENS: Contraction.ECCENTRIC,
    LengthVerdict.NEARLY_CONSTANT: Contraction.ISOMETRIC,
}


@dataclass(frozen=True, slots=True)
class Taught:
    """What a card names, on one side of the body.

    Attributes
    ----------
    group
        The working group it belongs to.
    item
        A muscle, or a collective name.
    side
        Side of the person.
    hidden
        Whether the other limb lies before it.
    """

    group: WorkingGroup
    item: Muscle | Collective
    side: Side
    hidden: bool


@dataclass(frozen=True, slots=True)
class TaughtNerve:
    """A nerve and the muscle to which it is drawn."""

    nerve: Nerve
    muscle: Muscle
    side: Side


def taught_of(label: Label, canvas: Canvas) -> tuple[Taught, ...]:
    """Return the chief muscles of a label, the first group first, at most ``MOST_MUSCLES`` of each on a side."""
    found: list[Taught] = []
    for side, hidden in _sides(label, canvas):
        for group, facts in _facts(label, canvas):
            if facts.side not in (None, side):
                continue
            room = MOST_MUSCLES
            for item in facts.chief:
                room -= len(item.muscles)
                if room >= 0:
                    found.append(Taught(group, item, side, hidden))
    return tuple(found)


def nerves_of(label: Label, canvas: Canvas) -> tuple[TaughtNerve, ...]:
    """Return the first nerves of a label's chief muscles, on the side that is seen best."""
    side, _ = next(_sides(label, canvas))
    found: dict[str, TaughtNerve] = {}
    for _, facts in _facts(label, canvas):
        for supply in facts.supplies:
            for nerve in supply.nerves:
                muscle = next((m for m in supply.muscles if nerve in m.nerves), supply.muscles[0])
                found.setdefault(nerve.name, TaughtNerve(nerve, muscle, facts.side or side))
    return tuple(found.values())[:MOST_NERVES]


def state_at(label: Label, group: WorkingGroup, muscle: Muscle, frame: int) -> Contraction:
    """Return how a muscle of a group is drawn: by its own change of length where that is known, else as its group.

    ``FREE`` in a pause and while another group works.
    """
    beat = label.beat_at(frame)
    if beat is None or beat.group is not group:
        return Contraction.FREE
    verdict = next((own.verdict for own in beat.lengths if own.name == muscle.full_name), LengthVerdict.UNKNOWN)
    return _STATES.get(verdict, beat.contraction)


def name_of(item: Muscle | Collective) -> str:
    """Return the full name of a muscle, or the collective name."""
    return item.full_name if isinstance(item, Muscle) else item.name


def _facts(label: Label, canvas: Canvas) -> Iterator[tuple[WorkingGroup, GroupFacts]]:
    return ((group, canvas.course.facts_of(group).at(label.posture)) for group in label.groups)


def _sides(label: Label, canvas: Canvas) -> Iterator[tuple[Side, bool]]:
    """Yield the sides to draw, the nearer one first, and whether the other limb lies before it."""
    near = nearer_side(canvas.study)
    far = Side.LEFT if near is Side.RIGHT else Side.RIGHT
    apart = _stand_apart(label, canvas)
    wanted = (near, far) if label.side in (Side.BOTH, Side.MIDLINE) else (label.side,)
    for side in wanted:
        if side is near or apart:
            yield side, False
        elif len(wanted) == 1:
            yield side, True


def _stand_apart(label: Label, canvas: Canvas) -> bool:
    part, apart = ("shoulder", _SHOULDERS_APART) if label.axis.joint in _UPPER else ("hip", _HIPS_APART)
    ends = [canvas.points[label.start : label.stop, sided(Landmark, side, part)] for side in (Side.LEFT, Side.RIGHT)]
    gaps = np.hypot(*(ends[0] - ends[1]).T)
    gaps = gaps[np.isfinite(gaps)]
    return bool(gaps.size and np.median(gaps) >= apart * canvas.stature)
