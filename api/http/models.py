"""What is taken, checked strictly: nothing unknown, every text and number bounded, no control characters."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Final, Literal

from pydantic import AfterValidator, AwareDatetime, BaseModel, ConfigDict, Field, StringConstraints

from api.season.observed import MOST_AHEAD, OLDEST
from sizing.audit import REGISTER
from sizing.fields import ANSWERABLE, CHOICES, MEASURABLE
from sizing.policy_rules import written

NO_CONTROLS: Final = r"^[^\x00-\x1f\x7f]+$"
PHOTO: Final = r"^[A-Za-z0-9._/-]*$"
AMOUNT: Final = r"^[0-9]{1,8}(\.[0-9]{1,2})?$"
CHECKS: Final = tuple(spec.check.id for spec in REGISTER)
MOST_MEASUREMENTS: Final = 60


def _known(words: tuple[str, ...]) -> AfterValidator:
    def check(word: str) -> str:
        if word not in words:
            raise ValueError("one of the words known here")
        return word

    return AfterValidator(check)


_Written = AfterValidator(written)
Name = Annotated[str, StringConstraints(min_length=1, max_length=120, pattern=NO_CONTROLS), _Written]
Value = Annotated[str, StringConstraints(min_length=1, max_length=80, pattern=NO_CONTROLS), _Written]
Reason = Annotated[str, StringConstraints(min_length=3, max_length=500, pattern=NO_CONTROLS), _Written]
Column = Annotated[
    str, StringConstraints(max_length=40), _known(tuple(MEASURABLE)),
    Field(json_schema_extra={"enum": list(MEASURABLE)}),
]  # fmt: skip
CheckId = Annotated[
    str, StringConstraints(max_length=80), _known(CHECKS), Field(json_schema_extra={"enum": list(CHECKS)})
]


class RequestModel(BaseModel):
    """Base of everything a client may send."""

    model_config = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False, frozen=True)


class NewFleet(RequestModel):
    """A fleet, before its first upload."""

    name: Name = Field(examples=["Spring passage"])


class Measurement(RequestModel):
    """One column as found aboard, written with its unit."""

    field: Column = Field(examples=["lead_line_diameter"])
    value: Value = Field(examples=["20 mm"])


class NewInspection(RequestModel):
    """What a scrutineer saw aboard one boat."""

    measurements: list[Measurement] = Field(
        max_length=MOST_MEASUREMENTS, examples=[[{"field": "lead_line_diameter", "value": "20 mm"}]]
    )
    photo: Annotated[str, StringConstraints(max_length=200, pattern=PHOTO)] = Field(
        "", description="Name or number of the photo", examples=["2027-05-01/IMG_0412.jpg"]
    )
    note: Annotated[str, StringConstraints(max_length=2000, pattern=r"^[^\x00-\x09\x0b-\x1f\x7f]*$")] = Field(
        "", examples=["Measured on the pontoon, line dry."]
    )
    observed_at_phone_clock: AwareDatetime | None = Field(
        None,
        description=f"When it was seen, by the clock of the phone, with its zone (RFC 3339). At most "
        f"{MOST_AHEAD.seconds // 60} minutes after it arrives, and {OLDEST.days} days before. It is kept "
        "beside the server's own time of arrival and decides nothing about what counts.",
        examples=["2027-05-01T14:02:11+02:00"],
    )


class Withdrawal(RequestModel):
    """Why something recorded no longer counts. It stays to be read."""

    reason: Reason = Field(examples=["Measured on the wrong boat."])


class SignOff(RequestModel):
    """A statement that an inspection is right as it stands."""

    statement: Reason = Field(examples=["Seen and agreed aboard."])


BoatId = Annotated[str, StringConstraints(max_length=64, pattern=r"^[a-z0-9][a-z0-9-]{7,63}$")]
Supply = Annotated[
    str, StringConstraints(max_length=40), _known(CHOICES["gear_supply"]),
    Field(json_schema_extra={"enum": list(CHOICES["gear_supply"])}),
]  # fmt: skip
Amount = Annotated[str, StringConstraints(min_length=1, max_length=11, pattern=AMOUNT)]
Currency = Annotated[str, StringConstraints(min_length=3, max_length=3, pattern="^[A-Z]{3}$")]
Day = Annotated[
    dt.date,
    Field(
        ge=dt.date(2000, 1, 1), le=dt.date(2100, 12, 31), examples=["2026-11-20"],
        json_schema_extra={"pattern": "^(20[0-9]{2}|2100)-[0-9]{2}-[0-9]{2}$"},
    ),
]  # fmt: skip


class NewSupply(RequestModel):
    """How a boat gets the parts she is short of, as somebody said."""

    boat_id: BoatId
    supply: Supply = Field(examples=["rally order"])
    by: Name = Field(description="Who said so", examples=["her skipper"])
    day: Day | None = Field(None, description="When it was said; today where it is left out")
    price: Amount | None = Field(
        None, description="What she agreed to pay, in the currency of the price book", examples=["312.50"]
    )


Answerable = Annotated[
    str, StringConstraints(max_length=40), _known(tuple(ANSWERABLE)),
    Field(json_schema_extra={"enum": list(ANSWERABLE)}),
]  # fmt: skip


class NewAnswer(RequestModel):
    """What a skipper says of one column: a value with its unit, that she does not know, or by when."""

    field: Answerable = Field(examples=["cone_count"])
    state: Literal["said", "unknown", "later"] = Field("said", examples=["said"])
    value: Value | None = Field(None, description="As it is written; with `said` alone", examples=["120"])
    until: Day | None = Field(None, description="By when it is measured; with `later` alone", examples=[None])
    over: int | None = Field(
        None, ge=0, le=1_000_000_000, examples=[None],
        description="The number of the answer that was read before, 0 for none. It is refused where another "
        "phone answered meanwhile; without it, what arrives last counts.",
    )  # fmt: skip


class NewAnswers(RequestModel):
    """A skipper's answers about her boat, and how she gets her parts."""

    by: Name = Field(description="Who answers", examples=["her skipper"])
    answers: list[NewAnswer] = Field(
        default_factory=list,
        max_length=MOST_MEASUREMENTS,
        examples=[[{"field": "cone_count", "value": "120"}]],
    )
    supply: Supply | None = Field(None, examples=[None])
    price: Amount | None = Field(
        None, description="The price that was shown, where she takes it", examples=[None]
    )


class NewLink(RequestModel):
    """A link for a boat's skipper; the one before ends."""

    days: int = Field(300, ge=1, le=400, description="How long it lasts", examples=[300])


class NewPayment(RequestModel):
    """What a boat paid towards her parts, or what went back to her."""

    boat_id: BoatId
    kind: Literal["payment", "refund"] = Field("payment", examples=["payment"])
    amount: Amount = Field(description="A sum above 0; what goes back is a refund", examples=["312.50"])
    currency: Currency = Field(description="It has to be that of the price book", examples=["EUR"])
    by: Name = Field(description="Who paid, or gave back", examples=["her skipper"])
    day: Day | None = Field(None, description="When it was paid; today where it is left out")
    reference: Annotated[str, StringConstraints(max_length=80, pattern=NO_CONTROLS + "|^$")] = Field(
        "", description="What tells it from another payment of the same sum and day", examples=["transfer 12"]
    )


class NewWaiver(RequestModel):
    """A finding set aside for one boat until a date; it changes no number."""

    boat_id: BoatId
    check: CheckId = Field(examples=["line.lead-length"])
    reason: Reason = Field(examples=["Accepted for this passage after a look at the drawing."])
    officer: Name = Field(examples=["Safety office"])
    until: dt.date = Field(
        ge=dt.date(2000, 1, 1), le=dt.date(2100, 12, 31), examples=["2027-06-30"],
        json_schema_extra={"pattern": "^(20[0-9]{2}|2100)-[0-9]{2}-[0-9]{2}$"},
    )  # fmt: skip


class WhatIf(RequestModel):
    """Cells as they would be, to see what would follow. Nothing is kept."""

    changes: list[Measurement] = Field(
        min_length=1, max_length=MOST_MEASUREMENTS, examples=[[{"field": "displacement", "value": "9.2 t"}]]
    )
