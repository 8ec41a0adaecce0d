"""Tells what a file is, by its name and its first bytes: something to look at, or why it is left.

The first bytes of each kind are from memory.
"""

from __future__ import annotations

import io
import zipfile
from contextlib import suppress

from coursekit.classroom.register.outside_names import has_ending

# what an instructor looks at: kind → the endings of its files
_TO_LOOK_AT = {
    "a photo": ".jpg .jpeg .png .heic .heif .webp .gif .bmp .tif .tiff .avif",
    "a PDF": ".pdf",
    "a document": ".odt .docx .doc .pages .rtf .txt .text .md .py",
    "a spreadsheet": ".ods .xlsx .xls .csv .tsv .numbers",
    "a recording": ".m4a .mp3 .ogg .oga .opus .wav .aac .amr .mp4 .m4v .mov .webm .3gp .mkv .avi",
}
_BY_ENDING = {end: kind for kind, ends in _TO_LOOK_AT.items() for end in ends.split()}
_LEFT = {
    ".url .webloc .lnk .desktop .gdoc .gsheet .gslides": "It is a link to something, not the thing "
    "itself. Ask for the file.",
    ".msg": "It is a mail in a form that only its own program reads. Open it there, save what is "
    "in it, and take that in.",
    ".exe .com .bat .cmd .scr .msi .dmg .pkg .apk .app .jar .vbs .ps1 .sh .js": "It is a program, "
    "and nothing here opens it.",
    ".html .htm .mht .mhtml .xhtml .svg": "It is a web page or a drawing for one, and holds no "
    "answers.",
    ".part .crdownload .download .tmp .opdownload": "It is half of a download. Fetch it again.",
    ".icloud": "It only stands for a file that lies elsewhere. Fetch the file first.",
}
_BY_LEFT = {end: why for ends, why in _LEFT.items() for end in ends.split()}
_ZIPPED = (".odt", ".docx", ".pages", ".ods", ".xlsx", ".numbers")
_MAGIC = (
    (0, b"\xff\xd8\xff", ".jpg"), (0, b"\x89PNG", ".png"), (0, b"GIF8", ".gif"),
    (8, b"WEBP", ".webp"), (4, b"ftyphei", ".heic"), (4, b"ftypmif1", ".heic"),
    (4, b"ftypavif", ".avif"), (4, b"ftypM4A", ".m4a"), (4, b"ftypqt", ".mov"),
    (4, b"ftyp3g", ".3gp"), (4, b"ftyp", ".mp4"), (0, b"\x1a\x45\xdf\xa3", ".webm"),
    (0, b"%PDF", ".pdf"), (0, b"{\\rtf", ".rtf"), (0, b"OggS", ".ogg"), (0, b"ID3", ".mp3"),
    (8, b"WAVE", ".wav"), (0, b"#!AMR", ".amr"), (0, b"\xd0\xcf\x11\xe0", ".doc"),
    (0, b"MZ", ".exe"), (0, b"\x7fELF", ".exe"), (0, b"Rar!", ".rar"), (0, b"7z\xbc\xaf", ".7z"),
    (0, b"\x1f\x8b", ".gz"), (0, b"bplist00", ".webloc"),
)  # fmt: skip


def to_look_at(name: str, data: bytes) -> str:
    """Return what an instructor would call a file that is there to be looked at, or ""."""
    seen = ending_of(data)
    if any(has_ending(name, (end,)) for end in _BY_LEFT):
        return ""
    named = _named(name)
    if seen in (".exe", ".rar", ".7z", ".gz", ".webloc"):
        return ""
    if seen == ".zip":  # which many programs' documents are as well
        return named if has_ending(name, _ZIPPED) else ""
    return named or _BY_ENDING.get(seen, "")


def is_medium(name: str) -> bool:
    """Whether a file's name says that it is a picture, a recording or the like, without words."""
    return _named(name) in ("a photo", "a PDF", "a recording")


def right_ending(name: str, data: bytes) -> str:
    """Return the ending to add to a name that has none of a file to look at; "" if it has."""
    return "" if _named(name) else ending_of(data)


def _named(name: str) -> str:
    return next((kind for end, kind in _BY_ENDING.items() if has_ending(name, (end,))), "")


def why_left(name: str, data: bytes) -> str:
    """Return in a sentence what a file is that is no work and nothing to look at."""
    if not data:
        return "It is empty (0 bytes)."
    for end, why in _BY_LEFT.items():
        if has_ending(name, (end,)):
            return why
    seen = ending_of(data)
    if seen == ".zip":
        return "It is a zip under another name. Give it a name that ends in .zip."
    if seen in (".rar", ".7z", ".gz"):
        return "It is an archive. Unpack it, look at it, take in the folder."
    return _BY_LEFT.get(seen, "It is no notebook, no saved answers, and nothing to look at.")


def ending_of(data: bytes) -> str:
    """Return the usual ending of what `data` is by its first bytes, or ""."""
    if data.startswith(b"PK\x03\x04"):
        return _packed(data)
    for at, magic, end in _MAGIC:
        if data[at : at + len(magic)] == magic:
            return end
    return ""


def _packed(data: bytes) -> str:
    """Return what a zip is: a document of an office program, or an archive."""
    with suppress(Exception), zipfile.ZipFile(io.BytesIO(data)) as archive:
        names = archive.namelist()
        for start, end in (("word/", ".docx"), ("xl/", ".xlsx"), ("Index/", ".pages")):
            if any(name.startswith(start) for name in names):
                return end
        if "mimetype" in names:
            said = archive.open("mimetype").read(200)
            return ".ods" if b"spreadsheet" in said else ".odt"
    return ".zip"
