"""A stored study comes back as it was; a damaged, old or foreign one is refused in one sentence."""

import dataclasses
import hashlib
import json
import math

import numpy as np
import pytest
from numpy.testing import assert_array_equal

from motionlabel.errors import BadSettingsError, CannotWriteError
from motionlabel.output.study_store import StudyKey, load_study, save_study


@pytest.fixture
def stored(study, tmp_path):
    json_path = tmp_path / "clip.study.json"
    save_study(study, json_path)
    return json_path


def test_round_trip(study, stored):
    before, after = study, load_study(stored)
    for stage in ("landmarks", "body", "angles"):
        for field in dataclasses.fields(getattr(before, stage)):
            want, got = getattr(getattr(before, stage), field.name), getattr(getattr(after, stage), field.name)
            if isinstance(want, np.ndarray):
                assert_array_equal(got, want, err_msg=f"{stage}.{field.name}")
            else:
                assert got == want
    assert after.phases.rows[:2] == before.phases.rows[:2]
    assert after.work.rows[:2] == before.work.rows[:2]
    assert math.isnan(after.phases.rows[2].excursion_rad)
    assert math.isnan(after.work.rows[2].demand)
    for name in ("video", "person", "model_sha256", "versions", "settings", "schema_version"):
        assert getattr(after, name) == getattr(before, name)
    assert after.work.assumptions == before.work.assumptions


def test_saving_twice_leaves_two_files(study, stored):
    save_study(study, stored)
    assert sorted(p.name for p in stored.parent.iterdir()) == ["clip.study.json", "clip.study.npz"]


def _edit(path, **changes):
    document = json.loads(path.read_text())
    path.write_text(json.dumps({**document, **changes}))


def _old_format(path):
    _edit(path, schema_version=0)


def _cut_json(path):
    path.write_text(path.read_text()[:200])


def _not_utf8(path):
    path.write_bytes(b"\xff\xfe\x00")


def _changed_arrays(path):
    with path.with_suffix(".npz").open("ab") as handle:
        handle.write(b"x")


def _no_arrays(path):
    path.with_suffix(".npz").unlink()


def _no_json(path):
    path.unlink()


def _other_json(path):
    path.write_text("[1, 2]")


def _phase_outside(path):
    document = json.loads(path.read_text())
    document["phases"][1]["stop"] = 31
    path.write_text(json.dumps(document))


def _unknown_motion(path):
    document = json.loads(path.read_text())
    document["phases"][0]["motion"] = "wiggling"
    path.write_text(json.dumps(document))


def _field_missing(path):
    document = json.loads(path.read_text())
    del document["camera"]
    path.write_text(json.dumps(document))


@pytest.mark.parametrize(
    "damage",
    [
        _old_format,
        _cut_json,
        _not_utf8,
        _changed_arrays,
        _no_arrays,
        _no_json,
        _other_json,
        _phase_outside,
        _unknown_motion,
        _field_missing,
    ],
)
def test_a_damaged_study_is_refused(stored, damage):
    damage(stored)
    with pytest.raises(BadSettingsError) as caught:
        load_study(stored)
    message = str(caught.value)
    assert "clip.study" in message
    assert "\n" not in message


def test_pickled_arrays_are_never_loaded(stored):
    class Harm:
        def __reduce__(self):
            return (pytest.fail, ("a pickle was loaded",))

    npz = stored.with_suffix(".npz")
    np.savez(npz, time_s=np.array([Harm()], dtype=object), allow_pickle=True)
    _edit(stored, arrays_sha256=hashlib.sha256(npz.read_bytes()).hexdigest())
    with pytest.raises(BadSettingsError):
        load_study(stored)


def test_nothing_is_left_when_writing_fails(study, tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("not a folder")
    with pytest.raises(CannotWriteError, match="--out"):
        save_study(study, blocked / "clip.study.json")
    assert [p.name for p in tmp_path.iterdir()] == ["file"]


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({}, None),
        ({"clip_sha256": "00"}, "clip"),
        ({"model_sha256": "00"}, "model"),
        ({"settings": {"smoothing.cutoff_hz": "4.0"}}, "settings"),
        ({"versions": {"motionlabel": "9"}}, "version"),
    ],
)
def test_key_tells_what_differs(study, change, word):
    key = StudyKey(study.video.sha256, study.model_sha256, study.settings, study.versions)
    difference = dataclasses.replace(key, **change).difference(study)
    assert (difference is None) if word is None else (word in difference)
