"""From bytes to text: what kind of file it is, and in which encoding it was written."""

from __future__ import annotations

import re
from typing import Final, Literal

from sizing.errors import InputError

FileKind = Literal["delimited", "workbook"]

_EXPECTED: Final = "a fleet sheet saved as CSV (text) or as an .xlsx workbook"
_SAVE_AS: Final = "open it in the program it came from and save it as CSV UTF-8 or as .xlsx"
_MAGIC: Final = (
    (b"\xd0\xcf\x11\xe0", "an old .xls workbook, or a workbook protected by a password"),
    (b"%PDF", "a PDF document"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"\x1f\x8b", "a compressed file"),
    (b"SQLite format 3", "a database"),
    (b"PAR1", "a Parquet file"),
    (b"{\\rtf", "a word processor's document"),
    (b"<!DOCTYPE", "a web page"),
    (b"<html", "a web page"),
)
_TEXT_CONTROLS: Final = frozenset(b"\t\n\r\x0b\x0c\x1a\x1b")
_SAMPLE: Final = 65_536


def file_kind(data: bytes, filename: str) -> FileKind:
    """Return what the bytes are, by their content; InputError if they are no table at all."""
    if not data.strip():
        raise InputError(filename, "the file is empty", _EXPECTED, "choose the file that holds the entries")
    if data.startswith(b"PK\x03\x04"):
        return "workbook"
    for magic, words in _MAGIC:
        if data[:64].lstrip().lower().startswith(magic.lower()):
            raise InputError(filename, f"the file is {words}", _EXPECTED, _SAVE_AS)
    return "delimited"


def decode(data: bytes, filename: str) -> tuple[bytes, tuple[str, ...]]:
    """Return the text as UTF-8 without byte order mark, and notes on how it was read.

    Bytes that stand for no character become U+FFFD, which intake refuses in the row where it stands.
    """
    if data.startswith(b"\xef\xbb\xbf"):
        data = data[3:]
    elif data.startswith((b"\xff\xfe\x00\x00", b"\x00\x00\xfe\xff")):
        return _recoded(data, "utf-32", "UTF-32")
    elif data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return _recoded(data, "utf-16", "UTF-16")
    else:
        guess = _utf16_without_mark(data)
        if guess:
            return _recoded(data, guess, "UTF-16 without a byte order mark")
    _refuse_binary(data, filename)
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return _recoded(data, "cp1252", "Windows-1252, because it is not UTF-8; check accented letters")
    return data, ()


def _recoded(data: bytes, encoding: str, words: str) -> tuple[bytes, tuple[str, ...]]:
    text = data.decode(encoding, errors="replace").removeprefix("\ufeff")
    note = f"The file is read as {words}."
    # Half of a UTF-16 pair can survive in UTF-32 input; it is no character either.
    return re.sub("[\ud800-\udfff]", "\ufffd", text).encode("utf-8"), (note,)


def _utf16_without_mark(data: bytes) -> str:
    """Return the byte order of UTF-16 text without mark, or "": every other byte of its signs is zero."""
    sample = data[:4096]
    half = len(sample) // 2
    if half < 4:
        return ""
    even, odd = sample[0::2].count(0), sample[1::2].count(0)
    if odd > 0.6 * half and even < 0.05 * half:
        return "utf-16-le"
    if even > 0.6 * half and odd < 0.05 * half:
        return "utf-16-be"
    return ""


def _refuse_binary(data: bytes, filename: str) -> None:
    if b"\0" in data:
        line = data[: data.index(b"\0")].count(b"\n") + 1
        found = f"line {line} has a zero byte, so this is not a text file or it is damaged"
        raise InputError(filename, found, _EXPECTED, _SAVE_AS)
    sample = data[:_SAMPLE]
    controls = sum(sample.count(code) for code in range(32) if code not in _TEXT_CONTROLS)
    if controls > 0.02 * len(sample):
        raise InputError(filename, "the file is not text", _EXPECTED, _SAVE_AS)
