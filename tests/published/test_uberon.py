"""The whole atlas against every stored relation of UBERON (CC BY 3.0).

``uberon_relations.csv`` holds what UBERON says, slips included; ``uberon_terms.csv`` which muscles of the
atlas a term stands for; ``uberon_targets.csv`` how the atlas writes a target. Whatever does not agree must be
a row of ``uberon_differences.csv``, with the reason, and that file may hold nothing else.
"""

import csv
from pathlib import Path

import pytest

from motionlabel.anatomy import Muscle, atlas

HERE = Path(__file__).parent
Difference = tuple[str, str, str, str]


def _rows(name: str) -> list[dict[str, str]]:
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


RELATIONS = _rows("uberon_relations.csv")
EXPLAINED = _rows("uberon_differences.csv")
WORDS = {row["target_id"]: row["words"].split("|") for row in _rows("uberon_targets.csv")}
MUSCLES = {
    row["term_id"]: tuple(atlas().muscles[name] for name in row["muscles"].split("|"))
    for row in _rows("uberon_terms.csv")
}
ATTACHMENTS = {
    "has_muscle_origin": lambda muscle: muscle.proximal_attachment,
    "has_muscle_insertion": lambda muscle: muscle.distal_attachment,
    "attaches_to": lambda muscle: f"{muscle.proximal_attachment}; {muscle.distal_attachment}",
}


def _nerves(muscle: Muscle) -> str:
    return ", ".join(nerve.name for nerve in muscle.nerves + muscle.also_nerves)


def differences(row: dict[str, str]) -> list[Difference]:
    """Return where one relation of UBERON is not what the atlas says: muscle, relation, UBERON, atlas.

    An attachment of a term may belong to any of its muscles; its nerve must be that of all of them.
    """
    relation, target = row["relation"].split(" (")[0], row["target"]
    if relation in ATTACHMENTS:
        texts = [ATTACHMENTS[relation](muscle) for muscle in MUSCLES[row["term_id"]]]
        if any(word in text for text in texts for word in WORDS[row["target_id"]]):
            return []
        return [(row["term"], relation, target, " / ".join(texts))]
    if relation == "innervated_by":
        return [
            (muscle.full_name, relation, target, _nerves(muscle))
            for muscle in MUSCLES[row["term_id"]]
            if not {nerve.name for nerve in muscle.nerves + muscle.also_nerves} & {*WORDS[row["target_id"]]}
        ]
    if relation == "innervates":
        return [
            (row["term"], relation, target, _nerves(muscle))
            for muscle in MUSCLES[row["target_id"]]
            if not {nerve.name for nerve in muscle.nerves} & {*WORDS[row["term_id"]]}
        ]
    # what remains are rows that record a silence of UBERON: the atlas says more
    if row["term_id"] in MUSCLES:
        said = " / ".join(dict.fromkeys(_nerves(muscle) for muscle in MUSCLES[row["term_id"]]))
    else:
        said = "a nerve, not a muscle"
    return [(row["term"], "no relation", row["relation"], said)]


def _key(row: dict[str, str]) -> Difference:
    return row["muscle"], row["relation"], row["uberon_says"], row["atlas_says"]


def test_all_stored_relations_are_there_with_version_and_licence():
    assert len(RELATIONS) == 180
    assert {row["licence"] for row in RELATIONS} == {"CC BY 3.0"}
    assert {row["version"] for row in RELATIONS} == {
        "src/ontology/uberon-edit.obo @01df342049588a3b71ab12d9479e3713ff575c50"
    }
    assert "01df342049588a3b71ab12d9479e3713ff575c50" in atlas().sources["uberon"].citation
    assert atlas().sources["uberon"].licence == "CC BY 3.0"


@pytest.mark.parametrize("row", RELATIONS, ids=lambda row: f"{row['term']}-{row['relation']}-{row['target']}")
def test_relation_agrees_or_is_explained(row):
    explained = {_key(known): known["why"] for known in EXPLAINED}
    for found in differences(row):
        assert explained.get(found), f"{found} has no reason in uberon_differences.csv"


def test_no_difference_is_listed_that_is_none():
    found = {difference for row in RELATIONS for difference in differences(row)}
    assert {_key(row) for row in EXPLAINED} == found
    assert len(EXPLAINED) == len(found)
    assert sum(not differences(row) for row in RELATIONS) >= 130


def test_muscles_compared_name_uberon_as_source():
    for row in RELATIONS:
        silent = row["relation"].startswith("(")
        for muscle in () if silent else MUSCLES.get(row["term_id"], ()):
            assert atlas().sources["uberon"] in muscle.sources, muscle.full_name


def test_every_mapping_is_used():
    assert set(MUSCLES) == {i for row in RELATIONS for i in (row["term_id"], row["target_id"])} & set(MUSCLES)
    assert set(WORDS) <= {i for row in RELATIONS for i in (row["term_id"], row["target_id"])}
