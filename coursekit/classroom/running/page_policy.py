"""Which scripts may run in a page that shows a student's work: only the page's own, by digest."""

from __future__ import annotations

import base64
import hashlib
import html
import re

_SCRIPT = re.compile(r"<script(?![^>]*\ssrc=)[^>]*>(.*?)</script>", re.DOTALL)
_HANDLER = re.compile(r"""\son[a-z]+="([^"]*)\"""")
# where formgrader's own page fetches MathJax
_MATHJAX_HOST = "https://cdnjs.cloudflare.com"


def sha256_source(script: str) -> str:
    """Return the source expression that allows just this script in a content security policy."""
    digest = hashlib.sha256(script.encode()).digest()
    return f"'sha256-{base64.b64encode(digest).decode()}'"


def policy(own: str) -> str:
    """Return the policy of formgrader's page, in which only the scripts in `own` may run.

    `own` is the part of the page that holds nothing of a student's. Inline styles stay allowed,
    because MathJax writes them; so does `eval`, because formgrader's templates need it.
    """
    scripts = [*_SCRIPT.findall(own), *(html.unescape(h) for h in _HANDLER.findall(own))]
    words = " ".join(dict.fromkeys(sha256_source(script) for script in scripts))
    return (
        f"default-src 'none'; script-src 'self' {_MATHJAX_HOST} 'unsafe-eval' 'unsafe-hashes' "
        f"{words}; style-src 'self' 'unsafe-inline' {_MATHJAX_HOST}; img-src 'self' data:; "
        f"font-src 'self' data: {_MATHJAX_HOST}; connect-src 'self'; base-uri 'none'; "
        "form-action 'none'; frame-src 'none'; object-src 'none'"
    )
