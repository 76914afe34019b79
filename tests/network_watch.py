"""A watch for connections: a module that Python loads first and that writes down every one of them."""

from pathlib import Path

_WATCH = """
import os, socket

def _told(name, call):
    def told(*arguments, **named):
        if name != "connect" or arguments[0].family != socket.AF_UNIX:
            with open(os.environ["CONNECTIONS"], "a") as log:
                log.write(f"{name} {arguments[1:]}\\n")
        return call(*arguments, **named)
    return told

class Watched(socket.socket):
    connect = _told("connect", socket.socket.connect)
    connect_ex = _told("connect", socket.socket.connect_ex)
    sendto = _told("sendto", socket.socket.sendto)

socket.socket = Watched
for name in ("getaddrinfo", "gethostbyname", "create_connection"):
    setattr(socket, name, _told(name, getattr(socket, name)))
"""


def put_watch(folder: Path) -> Path:
    """Put the watch into a new folder; with it first in ``PYTHONPATH``, ``CONNECTIONS`` names the log."""
    folder.mkdir()
    (folder / "sitecustomize.py").write_text(_WATCH)
    return folder
