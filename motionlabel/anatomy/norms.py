"""Normal ranges of motion, each with whom, how and in which position it was measured.

A norm is only set beside a measurement that is read between the same lines, in the same position and with
a limb as free of weight; see ``norm_for``.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from motionlabel.anatomy.atlas import DATA_FOLDER, atlas, find
from motionlabel.anatomy.muscle import Source
from motionlabel.anatomy.table import Row, read_rows
from motionlabel.anatomy.terms import Definition, Mode, Posture, Reading
from motionlabel.body import Joint, Motion

_NORM = (
    *("joint", "motion", "mode", "posture", "definition", "typical_deg", "sd_deg", "low_deg", "high_deg"),
    *("population", "short", "source", "reading", "sd_reading"),
)

MEASURED_AS: Mapping[Joint, Definition] = {
    Joint.HIP: Definition.THIGH_TO_TRUNK,
    Joint.KNEE: Definition.SHANK_TO_THIGH,
    Joint.ANKLE: Definition.FOOT_TO_SHANK,
    Joint.SHOULDER: Definition.ARM_TO_TRUNK,
    Joint.ELBOW: Definition.FOREARM_TO_ARM,
}
"""How this tool reads the angle of a joint: two hips and two shoulders do not show the pelvis."""


@dataclass(frozen=True, slots=True)
class Norm:
    """A normal range of motion.

    Attributes
    ----------
    joint, motion
        What is measured.
    typical_deg, sd_deg
        Mean of the sample and its standard deviation; ``None`` where the source gives none.
    low_deg, high_deg
        Smallest and largest of the sample; ``None`` where the source gives none.
    population
        Who was measured.
    short
        The source in a line of text, e.g. ``"Boone & Azen 1979"``.
    mode
        Whether the person or the examiner moved the limb.
    posture
        How the person was placed.
    definition
        Between which lines the angle was read.
    source
        Where it comes from.
    reading, sd_reading
        Whether mean and standard deviation were read or remembered.
    """

    joint: Joint
    motion: Motion
    typical_deg: float
    sd_deg: float | None
    low_deg: float | None
    high_deg: float | None
    population: str
    short: str
    mode: Mode
    posture: Posture
    definition: Definition
    source: Source
    reading: Reading
    sd_reading: Reading

    @property
    def text(self) -> str:
        """The form in a summary, e.g. ``"109 males of 1.5-54 years: 184 degrees (SD 7), Boone & Azen 1979"``."""
        spread = "" if self.sd_deg is None else f" (SD {self.sd_deg:g})"
        return f"{self.population}: {self.typical_deg:g} degrees{spread}, {self.short}"


@cache
def norms() -> tuple[Norm, ...]:
    """Return the norms of the package; read and checked at the first call.

    Raises
    ------
    BadSettingsError
        A row is wrong; the message names file, row and column.
    """
    return read_norms(DATA_FOLDER / "norms.toml", atlas().sources)


def norm_for(joint: Joint, motion: Motion, posture: Posture) -> Norm | None:
    """Return the norm for an active motion as this tool measures it, or ``None`` if none matches.

    Where several match, the first of the file is taken.

    Parameters
    ----------
    joint, motion
        What was measured.
    posture
        How the person was placed; the caller has made sure that the limb bears no weight.

    Raises
    ------
    BadSettingsError
        As ``norms``.
    """
    for norm in norms():
        fits = norm.posture in (posture, Posture.LIMB_FREE) and posture is not Posture.NOT_STATED
        alike = norm.mode is Mode.ACTIVE and norm.definition is MEASURED_AS.get(joint)
        if fits and alike and norm.joint is joint and norm.motion is motion:
            return norm
    return None


def read_norms(path: Path, sources: Mapping[str, Source]) -> tuple[Norm, ...]:
    """Read the norms of a file.

    Parameters
    ----------
    path
        The file.
    sources
        By key; every row names one.

    Raises
    ------
    BadSettingsError
        A row is wrong; the message names file, row and column.
    """
    return tuple(_norm(row, sources) for row in read_rows(path, "norm", _NORM))


def _norm(row: Row, sources: Mapping[str, Source]) -> Norm:
    norm = Norm(
        joint=row.choice("joint", Joint),
        motion=row.choice("motion", Motion),
        typical_deg=row.number("typical_deg"),
        sd_deg=row.optional_number("sd_deg"),
        low_deg=row.optional_number("low_deg"),
        high_deg=row.optional_number("high_deg"),
        population=row.text("population"),
        short=row.text("short"),
        mode=row.choice("mode", Mode),
        posture=row.choice("posture", Posture),
        definition=row.choice("definition", Definition),
        source=find(sources, row.text("source"), row, "source"),
        reading=row.choice("reading", Reading),
        sd_reading=row.optional_choice("sd_reading", Reading) or row.choice("reading", Reading),
    )
    if norm.sd_deg is not None and norm.sd_deg <= 0.0:
        row.refuse("sd_deg", "a standard deviation is above 0")
    if norm.low_deg is not None and norm.high_deg is not None and not norm.low_deg <= norm.typical_deg <= norm.high_deg:
        row.refuse("typical_deg", "it must lie between low_deg and high_deg")
    return norm
