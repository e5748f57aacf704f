"""The figures of the page: `python -m tests.benchmarks.page`. What we do round Verovio, beside Verovio itself."""

from __future__ import annotations

from scribe.commands.main import calm_collector
from scribe.engrave.check import overlaps
from scribe.engrave.compose import compose
from scribe.engrave.mei.document import write_document
from scribe.engrave.options import options
from scribe.engrave.pages import _cut
from scribe.engrave.paper import PAPERS, SIZES, scale
from scribe.engrave.scan import read
from scribe.engrave.sheet import prepare, system_meis
from scribe.engrave.toolkit import render
from scribe.pipeline import compile, engrave
from tests.benchmarks.core import draft
from tests.benchmarks.measure import row, seconds
from tests.pieces import DEMOS, random_draft


def step() -> None:
    """Reading Verovio's systems and placing all words and signs, for a page of 32 bars, with and without tablature."""
    for show in ("", "show tab\n"):
        piece = compile(show + draft(32)).piece
        width = PAPERS["A4"].text_width / scale(SIZES[0])
        whole = prepare(piece)
        cut = _cut(piece, whole, width)
        document = write_document(system_meis(whole, cut))
        pages = render(document, options(width))

        def ours() -> None:
            found = [system for page in pages for system in read(page, width)]  # noqa: B023 - called at once
            for system, (start, end) in zip(found, cut, strict=True):  # noqa: B023
                compose(system, whole, start, end, width)  # noqa: B023

        ours()
        mine = seconds(ours, 15)
        alone = seconds(lambda: render(document, options(width)), 15)  # noqa: B023
        name = "with tablature" if show else "staff only"
        row(f"our step, a system ({name})", mine / len(cut) * 1000, "ms", 5.0)
        row(f"our step / Verovio, a page ({name})", mine / alone, "x", 1.0)
        print(f"    {mine * 1000:.1f} ms / {alone * 1000:.1f} ms for {len(cut)} systems")


def touching() -> None:
    """Overlaps on the pages of all demos and of 200 made-up drafts."""
    texts = [path.read_text(encoding="utf-8") for path in DEMOS] + [random_draft(seed) for seed in range(200)]
    count = sum(len(overlaps(svg)) for text in texts for svg in engrave(compile(text)).svgs)
    row(f"overlaps on the pages of {len(texts)} drafts", count, "", 0)


if __name__ == "__main__":
    calm_collector()
    step()
    touching()
