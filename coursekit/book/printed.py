"""The whole book as one page to print, and as one PDF if there is a browser to make it.

The built pages follow each other in the book's order, and links between them lead to places in this
one page. The students' book has room to work in place of the answers to the try-its, and it leaves
out the page of commands. The instructor's edition has everything, with the answers shown.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from html import escape
from pathlib import Path

import yaml

from coursekit.book.build import BookError

PAGE, PDF = "whole-book.html", "whole-book.pdf"
BROWSERS = (
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
    "chrome",
    "msedge",
)
_HEADLESS = (
    "--headless=new",
    "--disable-gpu",
    "--disable-extensions",
    "--disable-background-networking",
    "--no-first-run",
    "--no-pdf-header-footer",
    "--generate-pdf-document-outline",
    "--virtual-time-budget=600000",
)
PAPERS = {"a4": "A4", "us-letter": "letter"}
_NOT_FOR_STUDENTS = ("commands",)
_PATIENCE = 600  # seconds for one book
_ARTICLE = re.compile(r'<article class="bd-article">(.*)</article>', re.DOTALL)
_DETAILS = re.compile(r"<details class=\"([^\"]*)\"([^>]*)>(.*?)</details>", re.DOTALL)
_SUMMARY = re.compile(r"<summary[^>]*>.*?</summary>", re.DOTALL)
_SCRIPT = re.compile(r"<script\b.*?</script>", re.DOTALL)
_NAMES = re.compile(r' (id|for|aria-labelledby|aria-describedby|aria-controls)="([^"]*)"')
_RADIO = re.compile(r'(<input type="radio" name=")')
_INNER = re.compile(r' ((?:xlink:)?href)="([\w-]+\.html)?(#[^"]*)?"')
_DRAWN = re.compile(r"url\(#([\w-]+)\)")
_STYLES = re.compile(r'<link [^>]*rel="stylesheet"[^>]*>')
_BANNER = re.compile(r'<div class="[^"]*bd-header-announcement[^"]*"[^>]*>(.*?)</div>', re.DOTALL)
_FORMULAS = re.compile(r"<script>window\.MathJax = .*?</script>", re.DOTALL)
_ROOM = '<p class="ck-room"><span>Your working:</span></p>'


def make(index: Path, course: Path, *, opened: bool = False, paper: str = "a4") -> Path:
    """Put a built book together as one page in the folder `print` beside it; return its path.

    Parameters
    ----------
    index : Path
        First page of the built book.
    course : Path
        Folder of its `_toc.yml`.
    opened : bool
        Whether the answers to the try-its are printed.
    paper : str
        `a4` or `us-letter`.

    Returns
    -------
    Path
        The page.

    Raises
    ------
    BookError
        If a page of the book is missing.
    """
    contents = yaml.safe_load((course / "_toc.yml").read_text(encoding="utf-8"))
    out = index.parent.parent / "print" / PAGE
    out.parent.mkdir(parents=True, exist_ok=True)
    parts = [
        (c, [p for p in pages if opened or p not in _NOT_FOR_STUDENTS])
        for c, pages in _parts(contents)
    ]
    names = [page for _, pages in parts for page in pages]
    first = _page(index.parent, names[0])
    body = "".join(
        "".join(
            _moved(page, index.parent, set(names), opened, "" if n else caption)
            for n, page in enumerate(pages)
        )
        for caption, pages in parts
    )
    head = "".join(_STYLES.findall(first)) + "".join(_FORMULAS.findall(first))
    title = re.search(r"<title>(.*?)</title>", first, re.DOTALL)
    banner = _BANNER.search(first)
    out.write_text(
        _WHOLE.format(
            title=title[1].strip() if title else "The book",
            head=_near(head),
            paper=PAPERS[paper],
            banner=f'<p class="ck-banner">{banner[1].strip()}</p>' if banner else "",
            body=_near(body),
        ),
        encoding="utf-8",
    )
    return out


def pdf(page: Path) -> Path | None:
    """Have a browser print the page of `make` to a PDF beside it; None if there is no browser.

    The browser is the one that COURSEKIT_BROWSER names, or else the first of `BROWSERS` on the
    path.

    Raises
    ------
    BookError
        If the browser fails, with its own words.
    """
    browser = os.environ.get("COURSEKIT_BROWSER") or next(
        filter(None, map(shutil.which, BROWSERS)), ""
    )
    if not browser:
        return None
    out = page.with_name(PDF)
    out.unlink(missing_ok=True)
    with tempfile.TemporaryDirectory() as own:
        command = [browser, *_HEADLESS, f"--user-data-dir={own}", f"--print-to-pdf={out}"]
        if hasattr(os, "geteuid") and os.geteuid() == 0:
            command.append("--no-sandbox")  # without it Chromium does not start for root
        command.append(page.resolve().as_uri())
        try:
            ran = subprocess.run(
                command, capture_output=True, text=True, timeout=_PATIENCE, errors="replace"
            )
        except (OSError, subprocess.TimeoutExpired) as error:
            raise BookError(
                f"The browser must print the book; got {error}. {_instead(page)}"
            ) from None
    if not out.is_file():
        said = ran.stderr.strip().splitlines()[-1:] or [f"exit code {ran.returncode}"]
        raise BookError(f"The browser must print the book; got {said[0]}. {_instead(page)}")
    return out


def _instead(page: Path) -> str:
    return f"Open {page} in a browser and print it from there."


def _parts(contents: dict[str, object]) -> Iterator[tuple[str, list[str]]]:
    yield "", [str(contents["root"])]
    for part in contents.get("parts") or ():  # type: ignore[attr-defined]
        yield str(part.get("caption") or ""), [str(c["file"]) for c in part["chapters"]]


def _page(folder: Path, name: str) -> str:
    path = folder / f"{name}.html"
    if not path.is_file():
        raise BookError(
            f"The book must be built before it is printed; got no {path.name}. Build it."
        )
    return path.read_text(encoding="utf-8")


def _moved(name: str, folder: Path, names: set[str], opened: bool, part: str) -> str:
    """Return a page's text with its name in each anchor, so that all pages can be in one file.

    The first page of a part has the part's name above its own title.
    """
    article = _ARTICLE.search(_page(folder, name))
    if not article:
        raise BookError(
            f"A page of the book must hold its text; got {name}.html without. Build anew."
        )
    text = _SCRIPT.sub("", article[1])
    text = _DETAILS.sub(lambda d: _unfolded(d, opened), text)

    def linked(found: re.Match[str]) -> str:
        kind, page, anchor = found.groups()
        target = page.removesuffix(".html") if page else name
        if page is None and anchor is None:
            return found[0]
        if target not in names:
            return ""
        return f' {kind}="#{target}--{anchor[1:]}"' if anchor else f' {kind}="#page-{target}"'

    text = _INNER.sub(linked, text)
    text = _NAMES.sub(
        lambda n: f' {n[1]}="{" ".join(f"{name}--{one}" for one in n[2].split())}"', text
    )
    text = _RADIO.sub(rf"\g<1>{name}--", text)
    text = _DRAWN.sub(rf"url(#{name}--\1)", text)
    above = f'<p class="ck-part">{escape(part)}</p>' if part else ""
    return f'<section class="ck-page" id="page-{name}">{above}{text}</section>\n'


def _unfolded(found: re.Match[str], opened: bool) -> str:
    kind, rest, inner = found.groups()
    if "sd-dropdown" not in kind or opened:
        return f'<details class="{kind}"{rest} open>{inner}</details>'
    return _ROOM


def _near(text: str) -> str:
    """Return HTML whose scripts, styles and pictures are found from the folder `print`."""
    return re.sub(r'((?:src|href)=")(_static|_images|_downloads)/', r"\1../html/\2/", text)


_WHOLE = """<!DOCTYPE html>
<html lang="en" data-theme="light" data-mode="light">
<head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}: the whole book</title>
{head}
<script defer src="../html/_static/mathjax/tex-svg.js"></script>
<style>
@page {{ size: {paper}; margin: 18mm 16mm 20mm 22mm;
  @bottom-right {{ content: counter(page); font: 9pt sans-serif; }} }}
html, body {{ background: #fff; height: auto; overflow: visible; }}
body {{ color: #000; font-size: 10pt; line-height: 1.4; }}
body {{ margin: 0 auto; max-width: 46rem; padding: 1rem; }}
.ck-page {{ break-before: page; }}
.ck-part {{ border-bottom: 2px solid #000; font-size: 13pt; font-weight: 700; margin-bottom: 8mm; }}
.bd-article h1 {{ font-size: 20pt; margin: 0 0 3mm; }}
.bd-article h2 {{ font-size: 14pt; margin: 7mm 0 2mm; }}
.bd-article h3 {{ font-size: 12pt; margin: 5mm 0 2mm; }}
.bd-article h4 {{ font-size: 10.5pt; margin: 4mm 0 2mm; }}
h1, h2, h3, h4, dt {{ break-after: avoid; color: #000; }}
.ck-page img, .ck-page svg {{ height: auto; max-width: 100%; }}
.ck-page figure img, figure.ck-slider svg {{ max-height: 105mm; max-width: 120mm; }}
.ck-page figure, .ck-page .cell {{ margin: 2mm 0; }}
.ck-page .admonition {{ margin: 3mm 0; }}
.ck-page pre {{ font-size: 8.5pt; white-space: pre-wrap; }}
.ck-room {{ border: 1px dotted #555; height: 24mm; padding: 1mm 2mm; }}
.ck-room span {{ color: #333; font-size: 8pt; }}
.ck-banner {{ border: 2px solid #000; font-weight: 700; padding: 2mm; text-align: center; }}
details {{ display: block; }}
.headerlink, .copybtn, summary svg {{ display: none; }}
@media print {{ body {{ max-width: none; padding: 0; }} p, li {{ orphans: 3; widows: 3; }} }}
</style></head>
<body class="bd-article">{banner}
{body}
</body></html>
"""
