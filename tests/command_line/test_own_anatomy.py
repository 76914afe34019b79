"""An anatomy file that cannot be used is told before the long part, by every command that takes one."""

from pathlib import Path

import pytest

from motionlabel.cli import main
from motionlabel.errors import ExitCode

CLIP = Path(__file__).parents[2] / "demo_clips" / "squat_side.mp4"


@pytest.mark.parametrize("command", [["annotate", str(CLIP)], ["measure", str(CLIP)], ["facts", "soleus"]])
@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('[muscle."soleos"]', ("my.toml", "'soleos'", "mean 'soleus'")),
        ('[muscle."soleus"]\nlable = "S"', ("my.toml", "muscle (soleus)", "column 'lable'", "mean 'label'")),
    ],
)
def test_bad_anatomy_file(tmp_path, capsys, command, text, words):
    own, out = tmp_path / "my.toml", tmp_path / "out"
    own.write_text(text, encoding="utf-8")
    folder = [] if command[0] == "facts" else ["--out", str(out)]
    assert main([*command, "--anatomy", str(own), *folder]) == ExitCode.BAD_SETTINGS
    said = capsys.readouterr().err
    assert all(word in said for word in words)
    assert not out.exists()
