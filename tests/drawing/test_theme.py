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


GREYS = [(g, g, g) for g in range(0, 256, 5)]


@pytest.mark.parametrize("name", list_themes())
def test_lines_and_rims_show_on_any_grey_footage(name: str) -> None:
    """Line or edge has at least 3 : 1 against the footage. Source: WCAG 2.1, success criterion 1.4.11."""
    theme = load_theme(name)
    lines = [
        (colour, theme.casing)
        for colour in (
            *(theme.text, theme.first, theme.second, theme.tendon),
            *(theme.shortening, theme.lengthening, theme.holding),
        )
    ]
    for colour, edge in [*lines, (theme.nerve, theme.nerve_rim)]:
        for grey in GREYS:
            assert max(contrast(colour, grey), contrast(edge, grey)) >= 3.0


@pytest.mark.parametrize("name", list_themes())
def test_signs_on_a_belly_show(name: str) -> None:
    theme = load_theme(name)
    for colour in (theme.lengthening, theme.tendon):
        assert contrast(colour, theme.muscle) >= 2.5  # beside the form, which is sign enough: own convention


# linear RGB as seen with full deficiency of one kind of cone.
# Source: Machado, Oliveira, Fernandes 2009, A physiologically-based model for simulation of color vision
# deficiency, IEEE Transactions on Visualization and Computer Graphics 15, severity 1.0; the figures agree
# in several public implementations
SIGHTS = {
    "normal": np.eye(3),
    "protan": np.array(
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
    ),
    "deutan": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
    ),
    "tritan": np.array(
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]
    ),
}
# linear sRGB to XYZ (IEC 61966-2-1, from memory); its rows add up to the white point D65
XYZ = np.array(
    [[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.0721750], [0.0193339, 0.1191920, 0.9503041]]
)
APART = 15.0
"""Least CIE 1976 colour difference of two meanings: own convention, more than six times the just noticeable
difference of 2.3 (Mahy, Van Eycken, Oosterlinck 1994, from memory)."""


def lab(colour: Colour, sight: np.ndarray) -> np.ndarray:
    """CIE 1976 L*a*b* of a colour as some sight sees it. Source: CIE 15:2004, from memory."""
    share = np.array(colour) / 255
    linear = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    white = XYZ.sum(axis=1)
    xyz = XYZ @ np.clip(sight @ linear, 0, 1) / white
    f = np.where(xyz > 216 / 24389, np.cbrt(xyz), (24389 / 27 * xyz + 16) / 116)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def test_lab_of_known_colours() -> None:
    np.testing.assert_allclose(lab((255, 255, 255), SIGHTS["normal"]), [100, 0, 0], atol=0.01)
    np.testing.assert_allclose(lab((255, 0, 0), SIGHTS["normal"]), [53.24, 80.09, 67.20], atol=0.05)
    for sight in SIGHTS.values():
        np.testing.assert_allclose(sight.sum(axis=1), 1.0, atol=2e-6)  # grey stays grey


@pytest.mark.parametrize("sight", SIGHTS)
@pytest.mark.parametrize("name", list_themes())
def test_meanings_stay_apart_in_every_sight(name: str, sight: str) -> None:
    theme = load_theme(name)
    meanings = ("first", "second", "shortening", "lengthening", "holding", "nerve", "muscle")
    seen = {meaning: lab(getattr(theme, meaning), SIGHTS[sight]) for meaning in meanings}
    for one, other in combinations(meanings, 2):
        assert np.linalg.norm(seen[one] - seen[other]) >= APART, f"{one} and {other}"


@pytest.mark.parametrize("name", list_themes())
def test_nerves_are_yellow(name: str) -> None:
    """As in anatomical atlases, a convention of the trade."""
    red, green, blue = load_theme(name).nerve
    assert min(red, green) > 200
    assert blue < 80


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
