"""The change of length of a label's chief muscles, beat by beat: what their paths tell beside the contraction.

Beats that repeat are told alike: a word that changed from one repetition to the next would be noise.
"""

from collections import defaultdict
from dataclasses import replace

from motionlabel.anatomy import Collective, Course, Muscle
from motionlabel.anatomy.bones import LARGE_JOINTS
from motionlabel.body import Contraction, Motion, Side, WorkingGroup
from motionlabel.drawing.plan import Beat, Label, OwnLength, nearer_side
from motionlabel.drawing.renamed import Renamed
from motionlabel.drawing.taught import name_of
from motionlabel.musculature import LengthVerdict, length_change
from motionlabel.records import Phase, Study

_Kind = tuple[Motion, WorkingGroup | None, Contraction]
_MOST_ASKED = 12  # of many like beats so many are asked, spread over all: own convention
_AGREE = 0.75  # share of like beats that must say the same: own convention


def with_lengths(label: Label, study: Study, course: Course) -> Label:
    """Return the label with the change of length of its chief muscles in every beat."""
    phases = {(phase.axis, phase.start): phase for phase in study.phases}
    told: dict[_Kind, list[Phase]] = defaultdict(list)
    for beat in label.beats:
        phase = phases.get((label.axis, beat.start))
        if beat.group is not None and phase is not None and phase.motion is beat.motion:
            told[_kind(beat)].append(phase)
    lengths = {kind: _lengths(kind, found, label, study, course) for kind, found in told.items()}
    return replace(label, beats=tuple(replace(beat, lengths=lengths.get(_kind(beat), ())) for beat in label.beats))


def _kind(beat: Beat) -> _Kind:
    return beat.motion, beat.group, beat.contraction


def _lengths(kind: _Kind, phases: list[Phase], label: Label, study: Study, course: Course) -> tuple[OwnLength, ...]:
    motion, group, _ = kind
    if group is None:
        return ()
    facts = course.facts_of(group).at(label.posture)
    side = facts.side or (nearer_side(study) if label.side is Side.MIDLINE else label.axis.side)
    # a collective name is told by the mean of its members, beside each of these
    items = dict.fromkeys([*facts.chief, *(muscle for item in facts.chief for muscle in item.muscles)])
    renamed, found = Renamed(course), []
    phases = phases[:: -(-len(phases) // _MOST_ASKED)]
    for item in items:
        known = renamed.item(item)
        verdict = _agreed([length_change(study, known, side, phase).verdict for phase in phases])
        if verdict is LengthVerdict.NEARLY_CONSTANT and motion is not Motion.HOLD and not _crosses_two(item):
            continue  # over one joint it is only the motion that is small
        if verdict is not LengthVerdict.UNKNOWN:
            found.append(OwnLength(name_of(item), verdict, item.label))
    return tuple(found)


def _crosses_two(item: Muscle | Collective) -> bool:
    return all(len(set(muscle.joints) & set(LARGE_JOINTS)) > 1 for muscle in item.muscles)


def _agreed(verdicts: list[LengthVerdict]) -> LengthVerdict:
    """Return what nearly all say; unknown where they differ."""
    commonest = max(set(verdicts), key=verdicts.count)
    return commonest if verdicts.count(commonest) >= _AGREE * len(verdicts) else LengthVerdict.UNKNOWN
