"""A small made-up page for the tests of the output, and the comparison of pictures."""

from __future__ import annotations

import shutil
import subprocess
from io import BytesIO
from pathlib import Path

import numpy
from PIL import Image

PAGE = {
    "breaks": "line",
    "pageWidth": 2100,
    "pageHeight": 2970,
    "pageMarginTop": 120,
    "pageMarginBottom": 200,
    "pageMarginLeft": 150,
    "pageMarginRight": 150,
    "unit": 9,
    "scale": 50,
    "font": "Leland",
    "header": "auto",
    "footer": "none",
    "smuflTextFont": "none",
    "svgFormatRaw": True,
}
SYSTEM = {"header": "none", "adjustPageHeight": True, "svgViewBox": True, "scale": 100, "pageWidth": 1840}

MEI = """<mei xmlns="http://www.music-encoding.org/ns/mei" meiversion="5.0">
<meiHead><fileDesc><titleStmt><title>Test</title></titleStmt><pubStmt/></fileDesc></meiHead>
<music><body><mdiv><score>
<scoreDef meter.count="4" meter.unit="4" key.sig="2f">
<pgHead func="first"><rend halign="center" valign="top" fontsize="31pt">Head &amp; Tail</rend></pgHead>
<staffGrp><staffDef n="1" lines="5" clef.shape="F" clef.line="4"/></staffGrp></scoreDef>
<section><sb/>
<measure n="1" xml:id="m1"><staff n="1"><layer n="1"><note xml:id="n1" dur="4" pname="b" oct="2"/>
<beam><note xml:id="n2" dur="8" pname="d" oct="3" artic="acc"/>
<note xml:id="n3" dur="8" pname="e" oct="3" head.mod="paren"/></beam>
<tuplet num="3" numbase="2"><beam><note dur="8" pname="d" oct="3"/>
<note dur="8" pname="d" oct="3" head.shape="x" color="#b3400e" xml:id="doubt"/>
<note dur="8" pname="d" oct="3" xml:id="t1"/></beam></tuplet>
<rest dur="4"/></layer></staff>
<harm n="1" tstamp="1" staff="1" xml:id="h1">Am</harm><dynam tstamp="1" staff="1" place="below">mf</dynam>
<slur startid="#n1" endid="#n2"/><tie startid="#t1" endid="#n9"/><dir tstamp="2" place="below">let ring</dir>
<hairpin form="cres" tstamp="2" tstamp2="0m+4" staff="1"/>
<octave tstamp="1" tstamp2="0m+3" dis="8" dis.place="above" staff="1"/></measure>
<measure n="2" type="todo" right="rptend" xml:id="m2"><staff n="1"><layer n="1">
<note xml:id="n9" dur="1" pname="d" oct="3"/></layer>
<layer n="2"><space dur="4"/><space dur="4"/><space dur="4"/><space dur="4"/></layer></staff></measure>
<sb/>
<ending n="1">
<measure n="3" xml:id="m3" right="end"><staff n="1"><layer n="1">
<mRpt/></layer></staff></measure></ending>
</section></score></mdiv></body></music></mei>"""


def engrave(mei: str, options: dict[str, object]) -> str:
    """The first page as Verovio gives it."""
    import verovio

    toolkit = verovio.toolkit()
    toolkit.setOptions(dict(options))
    assert toolkit.loadData(mei)
    return str(toolkit.renderToSVG(1))


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
