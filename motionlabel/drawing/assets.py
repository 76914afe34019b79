"""Finds themes and fonts: data that lies in ``overlays/``, inside the installed package or beside it."""

import difflib
import tomllib
from functools import cache
from pathlib import Path

from motionlabel.drawing.theme import THEME_KEYS, Theme, theme_from_values
from motionlabel.errors import BadSettingsError, MissingDependencyError

DEFAULT_THEME = "slate"


@cache
def overlays_folder() -> Path:
    """Return the folder with themes and fonts.

    A wheel carries it inside the package; in a checkout it lies beside the package.

    Raises
    ------
    MissingDependencyError
        When neither place has it.
    """
    package = Path(__file__).resolve().parents[1]
    for folder in (package / "overlays", package.parent / "overlays"):
        if (folder / "themes").is_dir():
            return folder
    raise MissingDependencyError(f"The folder 'overlays' is missing beside {package}; install motionlabel again.")


def font_path(bold: bool) -> Path:
    """Return the font file for plain or bold text.

    Raises
    ------
    MissingDependencyError
        When it is missing.
    """
    path = overlays_folder() / "fonts" / ("Inter-SemiBold.otf" if bold else "Inter-Regular.otf")
    if not path.is_file():
        raise MissingDependencyError(f"The font {path} is missing; install motionlabel again.")
    return path


def list_themes() -> tuple[str, ...]:
    """Return the names of the bundled themes, in alphabetic order."""
    return tuple(sorted(path.stem for path in (overlays_folder() / "themes").glob("*.toml")))


def _suggestion(word: str, known: tuple[str, ...]) -> str:
    close = difflib.get_close_matches(word, known, n=1)
    return f"did you mean '{close[0]}'?" if close else f"choose from: {', '.join(known)}."


def load_theme(name: str | Path) -> Theme:
    """Return a theme by the name of a bundled one or by the path of a TOML file.

    A file of one's own may give only the keys it changes; the rest is taken from the default theme.

    Raises
    ------
    BadSettingsError
        When there is no such theme or file, or a key or value in it is not understood; the message
        names the nearest known word.
    """
    path = Path(name)
    if path.suffix != ".toml":
        path = overlays_folder() / "themes" / f"{name}.toml"
        if str(name) not in list_themes():
            raise BadSettingsError(f"There is no theme '{name}': {_suggestion(str(name), list_themes())}")
    values = _read(path)
    for key in values:
        if key not in THEME_KEYS:
            raise BadSettingsError(f"{path}: unknown key '{key}': {_suggestion(key, THEME_KEYS)}")
    defaults = _read(overlays_folder() / "themes" / f"{DEFAULT_THEME}.toml")
    return theme_from_values(path.stem, {**defaults, **values}, str(path))


def _read(path: Path) -> dict[str, object]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise BadSettingsError(f"The theme file {path} cannot be read: {error.strerror}.") from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise BadSettingsError(f"The theme file {path} is not valid TOML: {error}.") from error
