"""Every command, option, exit code, settings key and theme is in the README; CI runs its lines."""

import argparse
import dataclasses
import re
import shlex
import tomllib
from pathlib import Path

import pytest

from motionlabel.anatomy import Level, overlay, read_course
from motionlabel.anatomy.topic import Kind
from motionlabel.body import AXES, LABELLED_JOINTS, Contraction, Side, WorkingGroup
from motionlabel.cli import _parser, main
from motionlabel.drawing import Detail, Show, list_themes
from motionlabel.errors import ExitCode
from motionlabel.output.tables import PHASE_COLUMNS
from motionlabel.settings import Settings, read_settings

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
CI = (ROOT / ".ci" / "run").read_text(encoding="utf-8")


BLOCKS = re.findall(r"^```(\w+)\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)
EXAMPLES = [text for kind, text in BLOCKS if kind == "text" and text.startswith("$ motionlabel facts ")]
OWN_NAMES = next(text for kind, text in BLOCKS if kind == "toml" and text.startswith("# my.toml"))


def _commands() -> dict[str, argparse.ArgumentParser]:
    actions = [a for a in _parser()._actions if isinstance(a, argparse._SubParsersAction)]
    return dict(actions[0].choices)


@pytest.mark.parametrize("command", _commands())
def test_command(command):
    assert f"motionlabel {command}" in README


@pytest.mark.parametrize(
    "option", sorted({o for p in _commands().values() for a in p._actions for o in a.option_strings} - {"-h", "--help"})
)
def test_option(option):
    assert re.search(rf"^\| `{option}[` ]", README, re.MULTILINE)


def test_every_command_and_option_has_help():
    for parser in _commands().values():
        assert all(action.help for action in parser._actions)


@pytest.mark.parametrize("code", ExitCode)
def test_exit_code(code):
    assert re.search(rf"^\| {code.value} \| \w", README, re.MULTILINE)


def test_settings_block_lists_all_keys_with_their_defaults(tmp_path):
    block = README.split("```toml")[1].split("```")[0]
    path = tmp_path / "settings.toml"
    path.write_text(block, encoding="utf-8")
    assert read_settings(path) == Settings()
    documented = {(stage, key) for stage, table in tomllib.loads(block).items() for key in table}
    known = {
        (stage.name, key.name)
        for stage in dataclasses.fields(Settings)
        for key in dataclasses.fields(getattr(Settings(), stage.name))
    }
    assert documented == known


@pytest.mark.parametrize("word", [*list_themes(), *Detail, *Show, *LABELLED_JOINTS, *Contraction, *PHASE_COLUMNS])
def test_word(word):
    assert f"`{word}`" in README


@pytest.mark.parametrize("text", [_commands()["annotate"].format_help()])
def test_help_names_all_choices(text):
    for word in (*list_themes(), *Detail, *Show, *LABELLED_JOINTS):
        assert word in text


@pytest.mark.parametrize("axis", AXES, ids=lambda axis: axis.name)
def test_signs_of_every_axis_are_told(axis):
    assert f"\n| {axis.joint} {axis.axis} |" in DEVELOPERS


@pytest.mark.parametrize("axis", AXES, ids=lambda axis: axis.name)
def test_columns_of_the_angle_table_are_told(axis):
    name = axis.name if axis.side is Side.MIDLINE else axis.name.removeprefix(f"{axis.side}_")
    assert f"`{name}`" in DEVELOPERS


def test_there_are_examples_of_facts():
    assert len(EXAMPLES) >= 2


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda text: text.splitlines()[0])
def test_example_of_facts_is_what_is_printed(example, capsys):
    line, _, shown = example.partition("\n")
    assert main(shlex.split(line)[2:]) is ExitCode.OK
    assert capsys.readouterr().out == shown


def test_example_of_own_names(tmp_path):
    path = tmp_path / "my.toml"
    path.write_text(OWN_NAMES, encoding="utf-8")
    facts = read_course(own_file=path).facts_of(WorkingGroup.HIP_EXTENSORS)
    assert facts.muscles_line == "großer Gesäßmuskel, ischiokrurale Muskeln"
    assert facts.attachment_lines[1] == "ischiokrurale Muskeln: Sitzbein → Wadenbein, Schienbein"


@pytest.mark.parametrize("word", [*Kind, *Level, *overlay._TABLES[1:5]])
def test_word_of_the_atlas(word):
    assert f"`{word}`" in README or f'`[{word}."NAME"]`' in README


@pytest.mark.parametrize("column", [*overlay._MUSCLE, *overlay._NERVE, *overlay._COLLECTIVE, *overlay._MOTION])
def test_column_of_own_names(column):
    assert f"`{column}`" in README


def test_first_screen_has_the_two_commands():
    screen = "\n".join(README.splitlines()[:30])
    lines = [line.strip() for line in screen.splitlines() if line.startswith("    ")]
    assert len(lines) == 2
    assert lines[0].endswith("motionlabel annotate demo_clips/squat_side.mp4")
    assert "[test]" in lines[1]


def test_ci_runs_the_documented_lines():
    assert "grep -m 1 'bin/pytest' README.md" in CI
    checks = re.search(r"^    (ruff check .*)$", DEVELOPERS, re.MULTILINE)
    assert checks
    assert f"\n{checks[1]}\n" in CI


def test_bare_server_line_names_what_check_looks_for():
    from motionlabel import check

    line = re.search(r"^    apt-get install (.*)$", README, re.MULTILINE)
    assert line
    assert set(line[1].split()) == set(check._GRAPHICS.values())


@pytest.mark.parametrize("clip", sorted((ROOT / "demo_clips").glob("*.mp4")), ids=lambda path: path.name)
def test_demo_clip_is_in_the_table(clip):
    if ".annotated" in clip.name:
        pytest.skip("an output")
    table = (ROOT / "demo_clips" / "README.md").read_text(encoding="utf-8")
    assert f"\n| `{clip.name}` |" in table
    assert clip.with_name(f"{clip.stem}.truth.json").is_file()


def test_demo_clips_are_small():
    assert (
        sum(path.stat().st_size for path in (ROOT / "demo_clips").glob("*.*") if ".annotated" not in path.name) < 12e6
    )
