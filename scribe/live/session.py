"""One `scribe watch`: folder, watcher, desk, engraver and server together, from start to Ctrl-C."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from hashlib import blake2b
from pathlib import Path
from typing import NamedTuple
from urllib.parse import urlencode

from scribe.diagnostics import Diagnostic
from scribe.diagnostics.show import tally
from scribe.live.desk import Desk, Save
from scribe.live.drafts import Folder, Unreadable, text_of
from scribe.live.engine import Engine
from scribe.live.engraver import Engraver
from scribe.live.hub import Hub
from scribe.live.output import Printer
from scribe.live.sketch import Sketch
from scribe.live.watcher import Watcher
from scribe.music.progress import bars_words
from scribe.music.suspect import suspect

_LONG = 400  # bars: the hand of longer pieces takes too long for a line on the terminal
Say = Callable[[str], None]


class Options(NamedTuple):
    """What the command line says. `at`: a line, 0 for none; `out`: where pages are written on each save."""

    target: Path
    port: int
    at: int
    editor: str
    out: Path | None
    pdf: bool
    poll: bool


class Session:
    """A running `scribe watch`. `say` gets one line a save."""

    def __init__(self, options: Options, engraver: Engraver, say: Say) -> None:
        self.options = options
        self.folder = Folder.of(options.target)
        self._say = say
        self._engraver = engraver
        self._printer = Printer(options.out, options.pdf, say) if options.out else None

    def once(self) -> int:
        """Take every draft up once. Returns the exit status: 0 clean, 1 errors in a draft, 2 unreadable."""
        status = 0
        try:
            for name in self.folder.drafts():
                text = text_of(self.folder.path(name).read_bytes())
                if isinstance(text, Unreadable):
                    self._failed(name, text)
                    status = 2
                    continue
                engine = Engine(self._engraver)
                for update in engine.update(text):
                    if update.done and engine.sketch is not None:
                        save = Save(
                            name, text, engine.sketch, update.changed, len(engine.order), update.seconds, True
                        )
                        self._saved(save)
                        if any(each.severity == "error" for each in engine.sketch.diagnostics):
                            status = max(status, 1)
            if self._printer:
                self._printer.finish()
        finally:
            self._engraver.close()
        return status

    def run(self, ready: Callable[[str], None]) -> None:
        """Watch and serve until Ctrl-C. `ready` is called with the page's address once it can be opened."""
        self._engraver.start()
        hub = Hub()
        desk = Desk(self.folder, self._engraver, hub, self._saved, self._failed)
        if self.folder.only is not None:
            desk.touched(self.folder.only)
        desk.start()
        # The server's own imports take longest: the first draft is engraved meanwhile.
        from scribe.live.server import HOST, Server, Site, bind

        watcher = Watcher(
            self.folder.root,
            desk.wanted,
            desk.touched,
            desk.known,
            desk.scan,
            recursive=self.folder.only is None,
            poll=self.options.poll,
        )
        watcher.start()
        bound = bind(self.options.port)
        port = bound.getsockname()[1]
        url = f"http://{HOST}:{port}/"
        if self.folder.only is not None:
            url += "?" + urlencode({"draft": self.folder.name(self.folder.only)})
        site = Site(self.folder, desk, hub, self.options.editor, self.options.at)
        note = _Note(self.folder, port)
        desk.scan()
        try:
            note.write()
            Server(site, bound, hub, lambda: ready(url)).serve_bound()
        except KeyboardInterrupt:
            pass
        finally:
            note.remove()
            watcher.stop()
            desk.stop()
            self._engraver.close()
            if self._printer:
                self._printer.close()

    # --- one line a save -----------------------------------------------------------------------------------

    def _saved(self, save: Save) -> None:
        said = [_drawn(save), tally(_remarks(save.sketch))]
        self._say(f"{save.name}: {'; '.join(part for part in said if part)}")
        if self._printer:
            self._printer.save(save.name, save.text)

    def _failed(self, name: str, fault: Unreadable) -> None:
        self._say(f"{name}: {fault.message}; {fault.mend}")


def _remarks(sketch: Sketch) -> tuple[Diagnostic, ...]:
    """What the page lists, once it knows what the hand cannot play; of a long piece without that."""
    if len(sketch.bars) > _LONG or not suspect(piece := sketch.piece()):
        return sketch.diagnostics
    from scribe.bass.remarks import playing

    return (*sketch.diagnostics, *playing(piece))


def _drawn(save: Save) -> str:
    """What changed and how long it took: `bars 5-8 in 9 ms`."""
    took, bars = f"{save.seconds * 1000:.0f} ms", bars_words(save.sketch.progress)
    if not save.systems:
        return f"{bars} read in {took}"
    if save.first:
        count = save.systems
        return f"{bars} on {count} system{'s' if count != 1 else ''} in {took}"
    if not save.changed:
        return f"nothing new on the page, {took}"
    many = [f"{first}-{last}" if last > first else str(first) for first, last in save.changed]
    shown = ", ".join(many[:4]) + (f" and {len(many) - 4} more" if len(many) > 4 else "")
    one = len(many) == 1 and "-" not in many[0]
    return f"bar{'' if one else 's'} {shown} in {took}"


# --- a watch that runs already ----------------------------------------------------------------------------------


class _Note:
    """A small file in the user's cache folder that says where a folder is being watched."""

    def __init__(self, folder: Folder, port: int = 0) -> None:
        self._folder = folder
        self._port = port

    def path(self) -> Path:
        from platformdirs import user_cache_path

        what = self._folder.only or self._folder.root
        name = blake2b(str(what.resolve()).encode(), digest_size=12).hexdigest()
        return user_cache_path("scribe") / "watch" / f"{name}.json"

    def write(self) -> None:
        path = self.path()
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(json.dumps({"port": self._port, "process": os.getpid()}), encoding="utf-8")
        except OSError:
            pass  # only `--at` from another terminal needs it

    def port(self) -> int:
        try:
            found = json.loads(self.path().read_text(encoding="utf-8"))
            return int(found["port"])
        except (OSError, ValueError, KeyError, TypeError):
            return 0

    def remove(self) -> None:
        if self.port() == self._port:
            self.path().unlink(missing_ok=True)


def running(target: Path, line: int) -> str:
    """Move the page of a watch that runs already to a line of `target`; returns its address, empty if none runs."""
    import urllib.request

    own = Folder.of(target)
    tries = [own, *(Folder(parent) for parent in own.root.resolve().joinpath("x").parents)]
    for folder in tries:
        port = _Note(folder).port()
        if not port:
            continue
        draft = str(target.absolute()) if target.is_file() else ""
        query = urlencode({"draft": draft, "line": line})
        request = urllib.request.Request(f"http://127.0.0.1:{port}/cursor?{query}", method="POST", data=b"")
        try:
            opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
            with opener.open(request, timeout=2):
                return f"http://127.0.0.1:{port}/"
        except OSError:
            continue
    return ""
