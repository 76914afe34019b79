"""The words of the picture, in one place."""

from dataclasses import dataclass
from enum import Enum

from motionlabel.anatomy import ENGLISH, Course, GroupFacts, Words, whole_course
from motionlabel.body import Contraction, Joint, Motion, Side
from motionlabel.drawing.plan import Beat, Detail, Label, Rank
from motionlabel.drawing.theme import Colour, Theme

CAUTION = (
    "For teaching, not medical advice.",
    "Warm up, clear some space, stop at any pain.",
    "Clinician, coach and house rules come first.",
)
BODY_WEIGHT_ONLY = "Assumes body weight only"
HIP_ANGLE = "Hip angle: thigh against trunk"

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
    """

    words: str
    term: str
    contraction: Contraction | None

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
    return PhaseText(said, words(beat.contraction), beat.contraction)


def degrees_text(degrees: int) -> str:
    """Return an angle as text, with a true minus sign."""
    return f"{degrees}°".replace("-", "−")


def notes_for(labels: tuple[Label, ...], angle_at_hip: bool, words: Words = ENGLISH) -> tuple[Line, ...]:
    """Return what is said once for all labels that are shown."""
    loaded = any(label.rank is not Rank.CANNOT_TELL for label in labels)
    lines = [Line(words(BODY_WEIGHT_ONLY), Role.QUIET)] if loaded else []
    if angle_at_hip:
        lines.append(Line(words(HIP_ANGLE), Role.QUIET))
    return tuple(lines)


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
