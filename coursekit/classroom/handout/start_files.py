"""The files beside a student's notebook that open it on Windows, macOS and Linux, and say how."""

from __future__ import annotations

from functools import cache
from importlib import metadata
from pathlib import Path

# in the student's home folder: one Python for the notebooks of all lessons
HOME = ".coursekit-notebooks"
JUPYTERLAB = "4.6.6"  # fixed here, because marking does without it, so it may not be installed
NEEDED = ("numpy", "matplotlib", "sympy")
RUNNABLE = ("start-mac.command", "start-linux.sh")
_HERE = Path(__file__).parent / "start"


@cache
def pins() -> dict[str, str]:
    """Return package → version for a student's computer: JupyterLab, and what marks the work."""
    return {"jupyterlab": JUPYTERLAB} | {name: metadata.version(name) for name in NEEDED}


def files(notebook: str) -> dict[str, bytes]:
    """Return name → content of the start files for the notebook of this name."""
    needed = ", ".join(f'"{n}": "{v}"' for n, v in pins().items())
    dependencies = "\n".join(f'    "{n}=={v}",' for n, v in pins().items())
    shell = _filled("start.sh.in").encode()
    return {
        "start.py": _filled("start.py.in", notebook=notebook, pins="{" + needed + "}").encode(),
        "start-windows.bat": _filled("start.bat.in").replace("\n", "\r\n").encode(),
        "start-mac.command": shell,
        "start-linux.sh": shell,
        "pyproject.toml": _filled("pyproject.toml.in", dependencies=dependencies).encode(),
    }


def read_me(title: str, student: str, notebook: str, *, pages: bool, page: str = "") -> bytes:
    """Return the text that a student reads first.

    `pages` says if the lesson comes with it, and `page` names the answer page, if there is one.
    """
    there = {page: "your answer page: the questions, with boxes for your answers"} if page else {}
    there |= {
        notebook: "your notebook",
        "numbers.json": "your own numbers; the notebook reads them",
        "worksheet.pdf": "the questions on paper; print it at 100 %",
    }
    if pages:
        there["read-the-lesson.html"] = "the lesson, for your browser"
    text = _filled(
        "read-me-first.txt.in",
        title=title,
        student=student,
        notebook=notebook,
        page=_filled("answer-page.txt.in", page=page) if page else "",
        list="".join(f"{name:<{max(map(len, there))}}  {words}\n" for name, words in there.items()),
        offline=_always(answer_page=bool(page), lesson=pages),
    )
    return text.replace("\n", "\r\n").encode("utf-8-sig")


def _always(*, answer_page: bool, lesson: bool) -> str:
    """Say what needs no network at any time."""
    before = ["answer page"] * answer_page + ["lesson"] * lesson
    with_it = ", the ".join(before) + " and the " if before else ""
    return f"The {with_it}worksheet: always.\n"


def _filled(name: str, **words: str) -> str:
    """Return a file of `start/` with its `{placeholders}` filled in."""
    text = (_HERE / name).read_text(encoding="utf-8")
    for place, value in {"home": HOME, **words}.items():
        text = text.replace("{" + place + "}", value)
    return text
