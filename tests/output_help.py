"""A small made-up page for the tests of the output, and the comparison of pictures."""

from __future__ import annotations

import shutil
import subprocess
from io import BytesIO
from pathlib import Path

import numpy
from PIL import Image

DRAFT = """
title Head & Tail
composer A. Writer
key Bb
feel swing
tempo Medium 132
[A]
| @Ebm7b5/Bb b d (e) "let ring" gbd | @Gm7? b? . 'mf c / | | ? |
[B]
|: @C7 ceg- -cd> hg e:D | @F7alt f x f~a c :|
"""


def page() -> str:
    """The draft as an engraved page."""
    from scribe import compile
    from scribe.engrave import engrave

    (svg,) = engrave(compile(DRAFT).piece).svgs
    return svg


HAS_POPPLER = bool(shutil.which("pdftoppm") and shutil.which("pdftotext"))


def picture(png: bytes) -> numpy.ndarray:
    """The ink of a picture, 0 (paper) to 1 (black)."""
    return 1 - numpy.asarray(Image.open(BytesIO(png)).convert("L"), dtype=float) / 255


def rendered(pdf: bytes, folder: Path, dpi: int) -> list[numpy.ndarray]:
    """The pages of a PDF as poppler draws them."""
    folder.mkdir(exist_ok=True)
    (folder / "page.pdf").write_bytes(pdf)
    subprocess.run(["pdftoppm", "-r", str(dpi), "-png", "page.pdf", "out"], cwd=folder, check=True)
    return [picture(path.read_bytes()) for path in sorted(folder.glob("out*.png"))]


def words_of(pdf: bytes, folder: Path) -> str:
    """The text of a PDF as a search finds it."""
    (folder / "words.pdf").write_bytes(pdf)
    done = subprocess.run(
        ["pdftotext", "-enc", "UTF-8", "words.pdf", "-"], cwd=folder, check=True, capture_output=True
    )
    return done.stdout.decode()


def unlike(a: numpy.ndarray, b: numpy.ndarray, block: int = 8) -> float:
    """The largest difference in ink of any `block` x `block` square: renderers smooth edges each in its own way."""
    # Poppler rounds the size of a page up, the other renderer to the nearest dot.
    assert max(abs(m - n) for m, n in zip(a.shape, b.shape, strict=True)) <= 1
    height, width = (min(sides) // block * block for sides in zip(a.shape, b.shape, strict=True))

    def coarse(picture: numpy.ndarray) -> numpy.ndarray:
        cut = picture[:height, :width]
        return cut.reshape(height // block, block, width // block, block).mean(axis=(1, 3))

    return float(numpy.abs(coarse(a) - coarse(b)).max())
