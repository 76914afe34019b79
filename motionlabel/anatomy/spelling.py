"""Comparing what people type with the names of the atlas: case, accents, spelling, synonyms, slips."""

import difflib
import re
import tomllib
import unicodedata
from collections.abc import Iterable, Mapping
from functools import cache

from motionlabel.anatomy.atlas import DATA_FOLDER

Tokens = tuple[str, ...]

_SURE = 0.72
"""Likeness above which a word counts as a slip of another (own convention)."""

_SHORTEST = 4
"""Shorter words are not corrected: too many others look alike (own convention)."""

# British and American endings, brought to one form; the last rule takes the plural away
_SAME = (
    (re.compile(r"ae"), "e"),
    (re.compile(r"is(e|ed|es|er|ers|ing|ation)$"), r"iz\1"),
    (re.compile(r"our(s?)$"), r"or\1"),
    (re.compile(r"([bt])re(s?)$"), r"\1er\2"),
    (re.compile(r"^grey$"), "gray"),
    (re.compile(r"(?<=..[^sui])s$"), ""),
)
_LIGHT = frozenset({"of", "the", "to", "a", "an", "and", "in", "at", "on", "with"})


def tokens(text: str) -> Tokens:
    """Return the words of a text in the form in which they are compared; *of*, *the* and the like left out."""
    return tuple(word for word, _ in spelled(text))


@cache
def spelled(text: str) -> tuple[tuple[str, str], ...]:
    """Return the words of a text as compared, each with the word as written."""
    plain = "".join(c for c in unicodedata.normalize("NFKD", text.casefold()) if not unicodedata.combining(c))
    words = [word for word in re.split(r"[\W_]+", plain) if word and word not in _LIGHT]
    return tuple((_same(word), word) for word in words)


def _same(word: str) -> str:
    for pattern, form in _SAME:
        word = pattern.sub(form, word)
    return word


def with_synonyms(words: Tokens) -> Tokens:
    """Return words with what people say replaced by what the atlas says; longer phrases go first."""
    replacements = _replacements()
    longest = max(map(len, replacements))
    said: list[str] = []
    place = 0
    while place < len(words):
        for length in range(min(longest, len(words) - place), 0, -1):
            name = replacements.get(words[place : place + length])
            # "quadriceps femoris" is not to become "quadriceps femoris femoris"
            if name is not None and (length >= len(name) or words[place : place + len(name)] != name):
                said += name
                place += length
                break
        else:
            said.append(words[place])
            place += 1
    return tuple(said)


def corrected(words: Tokens, known: Iterable[str]) -> Tokens:
    """Return words with slips mended: what is not known becomes the nearest known word."""
    vocabulary = frozenset(known)
    return tuple(word if word in vocabulary else _nearest(word, vocabulary) for word in words)


def _nearest(word: str, vocabulary: frozenset[str]) -> str:
    if len(word) < _SHORTEST:
        return word
    begun = [other for other in vocabulary if other.startswith(word)]
    if len(begun) == 1:
        return begun[0]
    near = difflib.get_close_matches(word, sorted(vocabulary), n=1, cutoff=_SURE)
    return near[0] if near else word


@cache
def synonyms() -> Mapping[str, str]:
    """Return what people say, and what the atlas says instead, as written."""
    path = DATA_FOLDER / "synonyms.toml"
    names: dict[str, str] = tomllib.loads(path.read_text(encoding="utf-8"))["names"]
    return names


@cache
def _replacements() -> Mapping[Tokens, Tokens]:
    return {tokens(said): tokens(meant) for said, meant in synonyms().items()}
