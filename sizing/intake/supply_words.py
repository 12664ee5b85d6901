"""How a boat gets her parts, in the words of clubs: what is written in a column, and what a note lets slip.

Only a spelling that stands here is consent. Free text is never read as consent: it is read as another way
where it names one, and asked about where it does not.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from sizing.model import CONSENT

SPELLINGS: Final[Mapping[str, tuple[str, ...]]] = {
    CONSENT: (
        "yes", "y", "bulk order", "in bulk order", "fleet order", "group order", "club order", "rally",
        "order for us", "order for me", "please order", "rally to order", "through the rally",
        "through the rally's order", "via rally", "via the rally", "order via rally", "with the rally",
        "ja", "sammelbestellung", "über die rallye", "bitte bestellen", "oui", "commande groupée",
        "par le rallye", "sí", "si", "pedido conjunto", "por el rally", "sì", "ordine collettivo", "sim",
        "encomenda conjunta", "groepsbestelling", "via de rally", "fellesbestilling", "fællesbestilling",
        "gemensam beställning", "kyllä", "yhteistilaus",
    ),
    "own purchase": (
        "own", "own order", "buys own", "buys it herself", "buy own", "buying own", "self", "private",
        "privately", "self purchase", "self supplied", "own supply", "elsewhere", "on order", "sailmaker",
        "eigener kauf", "eigenkauf", "selbst", "kauft selbst", "achat personnel", "achat propre", "soi-même",
        "compra propia", "acquisto proprio", "compra própria", "eigen aankoop", "zelf", "eget kjøp",
        "eget køb", "eget köp", "oma hankinta",
    ),
    "hire or borrow": (
        "hire", "hiring", "will hire", "borrow", "borrowed", "borrowing", "will borrow", "rent", "rental",
        "loan", "on loan", "charter", "miete", "mieten", "leihen", "leihgabe", "location", "louer", "emprunt",
        "emprunter", "alquiler", "alquilar", "prestado", "noleggio", "prestito", "aluguer", "emprestado",
        "huur", "huren", "lenen", "leie", "leje", "låne", "hyra", "låna", "vuokra", "lainaa",
    ),
    "has it": (
        "have it", "have one", "has one", "got it", "aboard", "on board", "already aboard",
        "already on board", "owned", "vorhanden", "an bord",
        "hat es", "à bord", "l'a déjà", "a bordo", "ya lo tiene", "ce l'ha",
        "já tem", "aan boord", "heeft het", "ombord", "om bord", "har den", "on jo", "aluksella",
    ),
    "declined": (
        "decline", "declines", "no", "n", "no thanks", "no thank you", "not wanted", "refused", "opted out",
        "opt out", "out", "none", "nil", "nothing", "nein", "non", "nee", "nej", "nei", "não", "ei",
        "not in bulk order", "abgelehnt", "refusé", "rechazado", "rifiutato", "recusado", "afgewezen",
        "avslått", "afvist", "avböjt", "kieltäytyi",
    ),
}  # fmt: skip

_WAYS: Final = {
    "hire or borrow": re.compile(
        r"\b(hir(?:e|es|ed|ing)|rent(?:s|al|ed|ing)?|borrow(?:s|ed|ing)?|(?:on|a) loan|charter(?:s|ed|ing)?"
        r"|lend(?:s|ing)?|(?:aus)?leih\w*|miet(?:e|en|et)|louer|loué\w*|emprunt\w*|alquil\w*|prestad\w|noleggi\w*"
        r"|huren|huurt|lenen|leent|hyr(?:a|s|t)|vuokra\w*|lainaa\w*)\b"
    ),
    "own purchase": re.compile(
        r"\b(on order|ordered|sail ?makers?|own purchase|own order|(?:buy|buys|buying|bought) "
        r"(?:(?:my|our|his|her|its|their|the) )?own|privately|elsewhere"
        r"|from (?:a|the|our|my|her|his) (?:loft|rigger)"
        r"|segelmacher\w*|selbst|eigen\w*|voilerie|voilier|velería|veleria|zeilmaker\w*|seilmaker\w*|sejlmager\w*"
        r"|segelmakare\w*|purjeentekijä\w*)\b"
    ),
    "has it": re.compile(r"\b(already (?:has|have|got|aboard|on board)|has (?:it|one) already)\b"),
}
_RALLY: Final = re.compile(
    r"\b(bulk|rally|rallye|fleet|group|club)(?:['’]?s)?(?: material)? (?:order|purchase|buy)\w*"
    r"|\bsammelbestell\w*|\bcommande groupée"
)
_NOT: Final = re.compile(
    r"\b(not|no|without|out of|never|don'?t|won'?t|nicht|kein\w*|ohne|pas|sans|sin|senza|niet|geen|ikke"
    r"|inte)\b"
)
_IN_NOTES: Final = re.compile(
    r"\b(?:(?:will|would|shall|going to|plans? to|intends? to|wants? to|hopes? to|to) (?:hire|rent|borrow)"
    r"|(?:hiring|renting|borrowing) (?:a|an|one|it|the|drogue|from)"
    r"|(?:drogue|gear|kit|device|it|one)(?: is)? on (?:order|loan)|^on (?:order|loan)"
    r"|on order (?:from|with|at)"
    r"|ordered (?:from|with|elsewhere|privately)"
    r"|(?:buy|buys|buying) (?:(?:my|our|his|her|their|the) )?own)\b"
)


def supply_in(text: str) -> str:
    """Return the way of getting gear that free text names, "" where it names none, several, or the order.

    `text` is in small letters. It never returns the word of consent.

    >>> supply_in("on order from sailmaker, not in bulk order"), supply_in("will hire from a friend")
    ('own purchase', 'hire or borrow')
    >>> supply_in("bulk order, but we borrow the bridle")
    ''
    """
    ways = [word for word, pattern in _WAYS.items() if pattern.search(text)]
    asks = _RALLY.search(text)
    refuses = asks is not None and _NOT.search(text[: asks.start()]) is not None
    if asks and not refuses:
        return ""
    if len(ways) == 1:
        return ways[0]
    return "declined" if refuses and not ways else ""


def another_way(note: str) -> bool:
    """Whether a free note speaks of getting the gear by another way than the rally's order.

    >>> another_way("On order from sailmaker, NOT in bulk order"), another_way("We hired a yard in May")
    (True, False)
    """
    text = " ".join(note.casefold().split())
    asks = _RALLY.search(text)
    refuses = asks is not None and _NOT.search(text[: asks.start()]) is not None
    return refuses or _IN_NOTES.search(text) is not None or text.strip(" .") in {"hire", "borrow", "on order"}
