"""Build the book: `course/` → `build/book/html`, offline, with every warning an error."""

from __future__ import annotations

import hashlib
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterable, Iterator
from importlib import metadata
from pathlib import Path
from typing import Any

from coursekit.book import cells
from coursekit.classroom.register.outside_names import shown_lines

Progress = Callable[[str, float], None]

_STEP = re.compile(r"(reading sources|writing output|copying images)\.* *\[ *(\d+)%\]")
_SHARE = {"reading sources": (0.05, 0.75), "writing output": (0.75, 0.95)}
_LEFT_OUT = {
    *("sphinx_thebe", "sphinx_comments", "sphinx_togglebutton", "sphinx.ext.intersphinx"),
    "sphinx_jupyterbook_latex",  # no LaTeX is made, and with it pages are not read in parallel
}
_SHARED_OUT = (
    "sphinx_multitoc_numbering"  # safe in parallel, though it does not say so: it only numbers
)
_MADE = ("html", "doctrees", "cells", "jupyter_execute")
_BUILT_WITH = ("jupyter-book", "sphinx", "myst-nb", "matplotlib", "numpy", "sympy")


class BookError(RuntimeError):
    """The book could not be built; the message holds the builder's own words."""


def build(
    root: Path, out: Path | None = None, progress: Progress | None = None, *, strict: bool = True
) -> Path:
    """Build the book and return its first page, `<out>/html/index.html`.

    Nothing is made inside `course/`. If nothing has changed, the book is left as it is. If only
    pages have changed, only those are made again; if the package's own code has, all are.

    Parameters
    ----------
    root : Path
        Folder that holds `course/`, `exercises/` and `solutions/`.
    out : Path, optional
        Folder of the built book, `<root>/build/book` unless given.
    progress : callable, optional
        Called with a few words and the share that is done, 0 to 1, in rising order.
    strict : bool
        Whether a warning is an error, as it is for a book that is handed out.

    Returns
    -------
    Path
        The first page.

    Raises
    ------
    BookError
        *The book must build without a warning; got …*
    """
    root = root.resolve()
    out = (out or root / "build" / "book").resolve()
    tell = progress or (lambda words, share: None)
    tell("looking for changes", 0.0)
    index, stamp = out / "html" / "index.html", out / "stamp"
    kit, pages = _digest(_kit_files(root)), _digest(_page_files(root))
    before = stamp.read_text("utf-8").split() if stamp.is_file() else []
    if before == [kit, pages] and index.is_file():
        tell("nothing has changed", 1.0)
        return index
    if before[:1] != [kit]:
        for made in _MADE:
            shutil.rmtree(out / made, ignore_errors=True)
    stamp.unlink(missing_ok=True)
    _run(root, out, tell, strict)
    stamp.write_text(f"{kit} {pages}\n", "utf-8")
    tell("the book is built", 1.0)
    return index


def is_there(root: Path) -> bool:
    """Whether the course has a book."""
    return (root / "course" / "_config.yml").is_file()


def pages_to_send(root: Path, progress: Progress | None = None) -> Path | None:
    """Return the folder of the book's pages, built if anything has changed; None without a book."""
    return build(root, None, progress).parent if is_there(root) else None


def _kit_files(root: Path) -> list[Path]:
    """Return the files that every page depends on: the package's own and the book's settings."""
    package = Path(__file__).parent.parent
    own = [p for p in package.rglob("*") if p.suffix in {".py", ".js", ".css"}]
    return sorted([*own, root / "course" / "_config.yml"])


def _page_files(root: Path) -> list[Path]:
    folders = (root / "course", root / "exercises", root / "solutions")
    return sorted(p for f in folders for p in f.rglob("*") if p.is_file())


def _digest(files: Iterable[Path]) -> str:
    found = hashlib.sha256()
    for name in _BUILT_WITH:
        found.update(f"{name} {metadata.version(name)}\n".encode())
    for path in files:
        if "__pycache__" not in path.parts:
            found.update(str(path).encode() + b"\0" + path.read_bytes() + b"\0")
    return found.hexdigest()


def _run(root: Path, out: Path, tell: Progress, strict: bool) -> None:
    """Run the builder in a process of its own, because it leaves much behind in its process."""
    command = [sys.executable, "-m", "coursekit.book.build", str(root), str(out), str(int(strict))]
    with subprocess.Popen(
        command,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        encoding="utf-8",
        env=_environment(root),
    ) as process:
        assert process.stdout
        said = list(_followed(process.stdout, tell))
    if process.returncode:
        raise BookError(
            "The book must build without a warning; got\n"
            + "\n".join([*_complaints(said), *_failed_sums(out)])
            + "\nMend that page."
        )


def _complaints(said: list[str]) -> list[str]:
    """Return the builder's warnings and errors; if it marked none, its last lines."""
    marked = [line for line in said if re.search(r"WARNING:|ERROR:|[Ee]rror:", line)]
    return marked or [line for line in said if not _STEP.search(line)][-20:]


def _failed_sums(out: Path) -> list[str]:
    """Return the end of each report on a page whose Python stopped with an error."""
    reports = sorted((out / "html" / "reports").rglob("*.log"))
    return [line for r in reports for line in r.read_text("utf-8").strip().splitlines()[-4:]]


def _environment(root: Path) -> dict[str, str]:
    keep = {k: v for k, v in os.environ.items() if k not in {"PYTHONWARNINGS", "MPLBACKEND"}}
    paths = [str(Path(__file__).parents[2]), *filter(None, [keep.get("PYTHONPATH")])]
    own = {
        "PYTHONPATH": os.pathsep.join(paths),
        "PYTHONUTF8": "1",
        "COURSEKIT_ROOT": str(root),
        "PYDEVD_DISABLE_FILE_VALIDATION": "1",
        "OPENBLAS_NUM_THREADS": "1",  # otherwise a fork would wait for threads that it lacks
    }
    return keep | own


def _followed(lines: Iterable[str], tell: Progress) -> Iterator[str]:
    """Yield what the builder prints, line by line, and report how far it has got."""
    share = 0.05
    tell("starting", share)
    for line in lines:
        for piece in filter(None, re.split(r"[\r\n]+", line)):
            if (found := _STEP.search(piece)) and found[1] in _SHARE:
                low, high = _SHARE[found[1]]
                share = max(share, low + (high - low) * int(found[2]) / 100)
                tell(found[1], share)
            yield piece


def _main(root: Path, out: Path, strict: bool) -> int:
    """Build with jupyter-book's settings in this process; return 0 if all went well."""
    from sphinx.application import Sphinx
    from sphinx.errors import SphinxError
    from sphinx.util.console import nocolor
    from sphinx.util.docutils import docutils_namespace, patch_docutils

    nocolor()
    cells.trust_whole_records()
    quick = cells.use()
    try:
        with patch_docutils(None), docutils_namespace():
            app = Sphinx(
                srcdir=root / "course",
                confdir=None,
                outdir=out / "html",
                doctreedir=out / "doctrees",
                buildername="html",
                confoverrides=_settings(root, out),
                status=sys.stdout,
                warning=sys.stderr,
                warningiserror=strict,
                keep_going=True,
                parallel=os.cpu_count() or 1 if quick else 1,
            )
            if quick:
                app.extensions[_SHARED_OUT].parallel_read_safe = True
                app.connect("env-before-read-docs", _warmed)
            app.build()
    except SphinxError as error:
        print(shown_lines(f"{error.category}: {error}"))
        return 1
    return int(app.statuscode)


def _warmed(app: Any, env: Any, pages: list[str]) -> None:
    """Warm up and make the cache of outputs before several processes read the pages."""
    if pages:
        cells.warm(app.config.nb_execution_cache_path)


def _settings(root: Path, out: Path) -> dict[str, Any]:
    """Return jupyter-book's settings and the book's own, without what reaches outside."""
    # With this package jsonschema reads 39 grammars at every build, which takes seconds. Without
    # it, one kind of address is not checked, and the settings have none of that kind.
    sys.modules.setdefault("rfc3987_syntax", None)  # type: ignore[arg-type]
    from jupyter_book.config import get_final_config

    course = root / "course"
    own = {
        "external_toc_path": str(course / "_toc.yml"),
        "nb_execution_cache_path": str(out / "cells"),
        "nitpicky": True,
        "latex_individualpages": False,
    }
    settings, _ = get_final_config(
        user_yaml=course / "_config.yml", cli_config=own, sourcedir=course, raise_on_invalid=True
    )
    settings.pop("comments_config", None)
    settings["extensions"] = [e for e in settings["extensions"] if e not in _LEFT_OUT]
    return dict(settings)


if __name__ == "__main__":
    sys.exit(_main(Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3] != "0"))
