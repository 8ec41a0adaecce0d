"""What a student could write or show to act in the browser of whoever looks: tables of attacks.

Each would set the title of the page, ask for something from outside, or take a mark's box, if a
viewer showed it as it stands.
"""

from __future__ import annotations

import base64

DO = "document.title='taken'"

MARKDOWN: dict[str, str] = {
    "script block": f"<script>{DO}</script>",
    "script in a line": f"Because <script>{DO}</script> it is.",
    "script in capitals": f"<ScRiPt>{DO}</sCrIpT>",
    "script after a comment": f"<!-- --><script>{DO}</script>",
    "script in a list": f"- a\n  <script>{DO}</script>",
    "script in a quotation": f"> <script>{DO}</script>",
    "script in a table": f"a | b\n--|--\n<img src=x onerror=\"{DO}\"> | c\n",
    "picture that fails": f'<img src="x" onerror="{DO}">',
    "drawing that loads": f'<svg onload="{DO}"></svg>',
    "script in a drawing": f"<svg><script>{DO}</script></svg>",
    "details that open": f'<details open ontoggle="{DO}">a</details>',
    "field with the focus": f'<input autofocus onfocus="{DO}">',
    "media that fails": f'<video><source onerror="{DO}"></video>',
    "body": f'<body onload="{DO}">',
    "style": "<style>body { display: none }</style>",
    "frame": f"<iframe srcdoc=\"<script>parent.{DO}</script>\"></iframe>",
    "object": '<object data="data:text/html,<script>1</script>"></object>',
    "embed": '<embed src="data:text/html,<script>1</script>">',
    "form": '<form action="/formgrader/api/grade/1" method="post"><button>Look</button></form>',
    "base": '<base href="http://example.com/">',
    "refresh": '<meta http-equiv="refresh" content="0;url=http://example.com/">',
    "link to script": f"[look](javascript:{DO})",
    "link to script in angles": f"[look](<javascript:{DO}>)",
    "link to script by entities": f"[look](&#106;avascript:{DO})",
    "link to script in capitals": f"[look](JaVaScRiPt:{DO})",
    "link to script by its label": f"[look][a]\n\n[a]: javascript:{DO}",
    "link to script on the next line": f"[look][a]\n\n[a]:\n   javascript:{DO}",
    "link in angles": f"<javascript:{DO}>",
    "link to a page of data": "[look](data:text/html;base64,PHNjcmlwdD4=)",
    "link to a page handed in": "[look](evil.html)",
    "link to an older script": "[look](vbscript:msgbox)",
    "picture from outside": "![a](http://example.com/seen.png)",
    "picture by its label": "![a][b]\n\n[b]: http://example.com/seen.png",
    "picture with another in it": "![a ![b](http://example.com/x.png)](http://example.com/y.png)",
    "picture that logs out": "![a](/logout)",
    "diagram with a tag": f"```mermaid\n<img src=x onerror=\"{DO}\">\n```",
    "diagram": "```mermaid\nclick a call b()\n```",
    "heading named as a box": "# why",
    "underlined heading named as a box": "why\n===",
    "link in a formula": f"$\\href{{javascript:{DO}}}{{x}}$",
    "more code in a formula": "$\\require{html} \\cssId{why}{x}$",
    "token in a formula": f"$\\mmlToken{{mi}}[href='javascript:{DO}']{{x}}$",
    "box over the page in a formula": "$\\bbox[position:fixed;inset:0]{x}$",
    "heading in a list named as a box": "- # why",
    "heading in a quotation named as a box": ">>#  why",
    "declaration": f"<!x onclick><script>{DO}</script>",
    "instruction": f"<?x?><script>{DO}</script>",
    "tag within a tag's name": f"<scr<script>ipt>{DO}</script>",
}  # fmt: skip

HTML: dict[str, str] = {
    "script": f"<script>{DO}</script>",
    "script that stays open": f"<script>{DO}",
    "handler": f'<b onclick="{DO}" onmouseover="{DO}">a</b>',
    "picture that fails": f"<img src=x onerror={DO}>",
    "picture from outside": '<img src="http://example.com/seen.png">',
    "drawing": f"<svg/onload={DO}>",
    "formula with a link": '<math><a xlink:href="javascript:1">a</a></math>',
    "link to script": f'<a href="javascript:{DO}">a</a>',
    "link to script with a tab": f'<a href="java&#9;script:{DO}">a</a>',
    "link to a page handed in": '<a href="evil.html">a</a>',
    "link to a page of this server": '<a href="//example.com/x">a</a>',
    "frame": '<iframe src="evil.html"></iframe>',
    "form": '<form action="/x"><input name="score" class="score"></form>',
    "box of a mark": '<div class="nbgrader_cell"><p id="why">a</p></div>',
    "style": "<style>* { display: none }</style>",
    "cover": '<div style="position: fixed; inset: 0">a</div>',
    "style that fetches": '<td style="background: url(http://example.com/x)">a</td>',
    "style sheet": '<link rel="stylesheet" href="http://example.com/x.css">',
    "sleeping markup": f"<noscript><p title=\"</noscript><img src=x onerror={DO}>\"></noscript>",
    "markup in a title": f"<title><img src=x onerror={DO}></title>",
    "markup in a template": f"<template><script>{DO}</script></template>",
    "end of the page": f"</div></body></html><script>{DO}</script>",
    "settings of the formulas": f'<script type="text/x-mathjax-config">{DO}</script>',
}  # fmt: skip

DRAWINGS: dict[str, str] = {
    "script": f"<script>{DO}</script>",
    "handler": f'<rect onclick="{DO}" width="9" height="9"/>',
    "page in it": '<foreignObject><body xmlns="http://www.w3.org/1999/xhtml">a</body></foreignObject>',
    "link": '<a href="javascript:1"><text>a</text></a>',
    "picture from outside": '<image href="http://example.com/x.png"/>',
    "part from outside": '<use href="http://example.com/x.svg#a"/>',
    "fill from outside": '<rect style="fill: url(http://example.com/x)"/>',
    "style": "<style>@import url(http://example.com/x);</style>",
    "change of a link": '<set attributeName="href" to="javascript:1"/>',
    "parts of parts": '<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>',
}


def _display(**data: str) -> dict[str, object]:
    named = {k.replace("__", "/").replace("_", "-"): v for k, v in data.items()}
    return {"output_type": "display_data", "metadata": {}, "data": named}


def drawing(inner: str) -> str:
    """Return a drawing with `inner` in it."""
    return f'<svg xmlns="http://www.w3.org/2000/svg">{inner}</svg>'


OUTPUTS: dict[str, dict[str, object]] = {
    "script as such": _display(application__javascript=DO),
    "markdown": _display(text__markdown=f'<img src="x" onerror="{DO}">'),
    "markdown with a link": _display(text__markdown=f"[a](javascript:{DO})"),
    "formula with a link": _display(text__latex=f"$\\href{{javascript:{DO}}}{{a}}$"),
    "picture whose size is a handler": {
        **_display(image__png=base64.b64encode(b"x").decode()),
        "metadata": {"image/png": {"width": f'1" onload="{DO}', "unconfined": True}},
    },
    "picture named as a file outside": {
        **_display(image__png="eA=="),
        "metadata": {"filenames": {"image/png": "http://example.com/x.png"}},
    },
    "picture that is no picture": _display(image__png=f'eA=="><script>{DO}</script>'),
    "link to a terminal": {"output_type": "stream", "name": "stdout", "text": "\x1b]8;;javascript:1\x07a\x1b]8;;\x07"},
    "turned words": {"output_type": "stream", "name": "stdout", "text": "marks \u202e52 fo 52"},
}  # fmt: skip

# what a viewer, or a converter before it, would need minutes for
ENDLESS_MARKDOWN: dict[str, str] = {
    "environments without an end": r"\begin{a}" * 30_000,
    "formulas without an end": "$$ a " * 40_000,
    "one long word": "a" * 2_000_000,
    "brackets": "[" * 60_000,
    "quotations": "> " * 30_000 + "a",
    "stars": "*a **a " * 20_000,
    "labels": "[a]: x\n" * 30_000,
    "ticks": "".join("`" * n + "a" for n in range(1, 500)),
    "backslashes": "\\\\[" * 30_000,
    "halves of instructions": "<? " * 30_000,
    "list in a list": "".join("  " * n + "- a\n" for n in range(300)),
}
_ROW = "<tr><td>1.0</td><td>2.0</td></tr>"
ENDLESS_HTML: dict[str, str] = {
    "tags": "<b>" * 60_000,
    "tags in tags": "<div>" * 60_000,
    "tags that cross": "<b><i><p></b></i>" * 15_000,
    "halves of tags": "<a " * 100_000,
    "scripts without an end": "<script>" * 60_000,
    "comments without an end": "<!--" * 60_000,
    "signs": "&amp;" * 400_000,
    "table in a table": "<table><tr><td>" * 20_000,
    "an honest table": f"<table>{_ROW * 100_000}</table>",
    "attributes": "<b " + "a=b " * 100_000 + ">",
    "signs that are no tags": "< > " * 100_000,
    "halves of ends": "</3" * 60_000,
}
ENDLESS_CODE: dict[str, str] = {
    "blank lines": "\n \n" * 30_000,
    "blanks": " " * 200_000,
    "strings without an end": "f'{" * 60_000,
    "long strings": '"""a' * 50_000,
    "commands": "!a=!b\n" * 30_000,
}
PAGES = ("evil.html", "a/b.HTM", "x.svg", "x.xhtml", "x.xml", "x.xsl", "x.js", "x.html.SVGZ")
