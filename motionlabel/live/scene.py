"""What stands on the screen in one moment, and where."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import cv2
import numpy as np

from motionlabel.body import MotionAxis
from motionlabel.drawing.geometry import joint_point
from motionlabel.drawing.painter import paint
from motionlabel.drawing.parts import accent
from motionlabel.drawing.placement import anchor_of
from motionlabel.drawing.shapes import Box, CardImage, Form, Polyline, Shape, TextCard
from motionlabel.drawing.theme import Theme
from motionlabel.drawing.typeset import LabelCard, Measures, Scale, arrange_label, draw_label, measures, set_note
from motionlabel.drawing.wording import LabelText, Line, Role
from motionlabel.live.choice import Spoken
from motionlabel.live.dial import angle_now, dial
from motionlabel.live.practise import MotionTarget
from motionlabel.live.reading import Reading
from motionlabel.live.session import Session
from motionlabel.live.words import OPENING, end_lines, keys_line, label_words, notes, tally_lines, task_lines
from motionlabel.pose.gate import TORSO
from motionlabel.records import Array
from motionlabel.video.stream import Image

_WIDTHS = (0.42, 0.50, 0.60)  # of a label's card, shares of the shorter side; the first that holds the words
_PAGE = 1.15  # of a whole page, likewise
_NOTE = 0.55
_SIGN = 0.65  # so wide that the name of a recording is not broken
_WIDER = 1.4  # so much more room must the right edge have to be taken first
_BESIDE = 1.2  # widths of a card that the trunk leaves free at an edge where one may stand
_DIM = 0.35  # how much of the picture is left behind a page
# Source of all: own convention


@dataclass(frozen=True, slots=True)
class Scene:
    """All that is drawn on one picture.

    Attributes
    ----------
    session
        State of the run.
    reading
        The newest reading.
    then_px, now_px
        (L, 2) landmarks of the reading's newest frame and of this picture, pixels of the camera's picture;
        ``None`` = nobody.
    trouble
        A sentence; empty = all is well.
    recording
        Name of the clip that is being recorded; empty = none.
    news
        A sentence about a recording that has ended; empty = none.
    figures
        How fast the mirror is; empty = not asked for.
    """

    session: Session
    reading: Reading
    then_px: Array | None = None
    now_px: Array | None = None
    trouble: str = ""
    recording: str = ""
    news: str = ""
    figures: tuple[Line, ...] = ()


def draw(image: Image, scene: Scene, theme: Theme) -> Image:
    """Return the mirrored picture with all that is said; text is not mirrored.

    Parameters
    ----------
    image
        (H, W, 3) uint8 BGR as the camera gave it; stays as it is.
    """
    shown = np.asarray(cv2.flip(image, 1), dtype=np.uint8)
    height, width = shown.shape[:2]
    sizes = measures(theme, min(width, height), Scale.SMALLEST)
    page = _page(scene.session)
    if page:
        shown = np.asarray(cv2.convertScaleAbs(shown, alpha=_DIM), dtype=np.uint8)
        paint(shown, _whole_page(page, width, height, sizes, theme))
        return shown
    paint(shown, _shapes(scene, width, height, sizes, theme))
    return shown


def mirrored(points: Array, width: int) -> Array:
    """Return (L, 2) points of a picture of this width in its mirror image; left stays the person's left."""
    return np.stack([width - 1.0 - points[:, 0], points[:, 1]], axis=1)


def _page(session: Session) -> tuple[Line, ...]:
    if not session.confirmed:
        return OPENING
    return end_lines(session) if session.ended else ()


def _whole_page(lines: tuple[Line, ...], width: int, height: int, sizes: Measures, theme: Theme) -> Iterator[Shape]:
    card = set_note(lines, min(round(_PAGE * min(width, height)), width - 2 * sizes.margin), sizes, theme)
    yield TextCard((width - card.width) // 2, max(sizes.margin, (height - card.height) // 2), card)


def _shapes(scene: Scene, width: int, height: int, sizes: Measures, theme: Theme) -> Iterator[Shape]:
    session = scene.session
    now = None if scene.now_px is None else mirrored(scene.now_px, width)
    then = None if scene.then_px is None else mirrored(scene.then_px, width)
    tops = [sizes.margin, sizes.margin]
    side = _roomier(now, width)
    for edge, lines, share in ((side, task_lines(session), _NOTE), (1 - side, _recording(scene), _SIGN)):
        if lines:
            card = _note(lines, width, height, sizes, theme, min(share, _half(width, height, sizes)))
            yield TextCard(_edge(edge, card, width, sizes), sizes.margin, card)
            tops[edge] += card.height + sizes.margin // 2
    foot = list(_foot(scene, width, height, sizes, theme))
    if now is not None and not scene.trouble:
        left = [card.y for card in foot if card.x < width / 2]
        right = [card.y for card in foot if card.x + card.image.width > width / 2]
        ends = [min(side, default=height - sizes.margin) for side in (left, right)]
        yield from _labels(scene, now, then, tops, ends, width, height, sizes, theme)
    yield from foot
    if scene.trouble:
        card = _note((Line(scene.trouble, Role.TITLE),), width, height, sizes, theme, share=0.9)
        yield TextCard((width - card.width) // 2, (height - card.height) // 2, card)


def _recording(scene: Scene) -> tuple[Line, ...]:
    if scene.recording:
        return (Line(f"● Recording {scene.recording}", Role.GROUP),)
    return (Line(scene.news, Role.TEXT),) if scene.news else ()


def _foot(scene: Scene, width: int, height: int, sizes: Measures, theme: Theme) -> Iterator[TextCard]:
    bottom = height - sizes.margin
    keys = _note((keys_line(scene.session),), width, height, sizes, theme, share=width / min(width, height))
    yield TextCard(sizes.margin, bottom - keys.height, keys)
    bottom -= keys.height + sizes.margin // 2
    left = scene.figures or notes(scene.session.spoken)
    right = tally_lines(scene.session.tally, scene.session.spoken)
    share = min(_NOTE, _half(width, height, sizes))
    if left:
        card = _note(left, width, height, sizes, theme, share)
        yield TextCard(sizes.margin, bottom - card.height, card)
    if right:
        card = _note(right, width, height, sizes, theme, share)
        yield TextCard(width - sizes.margin - card.width, bottom - card.height, card)


def _half(width: int, height: int, sizes: Measures) -> float:
    """Return the width of two notes side by side, share of the shorter side: less than usual in a narrow picture."""
    return (width - 3 * sizes.margin) / 2 / min(width, height)


def _labels(
    scene: Scene,
    now: Array,
    then: Array | None,
    tops: list[int],
    ends: list[int],
    width: int,
    height: int,
    sizes: Measures,
    theme: Theme,
) -> Iterator[Shape]:
    shorter = min(width, height)
    target = scene.session.target
    asked = target.axis if isinstance(target, MotionTarget) and target.beyond_rad is not None else None
    drawn: list[tuple[MotionAxis, int]] = []
    cards: list[tuple[Spoken, LabelCard, int]] = []
    for slot, spoken in enumerate(scene.session.spoken):
        words = label_words(spoken, slot)
        if words is not None:
            cards.append((spoken, _label(words, slot, shorter, theme, sizes), slot))
            drawn.append((spoken.axis, slot))
    if asked is not None and all(axis != asked for axis, _ in drawn):
        drawn = [(asked, 0), *drawn[1:]]
    for axis, slot in drawn:
        angle = angle_now(axis, scene.reading, then, now)
        mark = target.beyond_rad if isinstance(target, MotionTarget) and axis == asked else None
        form = Form.SQUARE if slot else Form.RING
        yield from dial(axis, now, angle, mark, form, accent(theme, slot), theme, shorter, sizes.text)
    for (spoken, card, slot), box in zip(cards, _places([card for _, card, _ in cards], now, tops, ends, width, sizes)):
        joint = _joint(now, spoken.axis)
        if joint is not None and any(axis == spoken.axis for axis, _ in drawn):
            yield Polyline(
                (anchor_of(box, joint), joint), accent(theme, slot), theme.casing, theme.line_width * shorter
            )
        yield TextCard(box.x, box.y, card.still)
        band = next(iter(card.phases.values()))
        yield TextCard(box.x + card.gap.x, box.y + card.gap.y, band)


def _joint(points: Array, axis: MotionAxis) -> tuple[float, float] | None:
    x, y = joint_point(points[None], axis)[0].tolist()
    return (x, y) if np.isfinite(x) and np.isfinite(y) else None


def _roomier(points: Array | None, width: int) -> int:
    """Return the edge (0 left, 1 right) at which the person leaves more room."""
    left, right = _rooms(points, width)
    return 1 if right > _WIDER * left else 0


def _rooms(points: Array | None, width: int) -> tuple[float, float]:
    """Return the room left and right of the trunk: cards must not jump with every swing of a limb."""
    trunk = np.nan if points is None else float(np.nanmean(points[TORSO, 0]))
    middle = trunk if np.isfinite(trunk) else width / 2
    return middle, width - middle


def _edge(side: int, card: CardImage, width: int, sizes: Measures) -> int:
    return sizes.margin if side == 0 else width - sizes.margin - card.width


def _places(
    cards: list[LabelCard], points: Array, tops: list[int], ends: list[int], width: int, sizes: Measures
) -> list[Box]:
    """Put the cards at the left and right edge, or both on the side where the person is not.

    At each edge there is room from ``tops`` to ``ends``; a card changes the edge if it reaches less far beyond there.
    """
    first, rooms, tops = _roomier(points, width), _rooms(points, width), list(tops)
    boxes: list[Box] = []
    for card in cards:
        image = card.still
        # under what stands there already only where the other edge has no room
        beside = rooms[1 - first] >= _BESIDE * image.width or rooms[first] < image.width
        side = 1 - first if beside and tops[1 - first] < tops[first] else first
        beyond = [max(0, top + image.height - end) for top, end in zip(tops, ends)]
        side = side if beyond[side] <= beyond[1 - side] else 1 - side
        boxes.append(Box(_edge(side, image, width, sizes), tops[side], image.width, image.height))
        tops[side] += image.height + sizes.margin
    return boxes


@lru_cache(maxsize=64)
def _label(words: LabelText, slot: int, shorter: int, theme: Theme, sizes: Measures) -> LabelCard:
    settings = [arrange_label(words, round(share * shorter), sizes) for share in _WIDTHS]
    setting = next((one for one in settings if one is not None), None)
    if setting is None:
        setting = arrange_label(words, shorter, sizes)
    assert setting is not None, "a word is wider than the picture"
    return draw_label(setting, theme, accent(theme, slot))


def _note(
    lines: tuple[Line, ...], width: int, height: int, sizes: Measures, theme: Theme, share: float = _NOTE
) -> CardImage:
    return set_note(lines, min(round(share * min(width, height)), width - 2 * sizes.margin), sizes, theme)
