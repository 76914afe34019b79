"""Themes: contrast, colours apart, and errors that help."""

from itertools import combinations
from pathlib import Path

import numpy as np
import pytest

from motionlabel.drawing import assets
from motionlabel.drawing.assets import font_path, list_themes, load_theme, overlays_folder
from motionlabel.drawing.theme import Colour, Theme
from motionlabel.drawing.typeset import band_colour
from motionlabel.errors import BadSettingsError


def luminance(colour: Colour) -> float:
    """Relative luminance. Source: WCAG 2.1, definition of relative luminance (W3C Recommendation, 2018)."""
    share = np.array(colour) / 255
    linear = np.where(share <= 0.03928, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    return float(linear @ [0.2126, 0.7152, 0.0722])


def contrast(one: Colour, other: Colour) -> float:
    """Contrast ratio. Source: WCAG 2.1, definition of contrast ratio."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def over(card: Colour, footage: Colour, opacity: float) -> Colour:
    red, green, blue = (c * opacity + f * (1 - opacity) for c, f in zip(card, footage))
    return red, green, blue


def test_contrast_of_black_and_white_is_21() -> None:
    np.testing.assert_allclose(contrast((0, 0, 0), (255, 255, 255)), 21.0)


@pytest.mark.parametrize("footage", [(0, 0, 0), (255, 255, 255), (255, 255, 0), (0, 0, 255)])
@pytest.mark.parametrize("name", list_themes())
def test_text_contrast_on_any_footage(name: str, footage: Colour) -> None:
    """At least 4.5 : 1 for text, 3 : 1 for marks. Source: WCAG 2.1, success criteria 1.4.3 and 1.4.11."""
    theme = load_theme(name)
    card = over(theme.card, footage, theme.card_opacity)
    for colour in (theme.text, theme.quiet, theme.first, theme.second):
        assert contrast(colour, card) >= 4.5
    band = over(band_colour(theme), footage, theme.card_opacity)
    assert contrast(theme.text, band) >= 4.5
    for colour in (theme.shortening, theme.lengthening, theme.holding):
        assert contrast(colour, band) >= 3.0


# linear RGB as seen without one kind of cone: Vienot, Brettel, Mollon 1999, Digital video colourmaps for checking
# the legibility of displays by dichromats, Color Research and Application 24; matrices from memory
DICHROMATS = {
    "protanope": np.array([[0.11238, 0.88762, 0.0], [0.11238, 0.88762, 0.0], [0.00401, -0.00401, 1.0]]),
    "deuteranope": np.array([[0.29275, 0.70725, 0.0], [0.29275, 0.70725, 0.0], [-0.02234, 0.02234, 1.0]]),
}


@pytest.mark.parametrize("sight", DICHROMATS)
@pytest.mark.parametrize("name", list_themes())
def test_colours_stay_apart_for_dichromats(name: str, sight: str) -> None:
    theme = load_theme(name)
    groups = ((theme.first, theme.second), (theme.shortening, theme.lengthening))
    for colours in groups:
        for one, other in combinations(colours, 2):
            seen = [((np.array(c) / 255) ** 2.2) @ DICHROMATS[sight].T for c in (one, other)]
            gap = np.abs(np.clip(seen[0], 0, 1) ** (1 / 2.2) - np.clip(seen[1], 0, 1) ** (1 / 2.2)).max()
            assert gap > 0.2


def test_themes_for_dark_and_light_footage_are_there() -> None:
    assert len(list_themes()) >= 3
    cards = [luminance(load_theme(name).card) for name in list_themes()]
    assert min(cards) < 0.05
    assert max(cards) > 0.8


@pytest.mark.parametrize("name", list_themes())
def test_every_file_is_complete(name: str) -> None:
    assert isinstance(load_theme(name), Theme)
    assert set(assets._read(overlays_folder() / "themes" / f"{name}.toml")) == set(assets.THEME_KEYS)


def test_unknown_theme_is_suggested() -> None:
    with pytest.raises(BadSettingsError, match="did you mean 'paper'"):
        load_theme("papper")
    with pytest.raises(BadSettingsError, match="choose from"):
        load_theme("zzz")


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("text_sise = 0.05", "did you mean 'text_size'"),
        ("text = 'white'", "is no colour"),
        ("text_size = 3", "must be a number"),
        ("text = ", "not valid TOML"),
    ],
)
def test_own_file_with_a_mistake(tmp_path: Path, text: str, message: str) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(text)
    with pytest.raises(BadSettingsError, match=message) as caught:
        load_theme(path)
    assert "mine.toml" in str(caught.value)


def test_own_file_changes_only_what_it_names(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text("first = '#010203'")
    mine, base = load_theme(str(path)), load_theme(assets.DEFAULT_THEME)
    assert mine.first == (1, 2, 3)
    assert mine.second == base.second
    assert mine.name == "mine"


def test_missing_own_file(tmp_path: Path) -> None:
    with pytest.raises(BadSettingsError, match=r"gone\.toml"):
        load_theme(tmp_path / "gone.toml")


def test_fonts_have_their_licence_and_letters() -> None:
    from fontTools.ttLib import TTFont

    licence = (overlays_folder() / "fonts" / "OFL.txt").read_text()
    assert "SIL OPEN FONT LICENSE Version 1.1" in licence
    assert "Inter Project Authors" in licence
    for bold in (False, True):
        letters = TTFont(font_path(bold)).getBestCmap()
        assert not [c for c in "°→–−éüñß" if ord(c) not in letters]
