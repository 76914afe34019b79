"""What carries the body, as the educator states it: a bar, a wall or a chair is not seen in the landmarks."""

from collections.abc import Iterable
from enum import StrEnum

from motionlabel.mechanics.support import columns_of


class Carrier(StrEnum):
    """A part of the body that may be stated to carry weight."""

    FEET = "feet"
    LEFT_FOOT = "left foot"
    RIGHT_FOOT = "right foot"
    HEELS = "heels"
    TOES = "toes"
    HANDS = "hands"
    LEFT_HAND = "left hand"
    RIGHT_HAND = "right hand"
    ELBOWS = "elbows"
    KNEES = "knees"
    LEFT_KNEE = "left knee"
    RIGHT_KNEE = "right knee"
    SEAT = "seat"
    PELVIS = "pelvis"
    BACK = "back"


_PARTS: dict[str, tuple[str, ...]] = {
    "feet": ("heel", "forefoot"),
    "foot": ("heel", "forefoot"),
    "heels": ("heel",),
    "toes": ("forefoot",),
    "hands": ("hand",),
    "hand": ("hand",),
    "elbows": ("elbow",),
    "knees": ("knee",),
    "knee": ("knee",),
    "seat": ("seat",),
    "pelvis": ("hip",),
    "back": ("shoulder",),
}


def columns_stated(carriers: Iterable[Carrier]) -> list[int]:
    """Columns of ``POINTS`` that these parts of the body are, in order; empty where nothing is stated."""
    columns: set[int] = set()
    for carrier in carriers:
        *side, part = carrier.value.split(" ")
        both = columns_of(*_PARTS[part])
        # left and right take turns in ``POINTS``
        columns.update(both[0 if side == ["left"] else 1 :: 2] if side else both)
    return sorted(columns)
