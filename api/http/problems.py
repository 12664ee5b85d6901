"""Every error of the interface: one table of codes, one function that builds the answer (RFC 9457)."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Any, Final

from starlette.responses import Response

from api.season.errors import ChangedMeanwhile, SeasonError

MEDIA_TYPE: Final = "application/problem+json"

# Stable code -> status and title. A code is never given another meaning.
CODES: Final[Mapping[str, tuple[int, str]]] = MappingProxyType(
    {
        "bad-request": (400, "The request cannot be read"),
        "no-token": (401, "A bearer token is needed"),
        "bad-token": (401, "The token does not count"),
        "not-allowed": (403, "This token may not do that"),
        "not-found": (404, "There is nothing at this address"),
        "method-not-allowed": (405, "This address does not take this method"),
        "too-slow": (408, "The request did not arrive in time"),
        "conflict": (409, "That does not go with the present state"),
        "would-withdraw": (409, "The list leaves out more than a tenth of the fleet"),
        "changed-meanwhile": (412, "Somebody changed it meanwhile"),
        "too-large": (413, "The request is too large"),
        "wrong-content-type": (415, "The content is not of a kind taken here"),
        "no-such-part": (416, "The file has no such part"),
        "not-valid": (422, "The request does not fit what is expected"),
        "not-measurable": (422, "A measurement cannot be taken as it stands"),
        "key-used-otherwise": (422, "The idempotency key was used for something else"),
        "no-if-match": (428, "Say which version is meant"),
        "no-idempotency-key": (428, "Give an idempotency key"),
        "too-many-requests": (429, "Too many requests"),
        "locked-out": (429, "Too many wrong tokens"),
        "internal": (500, "The program met something it does not foresee"),
        "not-ready": (503, "The program is not ready"),
        "too-busy": (503, "Too many requests are being answered"),
    }
)


class Problem(Exception):  # noqa: N818  the answer itself, raised from anywhere below a route
    """An error for the client, in the one shape."""

    def __init__(
        self,
        code: str,
        detail: str = "",
        *,
        errors: Sequence[Mapping[str, str]] = (),
        headers: Mapping[str, str] | None = None,
    ) -> None:
        self.code, self.detail = code, detail
        self.errors, self.headers = tuple(errors), dict(headers or {})
        super().__init__(code)

    @property
    def status(self) -> int:
        """The HTTP status of the code."""
        return CODES[self.code][0]

    def response(self) -> Response:
        """The answer."""
        return problem_response(self.code, self.detail, errors=self.errors, headers=self.headers)


def problem_response(
    code: str,
    detail: str = "",
    *,
    errors: Sequence[Mapping[str, str]] = (),
    headers: Mapping[str, str] | None = None,
) -> Response:
    """Build the one shape of errors; nothing of what was sent is repeated in it."""
    text = json.dumps(problem_body(code, detail, errors), ensure_ascii=False)
    return Response(text, CODES[code][0], headers=dict(headers or {}), media_type=MEDIA_TYPE)


def refusal_response(refusal: SeasonError) -> Response:
    """The answer where an act was refused."""
    headers = {"etag": refusal.etag} if isinstance(refusal, ChangedMeanwhile) else None
    return problem_response(refusal.code, refusal.detail, errors=refusal.errors, headers=headers)


def problem_body(code: str, detail: str = "", errors: Sequence[Mapping[str, str]] = ()) -> dict[str, Any]:
    """The document itself; one stands too in an upload whose list was refused."""
    status, title = CODES[code]
    body: dict[str, Any] = {
        "type": f"urn:drogue-muster:problem:{code}",
        "title": title,
        "status": status,
        "code": code,
        "detail": detail or title,
    }
    return body | ({"errors": [dict(error) for error in errors]} if errors else {})
