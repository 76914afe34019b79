"""No command opens a connection or asks for an address."""

import shutil
import subprocess
import sys

import pytest

from motionlabel.errors import ExitCode
from tests.network_watch import put_watch

from .conftest import ROOT, run_cli


@pytest.fixture
def watch(tmp_path):
    """Put a module on the path that writes down every connection that Python makes."""
    return put_watch(tmp_path / "watch")


def _commands(clips, out):
    return {
        "annotate": ["annotate", clips / "squat.mp4", "--out", out],
        "measure": ["measure", clips / "squat.mp4", "--out", out],
        "check": ["check"],
        "facts": ["facts", "soleus"],
    }


def test_the_watch_sees_a_connection(watch, tmp_path):
    log = tmp_path / "log"
    program = "import socket; s = socket.socket(); s.connect_ex(('127.0.0.1', 9)); socket.getaddrinfo('localhost', 1)"
    environment = {"PYTHONPATH": str(watch), "CONNECTIONS": str(log)}
    subprocess.run([sys.executable, "-c", program], env=environment, check=True)
    assert {line.split()[0] for line in log.read_text().splitlines()} == {"connect", "getaddrinfo"}


@pytest.mark.parametrize("command", ["annotate", "measure", "check", "facts"])
def test_python_opens_no_connection(watch, clips, tmp_path, command):
    log = tmp_path / "log"
    done = run_cli(*_commands(clips, tmp_path / "out")[command], first=str(watch), CONNECTIONS=str(log))
    assert done.returncode == ExitCode.OK, done.stderr
    assert not log.exists(), log.read_text()


@pytest.mark.slow
@pytest.mark.skipif(shutil.which("strace") is None, reason="strace is not installed")
@pytest.mark.parametrize("command", ["annotate", "measure", "check", "facts"])
def test_no_native_library_opens_one_either(clips, tmp_path, command):
    log = tmp_path / "trace"
    arguments = [str(a) for a in _commands(clips, tmp_path / "out")[command]]
    trace = ["strace", "-f", "-qq", "-e", "trace=connect,sendto,sendmsg", "-o", str(log)]
    done = subprocess.run(
        [*trace, sys.executable, "-m", "motionlabel.cli", *arguments],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    if "ptrace" in done.stderr and done.returncode != 0:
        pytest.skip("tracing is not permitted here")
    assert done.returncode == ExitCode.OK, done.stderr
    calls = [line for line in log.read_text().splitlines() if "AF_INET" in line]
    assert not calls


def test_it_works_with_no_network_at_all(clips, tmp_path):
    alone = ["unshare", "-n"]
    if shutil.which("unshare") is None or subprocess.run([*alone, "true"], capture_output=True, check=False).returncode:
        pytest.skip("a network of its own is not permitted here")
    arguments = ["measure", str(clips / "squat.mp4"), "--out", str(tmp_path)]
    done = subprocess.run(
        [*alone, sys.executable, "-m", "motionlabel.cli", *arguments],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == ExitCode.OK, done.stderr
