"""Helpers for the tests of the live page: engines without a server, sessions with one, a browser."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from scribe.live.engine import Engine, Update
from scribe.live.engraver import Engraver
from scribe.live.look import Look

ROOT = Path(__file__).parent.parent
DEMOS = sorted((ROOT / "demo").glob("*.scribe"))
CHROMIUM = shutil.which("chromium") or "/usr/bin/chromium"
LIMIT = 20.0  # seconds that anything may take before a test gives up


def last(engine: Engine, text: str) -> Update:
    """The last of the updates that a text leads to."""
    return list(engine.update(text))[-1]


def look_of(engine: Engine) -> Look:
    """The last of the looks at the hand."""
    return list(engine.looks())[-1]


@contextmanager
def engines() -> Iterator[Callable[[], Engine]]:
    """A maker of engines that share one engraver."""
    engraver = Engraver()
    try:
        yield lambda: Engine(engraver)
    finally:
        engraver.close()


def wait_for(true: Callable[[], object], what: str = "what was waited for") -> None:
    """Wait until something is so; fails after LIMIT seconds."""
    end = time.monotonic() + LIMIT
    while not true():
        assert time.monotonic() < end, f"not in {LIMIT:.0f} s: {what}"
        time.sleep(0.01)


class Watch:
    """A `scribe watch` as a process of its own."""

    def __init__(self, path: Path, *options: str, cache: Path | None = None) -> None:
        environment = dict(os.environ, PYTHONUNBUFFERED="1")
        if cache is not None:
            environment["XDG_CACHE_HOME"] = str(cache)
        self.log = path.parent / f"{path.name}.log"
        self._out = self.log.open("wb")
        self.process = subprocess.Popen(
            [sys.executable, "-m", "scribe", "watch", str(path), "--no-open", *options],
            cwd=ROOT,
            stdout=self._out,
            stderr=subprocess.STDOUT,
            env=environment,
        )

    def said(self) -> str:
        """Everything it has printed."""
        return self.log.read_text(encoding="utf-8")

    @property
    def url(self) -> str:
        """The address that it printed, once it has."""
        wait_for(
            lambda: " at http://" in self.said() or self.process.poll() is not None, "the page's address"
        )
        assert self.process.poll() is None, self.said()
        return self.said().partition(" at ")[2].split()[0]

    @property
    def base(self) -> str:
        """The address without what it asks for."""
        return self.url.partition("?")[0].rstrip("/")

    def end(self, signal: int = 2) -> int:
        """Send Ctrl-C and return the exit status."""
        if self.process.poll() is None:
            self.process.send_signal(signal)
        try:
            return self.process.wait(LIMIT)
        finally:
            self._out.close()


@contextmanager
def watching(path: Path, *options: str, cache: Path | None = None) -> Iterator[Watch]:
    """A running `scribe watch`."""
    watch = Watch(path, *options, cache=cache)
    try:
        yield watch
    finally:
        watch.end()


def get(url: str, method: str = "GET", **headers: str) -> tuple[int, bytes, dict[str, str]]:
    """Status, body and headers of a request made without a browser."""
    request = urllib.request.Request(url, method=method)
    for name, value in headers.items():
        request.add_header(name.replace("_", "-"), value)
    opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
    try:
        with opener.open(request, timeout=LIMIT) as answer:
            return answer.status, answer.read(), dict(answer.headers)
    except urllib.error.HTTPError as fault:
        return fault.code, fault.read(), dict(fault.headers)


def needs_browser() -> pytest.MarkDecorator:
    """Skips where there is no Chromium, with the reason; where one is required, the tests fail instead."""
    required = os.environ.get("SCRIBE_BROWSER") == "required"
    missing = not Path(CHROMIUM).exists()
    return pytest.mark.skipif(
        missing and not required, reason="no chromium on this machine (apt install chromium)"
    )
