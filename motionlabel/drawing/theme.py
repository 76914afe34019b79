"""A theme: every colour and size of the drawing, none of its decisions."""

from dataclasses import dataclass, fields

from motionlabel.errors import BadSettingsError

Colour = tuple[int, int, int]
"""Red, green, blue, each 0-255."""


@dataclass(frozen=True, slots=True)
class Theme:
    """Colours and sizes; one TOML file of ``overlays/themes`` has exactly these keys.

    Attributes
    ----------
    name
        Name of the theme.
    card, card_opacity
        Background of every text and how much of it hides the picture, 0-1.
    text, quiet
        Colour of text, and of text of second rank.
    first, second
        Colours of the first and second label: their line, joint mark and heading.
    shortening, lengthening, holding
        Colours of the mark of the contraction.
    casing
        Colour of the thin edge around lines, so that they show on any footage.
    muscle, tendon
        Fill of a muscle's belly; its tendons and the rim of its belly.
    nerve, nerve_rim
        Line of a nerve and its edge; yellow and dark, as atlases have it.
    text_size, title_size
        Size of type; all sizes are shares of the shorter side of the picture.
    line_width, padding, margin, corner
        Width of lines, space inside a card, space to the picture's edge, radius of a card's corners.
    """

    name: str
    card: Colour
    card_opacity: float
    text: Colour
    quiet: Colour
    first: Colour
    second: Colour
    shortening: Colour
    lengthening: Colour
    holding: Colour
    casing: Colour
    muscle: Colour
    tendon: Colour
    nerve: Colour
    nerve_rim: Colour
    text_size: float
    title_size: float
    line_width: float
    padding: float
    margin: float
    corner: float


THEME_KEYS: tuple[str, ...] = tuple(f.name for f in fields(Theme) if f.name != "name")
"""Keys of a theme file, all required."""

_COLOUR_KEYS = frozenset(f.name for f in fields(Theme) if f.type == Colour)


def _colour(value: object, where: str) -> Colour:
    if isinstance(value, str) and len(value) == 7 and value[0] == "#":
        try:
            return int(value[1:3], 16), int(value[3:5], 16), int(value[5:7], 16)
        except ValueError:
            pass
    raise BadSettingsError(f"{where}: {value!r} is no colour; write it like '#1A2B3C'.")


def _share(value: object, where: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 < value <= 1:
        raise BadSettingsError(f"{where}: {value!r} must be a number above 0 and up to 1.")
    return float(value)


def theme_from_values(name: str, values: dict[str, object], where: str) -> Theme:
    """Return the checked theme.

    Parameters
    ----------
    name
        Name of the theme.
    values
        One value for each of ``THEME_KEYS``, colours as ``#RRGGBB``.
    where
        Name of the file, for messages.

    Raises
    ------
    BadSettingsError
        When a value is of the wrong kind.
    """
    checked = {
        key: _colour(value, f"{where}, {key}") if key in _COLOUR_KEYS else _share(value, f"{where}, {key}")
        for key, value in values.items()
    }
    return Theme(name=name, **checked)  # type: ignore[arg-type]
