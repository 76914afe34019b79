"""Imports run one way, every module stands alone, and files stay small and well named."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parents[1] / "motionlabel"
MODULES = sorted(PACKAGE.rglob("*.py"))

# later layers may import earlier ones; modules of one layer may import each other only inside one folder
LAYERS = (
    ("errors", "body", "__init__"),
    ("records",),
    ("anatomy",),
    ("video",),
    ("pose",),
    ("kinematics",),
    ("movement",),
    ("mechanics",),
    ("musculature",),
    ("lesson",),
    ("drawing",),
    ("output",),
    ("live", "review"),
    ("progress", "settings", "summary", "check", "fact_sheet"),
    ("pipeline",),
    ("cli", "__main__"),
)
LEVEL = {name: level for level, names in enumerate(LAYERS) for name in names}
MOST_LINES = 400
BANNED = {"utils", "util", "helpers", "helper", "common", "misc", "manager", "managers", "handler", "context"}


def _id(path: Path) -> str:
    return path.relative_to(PACKAGE).as_posix()


def _stage(path: Path) -> str:
    first = path.relative_to(PACKAGE).parts[0]
    return first.removesuffix(".py")


def _imported_stages(source: str, package: tuple[str, ...]) -> set[str]:
    """Stages that a module imports; ``package`` is where it lies, to resolve relative imports."""
    stages = set()
    for node in ast.walk(ast.parse(source)):
        names = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            base = list(package[: len(package) - node.level + 1]) if node.level else []
            stem = ".".join([*base, *([node.module] if node.module else [])])
            names = [f"{stem}.{alias.name}" for alias in node.names] if stem == "motionlabel" else [stem]
        for name in names:
            parts = name.split(".")
            if parts[0] == "motionlabel":
                known = len(parts) > 1 and parts[1] in LEVEL
                stages.add(parts[1] if known or len(parts) > 2 else "__init__")
    return stages


def _wrong(stage: str, imported: set[str]) -> set[str]:
    return {name for name in imported if name != stage and not LEVEL[name] < LEVEL[stage]}


@pytest.mark.parametrize("path", MODULES, ids=_id)
def test_imports_run_from_later_stages_to_earlier_ones(path):
    stage = _stage(path)
    assert stage in LEVEL, f"{stage} has no place in the order of stages"
    package = ("motionlabel", *path.relative_to(PACKAGE).parent.parts)
    imported = _imported_stages(path.read_text(encoding="utf-8"), package)
    assert not _wrong(stage, imported)


@pytest.mark.parametrize(
    ("stage", "source", "wrong"),
    [
        ("pose", "from motionlabel.drawing import layout", {"drawing"}),
        ("pose", "import motionlabel.kinematics.angles", {"kinematics"}),
        ("pose", "def f():\n    from motionlabel.cli import main", {"cli"}),
        ("pose", "from motionlabel import pipeline", {"pipeline"}),
        ("pose", "from ..movement import find_phases", {"movement"}),
        ("output", "from motionlabel.live import run_mirror", {"live"}),
        ("live", "from motionlabel.review import page", {"review"}),
        ("mechanics", "from motionlabel.movement import Rest\nfrom motionlabel import __version__", set()),
        ("kinematics", "from motionlabel.kinematics.depth import settle_limb\nimport numpy", set()),
    ],
)
def test_the_check_of_imports_finds_what_is_wrong(stage, source, wrong):
    assert _wrong(stage, _imported_stages(source, ("motionlabel", stage))) == wrong


def test_every_module_imports_alone():
    """Each module is imported with nothing else of the package loaded, in one process to be quick."""
    names = [
        ".".join(("motionlabel", *path.relative_to(PACKAGE).with_suffix("").parts)).removesuffix(".__init__")
        for path in MODULES
        if path.stem != "__main__"
    ]
    code = (
        "import importlib, sys\n"
        f"for name in {names!r}:\n"
        "    for loaded in [m for m in sys.modules if m.partition('.')[0] == 'motionlabel']:\n"
        "        del sys.modules[loaded]\n"
        "    try:\n"
        "        importlib.import_module(name)\n"
        "    except Exception as error:\n"
        "        sys.exit(f'{name}: {error!r}')\n"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60)
    assert run.returncode == 0, run.stderr


@pytest.mark.parametrize("path", MODULES, ids=_id)
def test_a_file_holds_one_thing(path):
    assert len(path.read_text(encoding="utf-8").splitlines()) <= MOST_LINES
    assert path.stem not in BANNED
    assert path.parent.name not in BANNED
