"""The parts of an .xlsx workbook, none of which is parsed before it was looked through."""

from __future__ import annotations

import io
import re
import time
import zipfile
from typing import IO, Any, Final, cast

from sizing.errors import InputError
from sizing.raw_table import Limits
from sizing.units import clip

SAVE_AS: Final = (
    "open it in a spreadsheet program, save it again as .xlsx without a password, or as CSV UTF-8"
)
_CHUNK: Final = 1 << 20
_MARKUP: Final = re.compile(rb"<\0?!\0?[-D]")
"""What begins a comment or the declaration of a document type, in UTF-8 and in UTF-16 [XML 1.0, 2.5, 2.8]."""


class WorkbookParts(zipfile.ZipFile):
    """The parts of a workbook, of which none is parsed before it was looked through.

    The parser takes a time that grows with the square of the length of a comment. No spreadsheet program
    writes one into a part, nor a declaration; but other long markup costs the same, so that the time spent on
    all parts is bounded as well, by the processor's clock.
    """

    def __init__(self, data: bytes, filename: str, limits: Limits, expected: str) -> None:
        self.stream = io.BytesIO(data)
        try:
            super().__init__(self.stream)
        except (zipfile.BadZipFile, ValueError, OSError, EOFError, NotImplementedError) as error:
            found = "the workbook is cut short or damaged"
            raise InputError(filename, found, expected, SAVE_AS) from error
        self._file, self._limits, self._expected, self._clean = filename, limits, expected, set[str]()
        if "xl/workbook.xml" not in self.namelist():
            found = "the file is an archive, but not an .xlsx workbook"
            raise InputError(filename, found, expected, SAVE_AS)
        # As the archive tells it. More than that is read of no part: it breaks off there, and is damaged by
        # its checksum.
        unpacked = sum(entry.file_size for entry in self.infolist())
        self.refuse_large(unpacked)
        allowed = limits.workbook_seconds + limits.workbook_seconds_a_mb * unpacked / 1e6
        self._until = time.thread_time() + allowed

    def refuse_large(self, unpacked: int) -> None:
        """Raise InputError for so much more than is unpacked of a workbook."""
        if unpacked > self._limits.max_unpacked:
            found = f"the workbook unpacks to {unpacked / 1e6:,.0f} MB"
            expected = f"at most {self._limits.max_unpacked / 1e6:,.0f} MB"
            mend = (
                "delete sheets and formats of empty rows that are not needed, or save the entry list as CSV"
            )
            raise InputError(self._file, found, expected, mend)

    def open(self, name: str | zipfile.ZipInfo, *args: Any, **options: Any) -> IO[bytes]:
        """Open a part that holds neither comment nor declaration; InputError for any other."""
        path = name if isinstance(name, str) else name.filename
        if path not in self._clean:
            with super().open(name) as part:
                before = b""
                while chunk := part.read(_CHUNK):
                    if _MARKUP.search(before + chunk):
                        found = f"{clip(path)} in the workbook holds an XML comment or declaration"
                        raise InputError(
                            self._file, found, "parts as spreadsheet programs write them", SAVE_AS
                        )
                    before = chunk[-4:]
            self._clean.add(path)
        return cast("IO[bytes]", _Timed(super().open(name, *args, **options), self))

    def refuse_late(self) -> None:
        """Raise InputError once the time for this workbook is spent."""
        if time.thread_time() > self._until:
            found = "the workbook takes too long to read for its size"
            raise InputError(self._file, found, self._expected, SAVE_AS)


class _Timed(io.BufferedIOBase):
    """A part of a workbook, read for no longer than there is time."""

    def __init__(self, part: IO[bytes], parts: WorkbookParts) -> None:
        self._part, self._parts = part, parts

    def read(self, size: int | None = -1, /) -> bytes:
        """Return the next bytes; InputError once the time is spent."""
        self._parts.refuse_late()
        return self._part.read(-1 if size is None else size)

    def close(self) -> None:
        """Close the part."""
        self._part.close()
        super().close()
