"""A settings file overrides defaults; what it gets wrong is told with the file's name and a suggestion."""

import pytest

from motionlabel.anatomy import Level
from motionlabel.body import Joint
from motionlabel.drawing import Detail, Show
from motionlabel.errors import BadSettingsError
from motionlabel.mechanics import Carrier
from motionlabel.settings import Settings, read_settings


@pytest.fixture
def settings_file(tmp_path):
    def write(text):
        path = tmp_path / "my.toml"
        path.write_text(text, encoding="utf-8")
        return path

    return write


def test_an_empty_file_changes_nothing(settings_file):
    assert read_settings(settings_file("")) == Settings()


def test_every_key_can_be_set(settings_file):
    settings = read_settings(
        settings_file(
            """
            [pose]
            model = "lite"
            person = 2
            [smoothing]
            cutoff_hz = 4
            [camera]
            roll_deg = -7
            [mechanics]
            support = ["seat", "left foot"]
            [annotate]
            theme = "paper"
            detail = "motion"
            focus = ["knee", "hip"]
            show = "labels"
            caution = false
            [anatomy]
            level = "essential"
            file = "my_anatomy.toml"
            """
        )
    )
    assert (settings.pose.model, settings.pose.person) == ("lite", 2)
    assert settings.smoothing.cutoff_hz == 4.0
    assert settings.camera.roll_deg == -7.0
    assert settings.mechanics.support == (Carrier.SEAT, Carrier.LEFT_FOOT)
    assert settings.annotate.theme == "paper"
    assert settings.annotate.detail is Detail.MOTION
    assert settings.annotate.focus == (Joint.KNEE, Joint.HIP)
    assert settings.annotate.show is Show.LABELS
    assert settings.annotate.caution is False
    assert (settings.anatomy.level, settings.anatomy.file) == (Level.ESSENTIAL, "my_anatomy.toml")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[anotate]\ncaution = true", "did you mean annotate?"),
        ("[annotate]\ncautoin = true", "did you mean caution?"),
        ("[annotate]\ncaution = 1", "true or false"),
        ("[annotate]\nfocus = 'knee'", "list of joints"),
        ("[annotate]\nfocus = ['nee']", "hip, knee"),
        ("[annotate]\ndetail = 'all'", "motion, nerve, attachments"),
        ("[annotate]\nshow = 'bones'", "labels, muscles"),
        ("[anatomy]\nlevel = 'easy'", "essential, complete"),
        ("[anatomy]\nfile = 3", "a text in quotes"),
        ("[smoothing]\ncutoff_hz = 'six'", "a number"),
        ("[camera]\nroll_deg = 'level'", "a number or 'auto'"),
        ("[camera]\nroll_deg = true", "a number"),
        ("[camera]\nroll_deg = 90", "between -45 and 45"),
        ("[mechanics]\nsupport = 'seat'", "list of parts of the body"),
        ("[mechanics]\nsupport = ['chair']", "left foot"),
        ("[smoothing]\ncutoff_hz = true", "a number"),
        ("[smoothing]\ncutoff_hz = 0", "0.5 or more"),
        ("[smoothing]\ncutoff_hz = nan", "0.5 or more"),
        ("[pose]\nperson = -1", "0 or more"),
        ("[pose]\nperson = 1.5", "whole number"),
        ("pose = 3", "table"),
        ("[pose", "not valid TOML"),
    ],
)
def test_mistakes_are_named(settings_file, text, words):
    path = settings_file(text)
    with pytest.raises(BadSettingsError) as caught:
        read_settings(path)
    assert words in str(caught.value)
    assert str(path) in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_missing_file_is_named(tmp_path):
    with pytest.raises(BadSettingsError, match=r"none\.toml"):
        read_settings(tmp_path / "none.toml")


def test_only_what_decides_a_study_is_part_of_its_key(settings_file):
    shown = read_settings(
        settings_file("[annotate]\ntheme = 'paper'\n[pose]\nmodel = 'lite'\n[anatomy]\nlevel = 'essential'")
    )
    assert shown.deciding() == Settings().deciding()
    other = read_settings(settings_file("[smoothing]\ncutoff_hz = 5"))
    assert other.deciding() != Settings().deciding()
