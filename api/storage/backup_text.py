"""What is in a folder of an export, for whoever opens it without the program."""

from __future__ import annotations

from typing import Final

TABLES: Final = {
    "season": "what this season is told apart by, and the secret that digests of private cells are made with",
    "fleets": "the fleets, each with its version and the number of its list in force",
    "rules": "a number for each change of policy, prices or catalogue, and who brought it",
    "rule_files": "the files of each such number, as they were received",
    "revisions": "every entry list, with what became of its rows and what was found",
    "entries": "the boats of the lists in force, with their cells as written",
    "results": "how each boat stands",
    "requirements": "what each boat needs",
    "findings": "what each finding of each boat is chosen by; what it says stands in results, a line each",
    "tokens": "who may sign in; hashes alone, no secret",
    "trail": "who did what and when; each record has the hash of the one before",
    "trail_head": "where the trail ends",
    "inspections": "what was measured aboard",
    "waivers": "what was waived, by whom, why and until when",
    "stock_files": "deliveries and stocktakes, as they were received",
    "supplies": "how boats get their parts, as it was said, by whom and when",
    "answers": "what skippers answered of their gear, a row for each column and each time",
    "payments": "what boats paid towards their parts, and what went back to them",
    "published": "what was made last for a fleet, and of what",
    "jobs": "what was asked of the program, and how it ended",
    "answered": "what was answered to a write, so that the same again gets the same answer",
}

README: Final = f"""Everything the program keeps of a season, for any program to read.

It holds contact details, free notes and the season's secret: keep it as safe as the entry lists.

tables/NAME.csv   the tables: CSV, UTF-8, commas, CR LF, a header; rows in the order of their key
received/         entry lists, policies, price books, catalogues, deliveries and stocktakes, byte for byte
                  as they were received, under their own names, in a folder for fleet and number
values/           other values that are too long for a cell of a spreadsheet
manifest.json     the step of the tables, when this was made, the end of the audit trail (seq, hash),
                  how many rows each table has, and the SHA-256 of every file here

In a cell, \\N is no value, \\F PATH stands for the content of that file, and \\B has bytes in base64 after it
(in results, requirements, revisions and stock_files: JSON packed with zlib). Text that a spreadsheet could
take for a formula has one apostrophe in front, and text that begins with a backslash one more backslash.
Times are UTC, documents are JSON. A name of a file has _ for each sign that not every system takes; the
table has the name as it was.

drogue-muster restore FOLDER --out NEW    puts it back into an empty place, in a file or in PostgreSQL.
drogue-muster verify FOLDER               says whether it is whole.

{chr(10).join(f"{name:<14} {told}" for name, told in TABLES.items())}
"""
