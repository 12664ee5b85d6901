"""What a check says at each standing: templates in plain words, filled by `sizing.audit.sentences`.

Square brackets are the voice: [her] is “your” or “her”, [she] “your boat” or “she”, [boat] “your boat” or
“her”, [you] “you” or “her skipper”.

Curly brackets are figures of the finding (`found`, `required`, `more`: how far apart they are), words of her
entry by column, `needed` and `allowed` (or “advised”, by the level), `day` (the day judged for), `age` of the
part on it, `will_be` and `will_be_many`. `{found:cone}` counts, `{found:is/are}` takes the word that goes
with the number, `{device_type:a}` puts the article before a word.

A standing may have several texts, each with the case that it is for; the first that holds is taken, one
whose figures are not known is passed over, and "" holds always. A case is clauses joined by " & ": `column`
(blank, or “unknown”), `!column`, `column=word|word`, `column!=word|word`, or one about figures, such as
`no found`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Ask:
    """What the entry leaves unsaid that a check needs, and who can show it how.

    `what` goes on after “The entry does not say”, `show` after `who`.
    """

    what: str
    show: str
    who: str = "[You] can"


Texts = str | Mapping[str, str]


@dataclass(frozen=True)
class Says:
    """The sentences of one check. `need` is what is needed, said beside what is not known."""

    meets: Texts = ""
    short: Texts = ""
    absent: Texts = ""
    unproven: Mapping[str, str | Ask] = field(default_factory=dict)
    moot: Texts = ""
    need: str = ""
