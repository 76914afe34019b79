"""Everything a user may set: one frozen dataclass a stage, which holds the only defaults.

A settings file (TOML) has one table a stage; flags of the command line come after it and win.
"""

import tomllib
from collections.abc import Callable
from dataclasses import asdict, dataclass, field, fields, replace
from difflib import get_close_matches
from math import radians
from pathlib import Path
from typing import Any

from motionlabel.anatomy import Course, Level, level_named, read_course
from motionlabel.body import LABELLED_JOINTS, Joint
from motionlabel.drawing import DEFAULT_THEME, Detail, LabelOptions, Show
from motionlabel.errors import BadSettingsError
from motionlabel.mechanics import Carrier


@dataclass(frozen=True, slots=True)
class PoseSettings:
    """How the person is found.

    Attributes
    ----------
    model
        Landmark model: ``lite``, ``full`` or the path of a ``.task`` file.
    person
        Number of the person to follow, as on the people picture; 0 = the one who moves most.
    """

    model: str = "full"
    person: int = 0

    def __post_init__(self) -> None:
        _at_least("person", self.person, 0)


@dataclass(frozen=True, slots=True)
class SmoothingSettings:
    """How landmarks are smoothed.

    Attributes
    ----------
    cutoff_hz
        Cut-off of the zero-lag filter, hertz.
        *Source*: Winter, Biomechanics and Motor Control of Human Movement (6 Hz for gait).
    """

    cutoff_hz: float = 6.0

    def __post_init__(self) -> None:
        _at_least("cutoff_hz", self.cutoff_hz, 0.5)


AUTO = "auto"
"""Value of a setting that the program finds by itself."""

_MOST_ROLL_DEG = 45.0


@dataclass(frozen=True, slots=True)
class CameraSettings:
    """How the camera stood.

    Attributes
    ----------
    roll_deg
        How far it leaned to the side, degrees, clockwise positive (the scene leans to the left); ``auto`` =
        found from a person who stands or lies still, where they show it.
    """

    roll_deg: float | str = AUTO

    def __post_init__(self) -> None:
        if not isinstance(self.roll_deg, str) and not abs(self.roll_deg) <= _MOST_ROLL_DEG:
            raise ValueError(f"roll_deg must be between -{_MOST_ROLL_DEG:.0f} and {_MOST_ROLL_DEG:.0f}")

    @property
    def roll_rad(self) -> float | None:
        """The lean in radians; ``None`` = to be found."""
        return None if isinstance(self.roll_deg, str) else radians(self.roll_deg)


@dataclass(frozen=True, slots=True)
class MechanicsSettings:
    """What loads the joints.

    Attributes
    ----------
    support
        Parts of the body that carry it, all through the clip whenever they are still; empty = found. For what
        no landmark shows: a bar, a wall, a chair that is not found.
    """

    support: tuple[Carrier, ...] = ()


@dataclass(frozen=True, slots=True)
class AnnotateSettings:
    """What the annotated clip shows.

    Attributes
    ----------
    theme
        Name of a theme in ``overlays/themes`` or path of a theme file.
    detail
        How much a label says.
    focus
        Joints to label; empty = all.
    show
        Labels alone, or muscles and nerves on the body too.
    caution
        Whether the caution is laid over the first 3 s.
    """

    theme: str = DEFAULT_THEME
    detail: Detail = LabelOptions().detail
    focus: tuple[Joint, ...] = LabelOptions().focus
    show: Show = LabelOptions().show
    caution: bool = True


@dataclass(frozen=True, slots=True)
class AnatomySettings:
    """Whose names and words are shown, and how many muscles.

    Attributes
    ----------
    level
        How much of the atlas is taught.
    file
        Path of a teacher's own file that is laid over the atlas; empty = none.
    """

    level: Level = Level.COMPLETE
    file: str = ""

    def course(self) -> Course:
        """Return what is taught.

        Raises
        ------
        BadSettingsError
            The file cannot be used; the message names file, row and column.
        """
        return read_course(self.level, Path(self.file) if self.file else None)


@dataclass(frozen=True, slots=True)
class Settings:
    """All settings; the tables of a settings file are these fields."""

    pose: PoseSettings = field(default_factory=PoseSettings)
    smoothing: SmoothingSettings = field(default_factory=SmoothingSettings)
    camera: CameraSettings = field(default_factory=CameraSettings)
    mechanics: MechanicsSettings = field(default_factory=MechanicsSettings)
    annotate: AnnotateSettings = field(default_factory=AnnotateSettings)
    anatomy: AnatomySettings = field(default_factory=AnatomySettings)

    def deciding(self) -> dict[str, str]:
        """Return the settings that decide a study, as flat names and texts.

        The model is left out: its checksum says more than its name. How the clip is shown decides
        nothing in the study.
        """
        pose = {f"pose.{name}": str(value) for name, value in asdict(self.pose).items() if name != "model"}
        return {
            **pose,
            **{f"smoothing.{name}": str(value) for name, value in asdict(self.smoothing).items()},
            "camera.roll_deg": str(self.camera.roll_deg),
            "mechanics.support": ", ".join(self.mechanics.support),
        }


def read_settings(path: Path) -> Settings:
    """Read a settings file; what it does not name keeps its default.

    Raises
    ------
    BadSettingsError
        The file cannot be read, is not TOML, names something unknown or a value that does not fit.
    """
    try:
        document = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise BadSettingsError(f"The settings file {path} cannot be read ({error.strerror}).") from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise BadSettingsError(f"The settings file {path} is not valid TOML: {error}.") from error
    settings = Settings()
    for stage, table in document.items():
        _known(stage, [f.name for f in fields(Settings)], f"{path}: there is no table [{stage}]")
        if not isinstance(table, dict):
            raise BadSettingsError(f"{path}: write [{stage}] as a table with its keys below.")
        try:
            settings = replace(settings, **{stage: _with_values(getattr(settings, stage), stage, table, path)})
        except ValueError as error:
            raise BadSettingsError(f"{path}: [{stage}] {error}.") from error
    return settings


def _with_values(part: Any, stage: str, table: dict[str, Any], path: Path) -> Any:
    names = [f.name for f in fields(part)]
    values = {}
    for key, value in table.items():
        _known(key, names, f"{path}: [{stage}] has no key {key}")
        values[key] = _fitted(key, value, getattr(type(part)(), key))
    return replace(part, **values)


def _fitted(key: str, value: Any, default: Any) -> Any:
    """Return the value as the type of the default; ``ValueError`` where it does not fit."""
    if isinstance(default, tuple):
        what, named = _LISTS[key]
        if not isinstance(value, list):
            raise ValueError(f"{key} must be a list of {what}")
        return tuple(named(name) for name in value)
    if default == AUTO:
        if value == AUTO:
            return value
        if isinstance(value, str):
            raise ValueError(f"{key} must be a number or {AUTO!r}, not {value!r}")
        return _fitted(key, value, 0.0)
    if isinstance(default, Level):
        return level_named(value)
    if isinstance(default, Detail):
        return detail_named(value)
    if isinstance(default, Show):
        return show_named(value)
    if isinstance(default, float) and isinstance(value, int) and not isinstance(value, bool):
        return float(value)
    if type(value) is not type(default):
        kinds = {bool: "true or false", int: "a whole number", float: "a number", str: "a text in quotes"}
        raise ValueError(f"{key} must be {kinds[type(default)]}, not {value!r}")
    return value


def joint_named(name: str) -> Joint:
    """Return the joint of that name; ``ValueError`` lists the choices."""
    return Joint(_chosen("joint", name, [j.value for j in LABELLED_JOINTS]))


def carrier_named(name: str) -> Carrier:
    """Return the part of the body of that name; ``ValueError`` lists the choices."""
    return Carrier(_chosen("support", name, [c.value for c in Carrier]))


_LISTS: dict[str, tuple[str, Callable[[str], Any]]] = {
    "focus": ('joints, such as ["knee"]', joint_named),
    "support": ('parts of the body, such as ["seat", "feet"]', carrier_named),
}


def detail_named(name: str) -> Detail:
    """Return the level of detail of that name; ``ValueError`` lists the choices."""
    return Detail(_chosen("detail", name, [d.value for d in Detail]))


def show_named(name: str) -> Show:
    """Return what is shown, by its name; ``ValueError`` lists the choices."""
    return Show(_chosen("show", name, [s.value for s in Show]))


def _chosen(what: str, name: Any, choices: list[str]) -> str:
    if name not in choices:
        raise ValueError(f"{what} must be one of {', '.join(choices)}, not {name!r}")
    return str(name)


def _known(name: str, choices: list[str], complaint: str) -> None:
    if name not in choices:
        close = get_close_matches(name, choices, n=1)
        hint = f"did you mean {close[0]}?" if close else f"known are {', '.join(choices)}."
        raise BadSettingsError(f"{complaint}; {hint}")


def _at_least(name: str, value: float, least: float) -> None:
    if not value >= least:
        raise ValueError(f"{name} must be {least} or more, not {value}")
