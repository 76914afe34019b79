"""The words of the picture, in one place."""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from enum import Enum

import numpy as np

from motionlabel.anatomy import ENGLISH, Collective, Course, GroupFacts, Muscle, Words, whole_course
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
    Joint.HIP: "hips",
    Joint.KNEE: "knees",
    Joint.ANKLE: "ankles",
    Joint.SHOULDER: "shoulders",
    Joint.ELBOW: "elbows",
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

    @property
    def pauses(self) -> bool:
        """Whether nothing is done meanwhile."""
        return self.contraction is None

    def colour(self, theme: Theme) -> Colour:
        """Return the colour of the mark."""
        match self.contraction:
            case Contraction.CONCENTRIC:
                return theme.shortening
            case Contraction.ECCENTRIC:
                return theme.lengthening
        return theme.holding


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


def label_text(label: Label, detail: Detail, course: Course | None = None) -> LabelText:
    """Return the words of a label at one level of detail.

    Parameters
    ----------
    label, detail
        What is labelled, and how much is said.
    course
        Names and words; ``None`` = the whole atlas in its own words.
    """
    course = course or whole_course()
    words = course.words
    above = (Line(_title(label, words), Role.TITLE), Line(_heading(label, words), Role.GROUP))
    phases = dict.fromkeys(phase_text(label, beat, words) for beat in label.beats)
    if any(label.beat_at(frame) is None for frame in range(label.start, label.stop)):
        phases[phase_text(label, None, words)] = None
    return LabelText(above, tuple(phases), _facts(label, detail, course))


def phase_text(label: Label, beat: Beat | None, words: Words = ENGLISH) -> PhaseText:
    """Return the changing words for one phase of a label; ``None`` = it pauses."""
    if beat is None:
        return PhaseText(words("pausing"), "", None)
    doing = words(_DOING[beat.motion])
    if beat.contraction is Contraction.UNKNOWN or (beat.group is None and beat.contraction is not Contraction.FREE):
        # the heading of a label that names no group says it already
        return PhaseText(doing, "" if not label.groups else words("cannot tell from this view"), Contraction.UNKNOWN)
    if beat.group is None:
        return PhaseText(doing, words("no load"), Contraction.FREE)
    work = words(_WORK[beat.contraction])
    alone = label.groups == (beat.group,)
    said = f"{doing} – {work}" if alone else f"{doing} – {words.group(beat.group)} {work}"
    return PhaseText(said, words(beat.contraction), beat.contraction, _own_words(beat, words))


def _own_words(beat: Beat, words: Words) -> str:
    """Name the chief muscles whose length does something else than the word for their group says.

    One name, the first, as the label is read while watching; the bellies on the body show the others.
    """
    said = {Contraction.CONCENTRIC: LengthVerdict.SHORTENS, Contraction.ECCENTRIC: LengthVerdict.LENGTHENS}
    usual = said.get(beat.contraction, LengthVerdict.NEARLY_CONSTANT)
    other = next((own for own in beat.lengths if own.verdict is not usual), None)
    return "" if other is None else f"{other.label} {words(_OWN[other.verdict])}"


def steady_length(label: Label, group: WorkingGroup, item: Muscle | Collective, words: Words = ENGLISH) -> str:
    """Return the words for a muscle whose length is nearly the same through every motion of a label; else empty."""
    name = item.full_name if isinstance(item, Muscle) else item.name
    moving = [beat for beat in label.beats if beat.group is group and beat.motion is not Motion.HOLD]
    verdicts = {own.verdict for beat in moving for own in beat.lengths if own.name == name}
    told = sum(own.name == name for beat in moving for own in beat.lengths)
    steady = verdicts == {LengthVerdict.NEARLY_CONSTANT} and told == len(moving)
    return words(_OWN[LengthVerdict.NEARLY_CONSTANT]) if steady else ""


def degrees_text(degrees: int) -> str:
    """Return an angle as text, with a true minus sign."""
    return f"{degrees}°".replace("-", "−")


def notes_for(
    labels: tuple[Label, ...], angle_at_hip: bool, schematic: bool = False, words: Words = ENGLISH
) -> tuple[Line, ...]:
    """Return what is said once for all labels that are shown."""
    loaded = any(label.rank is not Rank.CANNOT_TELL for label in labels)
    lines = [Line(words(BODY_WEIGHT_ONLY), Role.QUIET)] if loaded else []
    if angle_at_hip:
        lines.append(Line(words(HIP_ANGLE), Role.QUIET))
    if schematic:
        lines.append(Line(words(SCHEMATIC), Role.QUIET))
    return tuple(lines)


def left_out(labels: Iterable[Label], study: Study, course: Course | None = None) -> list[str]:
    """Return a sentence for every label that found no room in the picture; spans that touch are told as one."""
    spans: list[Label] = []
    for label in sorted(labels, key=lambda one: (one.axis.name, one.start)):
        last = spans[-1] if spans else None
        if last is not None and last.axes == label.axes and last.groups == label.groups and label.start <= last.stop:
            spans[-1] = replace(last, stop=max(last.stop, label.stop))
        else:
            spans.append(label)
    words = ENGLISH if course is None else course.words
    times = np.append(study.landmarks.time_s, study.video.duration_s)
    return [
        f"there is no room for the label of the {_title(label, words).lower()} ({_heading(label, words).lower()}) "
        f"from {times[label.start]:.1f} to {times[label.stop]:.1f} s that leaves head and joints free; "
        f"the table of phases has it ('motionlabel measure')."
        for label in spans
    ]


def caution_lines() -> tuple[Line, ...]:
    """Return the caution, the first line in bold."""
    first, *others = CAUTION
    return (Line(first, Role.GROUP), *(Line(text, Role.TEXT) for text in others))


def _title(label: Label, words: Words) -> str:
    joint = label.axis.joint
    if label.side is Side.MIDLINE:
        return _sentence(words(joint))
    return _sentence(words(_PLURAL[joint] if label.side is Side.BOTH else f"{label.side} {joint}"))


def _heading(label: Label, words: Words) -> str:
    match label.rank:
        case Rank.CANNOT_TELL:
            return words("Working muscles: cannot tell from this view")
        case Rank.FREE:
            return words("The load asks for no muscle group")
    names = f" {words('and')} ".join(words.group(group) for group in label.groups)
    return f"{_sentence(names)} {words('work in turn' if len(label.groups) > 1 else 'work')}"


def _facts(label: Label, detail: Detail, course: Course) -> tuple[Line, ...]:
    if detail is Detail.MOTION:
        return ()
    lines: list[Line] = []
    for group in label.groups:
        facts = course.facts_of(group).at(label.posture)
        if not facts.chief:
            continue  # none of its muscles is taught in this course
        muscles = facts.muscles_line if len(label.groups) == 1 else f"{course.words.group(group)}: {facts.muscles_line}"
        lines.append(Line(_sentence(muscles), Role.TEXT))
        lines.append(Line(f"{course.words('Nerve')}: {_nerves(facts, detail)}", Role.QUIET))
        if detail is Detail.ATTACHMENTS:
            lines += [Line(_sentence(text), Role.QUIET) for text in facts.attachment_lines]
    return tuple(lines)


def _nerves(facts: GroupFacts, detail: Detail) -> str:
    if detail is Detail.ATTACHMENTS:
        return facts.nerve_line
    return ", ".join(dict.fromkeys(nerve.short for supply in facts.supplies for nerve in supply.nerves))


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]
