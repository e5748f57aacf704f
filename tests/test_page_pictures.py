"""The pages of the demos look as they did when somebody last looked at them."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import numpy
import pytest
from PIL import Image

from scribe import compile, engrave
from scribe.bass.fingered import fingering
from scribe.bass.neck import neck_diagram
from scribe.engrave.output.png import png

HERE = Path(__file__).parent
DEMOS = sorted((HERE.parent / "demo").glob("*.scribe"))
PICTURES = HERE / "pages"
NECK = HERE.parent / "demo" / "night-bus-home-neck.svg"
DPI = 50
BLOCK = 6  # pixels: a sign that moves by less than about three millimetres stays in its neighbourhood


def drawn(demo: Path) -> Image.Image:
    """The first page, grey, small."""
    svg = engrave(compile(demo.read_text(encoding="utf-8"))).svgs[0]
    return Image.open(BytesIO(png(svg, dpi=DPI))).convert("L")


def ink(picture: Image.Image) -> numpy.ndarray:
    """How much ink lies in each block of the page, 0 to 1."""
    grey = 1 - numpy.asarray(picture, dtype=float) / 255
    rows, columns = (side // BLOCK for side in grey.shape)
    return grey[: rows * BLOCK, : columns * BLOCK].reshape(rows, BLOCK, columns, BLOCK).mean(axis=(1, 3))


@pytest.mark.parametrize("demo", DEMOS, ids=lambda p: p.stem)
def test_the_page_of_a_demo_looks_as_before(demo: Path, request: pytest.FixtureRequest) -> None:
    """No block of the page has gained or lost more than a fifth of its ink."""
    path = PICTURES / f"{demo.stem}.png"
    now = drawn(demo)
    if request.config.getoption("--renew-pictures"):
        PICTURES.mkdir(exist_ok=True)
        now.quantize(16).save(path, optimize=True)
    assert path.exists(), (
        "no picture yet: run `pytest tests/test_page_pictures.py --renew-pictures` and look at it"
    )
    before = Image.open(path).convert("L")
    assert now.size == before.size
    difference = numpy.abs(ink(now) - ink(before)).max()
    assert difference < 0.2, "look at the page; if it is right, run pytest with --renew-pictures"


def test_the_comparison_sees_a_missing_chord() -> None:
    """The tolerance is no blank cheque: one chord less is seen."""
    text = DEMOS[1].read_text(encoding="utf-8")
    assert "@C7 " in text
    first, second = (
        ink(Image.open(BytesIO(png(engrave(compile(t)).svgs[0], dpi=DPI))).convert("L"))
        for t in (text, text.replace("@C7 ", ""))
    )
    assert numpy.abs(first - second).max() > 0.2


def test_the_neck_in_the_readme_is_the_one_that_the_live_page_draws(request: pytest.FixtureRequest) -> None:
    """Bar 11 of the README's ten lines, on white: the picture has no page around it."""
    piece = compile((HERE.parent / "demo" / "night-bus-home.scribe").read_text(encoding="utf-8")).piece
    assert piece.bars[10].number == 11
    drawn = neck_diagram(fingering(piece), 10).replace(
        "<svg ", '<svg style="color:#1a1a1a;background:#fff" ', 1
    )
    if request.config.getoption("--renew-pictures"):
        NECK.write_text(drawn + "\n", encoding="utf-8")
    assert NECK.read_text(encoding="utf-8") == drawn + "\n", (
        "look at the neck; if it is right, run pytest with --renew-pictures"
    )


def test_every_stored_picture_belongs_to_a_demo() -> None:
    """No leftovers."""
    assert {p.stem for p in PICTURES.glob("*.png")} == {p.stem for p in DEMOS}
