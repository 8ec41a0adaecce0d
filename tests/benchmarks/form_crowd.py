"""The bench form while a thousand connections are half open: how long an honest page takes, how much is logged.

`uv run --group bench python -m tests.benchmarks.form_crowd 1000`
"""

from __future__ import annotations

import resource
import socket
import subprocess
import sys
import tempfile
import time
from contextlib import suppress
from pathlib import Path

SERVE = """
import resource, sys
resource.setrlimit(resource.RLIMIT_NOFILE, (1024, 1024))
from pathlib import Path
from coursekit.classroom.demo.invented_class import students
from coursekit.classroom.form import server
from coursekit.classroom.form.form_state import Form
from coursekit.classroom.form.gate import Gate
from coursekit.classroom.register.class_folder import open_class
folder = open_class(Path(sys.argv[1]) / "class", students(4), "Crowd")
server.run(Form(folder, Path.cwd(), Gate(), port=int(sys.argv[2])), lambda f: print("open", flush=True))
"""


def page(port: int, source: str) -> float:
    """Seconds until the style sheet was sent to an honest visitor at `source`."""
    begun = time.monotonic()
    while time.monotonic() - begun < 120:
        with (
            suppress(OSError),
            socket.create_connection(("127.0.0.1", port), 60, (source, 0)) as link,
        ):
            link.sendall(
                f"GET /form.css HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nConnection: close\r\n\r\n".encode()
            )
            if link.recv(4096).startswith(b"HTTP/1.1 200"):
                return time.monotonic() - begun
        time.sleep(0.05)
    return float("inf")


def main(count: int, addresses: int) -> None:
    resource.setrlimit(resource.RLIMIT_NOFILE, (4096, 4096))
    with tempfile.TemporaryDirectory() as place, (Path(place) / "said").open("w+b") as said:
        with socket.create_server(("127.0.0.1", 0)) as free:
            port = free.getsockname()[1]
        server = subprocess.Popen(
            [sys.executable, "-c", SERVE, place, str(port)], stdout=subprocess.PIPE, stderr=said
        )
        assert server.stdout and server.stdout.readline() == b"open\n"
        quiet = page(port, "127.0.0.1")
        crowd = []
        for i in range(count):
            with suppress(OSError):
                source = f"127.0.1.{1 + i % addresses}"
                crowd.append(socket.create_connection(("127.0.0.1", port), 5, (source, 0)))
                crowd[-1].sendall(b"GET / HTTP/1.1\r\nHo")
        during = page(port, "127.0.0.1")
        held = len(list(Path(f"/proc/{server.pid}/fd").iterdir()))
        time.sleep(12)
        later = page(port, "127.0.0.1")
        print(f"{count} half open from {addresses}: page {quiet * 1e3:.0f} ms, {during * 1e3:.0f} ms among them, "
              f"{later * 1e3:.0f} ms after 12 s; {held} files open; {said.seek(0, 2)} bytes logged")  # fmt: skip
        server.terminate()
        server.wait()


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 1)
