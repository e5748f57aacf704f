"""The live page's figures: `python -m tests.benchmarks.live [engine|hand|page|memory|start]`.

Every time is set against what Verovio alone needs for the whole draft, or Python for its imports, in the same run.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from statistics import median

from scribe import compile, engrave
from scribe.commands.main import calm_collector
from scribe.live.engine import Engine
from scribe.live.engraver import Engraver
from tests.benchmarks.core import draft
from tests.benchmarks.measure import row, seconds
from tests.live_help import CHROMIUM, Watch, get, wait_for, watching

EDITS = 100
BARS = (8, 32, 200, 1000)


def edits(bars: int, count: int) -> Iterator[str]:
    """Texts that differ from each other in two bars, in new ones each time."""
    for i in range(count):
        letters = "abcdefg"
        bar = f"g {letters[i % 7]} {letters[i // 7 % 7]} {letters[i // 49 % 7]}{letters[i // 343 % 7]}"
        yield draft(bars, edited=i * 37 % bars).replace("g g g g", bar)


def verovio_alone(bars: int, rounds: int = 5) -> float:
    """Seconds in which Verovio loads and renders the whole draft."""
    from scribe.engrave.options import options
    from scribe.engrave.toolkit import render

    mei = engrave(compile(draft(bars))).mei
    return seconds(lambda: render(mei, options(18000.0)), rounds)


def percentile(taken: list[float], share: float) -> float:
    return sorted(taken)[min(len(taken) - 1, round(share * len(taken)))]


def engine() -> None:
    """New text in hand to the changed systems' SVG, one-bar edits."""
    engraver = Engraver()
    engraver.start()
    alone = {bars: verovio_alone(bars, 5 if bars < 500 else 2) for bars in BARS}
    found: dict[int, float] = {}
    print("engine alone, one-bar edits    p50 ms    p95 ms    Verovio alone, whole draft, ms")
    follower = {bars: Engine(engraver) for bars in BARS}
    taken: dict[int, list[float]] = {bars: [] for bars in BARS}
    for bars in BARS:
        for _ in follower[bars].update(draft(bars)):
            pass
    # In turns, so that a noisy moment of the machine hits all sizes alike.
    for texts in zip(*(edits(bars, EDITS) for bars in BARS), strict=True):
        for bars, text in zip(BARS, texts, strict=True):
            start = time.perf_counter()
            for _ in follower[bars].update(text):
                pass
            taken[bars].append(time.perf_counter() - start)
    for bars in BARS:
        found[bars] = median(taken[bars])
        high = percentile(taken[bars], 0.95)
        print(
            f"{bars:>10} bars {'':13} {found[bars] * 1000:7.1f} {high * 1000:9.1f} {alone[bars] * 1000:17.1f}"
        )
    engraver.close()
    row("engine, one-bar edit of 200 bars, p50 / Verovio alone", found[200] / alone[200], "x", 0.08)
    row("engine, one-bar edit of 1,000 bars / of 32 bars", found[1000] / found[32], "x", 1.5)


def hand() -> None:
    """The look at the hand of a long draft after an edit, and how long a save that comes meanwhile waits for it."""
    calm_collector()  # as the command does
    engraver = Engraver()
    engraver.start()
    follower = Engine(engraver)
    first, whole, waits = [], [], []
    for text in (draft(1000), *edits(1000, 10)):
        for _ in follower.update(text):
            pass
        asked = [time.perf_counter()]

        def stop(asked: list[float] = asked) -> bool:
            asked.append(time.perf_counter())
            return False

        given = [time.perf_counter() for _ in follower.looks(stop)]
        first.append(given[0] - asked[0])
        whole.append(given[-1] - asked[0])
        waits.append(max(b - a for a, b in pairwise(asked)))
    engraver.close()
    row("neck and warnings of an edit in 1,000 bars, p50", median(first[1:]) * 1000, "ms", 50)
    row("a save during the look at 1,000 bars waits at most, p50", median(waits[1:]) * 1000, "ms", 30)
    print(
        f"    all of it after {median(whole[1:]) * 1000:.0f} ms, when opened after {whole[0] * 1000:.0f} ms"
    )


# Notes when a page has taken in a message with systems and laid them out.
WHEN_SHOWN = """
window.shown = [];
const given = Object.getOwnPropertyDescriptor(EventSource.prototype, "onmessage");
Object.defineProperty(EventSource.prototype, "onmessage", {
  set(take) {
    given.set.call(this, (event) => {
      take(event);
      const note = document.querySelector(".strip.fresh .note use");
      if (event.data.includes('"systems"') && note?.getBoundingClientRect().width)
        shown.push(performance.timeOrigin + performance.now());
    });
  },
});
"""


def page() -> None:
    """From the close of the file to the new notes in the browser's page."""
    from playwright.sync_api import sync_playwright

    alone = verovio_alone(200)
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as play:
        path = Path(folder) / "b.scribe"
        path.write_text(draft(200), encoding="utf-8")
        options = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
        browser = play.chromium.launch(executable_path=CHROMIUM, args=options)
        with watching(path, "--port", "4610", cache=Path(folder) / "cache") as watch:
            shown = browser.new_page()
            shown.add_init_script(WHEN_SHOWN)
            shown.goto(watch.url)
            while shown.evaluate("document.querySelectorAll('.strip > svg').length") < 50:
                shown.wait_for_timeout(50)
            taken = []
            for text in edits(200, EDITS + 5):
                path.write_text(text, encoding="utf-8")
                closed = time.time() * 1000
                shown.wait_for_timeout(150)  # nothing is asked meanwhile: that would cost the page time
                taken.append((shown.evaluate("window.shown.at(-1)") - closed) / 1000)
        browser.close()
    taken = taken[5:]
    high = percentile(taken, 0.95)
    row("file closed to new notes in the page, 200 bars, p95 / Verovio alone", high / alone, "x", 0.4)
    print(f"    p50 {median(taken) * 1000:.1f} ms, p95 {high * 1000:.1f} ms / {alone * 1000:.0f} ms")


def _memory(watch: Watch) -> float:
    """MiB in use by the watch and its engraver."""
    pids = [watch.process.pid]
    children = Path(f"/proc/{watch.process.pid}/task/{watch.process.pid}/children").read_text().split()
    total = 0
    for pid in [*pids, *map(int, children)]:
        found = re.search(r"VmRSS:\s+(\d+)", Path(f"/proc/{pid}/status").read_text())
        total += int(found[1]) if found else 0
    return total / 1024


def memory() -> None:
    """Memory after 2,000 saves beside that after 100."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "b.scribe"
        path.write_text(draft(200), encoding="utf-8")
        with watching(path, "--port", "4620", cache=Path(folder) / "cache") as watch:
            wait_for(lambda: " ms" in watch.said())
            early = 0.0
            for number, text in enumerate(edits(200, 2000), 1):
                path.write_text(text, encoding="utf-8")
                wait_for(lambda number=number: watch.said().count(" ms") > number)
                if number == 100:
                    early = _memory(watch)
            late = _memory(watch)
    row("memory after 2,000 saves more than after 100", late - early, "MiB", 20)
    print(f"    {early:.0f} MiB, then {late:.0f} MiB (with the engraver's process)")


def start() -> None:
    """From the command to a page with all its systems, 32 bars, beside the imports of music21 and Verovio."""
    imports = seconds(
        lambda: subprocess.run([sys.executable, "-c", "import music21, verovio"], check=True), 5
    )
    taken = []
    for number in range(5):
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "b.scribe"
            path.write_text(draft(32), encoding="utf-8")
            begun = time.perf_counter()
            with watching(path, "--port", str(4630 + number), cache=Path(folder) / "cache") as watch:
                get(watch.base + "/")
                wait_for(lambda watch=watch: "8 systems" in watch.said())
                taken.append(time.perf_counter() - begun)
    row(
        "start to first page, 32 bars / python -c 'import music21, verovio'",
        median(taken) / imports,
        "x",
        1.5,
    )
    print(f"    {median(taken) * 1000:.0f} ms / {imports * 1000:.0f} ms")


if __name__ == "__main__":
    wanted = sys.argv[1:] or ["engine", "hand", "page", "start", "memory"]
    for each in wanted:
        globals()[each]()
