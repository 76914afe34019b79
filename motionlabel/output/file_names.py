"""Names of the files that belong to one clip."""

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from motionlabel.errors import UsageError

STUDY_SUFFIX = ".study.json"
"""How the name of a stored study ends."""


@dataclass(frozen=True, slots=True)
class FileNames:
    """Where the outputs of a clip go.

    Attributes
    ----------
    folder
        Folder of all of them.
    stem
        Name of the clip without its suffix.
    """

    folder: Path
    stem: str

    @property
    def annotated(self) -> Path:
        """The annotated clip."""
        return self.folder / f"{self.stem}.annotated.mp4"

    @property
    def study(self) -> Path:
        """The JSON of the study; its arrays lie beside it."""
        return self.folder / f"{self.stem}{STUDY_SUFFIX}"

    @property
    def angles(self) -> Path:
        """The table of angles."""
        return self.folder / f"{self.stem}.angles.csv"

    @property
    def phases(self) -> Path:
        """The table of phases."""
        return self.folder / f"{self.stem}.phases.csv"

    @property
    def people(self) -> Path:
        """The picture that numbers the people."""
        return self.folder / f"{self.stem}.people.png"


def names_of(clip: Path, out: Path | None) -> FileNames:
    """Return the names for a clip or a stored study: in the folder ``out``, or beside it."""
    stem = clip.name.removesuffix(STUDY_SUFFIX) if clip.name.endswith(STUDY_SUFFIX) else clip.stem
    return FileNames(clip.parent if out is None else out, stem)


def distinct_names(clips: Iterable[Path], out: Path | None) -> dict[Path, FileNames]:
    """Return the names for several clips.

    Raises
    ------
    UsageError
        The outputs of two clips would have the same name, so that one would replace the other.
    """
    names: dict[Path, FileNames] = {}
    owners: dict[FileNames, Path] = {}
    for clip in clips:
        name = names_of(clip, out)
        owner = owners.setdefault(name, clip)
        if owner != clip:
            raise UsageError(f"{owner} and {clip} would write files of the same name; rename one of them.")
        names[clip] = name
    return names
