"""Ctrl-C in the middle: code 130, one sentence, nothing under the final name, no child left."""

import os
import signal
import subprocess
import sys
import time

import pytest

from motionlabel.errors import ExitCode

from .conftest import DEMO, ROOT


@pytest.mark.parametrize(
    ("stage", "wait_s"), [("finding the person", 0.1), ("finding the person", 1.0), ("drawing", 0.4)]
)
def test_ctrl_c(tmp_path, stage, wait_s):
    clip = DEMO / "squat_side.mp4"
    process = subprocess.Popen(
        [sys.executable, "-u", "-m", "motionlabel.cli", "annotate", clip, "--out", tmp_path, "--model", "lite"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=ROOT,
        start_new_session=True,
        # a shell that runs the tests in the background has Ctrl-C ignored, and children inherit that
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    )
    lines = []
    for line in process.stderr:
        lines.append(line)
        if stage in line:
            break
    time.sleep(wait_s)
    # as a terminal does: to the whole group
    os.killpg(process.pid, signal.SIGINT)
    rest = process.communicate(timeout=30)[1]
    assert process.returncode == ExitCode.INTERRUPTED, (lines, rest)
    assert rest.splitlines() == ["Stopped. What was not finished has been removed."]
    left = {path.name for path in tmp_path.iterdir()}
    assert left <= {"squat_side.study.json", "squat_side.study.npz"}
