"""``motionlabel facts``: text for people, JSON for machines, exit codes."""

import json
import subprocess
import sys

import pytest

from motionlabel.anatomy import read_course, whole_course
from motionlabel.anatomy.answers import sheets_of
from motionlabel.anatomy.lookup import find
from motionlabel.anatomy.words import FIXED_WORDS
from motionlabel.cli import main
from motionlabel.errors import ExitCode
from motionlabel.fact_sheet import WIDTH, facts_text

QUERIES = (
    *("hip extension", "gluteus maximus", "tibial nerve", "L4", "peroneal", "foot drop", "femur", "fibula"),
    *("two-joint muscles", "hamstrings", "rotator cuff", "quadriceps", "TFL", "hip", "trunk rotation", "pectineus"),
    *("gluteous maximums", "flexion", "scapula", "brachial plexus", "sciatic nerve", "erector spinae", "CN XI"),
)


def _text(capsys, *arguments):
    assert main(["facts", *arguments]) is ExitCode.OK
    return capsys.readouterr().out


def _document(capsys, *arguments):
    return json.loads(_text(capsys, *arguments, "--json"))


@pytest.mark.parametrize("query", QUERIES)
def test_text_is_plain_and_fits_eighty_columns(capsys, query):
    text = _text(capsys, query)
    assert "\x1b" not in text
    assert all(len(line) <= WIDTH and line == line.rstrip() for line in text.splitlines())
    assert "\nSources\n" in text


@pytest.mark.parametrize("query", QUERIES)
def test_text_is_complete(capsys, query):
    """Every word of every sheet is printed: nothing is cut off where columns are narrow."""
    course = whole_course()
    answer = find(course, query)
    said = {word.strip(",;") for word in _text(capsys, query).split()}
    for sheet in sheets_of(answer, course):
        cells = [cell for table in sheet.tables for row in table.rows for cell in row[:-1]]
        for value in [value for _, value in sheet.facts] + cells:
            for word in " ".join([value] if isinstance(value, str) else value).split():
                assert word.strip(",;") in said


@pytest.mark.parametrize("query", QUERIES)
def test_every_key_can_be_said_in_other_words(query):
    for sheet in sheets_of(find(whole_course(), query), whole_course()):
        keys = [*(key for key, _ in sheet.facts), *(table.key for table in sheet.tables), sheet.kind]
        keys += [column for table in sheet.tables for column in table.columns]
        assert {key.replace("_", " ") for key in keys} <= FIXED_WORDS


@pytest.mark.parametrize("query", QUERIES)
def test_json_names_the_sources_of_every_row(capsys, query):
    document = _document(capsys, query)
    assert set(document) == {"query", "read_as", "is_guess", "sheets"}
    for sheet in document["sheets"]:
        assert set(sheet) == {"kind", "name", "facts", "tables", "sources"}
        known = {source["key"] for source in sheet["sources"]}
        assert known
        used = {key for rows in sheet["tables"].values() for row in rows for key in row.get("sources", ())}
        assert used <= known


def test_motion(capsys):
    (sheet,) = _document(capsys, "hip", "extension")["sheets"]
    assert sheet["facts"]["plane"] == "sagittal"
    assert sheet["facts"]["antagonists"] == ["iliopsoas"]
    movers = {row["muscle"]: row for row in sheet["tables"]["prime_movers"]}
    assert movers["gluteus maximus"]["nerve"] == ["inferior gluteal nerve"]
    assert "biceps femoris (short head)" not in movers


def test_muscle(capsys):
    (sheet,) = _document(capsys, "rectus femoris")["sheets"]
    assert sheet["facts"]["joints_crossed"] == ["hip", "knee"]
    usual, straight_hip = (row for row in sheet["tables"]["actions"] if row["motion"] == "knee extension")
    assert usual["role"] == "prime mover"
    assert "hamstrings" in usual["works_against"]
    assert straight_hip["role"] == "assists"
    assert "hip flexion from" in straight_hip["when"]


def test_nerve(capsys):
    (sheet,) = _document(capsys, "common peroneal nerve")["sheets"]
    assert sheet["name"] == "common fibular nerve"
    assert "deep fibular nerve" in sheet["facts"]["branches"]
    assert "foot drop" in sheet["facts"]["sign_when_it_fails"]
    lost = {row["motion"]: row["left"] for row in sheet["tables"]["motions_lost_or_weakened"]}
    assert lost["ankle dorsiflexion"] == []
    assert lost["subtalar inversion"] == ["tibialis posterior"]


def test_root(capsys):
    (sheet,) = _document(capsys, "L4")["sheets"]
    muscles = {row["muscle"] for row in sheet["tables"]["muscles"]}
    assert {"tibialis anterior", "vastus medialis", "adductor longus", "gluteus medius"} <= muscles
    assert not {"soleus", "iliacus", "gluteus maximus"} & muscles
    assert "femoral nerve" in {row["nerve"] for row in sheet["tables"]["nerves"]}


def test_bone(capsys):
    (sheet,) = _document(capsys, "what attaches to the fibula")["sheets"]
    ends = {key: {row["muscle"] for row in rows} for key, rows in sheet["tables"].items()}
    assert ends["distal_attachment"] == {"biceps femoris (long head)", "biceps femoris (short head)"}
    assert {"soleus", "fibularis longus", "flexor hallucis longus"} <= ends["proximal_attachment"]


def test_two_joint_muscles(capsys):
    (sheet,) = _document(capsys, "muscles crossing hip and knee")["sheets"]
    assert {row["muscle"] for row in sheet["tables"]["across_two_large_joints"]} == {
        *("rectus femoris", "sartorius", "gracilis", "tensor fasciae latae"),
        *("biceps femoris (long head)", "semitendinosus", "semimembranosus"),
    }
    (sheet,) = _document(capsys, "two-joint muscles")["sheets"]
    assert {row["muscle"] for row in sheet["tables"]["across_the_spine_and_a_limb_joint"]} == {
        "psoas major",
        "latissimus dorsi",
    }


def test_what_was_read_is_said(capsys):
    assert _text(capsys, "TFL").startswith("'TFL' is read as 'tensor fasciae latae'.\n")
    assert "Did you mean 'gluteus maximus'?" in _text(capsys, "gluteous maximums")
    document = _document(capsys, "gluteous maximums")
    assert (document["read_as"], document["is_guess"]) == ("gluteus maximus", True)


@pytest.mark.parametrize("query", ["xyzzy", "knee abduction", "L9", "?"])
def test_nothing_found_is_a_usage_error(capsys, query):
    assert main(["facts", query]) == ExitCode.USAGE
    shown = capsys.readouterr()
    assert shown.out == ""
    assert shown.err.count("\n") == 1


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        (["--level", "easy"], ExitCode.USAGE, "essential, complete"),
        (["--anatomy", "none.toml"], ExitCode.BAD_SETTINGS, "none.toml"),
        (["--settings", "none.toml"], ExitCode.BAD_SETTINGS, "none.toml"),
    ],
)
def test_wrong_options(capsys, arguments, code, words):
    assert main(["facts", "soleus", *arguments]) == code
    assert words in capsys.readouterr().err


def test_level_and_own_file(capsys, tmp_path):
    assert main(["facts", "anconeus", "--level", "essential"]) == ExitCode.USAGE
    own = tmp_path / "my.toml"
    own.write_text('[muscle.soleus]\nname = "Schollenmuskel"\n[words]\nroots = "Wurzeln"', encoding="utf-8")
    capsys.readouterr()
    text = _text(capsys, "Schollenmuskel", "--anatomy", str(own))
    assert text.startswith("Schollenmuskel (muscle)\n")
    assert "\n  Wurzeln  " in text
    settings = tmp_path / "settings.toml"
    settings.write_text(f"[anatomy]\nlevel = 'essential'\nfile = '{own}'", encoding="utf-8")
    assert _text(capsys, "soleus", "--settings", str(settings)).startswith("Schollenmuskel")


def test_a_terminal_gets_headings_in_bold():
    course = read_course()
    answer = find(course, "soleus")
    text = facts_text(answer, sheets_of(answer, course), course.words, width=100, styled=True)
    assert "\x1b[1m" in text


def test_no_graphics_library_is_loaded():
    code = (
        "import sys; from motionlabel.cli import main; main(['facts', 'soleus'])\n"
        "assert not {'cv2', 'mediapipe', 'numpy'} & set(sys.modules)"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60)
    assert run.returncode == 0, run.stderr


@pytest.mark.parametrize("lines", [0, 1])
def test_a_reader_that_has_seen_enough_is_no_error(lines):
    """As with ``motionlabel facts femur | head -1``."""
    code = "import sys; from motionlabel.cli import program; sys.exit(program())"
    run = [sys.executable, "-c", code, "facts", "two-joint muscles"]
    with subprocess.Popen(run, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        for _ in range(lines):
            assert process.stdout.readline()
        process.stdout.close()
        complaints = process.stderr.read()
        assert process.wait(timeout=60) == ExitCode.OK
    assert complaints == ""
