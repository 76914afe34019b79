"""What a question in words asks for: a muscle, a nerve, a motion, a root, a bone, a sign, or several of them."""

import difflib
import re

from motionlabel.anatomy.course import Course
from motionlabel.anatomy.index import ASKING, KINDS, Index, index_of
from motionlabel.anatomy.roots import LEVELS, roots_from_text
from motionlabel.anatomy.spelling import Tokens, corrected, tokens, with_synonyms
from motionlabel.anatomy.topic import Answer, Kind, Topic
from motionlabel.errors import UsageError

_ROOT = re.compile(r"\b([ctls])\s?(\d{1,2})(?:\s*(?:-|–|to)\s*([ctls])?(\d{1,2}))?\b", re.IGNORECASE)
_CRANIAL = re.compile(r"\bCN\s?([IVX]+|\d+)\b", re.IGNORECASE)


def find(course: Course, query: str) -> Answer:
    """Return what a question asks for.

    Parameters
    ----------
    course
        What is taught: only its muscles and names are found.
    query
        Words such as ``"hip extension"``, ``"L4"``, ``"foot drop"``, ``"what attaches to the fibula"``.

    Raises
    ------
    UsageError
        Nothing fits; the message suggests the nearest names.
    """
    typed = tokens(query)
    if not typed:
        raise UsageError(
            "Ask for a muscle, nerve, motion, root, bone or sign, such as: motionlabel facts 'hip extension'."
        )
    if found := _roots(course, query):
        return Answer(query, "", False, found)
    index = index_of(course, query)
    meant = with_synonyms(typed)
    mended = with_synonyms(corrected(typed, index.vocabulary))
    if found := index.exact(typed):
        return Answer(query, "", False, found)
    for words in dict.fromkeys((meant, mended, index.nearest(typed))):
        if words and (found := index.any(words)):
            single = len(found) == 1 and found[0].kind is not Kind.MATCHES
            read_as = "" if words == typed else found[0].name if single else index.spell(words)
            return Answer(query, read_as, words != meant, found)
    raise UsageError(_nothing(index, query, meant))


def _nothing(index: Index, query: str, words: Tokens) -> str:
    near = difflib.get_close_matches(" ".join(words), index.phrases, n=3, cutoff=0.5)
    names = list(dict.fromkeys(index.phrases[phrase] for phrase in near))
    hint = f"did you mean {' or '.join(names)}?" if names else "ask for a muscle, nerve, motion, root, bone or sign."
    return f"Nothing in the atlas fits {query!r}; {hint}"


def _roots(course: Course, query: str) -> tuple[Topic, ...]:
    """Return the topic of spinal roots or a cranial nerve that a question names."""
    if match := _CRANIAL.search(query):
        numerals = {"11": "XI"}
        special = f"CN {numerals.get(match[1], match[1].upper())}"
        nerves = tuple(nerve for nerve in course.atlas.nerves.values() if nerve.roots.special == special)
        return tuple(Topic(Kind.NERVE, nerve.name, nerves=(nerve,)) for nerve in nerves)
    match = _ROOT.search(query)
    if match is None or set(tokens(_ROOT.sub(" ", query))) - ASKING - KINDS:
        return ()
    first = f"{match[1]}{match[2]}".upper()
    last = f"{match[3] or match[1]}{match[4]}".upper() if match[4] else first
    for level in (first, last):
        if level not in LEVELS:
            raise UsageError(f"There is no spinal nerve {level}; they are C1-C8, T1-T12, L1-L5 and S1-S5.")
    text = first if first == last else f"{first}-{last}"
    try:
        levels = roots_from_text(text).levels
    except ValueError as error:
        raise UsageError(f"{query!r} is no range of roots: {error}; write it like L4-S1.") from error
    return (Topic(Kind.ROOT, text, roots=levels),)
