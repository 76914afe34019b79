"""What a student wants to practise: read from a plain text file, one target a line."""

import difflib
import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from motionlabel.anatomy import Muscle, Nerve, atlas, facts_of
from motionlabel.body import PHASE_AXES, Joint, Motion, MotionAxis, Side, WorkingGroup
from motionlabel.errors import BadSettingsError

_BEYOND = re.compile(r"^(?P<what>.*?)(?:\s+beyond\s+(?P<degrees>\d+(?:\.\d+)?)\s*(?:deg|degrees|°)?)?$")
_SYNONYMS = (("peroneal", "fibular"), ("peroneus", "fibularis"), ("plantar flexion", "plantarflexion"))
_DORSAL = ("dorsal flexion", "dorsiflexion"), ("dorsi flexion", "dorsiflexion")
_HIGHEST_DEG = 180.0


_TOLD_GROUPS = tuple(group for group in WorkingGroup if not group.startswith(Joint.TRUNK))
"""Groups that a load is worked out for: the trunk's is not."""


@dataclass(frozen=True, slots=True)
class MotionTarget:
    """A motion to perform, e.g. left hip abduction beyond 30 deg.

    Attributes
    ----------
    axis, motion
        Which joint and side, which way.
    beyond_rad
        Angle past the anatomical zero in the sense of the motion; ``None`` = any clear motion.
    """

    axis: MotionAxis
    motion: Motion
    beyond_rad: float | None = None

    @property
    def words(self) -> str:
        """The target in words."""
        side = "" if self.axis.side is Side.MIDLINE else f"{self.axis.side} "
        beyond = "" if self.beyond_rad is None else f", beyond {np.degrees(self.beyond_rad):.0f}°"
        return f"{side}{self.axis.joint} {self.motion}{beyond}"


@dataclass(frozen=True, slots=True)
class TissueTarget:
    """A muscle or nerve that is to be made to work.

    Attributes
    ----------
    name
        As the student reads it.
    is_nerve
        Whether it is a nerve.
    groups
        The working groups of which it, or a muscle of its, is a prime mover.
    facts
        What to teach of it, lines of text.
    """

    name: str
    is_nerve: bool
    groups: tuple[WorkingGroup, ...]
    facts: tuple[str, ...]

    @property
    def words(self) -> str:
        """The question."""
        return f"make a muscle of the {self.name} work" if self.is_nerve else f"make the {self.name} work"


Target = MotionTarget | TissueTarget

STARTERS = (
    "left hip abduction beyond 25 deg",
    "right knee flexion beyond 60 deg",
    "left shoulder abduction beyond 80 deg",
    "right elbow flexion beyond 90 deg",
    "gluteus medius",
    "deep fibular nerve",
    "quadriceps femoris",
    "tibial nerve",
    "musculocutaneous nerve",
    "deltoid",
)
"""What is practised where no list is given."""


def read_targets(path: Path) -> tuple[Target, ...]:
    """Read a list of targets; empty lines and what follows a ``#`` do not count.

    Raises
    ------
    BadSettingsError
        The file cannot be read or a line is not understood; the message names file and line.
    """
    try:
        lines = path.read_text(encoding="utf-8").splitlines()
    except OSError as error:
        raise BadSettingsError(f"The list {path} cannot be read ({error.strerror}): check its name.") from error
    except UnicodeDecodeError as error:
        raise BadSettingsError(f"The list {path} is no plain text (UTF-8): save it as text.") from error
    targets = []
    for number, line in enumerate(lines, start=1):
        text = line.split("#", 1)[0].strip()
        if not text:
            continue
        try:
            targets.append(target_named(text))
        except ValueError as error:
            raise BadSettingsError(f"{path}, line {number}: {error}.") from error
    if not targets:
        raise BadSettingsError(f"{path} names nothing to practise: write one motion, muscle or nerve a line.")
    return tuple(targets)


def target_named(text: str) -> Target:
    """Return the target of one line.

    Raises
    ------
    ValueError
        It is no motion, muscle or nerve that can be told.
    """
    words = " ".join(text.lower().split())
    for said, meant in (*_SYNONYMS, *_DORSAL):
        words = words.replace(said, meant)
    joints = {str(axis.joint) for axis in PHASE_AXES}
    parts = words.split(" ")
    if any(part in joints for part in parts[:2]):
        return _motion(words)
    return _tissue(words)


def _motion(words: str) -> MotionTarget:
    match = _BEYOND.match(words)
    assert match is not None
    parts = match["what"].split(" ")
    side = Side(parts.pop(0)) if parts[0] in (Side.LEFT, Side.RIGHT) else Side.MIDLINE
    joint, name = Joint(parts[0]), " ".join(parts[1:])
    if side is Side.MIDLINE and joint is not Joint.TRUNK:
        raise ValueError(f"say which side: 'left {match['what']}' or 'right {match['what']}'")
    if side is not Side.MIDLINE and joint is Joint.TRUNK:
        raise ValueError("the trunk has no side: write 'trunk flexion' or 'trunk lateral bend to the left'")
    axes = [axis for axis in PHASE_AXES if axis.joint is joint and axis.side is side]
    motions = {str(motion): (axis, motion) for axis in axes for motion in (axis.positive, axis.negative)}
    if name not in motions:
        raise ValueError(f"'{name}' is no motion of the {joint} that is told: use {', '.join(motions)}")
    axis, motion = motions[name]
    degrees = None if match["degrees"] is None else float(match["degrees"])
    if degrees is not None and degrees > _HIGHEST_DEG:
        raise ValueError(f"{degrees:.0f} deg is more than any joint can do")
    return MotionTarget(axis, motion, None if degrees is None else float(np.radians(degrees)))


def _tissue(words: str) -> TissueTarget:
    known = atlas()
    nerves = {name: nerve for nerve in known.nerves.values() for name in (nerve.name, nerve.short)}
    if words in nerves:
        return _nerve(nerves[words])
    named: dict[str, tuple[Muscle, ...]] = {}
    for muscle in known.muscles.values():
        named.setdefault(muscle.name.lower(), ())
        named[muscle.name.lower()] += (muscle,)
        named[muscle.full_name.lower()] = (*named.get(muscle.full_name.lower(), ()), muscle)
    named |= {collective.name.lower(): collective.muscles for collective in known.collectives.values()}
    if words in named:
        return _muscles(words, tuple(dict.fromkeys(named[words])))
    near = difflib.get_close_matches(words, [*named, *nerves], n=1)
    hint = f"did you mean '{near[0]}'?" if near else "write a motion such as 'left hip abduction beyond 30 deg'"
    raise ValueError(f"'{words}' is no motion, muscle or nerve of the atlas; {hint}")


def _nerve(nerve: Nerve) -> TissueTarget:
    groups = tuple(group for group in _TOLD_GROUPS if nerve in facts_of(group).nerves)
    if not groups:
        raise ValueError(f"the {nerve.name} supplies no prime mover of a joint that is told")
    facts = (
        f"{nerve.name} ({nerve.roots.text}): {nerve.course}",
        f"prime movers among the {', '.join(groups)}",
        f"supplies {', '.join(nerve.muscles)}",
    )
    return TissueTarget(nerve.name, True, groups, facts)


def _muscles(name: str, muscles: tuple[Muscle, ...]) -> TissueTarget:
    groups = tuple(group for group in _TOLD_GROUPS if set(muscles) & set(facts_of(group).prime_movers))
    if not groups:
        raise ValueError(f"{name} is no prime mover of a joint that is told")
    facts = [f"{name}: prime mover among the {', '.join(groups)}"]
    for muscle in muscles:
        nerves = ", ".join(nerve.name for nerve in muscle.nerves)
        facts.append(
            f"{muscle.full_name}: {muscle.proximal_attachment} → {muscle.distal_attachment}; "
            f"{nerves} ({muscle.roots.text})"
        )
    return TissueTarget(name, False, groups, tuple(facts))
