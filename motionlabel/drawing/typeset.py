"""Sets text on cards: wraps it, draws it with the bundled font and keeps it ready for the painter."""

from dataclasses import dataclass
from enum import Enum
from functools import cache, lru_cache

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from motionlabel.drawing.assets import font_path
from motionlabel.drawing.marks import mark_mask
from motionlabel.drawing.shapes import Box, CardImage
from motionlabel.drawing.theme import Colour, Theme
from motionlabel.drawing.wording import LabelText, Line, PhaseText, Role

SMALLEST_TEXT = 1 / 28
"""Least height of text, from the top of an h to the foot of a g, as a share of the shorter side.

*Source*: own convention.
"""
LEADING = 1.18
_MARK_WIDTH = 2.15  # widths and heights of the mark in units of the type size
_MARK_HEIGHT = 0.86
_BAND = 0.12  # share of the text's colour mixed into the band that changes


class Scale(Enum):
    """How large a card's text is set."""

    THEME = "as the theme says"
    SMALLEST = "as small as may be"


@dataclass(frozen=True, slots=True)
class Measures:
    """Sizes of a theme in whole pixels of one picture."""

    text: int
    title: int
    padding: int
    corner: int
    margin: int
    bar: int


@dataclass(frozen=True, slots=True, eq=False)
class LabelCard:
    """A label's card: one still image with a gap, and what fills the gap at each phase.

    Attributes
    ----------
    still
        The text that does not change; transparent in ``gap``.
    gap
        Where the phase goes, relative to the card.
    phases
        One image of the size of ``gap`` for each phase.
    """

    still: CardImage
    gap: Box
    phases: dict[PhaseText, CardImage]


@cache
def font(bold: bool, size: int) -> ImageFont.FreeTypeFont:
    """Return the bundled font at a size in pixels."""
    return ImageFont.truetype(str(font_path(bold)), size, layout_engine=ImageFont.Layout.BASIC)


@cache
def smallest_size(shorter_px: int) -> int:
    """Return the smallest type size allowed in a picture with this shorter side."""
    size = max(6, int(shorter_px * SMALLEST_TEXT * 0.9))
    while ink_height(size) < shorter_px * SMALLEST_TEXT:
        size += 1
    return size


def ink_height(size: int) -> int:
    """Return the height in pixels from the top of an h to the foot of a g."""
    _, top, _, bottom = font(False, size).getbbox("hg")
    return int(bottom - top)


def measures(theme: Theme, shorter_px: int, scale: Scale = Scale.THEME) -> Measures:
    """Return the theme's sizes for a picture; never below the smallest type size."""
    least = smallest_size(shorter_px)
    text, title = (max(least, round(share * shorter_px)) for share in (theme.text_size, theme.title_size))
    if scale is Scale.SMALLEST:
        text, title = least, least
    padding, corner, margin = (max(2, round(s * shorter_px)) for s in (theme.padding, theme.corner, theme.margin))
    return Measures(text, title, padding, corner, margin, bar=max(3, round(padding * 0.5)))


@lru_cache(maxsize=50_000)
def _length(words: str, face: ImageFont.FreeTypeFont) -> float:
    return face.getlength(words)


def wrapped(text: str, face: ImageFont.FreeTypeFont, width: int) -> list[str]:
    """Break text into lines of at most ``width`` pixels; a longer word is broken anywhere."""
    lines = [""]
    for word in text.split(" "):
        trial = f"{lines[-1]} {word}" if lines[-1] else word
        if _length(trial, face) <= width:
            lines[-1] = trial
            continue
        if lines[-1]:
            lines.append("")
        for letter in word:
            if lines[-1] and _length(lines[-1] + letter, face) > width:
                lines.append("")
            lines[-1] += letter
    return lines


class Sheet:
    """A card while it is being set: how much ink covers each pixel, and of which colour."""

    def __init__(self, width: int, height: int, colour: Colour) -> None:
        self.cover = Image.new("L", (width, height), 0)
        self.colours = Image.new("RGB", (width, height), colour)
        self._cover, self._colours = ImageDraw.Draw(self.cover), ImageDraw.Draw(self.colours)

    def text(self, x: int, y: int, words: str, face: ImageFont.FreeTypeFont, colour: Colour) -> None:
        """Draw one line with its top left corner at (x, y)."""
        self._colours.rectangle((x, y, self.cover.width, y + round(face.size * LEADING)), fill=colour)
        self._cover.text((x, y), words, fill=255, font=face)

    def bar(self, box: Box, colour: Colour) -> None:
        """Fill a rectangle."""
        edges = (box.x, box.y, box.right - 1, box.bottom - 1)
        self._colours.rectangle(edges, fill=colour)
        self._cover.rectangle(edges, fill=255)

    def mask(self, x: int, y: int, mask: Image.Image, colour: Colour) -> None:
        """Draw a mask in one colour with its top left corner at (x, y)."""
        self._colours.rectangle((x, y, x + mask.width - 1, y + mask.height - 1), fill=colour)
        self.cover.paste(mask, (x, y))

    def card(self, background: Colour, opacity: float, shown: Image.Image | None = None) -> CardImage:
        """Return the finished card; ``shown`` says which part of the rectangle belongs to it."""
        cover = np.asarray(self.cover, dtype=np.float32)[..., None] / 255
        ground = np.array(background, dtype=np.float32) * opacity
        ink = cover * np.asarray(self.colours, dtype=np.float32) + (1 - cover) * ground
        hides = cover + (1 - cover) * opacity
        if shown is not None:
            part = np.asarray(shown, dtype=np.float32)[..., None] / 255
            ink, hides = ink * part, hides * part
        rest = np.repeat(np.round(255 * (1 - hides)), 3, axis=2).astype(np.uint8)
        return CardImage(np.ascontiguousarray(np.round(ink).astype(np.uint8)[..., ::-1]), rest)


def band_colour(theme: Theme) -> Colour:
    """Return the background of the band that changes with the phase."""
    red, green, blue = (round(c * (1 - _BAND) + t * _BAND) for c, t in zip(theme.card, theme.text))
    return red, green, blue


def rounded(width: int, height: int, corner: int) -> Image.Image:
    """Return a mask of a rectangle with round corners."""
    large = Image.new("L", (width * 4, height * 4), 0)
    ImageDraw.Draw(large).rounded_rectangle((0, 0, width * 4 - 1, height * 4 - 1), corner * 4, fill=255)
    return large.reduce(4)


@dataclass(frozen=True, slots=True, eq=False)
class LabelSetting:
    """A label arranged on a card of some width, not drawn yet.

    Attributes
    ----------
    width, height
        Pixels of the card.
    gap
        Where the phase goes, relative to the card.
    head, body
        Rows above and below the gap.
    bands, terms, own
        Rows of each phase: its words, the trade term beside the mark, and what single muscles do.
    sizes
        Sizes used.
    """

    width: int
    height: int
    gap: Box
    head: tuple["_Row", ...]
    body: tuple["_Row", ...]
    bands: dict[PhaseText, tuple[str, ...]]
    terms: dict[PhaseText, tuple[str, ...]]
    own: dict[PhaseText, tuple[str, ...]]
    sizes: Measures


def arrange_label(text: LabelText, width: int, sizes: Measures) -> LabelSetting | None:
    """Arrange a label on a card of the given width; its height follows from the text.

    Returns ``None`` where a word is wider than the card.
    """
    inner = width - sizes.bar - 2 * sizes.padding
    if not _words_fit(text, inner, sizes):
        return None
    head, body = _broken(text.above, inner, sizes), _broken(text.below, inner, sizes)
    bands = {phase: tuple(wrapped(phase.words, font(True, sizes.text), inner)) for phase in text.phases}
    terms = {phase: _term_rows(phase, inner, sizes) for phase in text.phases}
    own = {
        phase: tuple(wrapped(phase.own, font(False, sizes.text), inner)) if phase.own else () for phase in text.phases
    }
    # what single muscles do has a place of its own below the rest, so that it never moves
    rows = max((len(bands[phase]) + len(terms[phase]) for phase in text.phases), default=0)
    rows += max((len(lines) for lines in own.values()), default=0)
    inset = _inset(sizes)
    gap_height = rows * _step(sizes.text) + 2 * inset if rows else 0
    gap = Box(sizes.bar, sizes.padding + _height(head) + inset, width - sizes.bar, gap_height)
    below = inset + _height(body) + sizes.padding if body else inset
    return LabelSetting(width, gap.bottom + below, gap, head, body, bands, terms, own, sizes)


def draw_label(setting: LabelSetting, theme: Theme, accent: Colour) -> LabelCard:
    """Draw an arranged label."""
    sizes, gap = setting.sizes, setting.gap
    left = sizes.bar + sizes.padding
    sheet = Sheet(setting.width, setting.height, theme.text)
    _draw(sheet, left, sizes.padding, setting.head, theme, accent)
    _draw(sheet, left, gap.bottom + _inset(sizes), setting.body, theme, accent)
    sheet.bar(Box(0, 0, sizes.bar, setting.height), accent)
    shown = rounded(setting.width, setting.height, sizes.corner)
    shown.paste(0, (gap.x, gap.y, gap.right, gap.bottom))
    still = sheet.card(theme.card, theme.card_opacity, shown)
    return LabelCard(still, gap, {phase: _band(phase, setting, theme) for phase in setting.bands})


@lru_cache(maxsize=64)
def set_note(lines: tuple[Line, ...], width: int, sizes: Measures, theme: Theme) -> CardImage:
    """Set plain lines on a card no wider than ``width``."""
    rows = _broken(lines, width - 2 * sizes.padding, sizes)
    widest = max(round(_length(row.words, row.face)) for row in rows)
    card_width, height = widest + 2 * sizes.padding, _height(rows) + 2 * sizes.padding
    sheet = Sheet(card_width, height, theme.text)
    _draw(sheet, sizes.padding, sizes.padding, rows, theme, theme.text)
    return sheet.card(theme.card, theme.card_opacity, rounded(card_width, height, sizes.corner))


@lru_cache(maxsize=1024)
def set_number(words: str, size: int, theme: Theme, accent: Colour) -> CardImage:
    """Set a short number on a small card of its own."""
    face = font(True, size)
    left, top, right, bottom = (round(v) for v in face.getbbox(words))
    side, above = round(size * 0.3), round(size * 0.22)
    width, height = right - left + 2 * side, bottom - top + 2 * above
    sheet = Sheet(width, height, accent)
    sheet.text(side - left, above - top, words, face, accent)
    return sheet.card(theme.card, theme.card_opacity, rounded(width, height, height // 3))


@lru_cache(maxsize=256)
def set_tag(words: str, sizes: Measures, theme: Theme, swatch: Colour, rim: Colour) -> CardImage:
    """Set a name, of one row or more, on a small card with a swatch of the colour of what it names."""
    face, rows = font(False, sizes.text), words.split("\n")
    widest = max(round(face.getlength(row)) for row in rows)
    _, cap, _, foot = (round(v) for v in face.getbbox("hg"))
    side, above, dab = round(sizes.text * 0.35), round(sizes.text * 0.2), round(sizes.text * 0.28)
    inked = foot - cap + (len(rows) - 1) * _step(sizes.text)
    width, height = widest + 3 * side + dab, inked + 2 * above
    sheet = Sheet(width, height, theme.text)
    sheet.bar(Box(side - 1, above - 1, dab + 2, inked + 2), rim)
    sheet.bar(Box(side, above, dab, inked), swatch)
    for i, row in enumerate(rows):
        sheet.text(2 * side + dab, above - cap + i * _step(sizes.text), row, face, theme.text)
    return sheet.card(theme.card, theme.card_opacity, rounded(width, height, max(2, sizes.text // 5)))


@dataclass(frozen=True, slots=True)
class _Row:
    words: str
    role: Role
    face: ImageFont.FreeTypeFont


def _step(size: float) -> int:
    return round(size * LEADING)


def _inset(sizes: Measures) -> int:
    return round(sizes.padding * 0.6)


def _face(role: Role, sizes: Measures) -> ImageFont.FreeTypeFont:
    return font(role in (Role.TITLE, Role.GROUP), sizes.title if role is Role.TITLE else sizes.text)


def _words_fit(text: LabelText, inner: int, sizes: Measures) -> bool:
    bold, plain = font(True, sizes.text), font(False, sizes.text)
    pieces = [(line.text, _face(line.role, sizes), inner) for line in text.above + text.below]
    pieces += [(phase.words, bold, inner) for phase in text.phases]
    pieces += [(words, plain, inner) for phase in text.phases for words in (phase.term, phase.own)]
    return all(_length(word, face) <= width for words, face, width in pieces for word in words.split(" "))


def _broken(lines: tuple[Line, ...], width: int, sizes: Measures) -> tuple[_Row, ...]:
    return tuple(
        _Row(words, line.role, face)
        for line, face in ((line, _face(line.role, sizes)) for line in lines)
        for words in wrapped(line.text, face, width)
    )


def _height(rows: tuple[_Row, ...]) -> int:
    return sum(_step(row.face.size) for row in rows)


def _draw(sheet: Sheet, x: int, y: int, rows: tuple[_Row, ...], theme: Theme, accent: Colour) -> None:
    colours = {Role.TITLE: theme.text, Role.GROUP: accent, Role.TEXT: theme.text, Role.QUIET: theme.quiet}
    for row in rows:
        sheet.text(x, y, row.words, row.face, colours[row.role])
        y += _step(row.face.size)


def _mark_width(sizes: Measures) -> int:
    return round(sizes.text * _MARK_WIDTH)


def _term_left(sizes: Measures, inner: int, term: str) -> int:
    """Where the trade term begins: right of the mark or, on a narrow card, in the row below it."""
    beside = _mark_width(sizes) + round(0.35 * sizes.text)
    widest = max(_length(word, font(False, sizes.text)) for word in term.split(" "))
    return beside if beside + widest <= inner else 0


def _term_rows(phase: PhaseText, inner: int, sizes: Measures) -> tuple[str, ...]:
    if phase.contraction is None:
        return ()
    left = _term_left(sizes, inner, phase.term)
    rows = wrapped(phase.term, font(False, sizes.text), inner - left)
    return tuple(rows) if left or not phase.term else ("", *rows)


def _band(phase: PhaseText, setting: LabelSetting, theme: Theme) -> CardImage:
    sizes = setting.sizes
    sheet = Sheet(setting.gap.width, setting.gap.height, theme.text)
    y = _inset(sizes)
    for words in setting.bands[phase]:
        sheet.text(sizes.padding, y, words, font(True, sizes.text), theme.text)
        y += _step(sizes.text)
    if phase.contraction is not None:
        width, height = _mark_width(sizes), round(sizes.text * _MARK_HEIGHT)
        mask = mark_mask(phase.contraction, width, height)
        mark_y = y + round((sizes.text * 1.21 - height) / 2)
        left = _term_left(sizes, setting.gap.width - 2 * sizes.padding, phase.term)
        for words in setting.terms[phase]:
            sheet.text(sizes.padding + left, y, words, font(False, sizes.text), theme.text)
            y += _step(sizes.text)
        sheet.mask(sizes.padding, mark_y, mask, phase.colour(theme))
    y = setting.gap.height - _inset(sizes) - max(len(rows) for rows in setting.own.values()) * _step(sizes.text)
    for words in setting.own[phase]:
        sheet.text(sizes.padding, y, words, font(False, sizes.text), theme.quiet)
        y += _step(sizes.text)
    return sheet.card(band_colour(theme), theme.card_opacity)
