"""A page or system as a picture."""

from __future__ import annotations

import re
from struct import pack
from zlib import crc32

_MM_PER_INCH = 25.4


def png(svg: str, dpi: float = 300.0, width_mm: float | None = None, transparent: bool = False) -> bytes:
    """PNG bytes of a page or system.

    Args:
        svg: the page, its width given in millimetres.
        dpi: dots an inch; written into the file too, so that it prints at its size.
        width_mm: how wide the picture is on paper; as the SVG says when None.
        transparent: no white paper behind the ink.

    Raises:
        ValueError: the SVG is broken or has no width in millimetres, or the picture would have no dots.
    """
    import resvg_py

    if width_mm is None:
        found = re.search(r'<svg[^>]*? width="([\d.]+)mm"', svg)
        if not found:
            raise ValueError("expected an SVG with its width in mm")
        width_mm = float(found[1])
    dots = round(width_mm / _MM_PER_INCH * dpi)
    if dots < 1:
        raise ValueError(f"{width_mm:g} mm at {dpi:g} dots an inch is no picture")
    # The renderer's own `dpi` only has to be set for it to understand millimetres; the size comes from `width`.
    paper = None if transparent else "#ffffff"
    picture = bytes(
        resvg_py.svg_to_bytes(svg_string=svg, width=dots, dpi=96.0, skip_system_fonts=True, background=paper)
    )
    return _with_density(picture, dpi)


def _with_density(picture: bytes, dpi: float) -> bytes:
    """The picture with a `pHYs` chunk (PNG specification, third edition, 11.3.4.3): dots a metre, after the header."""
    per_metre = round(dpi / _MM_PER_INCH * 1000)
    body = b"pHYs" + pack(">IIB", per_metre, per_metre, 1)
    end_of_header = 8 + 12 + 13
    return picture[:end_of_header] + pack(">I", 9) + body + pack(">I", crc32(body)) + picture[end_of_header:]
