"""A real Jupyter server with formgrader in a class folder, for the tests that look at it."""

from __future__ import annotations

import os
import secrets
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from contextlib import contextmanager


def free_port():
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return one.getsockname()[1]


@contextmanager
def serving(work, tmp_path):
    """A Jupyter server in the class folder, for this machine alone: its address and token."""
    port, token = free_port(), secrets.token_hex(16)
    folders = {f"JUPYTER_{w}_DIR": str(tmp_path / w) for w in ("CONFIG", "DATA", "RUNTIME")}
    log = (tmp_path / "server.log").open("wb")
    process = subprocess.Popen(
        [
            sys.executable, "-m", "jupyter_server", "--no-browser", "--allow-root",
            "--ServerApp.ip=127.0.0.1", f"--ServerApp.port={port}", "--ServerApp.port_retries=0",
            f"--IdentityProvider.token={token}", f"--ServerApp.root_dir={work.folder.path}",
        ],
        cwd=work.folder.path, stdout=log, stderr=log, start_new_session=True,
        env={**os.environ, **folders, "HOME": str(tmp_path), "COURSEKIT_ROOT": str(work.root)},
    )  # fmt: skip
    try:
        wait_for(f"http://127.0.0.1:{port}/api/status?token={token}", process, tmp_path)
        yield f"http://127.0.0.1:{port}", token
    finally:
        process.terminate()
        process.wait(30)
        log.close()


def wait_for(address, process, tmp_path):
    for _ in range(6000):
        try:
            with urllib.request.urlopen(address, timeout=5):
                return
        except (urllib.error.URLError, OSError):
            assert process.poll() is None, (tmp_path / "server.log").read_text()
            time.sleep(0.2)
    raise AssertionError((tmp_path / "server.log").read_text())
