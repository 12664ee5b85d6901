"""What answers without a token: the public sites, the dock page's shell, and the readable description.

None of it holds anything of a fleet but the public site itself; the dock page asks for data with a token.
"""

from __future__ import annotations

import html
import re
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Final

from fastapi import FastAPI
from sqlalchemy import bindparam, select
from starlette.datastructures import MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles
from starlette.types import Message, Receive, Scope, Send

from api.dock.files import DockFiles, answer_files, dock_files
from api.http.content_types import kind_of
from api.http.context import FLEET_FORM, unchanged
from api.http.pages import not_changed
from api.http.problems import Problem
from api.settings import Settings
from api.storage.schema import fleets
from api.storage.store import Store
from sitegen.shell import CONTENT_SECURITY_POLICY

READER: Final = Path(__file__).resolve().parent / "reader"
DOCK_POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
    "manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
FORM_POLICY: Final = DOCK_POLICY.replace("img-src 'self'", "img-src 'self' data:")
READER_POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data:; "
    "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
SITE_POLICY: Final = f"{CONTENT_SECURITY_POLICY}; frame-ancestors 'none'"
LASTING: Final = "public, max-age=31536000, immutable"  # for addresses that carry the version of the content

_NOT_FOUND: Final = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>There is no such page, Drogue Muster</title>
<link rel="icon" href="{dock}/mark.svg">
<link rel="stylesheet" href="{dock}/dock.css">
</head>
<body>
<header><h1>Drogue Muster</h1></header>
<main>
<h2>There is no such page</h2>
<p>{sentence}</p>
<p><a href="{to}">{name}</a></p>
</main>
</body>
</html>
"""


class Folder:
    """Files of one folder, with the headers they need; `missing` answers where there is none."""

    def __init__(
        self, folder: Path, policy: str, missing: Callable[[], Response], *, check: bool = True
    ) -> None:
        self._files = StaticFiles(directory=folder, html=True, check_dir=check, follow_symlink=True)
        self._policy, self._missing = policy, missing

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer with a file of the folder."""
        path = scope["path"]

        async def answer(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                if message["status"] == 416:
                    raise Problem("no-such-part", headers={"content-range": headers["content-range"]})
                headers["content-security-policy"] = self._policy
                headers["cache-control"] = "no-cache"
                if message["status"] == 200:
                    headers["content-type"] = kind_of("index.html" if path.endswith("/") else path)
            await send(message)

        try:
            await self._files(scope, receive, answer)
        except HTTPException as error:
            if error.status_code != 404:
                raise
            await self._missing()(scope, receive, send)


_FOLDER: Final = select(fleets.c.folder).where(fleets.c.id == bindparam("fleet"))


class Sites:
    """The public sites, each below the id of its fleet."""

    def __init__(self, settings: Settings, missing: Callable[[str, str, str], Response]) -> None:
        self._settings, self._missing = settings, missing
        self._folders: dict[str, str] = {}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer with a page of a fleet's site; a page for people where there is none."""
        path = scope["path"].removeprefix(scope.get("root_path", "")).lstrip("/")
        fleet_id, slash, _ = path.partition("/")
        folder = self._folder_of(fleet_id, scope["app"].state.server.store)
        site = self._settings.folder / (folder or "") / "site"
        if folder is None or not site.is_dir():
            sentence = (
                "No fleet has a site at this address. A site is there some seconds after an entry list was "
                "uploaded; ask the safety officer for its address."
            )
            await self._missing(sentence, "/dock/", "The dock page")(scope, receive, send)
            return
        home = f"/site/{fleet_id}/"
        if not slash:
            await RedirectResponse(home, 307)(scope, receive, send)
            return

        def missing() -> Response:
            sentence = (
                "The page may be of a boat that is not in the entry list any more, or the address is wrong."
            )
            return self._missing(sentence, home, "All boats of the fleet")

        inner = dict(scope, root_path=f"{scope.get('root_path', '')}/{fleet_id}")
        await Folder(site, SITE_POLICY, missing, check=False)(inner, receive, send)

    def _folder_of(self, fleet_id: str, store: Store) -> str | None:
        """Where a fleet's outputs lie, which never changes; None where there is no such fleet."""
        if fleet_id not in self._folders and re.fullmatch(FLEET_FORM, fleet_id):
            row = store.one(_FOLDER, {"fleet": fleet_id})
            if row is None:
                return None
            self._folders[fleet_id] = str(row[0])
        return self._folders.get(fleet_id)


def not_found_page(dock: DockFiles, sentence: str, to: str, name: str) -> Response:
    """A page for people who follow an address that leads nowhere."""
    words = {"sentence": sentence, "to": to, "name": name, "dock": f"/dock/{dock.version}"}
    text = _NOT_FOUND.format(**{key: html.escape(word) for key, word in words.items()})
    headers = {"content-security-policy": DOCK_POLICY, "cache-control": "no-cache"}
    return HTMLResponse(text, 404, headers)


def page_for_people(request: Request) -> Response | None:
    """A page for a browser whose address leads nowhere; None for a program, and below /v1/."""
    if request.url.path.startswith("/v1/") or "text/html" not in request.headers.get("accept", ""):
        return None
    sentence = "The address may be mistyped. The pages of a fleet are reached from its own address."
    return not_found_page(request.app.state.dock, sentence, "/dock/", "The dock page")


def add_open_pages(app: FastAPI, settings: Settings) -> None:
    """Add what answers without a token."""
    dock = app.state.dock = dock_files()

    async def description(_request: Request) -> Response:
        return JSONResponse(app.openapi())

    form = answer_files()

    async def dock_file(request: Request) -> Response:
        found = dock.at(request.path_params["path"])
        if found is None:
            return missing("The dock page has one address.", "/dock/", "The dock page")
        return file_of(request, dock, *found)

    async def form_file(request: Request) -> Response:
        found = form.at(request.path_params["path"])
        if found is None:
            return missing("Open the link that you were sent.", "/answer/", "The form")
        return file_of(request, form, *found)

    def file_of(request: Request, page: DockFiles, name: str, content: bytes) -> Response:
        path, etag = request.path_params["path"], f'"{page.version}"'
        if unchanged(request, etag):
            return not_changed(etag)
        caching = LASTING if path.startswith(page.version) else "no-cache"
        policy = FORM_POLICY if page is form else DOCK_POLICY
        headers = {"content-security-policy": policy, "cache-control": caching, "etag": etag}
        return Response(content, headers=headers, media_type=kind_of(name))

    def missing(sentence: str, to: str, name: str) -> Response:
        return not_found_page(dock, sentence, to, name)

    def no_chapter() -> Response:
        return missing("The description of the interface has one address.", "/docs/", "The description")

    def to(address: str) -> Callable[[Request], Awaitable[Response]]:
        async def lead(_request: Request) -> Response:
            return RedirectResponse(address, 307)

        return lead

    app.router.routes += [
        Route("/openapi.json", description, methods=["GET"], include_in_schema=False),
        Route("/", to("/dock/"), methods=["GET"], include_in_schema=False),
        Route("/dock", to("/dock/"), methods=["GET"], include_in_schema=False),
        Route("/dock/{path:path}", dock_file, methods=["GET"], include_in_schema=False),
        Route("/answer", to("/answer/"), methods=["GET"], include_in_schema=False),
        Route("/answer/{path:path}", form_file, methods=["GET"], include_in_schema=False),
        Route("/docs", to("/docs/"), methods=["GET"], include_in_schema=False),
        Mount("/docs", Folder(READER, READER_POLICY, no_chapter), name="docs"),
        Mount("/site", Sites(settings, missing), name="site"),
    ]
