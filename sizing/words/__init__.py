"""The words for people: one vocabulary for everything that is read, printed or sent."""

from sizing.words.dates import long_date
from sizing.words.vocabulary import (
    READERS,
    Reader,
    Term,
    glossary,
    in_plain_words,
    level_words,
    open_words,
    standing_words,
    vocabulary,
    word,
    words_for,
)

__all__ = [
    "READERS",
    "Reader",
    "Term",
    "glossary",
    "in_plain_words",
    "level_words",
    "long_date",
    "open_words",
    "standing_words",
    "vocabulary",
    "word",
    "words_for",
]
