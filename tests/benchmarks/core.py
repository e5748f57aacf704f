"""The core's figures: `python -m tests.benchmarks.core`."""

from __future__ import annotations

import tempfile
import time
from pathlib import Path
from random import Random

from scribe import compile, engrave
from scribe.commands.main import calm_collector
from scribe.music.bar import compile_bar
from scribe.music.piece import Piece
from scribe.source import musicline, read
from tests.benchmarks.measure import process, row, seconds

CHORDS = ("Gm7", "C7", "Fmaj7", "Bbmaj7", "Am7b5", "D7", "Gm6", "Ebmaj7")
FIGURES = (
    "g b d f", "E gb c b", "a -c f E", "d f b- ag", "^a gbd e c", "d F#- a ~c", "^b a> g- d", "d c-x a F#",
    "g--b dd (g)a b", "c e gb ^c", "^a f* .c a", "b 2{d f g} a",
)  # fmt: skip


def draft(bars: int, edited: int | None = None) -> str:
    """A made-up line of so many bars, four a system; every bar differs from its neighbours."""
    lines = ["title Benchmark", "key G minor", "feel swing", "tempo 132"]
    for start in range(0, bars, 4):
        row_ = []
        for i in range(start, min(start + 4, bars)):
            figure = "g g g g" if i == edited else FIGURES[(i * 7 + i // 12) % len(FIGURES)]
            row_.append(f" @{CHORDS[i % len(CHORDS)]} {figure} ")
        lines.append("|" + "|".join(row_) + "|")
    return "\n".join(lines) + "\n"


def forget() -> None:
    """Forget every bar and line read so far, so that a draft is new to us; what is known of rhythms stays."""
    compile_bar.cache_clear()
    read.parse_bar.cache_clear()
    musicline.read_music.cache_clear()


def text_to_svg() -> None:
    """A 32-bar draft, warm: the whole way beside what Verovio alone needs for the same MEI."""
    from scribe.engrave.options import options
    from scribe.engrave.paper import PAPERS
    from scribe.engrave.toolkit import render

    text = draft(32)
    pages = engrave(compile(text))

    def known() -> None:
        engrave(compile(text))

    def new() -> None:
        forget()
        engrave(compile(text))

    known()
    alone = seconds(lambda: render(pages.mei, options(PAPERS["A4"].text_width)), 21)
    for name, action in (("warm", known), ("every bar new", new)):
        whole = seconds(action, 21)
        row(f"text to SVG of 32 bars, {name} / Verovio alone, same MEI", whole / alone, "x", 2.0)
        print(f"    {whole * 1000:.1f} ms / {alone * 1000:.1f} ms")


def edit() -> None:
    """One bar of 32 is edited: the stages before Verovio."""
    from scribe.engrave.mei.document import write_document
    from scribe.engrave.sheet import prepare, system_meis

    def to_mei(piece: Piece) -> str:
        return write_document(system_meis(prepare(piece), piece.systems))

    to_mei(compile(draft(32)).piece)
    taken = []
    for i in range(32):
        text = draft(32, edited=i).replace("g g g g", f"g {'abcdefg'[i % 7]} g {'bcdefga'[i // 7]}")
        start = time.perf_counter()
        to_mei(compile(text).piece)
        taken.append(time.perf_counter() - start)
    taken.sort()
    row("edit of one bar of 32, stages before Verovio", taken[16] * 1000, "ms", 10)


def check() -> None:
    """`scribe check` as a process beside `python -c "import lark"`."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "b.scribe"
        file.write_text(draft(32), encoding="utf-8")
        ours = process(["-m", "scribe", "check", str(file)])
        lark = process(["-c", "import lark"])
    row("scribe check of 32 bars / python -c 'import lark'", ours / lark, "x", 2.5)
    print(f"    {ours * 1000:.0f} ms / {lark * 1000:.0f} ms")


def linear() -> None:
    """Twice the bars, at most 2.2 times the time."""

    def run(bars: int) -> float:
        # Every bar its own text, so that nothing comes out of a memo.
        random = Random(7)
        words = [
            "".join(random.choices("abcdefg-.", k=random.choice((1, 2, 2, 3, 4)))) for _ in range(4 * bars)
        ]
        words = [word.replace("-", "g", 1) if i % 4 == 0 else word for i, word in enumerate(words)]
        text = "".join(f"| {' '.join(words[4 * i : 4 * i + 4])} |\n" for i in range(bars))
        forget()
        start = time.process_time()
        compile(text)
        return time.process_time() - start

    run(500)
    small, large = run(5000), run(10000)
    row("10,000 bars / 5,000 bars", large / small, "x", 2.2)
    print(f"    {large:.2f} s / {small:.2f} s; {large / 10000 * 1000:.3f} ms a bar")


if __name__ == "__main__":
    calm_collector()  # as every command does
    check()
    linear()
    edit()
    text_to_svg()
