"""The anatomy files against UBERON (CC BY 3.0) and named textbooks and lists."""

import csv
from pathlib import Path

import pytest

from motionlabel.anatomy import Muscle, Reading, atlas
from motionlabel.anatomy.roots import roots_from_text

HERE = Path(__file__).parent


def _rows(name: str) -> list[dict[str, str]]:
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


UBERON = _rows("uberon_muscles.csv")
TEXTBOOK = _rows("textbook_muscles.csv")


def _named(row: dict[str, str]) -> str:
    return f"{row['muscle']}-{row['column']}-{row['value']}"


def _holds(muscle: Muscle, column: str, value: str) -> bool:
    match column:
        case "proximal":
            return value in muscle.proximal_attachment
        case "distal":
            return value in muscle.distal_attachment
        case "nerve":
            return value in {nerve.name for nerve in muscle.nerves}
        case "roots":
            # what only some sources give may be there or not
            theirs, ours = roots_from_text(value), muscle.roots
            return {*theirs.levels} <= {*ours.levels, *ours.also} and {*ours.levels} <= {*theirs.levels, *theirs.also}
    raise ValueError(f"no column {column}")


@pytest.mark.parametrize("row", UBERON, ids=_named)
def test_agrees_with_uberon_or_differs_for_a_stated_reason(row):
    muscle = atlas().muscles[row["muscle"]]
    sometimes = row["column"] == "nerve" and row["value"] in {nerve.name for nerve in muscle.also_nerves}
    assert _holds(muscle, row["column"], row["value"]) or sometimes
    assert row["verdict"] == "agrees" or row["why"]


@pytest.mark.parametrize("row", [row for row in UBERON if row["verdict"] == "differs"], ids=_named)
def test_slips_of_uberon_are_not_taken_over(row):
    muscle = atlas().muscles[row["muscle"]]
    assert not _holds(muscle, row["column"], row["target"])


@pytest.mark.parametrize("row", TEXTBOOK, ids=_named)
def test_agrees_with_textbook_or_list(row):
    assert _holds(atlas().muscles[row["muscle"]], row["column"], row["value"])


def test_enough_facts_and_credit():
    assert sum(row["verdict"] == "agrees" for row in UBERON) >= 25
    assert {row["licence"] for row in UBERON} == {"CC BY 3.0"}
    assert atlas().sources["uberon"].licence == "CC BY 3.0"
    assert {row["reading"] for row in TEXTBOOK} == set(Reading)


def test_what_was_checked_against_uberon_names_it_as_source():
    for row in UBERON:
        assert atlas().sources["uberon"] in atlas().muscles[row["muscle"]].sources, row["muscle"]
