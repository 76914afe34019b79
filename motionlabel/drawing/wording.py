"""The words of the picture, in one place."""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from enum import Enum

import numpy as np

from motionlabel.anatomy import Collective, GroupFacts, Muscle, facts_of
from motionlabel.body import Contraction, Joint, Motion, Side, WorkingGroup
from motionlabel.drawing.plan import Beat, Detail, Label, Rank
from motionlabel.drawing.theme import Colour, Theme
from motionlabel.musculature import LengthVerdict
from motionlabel.records import Study

CAUTION = (
    "For teaching, not medical advice.",
    "Warm up, clear some space, stop at any pain.",
    "Clinician, coach and house rules come first.",
)
BODY_WEIGHT_ONLY = "Assumes body weight only"
HIP_ANGLE = "Hip angle: thigh against trunk"
SCHEMATIC = "Muscles, nerves: schematic"

_DOING = {
    Motion.FLEXION: "flexing",
    Motion.EXTENSION: "extending",
    Motion.ABDUCTION: "abducting",
    Motion.ADDUCTION: "adducting",
    Motion.DORSIFLEXION: "dorsiflexing",
    Motion.PLANTARFLEXION: "plantarflexing",
    Motion.LATERAL_BEND_LEFT: "bending left",
    Motion.LATERAL_BEND_RIGHT: "bending right",
    Motion.INTERNAL_ROTATION: "turning in",
    Motion.EXTERNAL_ROTATION: "turning out",
    Motion.ROTATION_LEFT: "turning left",
    Motion.ROTATION_RIGHT: "turning right",
    Motion.HOLD: "held",
}
_WORK = {
    Contraction.CONCENTRIC: "shortening",
    Contraction.ECCENTRIC: "lengthening",
    Contraction.ISOMETRIC: "same length",
}
_OWN = {
    LengthVerdict.SHORTENS: "shorter",
    LengthVerdict.LENGTHENS: "longer",
    LengthVerdict.NEARLY_CONSTANT: "≈ same length",
}
_PLURAL = {
    Joint.HIP: "Hips",
    Joint.KNEE: "Knees",
    Joint.ANKLE: "Ankles",
    Joint.SHOULDER: "Shoulders",
    Joint.ELBOW: "Elbows",
}


class Role(Enum):
    """Rank of a line of text on a card."""

    TITLE = "title"
    GROUP = "group"
    TEXT = "text"
    QUIET = "quiet"


@dataclass(frozen=True, slots=True)
class Line:
    """One line of text before it is wrapped."""

    text: str
    role: Role


@dataclass(frozen=True, slots=True)
class PhaseText:
    """The part of a label that changes.

    Attributes
    ----------
    words
        Motion and work, e.g. ``flexing – lengthening``.
    term
        The trade term, e.g. ``eccentric``; may be empty.
    contraction
        Which mark is drawn; ``None`` for none.
    own
        What the length of a muscle does if it is not what its group does; may be empty. It follows from the
        rest, so it tells no two phases apart, and a card may leave it out.
    """

    words: str
    term: str
    contraction: Contraction | None
    own: str = field(default="", compare=False)

    def colour(self, theme: Theme) -> Colour:
        """Return the colour of the mark."""
        match self.contraction:
            case Contraction.CONCENTRIC:
                return theme.shortening
            case Contraction.ECCENTRIC:
                return theme.lengthening
        return theme.holding


PAUSE = PhaseText("pausing", "", None)


@dataclass(frozen=True, slots=True)
class LabelText:
    """All words of a label: those above the changing band, every phase, those below."""

    above: tuple[Line, ...]
    phases: tuple[PhaseText, ...]
    below: tuple[Line, ...]

    @property
    def has_own(self) -> bool:
        """Whether anything is told of single muscles."""
        return any(phase.own for phase in self.phases)

    def without_own(self) -> "LabelText":
        """Return the same without what single muscles do."""
        return replace(self, phases=tuple(replace(phase, own="") for phase in self.phases))


def label_text(label: Label, detail: Detail) -> LabelText:
    """Return the words of a label at one level of detail."""
    above = (Line(_title(label), Role.TITLE), Line(_heading(label), Role.GROUP))
    phases = dict.fromkeys(phase_text(label, beat) for beat in label.beats)
    if any(label.beat_at(frame) is None for frame in range(label.start, label.stop)):
        phases[PAUSE] = None
    return LabelText(above, tuple(phases), _facts(label, detail))


def phase_text(label: Label, beat: Beat | None) -> PhaseText:
    """Return the changing words for one phase of a label."""
    if beat is None:
        return PAUSE
    doing = _DOING[beat.motion]
    if beat.contraction is Contraction.UNKNOWN or (beat.group is None and beat.contraction is not Contraction.FREE):
        # the heading of a label that names no group says it already
        return PhaseText(doing, "" if not label.groups else "cannot tell from this view", Contraction.UNKNOWN)
    if beat.group is None:
        return PhaseText(doing, "no load", Contraction.FREE)
    work = _WORK[beat.contraction]
    alone = label.groups == (beat.group,)
    words = f"{doing} – {work}" if alone else f"{doing} – {_short(beat.group)} {work}"
    return PhaseText(words, str(beat.contraction), beat.contraction, _own_words(beat.group, beat))


def _own_words(group: WorkingGroup, beat: Beat) -> str:
    """Name the chief muscles whose length does something else than the word for their group says.

    One name, the first, as the label is read while watching; the bellies on the body show the others.
    """
    said = {Contraction.CONCENTRIC: LengthVerdict.SHORTENS, Contraction.ECCENTRIC: LengthVerdict.LENGTHENS}
    usual = said.get(beat.contraction, LengthVerdict.NEARLY_CONSTANT)
    verdicts = {own.name: own.verdict for own in beat.lengths if own.verdict is not usual}
    for item in facts_of(group).chief:
        if not isinstance(item, Muscle) and item.name in verdicts:
            return _own_line(item.label, verdicts[item.name])
        for muscle in item.muscles:
            if muscle.full_name in verdicts:
                return _own_line(muscle.label, verdicts[muscle.full_name])
    return ""


def steady_length(label: Label, group: WorkingGroup, item: Muscle | Collective) -> str:
    """Return the words for a muscle whose length is nearly the same through every motion of a label; else empty."""
    name = item.full_name if isinstance(item, Muscle) else item.name
    moving = [beat for beat in label.beats if beat.group is group and beat.motion is not Motion.HOLD]
    verdicts = {own.verdict for beat in moving for own in beat.lengths if own.name == name}
    told = sum(own.name == name for beat in moving for own in beat.lengths)
    steady = verdicts == {LengthVerdict.NEARLY_CONSTANT} and told == len(moving)
    return _OWN[LengthVerdict.NEARLY_CONSTANT] if steady else ""


def _own_line(name: str, verdict: LengthVerdict) -> str:
    return f"{name} {_OWN[verdict]}"


def degrees_text(degrees: int) -> str:
    """Return an angle as text, with a true minus sign."""
    return f"{degrees}°".replace("-", "−")


def notes_for(labels: tuple[Label, ...], angle_at_hip: bool, schematic: bool = False) -> tuple[Line, ...]:
    """Return what is said once for all labels that are shown."""
    lines = [Line(BODY_WEIGHT_ONLY, Role.QUIET)] if any(label.rank is not Rank.CANNOT_TELL for label in labels) else []
    if angle_at_hip:
        lines.append(Line(HIP_ANGLE, Role.QUIET))
    if schematic:
        lines.append(Line(SCHEMATIC, Role.QUIET))
    return tuple(lines)


def left_out(labels: Iterable[Label], study: Study) -> list[str]:
    """Return a sentence for every label that found no room in the picture; spans that touch are told as one."""
    spans: list[Label] = []
    for label in sorted(labels, key=lambda one: (one.axis.name, one.start)):
        last = spans[-1] if spans else None
        if last is not None and last.axes == label.axes and last.groups == label.groups and label.start <= last.stop:
            spans[-1] = replace(last, stop=max(last.stop, label.stop))
        else:
            spans.append(label)
    times = np.append(study.landmarks.time_s, study.video.duration_s)
    return [
        f"there is no room for the label of the {_title(label).lower()} ({_heading(label).lower()}) "
        f"from {times[label.start]:.1f} to {times[label.stop]:.1f} s that leaves head and joints free; "
        f"the table of phases has it ('motionlabel measure')."
        for label in spans
    ]


def caution_lines() -> tuple[Line, ...]:
    """Return the caution, the first line in bold."""
    first, *others = CAUTION
    return (Line(first, Role.GROUP), *(Line(text, Role.TEXT) for text in others))


def _title(label: Label) -> str:
    joint = label.axis.joint
    if label.side is Side.MIDLINE:
        return joint.capitalize()
    return _PLURAL[joint] if label.side is Side.BOTH else f"{label.side.capitalize()} {joint}"


def _heading(label: Label) -> str:
    match label.rank:
        case Rank.CANNOT_TELL:
            return "Working muscles: cannot tell from this view"
        case Rank.FREE:
            return "The load asks for no muscle group"
    names = " and ".join(_short(group) for group in label.groups)
    return f"{_sentence(names)} work{' in turn' if len(label.groups) > 1 else ''}"


def _short(group: WorkingGroup) -> str:
    """Return the group without its joint, e.g. ``extensors``."""
    return group.split(" ", 1)[1]


def _facts(label: Label, detail: Detail) -> tuple[Line, ...]:
    if detail is Detail.MOTION:
        return ()
    lines: list[Line] = []
    for group in label.groups:
        facts = facts_of(group).at(label.posture)
        muscles = facts.muscles_line if len(label.groups) == 1 else f"{_short(group)}: {facts.muscles_line}"
        lines.append(Line(_sentence(muscles), Role.TEXT))
        lines.append(Line(f"Nerve: {_nerves(facts, detail)}", Role.QUIET))
        if detail is Detail.ATTACHMENTS:
            lines += [Line(_sentence(text), Role.QUIET) for text in facts.attachment_lines]
    return tuple(lines)


def _nerves(facts: GroupFacts, detail: Detail) -> str:
    if detail is Detail.ATTACHMENTS:
        return facts.nerve_line
    return ", ".join(dict.fromkeys(nerve.short for supply in facts.supplies for nerve in supply.nerves))


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]
