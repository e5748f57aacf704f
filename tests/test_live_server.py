"""Who may ask the server what: this machine's page and editor; nothing of the disk is ever told."""

from __future__ import annotations

import http.client
import json
import re
import socket
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pytest

from tests.live_help import LIMIT, Watch, get, wait_for, watching

SECRET = "| g a secret g |"


@pytest.fixture(scope="module")
def watch(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Watch]:
    """A watched folder with two drafts, and files that nobody may read."""
    root = tmp_path_factory.mktemp("server")
    folder = root / "drafts"
    (folder / "below").mkdir(parents=True)
    (root / "outside.scribe").write_text(SECRET, encoding="utf-8")
    (folder / "notes.txt").write_text(SECRET, encoding="utf-8")
    (folder / ".hidden.scribe").write_text(SECRET, encoding="utf-8")
    (folder / "link.scribe").symlink_to(root / "outside.scribe")
    (folder / "one.scribe").write_text("title One\n| g b d g |\n", encoding="utf-8")
    (folder / "below" / "two.scribe").write_text("title Two\n| c e g c |\n", encoding="utf-8")
    with watching(folder, "--port", "4460", cache=root / "cache") as found:
        yield found


class Stream:
    """What a page hears, without a browser."""

    def __init__(self, watch: Watch, draft: str, **headers: str) -> None:
        host, port = watch.base.removeprefix("http://").split(":")
        self._link = http.client.HTTPConnection(host, int(port), timeout=LIMIT)
        self._link.request("GET", f"/stream?draft={quote(draft)}", headers=headers)
        self._socket = self._link.sock
        self.answer = self._link.getresponse()
        self.parts: dict[str, Any] = {}
        self.systems: dict[str, Any] = {}
        self.hello: dict[str, Any] = {}
        self._thread = threading.Thread(target=self._hear, daemon=True)
        self._thread.start()

    def _hear(self) -> None:
        event = "message"
        try:
            for raw in self.answer:
                line = raw.decode().rstrip("\n")
                if line.startswith("event: "):
                    event = line[7:]
                elif line.startswith("data: "):
                    if event == "hello":
                        self.hello = json.loads(line[6:])
                    elif event == "message":
                        message = json.loads(line[6:])
                        self.systems |= message.pop("systems", {})
                        self.parts |= message
                    event = "message"
        except (OSError, ValueError, AttributeError):
            pass

    def text(self) -> str:
        """Everything it has heard."""
        return json.dumps([self.hello, self.parts, self.systems])

    def close(self) -> None:
        assert self._socket is not None
        self._socket.shutdown(socket.SHUT_RDWR)
        self._thread.join()
        self._link.close()


def hear(watch: Watch, draft: str) -> Stream:
    """A stream that has heard a whole page."""
    stream = Stream(watch, draft)
    wait_for(lambda: stream.parts.get("order") and all(key for key, *_ in stream.parts["order"]), "a page")
    return stream


def test_the_page_and_its_files(watch: Watch) -> None:
    """The page, its style, its script and its icon are served, under a strict policy."""
    for path, kind in (("/", "text/html"), ("/page.css", "text/css"), ("/page.js", "text/javascript")):
        status, body, headers = get(watch.base + path)
        assert (status, headers["content-type"].partition(";")[0]) == (200, kind)
        assert len(body) > 500
        policy = headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert headers["x-content-type-options"] == "nosniff"


def test_the_page_asks_nobody_else(watch: Watch) -> None:
    """No file of the page names another machine; the markup holds neither script nor style of its own."""
    for path in ("/", "/page.css", "/page.js", "/icon.svg"):
        text = get(watch.base + path)[1].decode()
        outside = set(re.findall(r"(?:https?:)?//[a-z0-9.]+\.[a-z]{2,}[^\s\"']*", text))
        assert outside <= {"http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"}
    page = get(watch.base + "/")[1].decode()
    assert not re.search(r"<script[^>]*>[^<]|<style| on\w+=| style=", page)


@pytest.mark.parametrize(
    "host", ["evil.example:4460", "127.0.0.1", "localhost:1", "127.0.0.1.evil.example:4460", ""]
)
def test_another_name_for_this_host_is_refused(watch: Watch, host: str) -> None:
    """A name that somebody made lead here (DNS rebinding) gets nothing, from any address."""
    for path in ("/", "/page.js", "/stream?draft=one.scribe"):
        assert get(watch.base + path, Host=host)[0] in (400, 403)


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "http://evil.example"},
        {"Origin": "null"},
        {"Origin": "http://127.0.0.1:1"},
        {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "no-cors"},
        {"Sec-Fetch-Site": "same-site", "Sec-Fetch-Mode": "cors"},
    ],
)
def test_other_sites_are_refused(watch: Watch, headers: dict[str, str]) -> None:
    """No other site may read the stream or move the page."""
    assert get(f"{watch.base}/stream?draft=one.scribe", **headers)[0] == 403
    assert get(f"{watch.base}/cursor?draft=one.scribe&line=2", method="POST", **headers)[0] == 403


def test_a_link_elsewhere_may_open_the_page(watch: Watch) -> None:
    """Following a link to the page is no attack."""
    assert get(watch.base + "/", **{"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate"})[0] == 200


def test_only_this_machine_is_served(watch: Watch) -> None:
    """The server listens on the loopback address alone."""
    port = int(watch.base.rpartition(":")[2])
    rows = Path("/proc/net/tcp").read_text().splitlines() if Path("/proc/net/tcp").exists() else []
    listening = [
        row.split()[1]
        for row in rows[1:]
        if row.split()[3] == "0A" and row.split()[1].endswith(f":{port:04X}")
    ]
    assert listening in ([f"0100007F:{port:04X}"], [])


@pytest.mark.parametrize(
    "path",
    [
        "/../outside.scribe",
        "/..%2foutside.scribe",
        "/page/../../drafts/notes.txt",
        "/notes.txt",
        "/one.scribe",
        "//etc/passwd",
        "/%2e%2e/%2e%2e/etc/passwd",
        "/server.py",
    ],
)
def test_no_file_of_the_disk_is_served(watch: Watch, path: str) -> None:
    """Whatever the path, there is nothing but the page's own files."""
    status, body, _ = get(watch.base + path)
    assert status in (400, 403, 404, 405)
    assert b"secret" not in body
    assert b"import" not in body


@pytest.mark.parametrize(
    "name",
    [
        "../outside.scribe",
        "/etc/passwd",
        "notes.txt",
        ".hidden.scribe",
        "link.scribe",
        "below/../../outside.scribe",
    ],
)
def test_only_drafts_of_the_folder_are_shown(watch: Watch, name: str) -> None:
    """A draft that is not in the folder, or leads out of it by a link, is not shown and not read."""
    stream = Stream(watch, name)
    wait_for(lambda: "drafts" in stream.parts)
    known = hear(watch, "one.scribe")
    assert stream.hello["draft"] == ""
    assert "secret" not in stream.text()
    assert not stream.systems
    assert {row["name"] for row in stream.parts["drafts"]} <= {"one.scribe", "below/two.scribe"}
    stream.close()
    known.close()


def test_words_of_a_draft_never_become_markup(watch: Watch) -> None:
    """Title, section, chord, text and player are told as words: escaped in the drawing, plain in the list."""
    evil = "</svg><script>alert(1)</script><img src=x onerror=alert(2)>&amp;\"'"
    folder = Path(watch.log.parent / "drafts")
    draft = folder / "evil.scribe"
    section, words = evil.replace("]", ""), evil.replace('"', "")
    bar = f'| @<b>C7</b> g "{words}" b d g |'
    draft.write_text(f"title {evil}\ncomposer {evil}\nplayer {evil}\n[{section}]\n{bar}\n", encoding="utf-8")
    stream = hear(watch, "evil.scribe")
    wait_for(lambda: any(row["name"] == "evil.scribe" for row in stream.parts["drafts"]))
    drawn = [stream.parts["heading"], *(system["svg"] for system in stream.systems.values())]
    for svg in drawn:
        assert "alert(1)" in svg
        assert "<script" not in svg
        assert "<img" not in svg
        assert "<b>" not in svg
    stream.close()
    draft.unlink()


def test_an_editor_moves_the_page(watch: Watch) -> None:
    """The cursor's line, by a draft's name or its path; nonsense is told so."""
    stream = hear(watch, "one.scribe")
    ask = f"{watch.base}/cursor"
    assert get(f"{ask}?draft=one.scribe&line=2", method="POST")[0] == 200
    wait_for(lambda: stream.parts.get("cursor") == {"draft": "one.scribe", "line": 2})
    path = watch.log.parent / "drafts" / "one.scribe"
    assert get(f"{ask}?draft={quote(str(path))}&line=1&column=3", method="POST")[0] == 200
    wait_for(lambda: stream.parts["cursor"] == {"draft": "one.scribe", "line": 1, "column": 3})
    assert get(f"{ask}?draft=one.scribe&line=0", method="POST")[0] == 400
    assert get(f"{ask}?draft=one.scribe&line=x", method="POST")[0] == 400
    assert get(f"{ask}?draft=none.scribe&line=1", method="POST")[0] == 404
    assert get(f"{ask}?draft=one.scribe&line=2")[0] == 405
    stream.close()


# --- drafts that try a page's patience ----------------------------------------------------------------------------


def test_a_hundred_saves_in_two_seconds(watch: Watch) -> None:
    """The page stays up through a storm of saves and ends on the last one."""
    import time

    draft = watch.log.parent / "drafts" / "storm.scribe"
    draft.write_text("| g |\n", encoding="utf-8")
    stream = hear(watch, "storm.scribe")
    for number in range(100):
        draft.write_text(
            "| g b d g |\n" * (1 + number % 7) + f"| {'gabcdef'[number % 7]} |\n", encoding="utf-8"
        )
        time.sleep(0.02)
    last = (1 + 99 % 7) + 1
    wait_for(lambda: len(stream.parts["order"]) == last)
    final = {"name": "storm.scribe", "bars": last}
    wait_for(lambda: any(final.items() <= row.items() for row in stream.parts["drafts"]))
    assert all(entry[0] in stream.systems for entry in stream.parts["order"])
    stream.close()


def test_a_binary_file_and_its_mend(watch: Watch) -> None:
    """A binary file under a draft's name is said to be none; the page stays, and goes on once there is text."""
    draft = watch.log.parent / "drafts" / "binary.scribe"
    draft.write_text("| g b d g |\n", encoding="utf-8")
    stream = hear(watch, "binary.scribe")
    shown = stream.parts["order"]
    draft.write_bytes(bytes(range(256)) * 400)
    wait_for(lambda: stream.parts.get("state", {}).get("kind") == "unreadable")
    assert "not UTF-8" in stream.parts["state"]["message"]
    assert stream.parts["order"] == shown
    draft.write_text("| g b d a |\n", encoding="utf-8")
    wait_for(lambda: stream.parts["state"]["kind"] == "open" and stream.parts["order"] != shown)
    stream.close()


def test_a_deleted_draft_keeps_its_page(watch: Watch) -> None:
    """A draft that goes leaves its page as it was; when it comes back the page follows it again."""
    draft = watch.log.parent / "drafts" / "gone.scribe"
    draft.write_text("| g b d g |\n", encoding="utf-8")
    stream = hear(watch, "gone.scribe")
    draft.unlink()
    wait_for(lambda: stream.parts.get("state", {}).get("kind") == "gone")
    assert stream.parts["order"]
    wait_for(lambda: all(row["name"] != "gone.scribe" for row in stream.parts["drafts"]))
    draft.write_text("| g b d g |\n| c |\n", encoding="utf-8")
    wait_for(lambda: len(stream.parts["order"]) == 2 and stream.parts["state"]["kind"] == "open")
    stream.close()


def test_the_recording_is_followed(watch: Watch) -> None:
    """A recording that the draft names is missed and found; one outside the folder is not even looked for."""
    folder = watch.log.parent / "drafts"
    draft = folder / "song.scribe"
    draft.write_text("recording take.wav\n| g b d g |\n", encoding="utf-8")
    stream = hear(watch, "song.scribe")
    wait_for(lambda: stream.parts.get("recording") == {"name": "take.wav", "there": False})
    (folder / "take.wav").write_bytes(b"RIFF")
    wait_for(lambda: stream.parts["recording"] == {"name": "take.wav", "there": True})
    draft.write_text("recording ../outside.scribe\n| g b d g |\n", encoding="utf-8")
    wait_for(lambda: stream.parts["recording"] is None)
    stream.close()


def test_a_million_characters(watch: Watch) -> None:
    """A draft of a million characters: the server answers all the while, and the page shows what is written at last."""
    draft = watch.log.parent / "drafts" / "long.scribe"
    line = "; " + "far too much to say about one bar of music " * 24 + "\n"
    draft.write_text("| g b d g |\n" + line * 1000, encoding="utf-8")
    assert draft.stat().st_size > 1_000_000
    stream = hear(watch, "long.scribe")
    draft.write_text(("| g b d g |" + " " * 2000 + "\n") * 500 + "| " + "x" * 60_000 + "\n", encoding="utf-8")
    wait_for(lambda: len(stream.parts["order"]) > 100)
    assert get(watch.base + "/")[0] == 200
    draft.write_text("| g b d g |\n| c |\n| d |\n", encoding="utf-8")
    wait_for(lambda: len(stream.parts["order"]) == 3)
    stream.close()
    draft.unlink()


def test_a_thousand_drafts(tmp_path: Path) -> None:
    """A folder with a thousand drafts: the page comes at once, the list fills, a save is still taken up at once."""
    folder = tmp_path / "many"
    folder.mkdir()
    for number in range(1000):
        (folder / f"d{number:04}.scribe").write_text(f"title Tune {number}\n| g b d g |\n", encoding="utf-8")
    with watching(folder, "--port", "4480", cache=tmp_path / "cache") as watch:
        stream = hear(watch, "d0500.scribe")
        (folder / "d0500.scribe").write_text("| g b d g |\n| c |\n", encoding="utf-8")
        wait_for(lambda: len(stream.parts["order"]) == 2)
        wait_for(lambda: len(stream.parts["drafts"]) == 1000)
        stream.close()
