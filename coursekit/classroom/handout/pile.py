"""One PDF of many, to be printed in one go."""

from __future__ import annotations

import io
from collections.abc import Sequence


def piled(title: str, documents: Sequence[tuple[str, bytes]], two_sided: bool = False) -> bytes:
    """Return one PDF of all the documents in order, each with a bookmark of its name.

    For printing on two sides an empty page follows a document with an odd number of pages, so that
    the next one begins on a sheet of its own. The pages are taken over as they are; the structure
    that a screen reader follows stays with the single documents. The same documents give the same
    bytes.
    """
    import pikepdf

    with pikepdf.Pdf.new() as pile:
        starts = []
        for name, pdf in documents:
            with pikepdf.Pdf.open(io.BytesIO(pdf)) as one:
                starts.append((name, len(pile.pages)))
                pile.pages.extend(one.pages)
                if two_sided and len(one.pages) % 2:
                    box = [float(side) for side in one.pages[-1].mediabox]
                    pile.add_blank_page(page_size=(box[2] - box[0], box[3] - box[1]))
        with pile.open_outline() as outline:
            outline.root.extend(pikepdf.OutlineItem(name, at) for name, at in starts)
        pile.Root.Lang = "en"
        pile.docinfo["/Title"] = title
        kept = io.BytesIO()
        pile.save(kept, deterministic_id=True)
    return kept.getvalue()
