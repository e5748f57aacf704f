"""What Verovio is told: one set for every page and every live system.

Verovio lays out the notes along the line; everything above and below is ours. So the systems come on one tall
sheet, close together, and are stacked on pages afterwards. Lengths are in half staff spaces (Verovio's unit) unless
said otherwise.
"""

from __future__ import annotations

UNIT = 9  # Verovio's unit in 1/10 mm for the standard staff of 7.2 mm; other sizes are scaled afterwards
SPACE = 180.0  # one staff space in page units (1/100 mm on paper) at that size
MUSIC_FONT = "Leland"

_LOOK: dict[str, object] = {
    # Heavier than the defaults: read from a stand at arm's length.
    "staffLineWidth": 0.2,
    "stemWidth": 0.22,
    "barLineWidth": 0.32,
    "ledgerLineThickness": 0.3,
    "thickBarlineThickness": 1.0,
    "slurMidpointThickness": 0.5,
    "tieMidpointThickness": 0.5,
    "beamMaxSlope": 7,
    "slurCurveFactor": 0.5,
    "slurMaxSlope": 35,
    # Short notes keep their room, long ones do not sprawl.
    "spacingLinear": 0.25,
    "spacingNonLinear": 0.52,
    "measureMinWidth": 15,
    # Bars of rest are one broad bar with its number, few as well as many: the signs of old for two and four are
    # read by few (common practice in parts for bands, no source).
    "multiRestStyle": "block",
    # Air between the signs at a system's start and the first note.
    "rightMarginClef": 1.3,
    "rightMarginKeySig": 1.8,
    "rightMarginMeterSig": 1.5,
}

_SHEET: dict[str, object] = {
    "breaks": "line",
    "unit": UNIT,
    "scale": 100,
    "font": MUSIC_FONT,
    "header": "none",
    "footer": "none",
    "pageHeight": 60000,
    "adjustPageHeight": True,
    "justifyVertically": False,
    "pageMarginTop": 0,
    "pageMarginBottom": 0,
    "pageMarginLeft": 0,
    "pageMarginRight": 0,
    "spacingSystem": 1,
    "svgViewBox": True,
    "smuflTextFont": "none",
    "svgFormatRaw": True,
}


def options(width: float) -> dict[str, object]:
    """Return Verovio's options for systems `width` page units long, all of them filled."""
    return {**_LOOK, **_SHEET, "pageWidth": round(width / 10), "minLastJustification": 0.0}


def natural_options() -> dict[str, object]:
    """Return the options for measuring bars at their natural width, all on one line."""
    return {**_LOOK, **_SHEET, "breaks": "none", "pageWidth": 60000}
