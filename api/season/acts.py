"""The register of acts: what can be done to a season, under what name in the trail, and in which words.

Whatever changes a season is done by one function of this package: it checks, writes in one transaction, and
adds one record to the trail with `record`. The trail's reader, the documents of the interface and the
officer's log take their words from here, and no act has a name that does not stand here.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from typing import Final, Literal

from sqlalchemy import Connection

from api.trail import Head, append
from api.trail.chain import Actor

Made = Literal["boat", "fleet", "publication"]
"""What follows an act: her findings at once, all findings of the fleet, or what is made of them."""


@dataclass(frozen=True)
class Act:
    """One thing that can be done; `words` say what was done, `subject` what it was done to."""

    name: str
    words: str
    subject: str
    remakes: tuple[Made, ...] = ()


MADE_FLEET: Final = Act("fleet.made", "made a fleet", "the fleet")
RECEIVED_LIST: Final = Act("upload.received", "handed in a list", "number of the list", ("fleet",))
LIST_IN_FORCE: Final = Act("upload.in-force", "put a list in force", "number of the list", ("publication",))
UNDID_LIST: Final = Act("list.undone", "took back the last list", "number of the list", ("publication",))
CHANGED_RULES: Final = Act("rules.changed", "changed policy, prices or catalogue", "number of the rules")
RECORDED: Final = Act(
    "inspection.recorded", "recorded what was found aboard", "boat and inspection", ("boat", "publication")
)
SIGNED: Final = Act("inspection.signed-off", "signed an inspection off", "boat and inspection", ("boat",))
WITHDREW_INSPECTION: Final = Act(
    "inspection.withdrawn", "withdrew an inspection", "boat and inspection", ("boat", "publication")
)
REOPENED: Final = Act(
    "inspection.reopened",
    "reopened an inspection: a list changed what it covers",
    "boat and inspection",
)
WAIVED: Final = Act("waiver.given", "waived a check", "boat and waiver", ("boat", "publication"))
WITHDREW_WAIVER: Final = Act(
    "waiver.withdrawn", "withdrew a waiver", "boat and waiver", ("boat", "publication")
)
RECEIVED_DELIVERY: Final = Act(
    "delivery.received", "received a delivery", "number of the delivery", ("publication",)
)
COUNTED_STOCK: Final = Act("stock.counted", "counted the stock", "number of the stocktake", ("publication",))
HANDED_OUT: Final = Act("stock.issued", "handed out parts", "number of the list", ("publication",))
CAME_BACK: Final = Act("stock.returned", "took parts back", "number of the list", ("publication",))
SAID_SUPPLY: Final = Act("supply.said", "said how a boat gets her parts", "the boat", ("publication",))
GAVE_ANSWERS: Final = Act(
    "answer.given", "answered questions about her gear", "the boat", ("boat", "publication")
)
INVITED: Final = Act("link.made", "made a skipper's link", "boat and token")
ENDED_LINK: Final = Act("link.ended", "ended a skipper's link", "boat and token")
PAID: Final = Act("payment.received", "recorded a payment", "boat and number", ("publication",))
REFUNDED: Final = Act("payment.refunded", "recorded a refund", "boat and number", ("publication",))
PUBLISHED: Final = Act("site.published", "published site, order and papers", "the list or the job")
FAILED_LIST: Final = Act("assess.failed", "gave up a list: it is not in force", "the job")
FAILED_SITE: Final = Act("site.failed", "gave up making site, order and papers", "the job")
MADE_TOKEN: Final = Act("token.made", "made a token", "the token")
REVOKED_TOKEN: Final = Act("token.revoked", "revoked a token", "the token")

ACTS: Final[dict[str, Act]] = {
    act.name: act
    for act in (
        MADE_FLEET, RECEIVED_LIST, LIST_IN_FORCE, UNDID_LIST, CHANGED_RULES, RECORDED, SIGNED,
        WITHDREW_INSPECTION, REOPENED, WAIVED, WITHDREW_WAIVER, RECEIVED_DELIVERY, COUNTED_STOCK, HANDED_OUT,
        CAME_BACK, SAID_SUPPLY, GAVE_ANSWERS, INVITED, ENDED_LINK, PAID, REFUNDED, PUBLISHED,
        FAILED_LIST, FAILED_SITE, MADE_TOKEN, REVOKED_TOKEN,
    )
}  # fmt: skip

SIGN_OFF_BY_ACT: Final = {SIGNED.name: True, REOPENED.name: False}
"""Whether an inspection is signed off after the act, for those who read it in the trail."""


def words_of(name: str) -> str:
    """What was done, in words; a name that only another version of the program knows stands for itself.

    >>> words_of("fleet.made")
    'made a fleet'
    """
    return ACTS[name].words if name in ACTS else name


def record(
    connection: Connection,
    actor: Actor,
    act: Act,
    fleet_id: str,
    subject: str,
    *,
    before: object = None,
    after: object = None,
    did: bytes = b"",
) -> Head:
    """Add the record of an act, in the transaction of what it did.

    `did` are the bytes that it took in, where it took in any (a list, a delivery); their hash, or that of
    `after`, stands in the record as `did_sha256`.
    """
    content = did or json.dumps(after, ensure_ascii=False, sort_keys=True).encode()
    told = after if isinstance(after, dict) else {"value": after}
    hashed = {**told, "did_sha256": hashlib.sha256(content).hexdigest()}
    return append(connection, actor, act.name, fleet_id, subject, before=before, after=hashed)
