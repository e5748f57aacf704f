"""The server of the live page: this machine only, this page only, nothing of the disk but the page's own three files.

Every request must name this server as its host (another name that leads here is somebody's trick) and may come from
no other site. Names of drafts in requests are looked up in the list of drafts, never joined to a path.
"""

from __future__ import annotations

import asyncio
import socket
from collections.abc import AsyncIterator, Callable
from importlib.resources import files
from urllib.parse import quote

import uvicorn
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, Response, StreamingResponse
from starlette.routing import Route
from starlette.types import ASGIApp, Receive, Scope, Send

from scribe.engrave.ink import defs
from scribe.engrave.live import digits
from scribe.live.desk import Desk
from scribe.live.drafts import Folder
from scribe.live.hub import Hub, Listener, View, to_json

HOST = "127.0.0.1"
_TRIES = 20  # ports beyond the wanted one
_BEAT = 15.0  # seconds after which a silent stream shows that it lives

_RULES = (
    "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; img-src 'self';"
    " base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
_HEADERS = [
    (b"content-security-policy", _RULES.encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"cache-control", b"no-store"),
]
_FILES = {
    "/": ("index.html", "text/html; charset=utf-8"),
    "/page.css": ("page.css", "text/css; charset=utf-8"),
    "/page.js": ("page.js", "text/javascript; charset=utf-8"),
    "/icon.svg": ("icon.svg", "image/svg+xml"),
    "/icon-error.svg": ("icon-error.svg", "image/svg+xml"),
}


class Guard:
    """Lets requests through that this page itself, a person or an editor on this machine may have made."""

    def __init__(self, app: ASGIApp, port: int) -> None:
        self._app = app
        self._hosts = {f"{name}:{port}".encode() for name in (HOST, "localhost")}
        self._origins = {b"http://" + host for host in self._hosts}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            return
        if not self._welcome(scope):
            await Response("not for you\n", 403, media_type="text/plain")(scope, receive, send)
            return

        async def with_headers(message: dict[str, object]) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [*message.get("headers", []), *_HEADERS]  # type: ignore[misc]
            await send(message)

        await self._app(scope, receive, with_headers)  # type: ignore[arg-type]

    def _welcome(self, scope: Scope) -> bool:
        headers = dict(scope["headers"])
        hosts = [value for name, value in scope["headers"] if name == b"host"]
        if len(hosts) != 1 or hosts[0].lower() not in self._hosts:
            return False
        origin = headers.get(b"origin")
        if origin is not None and origin not in self._origins:
            return False
        site = headers.get(b"sec-fetch-site", b"none")
        if site in (b"same-origin", b"none"):
            return True
        # A link on another page may lead here; nothing else there may.
        return scope["path"] == "/" and headers.get(b"sec-fetch-mode") == b"navigate"


class Site:
    """The pages and what they ask for."""

    def __init__(self, folder: Folder, desk: Desk, hub: Hub, editor: str = "", at: int = 0) -> None:
        self._folder = folder
        self._desk = desk
        self._hub = hub
        self._editor = editor
        self._at = at

    def app(self, port: int) -> ASGIApp:
        """Return the application, guarded for `port`."""
        routes = [Route(path, self._file, methods=["GET"]) for path in _FILES]
        routes += [
            Route("/stream", self._stream, methods=["GET"]),
            Route("/cursor", self._cursor, methods=["POST"]),
            Route("/neck", self._neck, methods=["GET"]),
        ]
        return Guard(Starlette(routes=routes), port)

    async def _file(self, request: Request) -> Response:
        name, kind = _FILES[request.url.path]
        data = (files("scribe.live") / "page" / name).read_bytes()
        return Response(data, media_type=kind)

    async def _stream(self, request: Request) -> Response:
        name = request.query_params.get("draft", "")
        names = await asyncio.to_thread(self._folder.drafts)
        if not name and names:
            name = names[0]
        known = name in names or any(view.draft == name for view in self._hub.views())
        view = View(name if known else "", request.query_params.get("narrow") == "1")
        listener = Listener(view, asyncio.get_running_loop())
        return StreamingResponse(self._events(listener), media_type="text/event-stream")

    async def _events(self, listener: Listener) -> AsyncIterator[str]:
        draft = listener.view.draft
        path = self._folder.path(draft) if draft else None
        link = self._editor.replace("{path}", quote(path.as_posix())) if path and self._editor else ""
        hello = {
            "draft": draft,
            "folder": self._folder.only is None,
            "link": link,
            "digits": [(d.glyph.id, d.scale, round(d.advance, 1), d.color) for d in digits()],
            "digitGlyphs": defs(d.glyph for d in digits()),
            "at": self._at,
        }
        yield f"event: hello\ndata: {to_json(hello)}\n\n"
        self._hub.join(listener)
        if draft:
            self._desk.show(listener.view)
        try:
            while True:
                message = await self._hub.take(listener, _BEAT)
                if message is None:
                    return
                yield f"data: {message}\n\n" if message else "event: beat\ndata: \n\n"
        finally:
            self._hub.leave(listener)

    async def _neck(self, request: Request) -> Response:
        ask = request.query_params
        system, bar = (_number(ask.get(name, "")) for name in ("system", "bar"))
        view = View(ask.get("draft", ""), ask.get("narrow") == "1")
        picture = "" if system is None or bar is None else self._hub.neck(view, system, bar)
        if not picture:
            return Response(status_code=204)
        return Response(picture, media_type="image/svg+xml")

    async def _cursor(self, request: Request) -> Response:
        place = {key: _positive(request.query_params.get(key, "")) for key in ("line", "column")}
        if not place["line"]:
            return JSONResponse({"fault": "expected line=NUMBER, counted from 1"}, 400)
        asked = request.query_params.get("draft", "")
        names = await asyncio.to_thread(self._folder.drafts)
        if not asked:
            found = names[0] if len(names) == 1 else ""
        else:
            found = next((n for n in names if asked in (n, str(self._folder.path(n)))), "")
        if not found:
            return JSONResponse({"fault": "no such draft here"}, 404)
        cursor = {"draft": found, **{key: number for key, number in place.items() if number}}
        self._hub.say(cursor=cursor)
        return JSONResponse(cursor)


def _number(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 10 else None


def _positive(text: str) -> int:
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 10 else 0


class PortTaken(Exception):
    """No free port near the wanted one."""


def bind(port: int) -> socket.socket:
    """Return a listening socket of this machine on the wanted port, or on the next free one after it."""
    for wanted in range(port, min(port + _TRIES, 65536)):
        found = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        if hasattr(socket, "SO_REUSEADDR") and not hasattr(socket, "SO_EXCLUSIVEADDRUSE"):
            found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            found.bind((HOST, wanted))
            found.listen(64)
        except OSError:
            found.close()
            continue
        return found
    raise PortTaken


class Server(uvicorn.Server):
    """Serves a site on a bound socket until it is told to stop."""

    def __init__(
        self, site: Site, bound: socket.socket, hub: Hub, ready: Callable[[], None] = lambda: None
    ) -> None:
        self._socket = bound
        self._hub = hub
        self._ready = ready
        super().__init__(
            uvicorn.Config(
                site.app(bound.getsockname()[1]),
                lifespan="off",
                log_config=None,
                access_log=False,
                http="h11",
                ws="none",
                server_header=False,
                date_header=False,
                timeout_graceful_shutdown=1,
            )
        )

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Begin to serve, then say that the page can be opened."""
        await super().startup(sockets)
        self._ready()

    def handle_exit(self, sig: int, frame: object) -> None:
        """End cleanly: the open streams first."""
        self._hub.end()
        super().handle_exit(sig, frame)  # type: ignore[arg-type]

    def serve_bound(self) -> None:
        """Serve until Ctrl-C or `stop`."""
        self.run(sockets=[self._socket])

    def stop(self) -> None:
        """End from another thread."""
        self._hub.end()
        self.should_exit = True
