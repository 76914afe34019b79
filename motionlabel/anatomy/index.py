"""All names of a course in the form in which they are compared, and the ways to find something by them."""

import difflib
import re
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field

from motionlabel.anatomy.atlas import atlas
from motionlabel.anatomy.bones import BONE_GROUPS, LARGE_JOINTS, Bone
from motionlabel.anatomy.course import Course
from motionlabel.anatomy.loss import AnyMotion, motions_of
from motionlabel.anatomy.muscle import Muscle, Nerve
from motionlabel.anatomy.spelling import Tokens, spelled, synonyms, tokens
from motionlabel.anatomy.terms import Articulation
from motionlabel.anatomy.topic import Kind, Topic

# words of a question that are no part of a name
ASKING = frozenset(
    word
    for text in (
        "what which who where is are was does do did can it its that for from by me show list tell give all every any",
        "everything attach attaches attached attachment attachments insert inserts origin insertion supply supplies",
        "supplied innervate innervates innervated innervation lost lose when if fails fail failure injury injured",
        "damaged palsy lesion cut happens make makes act acts action antagonist antagonists about compartment",
        "left right serve serves served work works control controls move moves function",
    )
    for word in tokens(text)
)
KINDS = frozenset(tokens("muscle nerve bone root joint sign motion movement spinal group"))
_CROSSING = frozenset(tokens("cross crosses crossing span spans spanning biarticular diarthric twojoint"))

_ALIKE = 0.85
"""Likeness above which a whole name counts as misspelled (own convention)."""

_FEW = 2
"""So many motions are told in full; more are only listed (own convention)."""

# who makes a motion -> the motion
_DOERS = {
    "flexor": "flexion", "extensor": "extension", "abductor": "abduction", "adductor": "adduction",
    "rotator": "rotation", "dorsiflexor": "dorsiflexion", "plantarflexor": "plantarflexion",
    "invertor": "inversion", "evertor": "eversion", "pronator": "pronation", "supinator": "supination",
    "elevator": "elevation", "depressor": "depression", "protractor": "protraction", "retractor": "retraction",
    "flex": "flexion", "flexing": "flexion", "extend": "extension", "extending": "extension",
    "bend": "flexion", "bending": "flexion", "abduct": "abduction", "adduct": "adduction",
    "straighten": "extension", "straightening": "extension", "pronate": "pronation", "supinate": "supination",
}  # fmt: skip

# what people call the place of a motion
_PLACES: dict[str, tuple[Articulation, ...]] = {
    "toe": (Articulation.TOES_2_5, Articulation.TOES_2_4, Articulation.GREAT_TOE, Articulation.LITTLE_TOE),
    "finger": (Articulation.FINGERS, Articulation.LITTLE_FINGER),
    "foot": (Articulation.ANKLE, Articulation.SUBTALAR),
    "back": (Articulation.TRUNK,),
    "spine": (Articulation.TRUNK,),
    "head": (Articulation.NECK,),
}


@dataclass(frozen=True, slots=True)
class Index:
    """All names of a course in the form in which they are compared.

    Attributes
    ----------
    course
        What is taught.
    named
        Topics by the set of words of a name.
    phrases
        The names as written, by their words joined.
    vocabulary
        The words of names, motions and signs, each with the word as written.
    asked
        The words of the question, each as written.
    """

    course: Course
    named: dict[frozenset[str], list[Topic]] = field(default_factory=lambda: defaultdict(list))
    phrases: dict[str, str] = field(default_factory=dict)
    vocabulary: dict[str, str] = field(default_factory=dict)
    asked: dict[str, str] = field(default_factory=dict)

    def add(self, name: str, topic: Topic) -> None:
        """Let a name stand for a topic."""
        topics = self.named[frozenset(tokens(name))]
        if all((other.kind, other.name) != (topic.kind, topic.name) for other in topics):
            topics.append(topic)
        self.phrases.setdefault(" ".join(tokens(name)), topic.name)
        self.know(name)

    def know(self, text: str) -> None:
        """Take the words of a text for rightly spelled."""
        for word, written in spelled(text):
            self.vocabulary.setdefault(word, written)

    def spell(self, words: Tokens) -> str:
        """Return words as they are written."""
        return " ".join(self.asked.get(word) or self.vocabulary.get(word, word) for word in words)

    def nearest(self, words: Tokens) -> Tokens:
        """Return the words of the name that is most alike as a whole; none where no name is."""
        near = difflib.get_close_matches(" ".join(words), self.phrases, n=1, cutoff=_ALIKE)
        return tuple(near[0].split()) if near else ()

    def exact(self, words: Tokens) -> tuple[Topic, ...]:
        """Return the topics of that very name, or nothing; words of a question are left out if need be."""
        for left in _fewer(words):
            if found := self.named.get(frozenset(left)):
                return tuple(found)
        return ()

    def any(self, words: Tokens) -> tuple[Topic, ...]:
        """Return the topics that fit in the first way that finds some."""
        ways: tuple[Callable[[Tokens], tuple[Topic, ...]], ...] = (
            self.exact, self._two_joints, self._motion, self._part_of_name,
            self._sign, self._origin, self._landmark, self._makers,
        )  # fmt: skip
        for way in ways:
            for left in _fewer(words):
                if found := way(left):
                    return found
        return ()

    def _two_joints(self, words: Tokens) -> tuple[Topic, ...]:
        asked = set(words)
        if not (asked & _CROSSING or {"two", "joint"} <= asked):
            return ()
        joints = tuple(joint for joint in LARGE_JOINTS if joint in asked)
        return (Topic(Kind.TWO_JOINT, "two-joint muscles", joints=joints),)

    def _motion(self, words: Tokens) -> tuple[Topic, ...]:
        known = motions_of(self.course.atlas)
        asked = set(words)
        places = _places(asked)
        rest = asked - places[1]
        if not rest:
            return ()
        if places[0] or len(rest) > 1:
            rest = {_DOERS.get(word, word) for word in rest}
        made = [motion for motion in known if not places[0] or motion[0] in places[0]]
        found = tuple(motion for motion in made if set(tokens(motion[1])) == rest)
        if not found and rest & {tokens(motion[1])[-1] for motion in made}:
            # "rotation" stands for every movement that is one; "anterior" alone for none
            found = tuple(motion for motion in made if set(tokens(motion[1])) >= rest)
        if len(found) > _FEW:
            return (Topic(Kind.MATCHES, self.spell(words), motions=found),)
        return tuple(_motion_topic(self.course, found))

    def _makers(self, words: Tokens) -> tuple[Topic, ...]:
        """Return the motion of those who make it, e.g. of plantarflexors; a name goes before."""
        made = tuple(_DOERS.get(word, word) for word in words)
        return self._motion(made) if made != words else ()

    def _part_of_name(self, words: Tokens) -> tuple[Topic, ...]:
        """Everything whose name holds all words, or words that begin so."""
        found = [topic for name, topics in self.named.items() if _holds(name, words) for topic in topics]
        muscles = tuple(dict.fromkeys(muscle for topic in found for muscle in topic.muscles))
        nerves = tuple(dict.fromkeys(nerve for topic in found for nerve in topic.nerves))
        bones = tuple(dict.fromkeys(bone for topic in found for bone in topic.bones))
        return _gathered(self.spell(words), muscles, nerves, bones)

    def _sign(self, words: Tokens) -> tuple[Topic, ...]:
        """Return the nerves whose sign says so in one clause, or else in several."""
        nerves = tuple(self.course.atlas.nerves.values())
        found = tuple(nerve for nerve in nerves if is_at(nerve.sign, words)) or tuple(
            nerve for nerve in nerves if _holds(frozenset(tokens(nerve.sign)), words)
        )
        return (Topic(Kind.SIGN, self.spell(words), nerves=found),) if found else ()

    def _origin(self, words: Tokens) -> tuple[Topic, ...]:
        """Nerves of a plexus, muscles of a region."""
        known = self.course.atlas
        nerves = tuple(n for n in known.nerves.values() if _holds(frozenset(tokens(n.parent)), words))
        muscles = tuple(m for m in known.muscles.values() if _holds(frozenset(tokens(m.region)), words))
        return _gathered(self.spell(words), muscles, nerves, ())

    def _landmark(self, words: Tokens) -> tuple[Topic, ...]:
        """Return the muscles of one place on a bone, e.g. of the ischial tuberosity."""
        fitting = tuple(
            muscle
            for muscle in self.course.atlas.muscles.values()
            if any(is_at(text, words) for text in (muscle.proximal_attachment, muscle.distal_attachment))
        )
        return (Topic(Kind.BONE, self.spell(words), muscles=fitting),) if fitting else ()


def is_at(text: str, words: Tokens) -> bool:
    """Return whether one part of a text, between commas or semicolons, holds all words."""
    return any(_holds(frozenset(tokens(part)), words) for part in re.split("[,;]", text))


def _fewer(words: Tokens) -> Iterator[Tokens]:
    """Yield words, then without those of a question, then without those that only name a kind."""
    left = words
    yield left
    for unneeded in (ASKING, KINDS):
        fewer = tuple(word for word in left if word not in unneeded)
        if fewer and fewer != left:
            yield fewer
        left = fewer or left


def _holds(name: frozenset[str], words: Tokens) -> bool:
    return all(word in name or (len(word) > 3 and any(part.startswith(word) for part in name)) for word in words)


def _gathered(
    name: str, muscles: tuple[Muscle, ...], nerves: tuple[Nerve, ...], bones: tuple[Bone, ...]
) -> tuple[Topic, ...]:
    """Return one muscle, nerve or bone as itself, several as a list."""
    if not (muscles or nerves or bones):
        return ()
    if len(muscles) + len(nerves) + len(bones) > 1:
        return (Topic(Kind.MATCHES, name, muscles=muscles, nerves=nerves, bones=bones),)
    if muscles:
        return (Topic(Kind.MUSCLE, muscles[0].full_name, muscles=muscles),)
    if nerves:
        return (Topic(Kind.NERVE, nerves[0].name, nerves=nerves),)
    return (Topic(Kind.BONE, bones[0], bones=bones),)


def _places(asked: set[str]) -> tuple[tuple[Articulation, ...], set[str]]:
    """Return the joints that some words name, and those words; the longest name wins."""
    named: list[tuple[set[str], tuple[Articulation, ...]]] = [(set(tokens(joint)), (joint,)) for joint in Articulation]
    named += [({word}, joints) for word, joints in _PLACES.items()]
    fitting = [(words, joints) for words, joints in named if words <= asked]
    if not fitting:
        return (), set()
    words, joints = max(fitting, key=lambda one: len(one[0]))
    return joints, words


def _motion_topic(course: Course, motions: Iterable[AnyMotion]) -> Iterator[Topic]:
    for joint, movement in motions:
        yield Topic(Kind.MOTION, course.words(f"{joint} {movement}"), motions=((joint, movement),))


def index_of(course: Course, query: str) -> Index:
    """Index a course under the names of the atlas and under a teacher's own."""
    index, known, english = Index(course, asked=dict(spelled(query))), course.atlas, atlas()
    for word in synonyms():
        index.know(word)
    parts: dict[str, list[str]] = defaultdict(list)
    for key, muscle in known.muscles.items():
        topic = Topic(Kind.MUSCLE, muscle.full_name, muscles=(muscle,))
        plain = english.muscles[key]
        for name in (key, plain.label, muscle.full_name, muscle.label):
            index.add(name, topic)
        for name in {plain.name, muscle.name}:
            parts[name].append(key)
    for name, keys in parts.items():
        muscles = tuple(known.muscles[key] for key in keys)
        if len(keys) > 1 or muscles[0].full_name != name:
            index.add(name, Topic(Kind.MUSCLE, name if len(keys) > 1 else muscles[0].full_name, muscles=muscles))
    for key, item in known.collectives.items():
        for name in (key, english.collectives[key].label, item.name, item.label):
            index.add(name, Topic(Kind.MUSCLE, item.name, muscles=item.muscles))
    for key, nerve in known.nerves.items():
        for name in (key, english.nerves[key].short, nerve.name, nerve.short):
            index.add(name, Topic(Kind.NERVE, nerve.name, nerves=(nerve,)))
        index.know(f"{english.nerves[key].sign} {nerve.sign} {nerve.parent}")
    for bone in Bone:
        for name in (bone, course.words(bone)):
            index.add(name, Topic(Kind.BONE, course.words(bone), bones=(bone,)))
    for group, bones in BONE_GROUPS.items():
        for name in (group, course.words(group)):
            index.add(name, Topic(Kind.BONE, course.words(group), bones=bones))
    for joint, movement in motions_of(known):
        topic = Topic(Kind.JOINT, course.words(joint), joints=(joint,))
        for name in (joint, course.words(joint)):
            index.add(name, topic)
        for name in (f"{joint} {movement}", course.words(f"{joint} {movement}")):
            index.add(name, Topic(Kind.MOTION, course.words(f"{joint} {movement}"), motions=((joint, movement),)))
    for muscle in known.muscles.values():
        index.know(f"{muscle.proximal_attachment} {muscle.distal_attachment} {muscle.region}")
    for word in (*_DOERS, *_PLACES, *ASKING, *KINDS, *_CROSSING, "two"):
        index.know(word)
    return index
