"""The description of the interface (OpenAPI 3.1): bodies, headers, and every problem of a route."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi
from pydantic import BaseModel

from api.http.problems import CODES, MEDIA_TYPE
from api.http.response_models import ProblemDocument

_REF: Final = "#/components/schemas/{model}"
KEY_HEADER: Final = {
    "name": "Idempotency-Key", "in": "header", "required": True,
    "description": "A new random key for every write; the same key again gets the same answer.",
    "schema": {"type": "string", "pattern": "^[A-Za-z0-9_-]{8,128}$"},
}  # fmt: skip
MATCH_HEADER: Final = {
    "name": "If-Match", "in": "header", "required": True,
    "description": "The ETag last read of the boat (for an upload, of the fleet).",
    "schema": {"type": "string", "pattern": '^"[!#-~]{1,64}"$'},
}  # fmt: skip
NONE_MATCH_HEADER: Final = {
    "name": "If-None-Match", "in": "header", "required": False,
    "description": "An ETag already held; 304 if it still stands.",
    "schema": {"type": "string"},
}  # fmt: skip


def problems(*statuses: int) -> dict[int | str, dict[str, Any]]:
    """Responses of a route for these statuses, each a problem document."""
    titles: dict[int, list[str]] = {}
    for code, (status, _) in CODES.items():
        titles.setdefault(status, []).append(code)
    return {
        status: {
            "description": f"Problem: {', '.join(titles[status])}",
            "content": {MEDIA_TYPE: {"schema": {"$ref": _REF.format(model=ProblemDocument.__name__)}}},
        }
        for status in sorted({*statuses, 400, 401, 403, 405, 408, 413, 422, 429, 500, 503})
    }


def taking(
    model: type[BaseModel] | None, *headers: dict[str, Any], files: Sequence[str] = ()
) -> dict[str, Any]:
    """The part of a route's description about its body and headers."""
    described: dict[str, Any] = {}
    if headers:
        described["parameters"] = list(headers)
    if model is not None:
        schema = {"$ref": _REF.format(model=model.__name__)}
        described["requestBody"] = {"required": True, "content": {"application/json": {"schema": schema}}}
    if files:
        content = {kind: {"schema": {"type": "string", "format": "binary", "minLength": 1}} for kind in files}
        described["requestBody"] = {"required": True, "content": content}
    return described


NOT_CHANGED: Final[dict[int | str, dict[str, Any]]] = {
    304: {"description": "It still stands as it was read."}
}


def described(app: FastAPI, taken: Sequence[type[BaseModel]]) -> dict[str, Any]:
    """The whole description, made once."""
    if app.openapi_schema:
        return app.openapi_schema
    schema = get_openapi(
        title=app.title, version=app.version, description=app.description, routes=app.routes,
        openapi_version="3.1.0",
    )  # fmt: skip
    components = schema.setdefault("components", {})
    models = components.setdefault("schemas", {})
    shapes: list[type[BaseModel]] = [ProblemDocument, *taken]
    for model in shapes:
        own = model.model_json_schema(ref_template=_REF)
        models.update(own.pop("$defs", {}))
        models[model.__name__] = own
    for unused in ("HTTPValidationError", "ValidationError"):
        models.pop(unused, None)
    components["securitySchemes"] = {"token": {"type": "http", "scheme": "bearer"}}
    for path, operations in schema["paths"].items():
        for method, operation in operations.items():
            if not path.startswith(("/health", "/ready")):
                operation["security"] = [{"token": []}]
            if method == "get":
                for status in ("408", "413"):
                    operation["responses"].pop(status, None)
    app.openapi_schema = schema
    return schema
