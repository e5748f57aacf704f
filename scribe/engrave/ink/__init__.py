"""The drawing of words and signs as outlines: no reader of a page needs a font.

An `Ink` is something drawn, with its exact size: `advance` along the line, `box` round its marks, `text`
for search and screen readers. Units are Verovio's page units (1/100 mm), y downwards, the origin at the
left end of the baseline.

    words = text("To Coda", "serif-italic", 450)     # any words in one of FACES
    symbol = chord("Ebmaj7")                          # a chord symbol
    mark = join(box("A"), tempo(Tempo("Medium", "Q", Fraction(152))), gap=200)   # a row of Inks

Inks move and grow (`shift`, `scale`), take a colour (`tinted`), join in a row (`join`) and lie over each
other (`lay`). To draw: `symbol.svg(x, y, kind="chord")` gives a `<g>`; the file's `<defs>` must hold
`defs(glyphs)`, where `glyphs` is the union of the `glyphs` of all Inks of the file. Each outline stands
there once and is `<use>`d; ids are made from face and glyph, so the same outline has the same id in every
file and two systems can share one page. The `<g>` carries the words as `aria-label`, and `data-size`,
`data-width` from which the PDF writer lays its hidden, searchable text. Same input, same Ink: the functions
are cached and pure (they read only the font packages).

The signs: `chord`, `box`, `tempo`, `swing`, `note`, `segno`, `coda`, `to_coda`, `form_words` (D.S. al Coda,
Fine), `volta`, `bar_number`, `letters` (H, P, T), `direction`, `question`, `to_do`, `fret`. The head of
a page: `title_block` (pieces with their places), `running_head`, `page_number`.
"""

from __future__ import annotations

from scribe.engrave.ink.chords import chord
from scribe.engrave.ink.faces import FACES, Face
from scribe.engrave.ink.heading import Piece, TitleBlock, page_number, running_head, title_block
from scribe.engrave.ink.model import BLACK, DOUBT, GREY, Drawn, Glyph, Ink, Mark, Use, defs, ink, join, lay
from scribe.engrave.ink.notes import note, swing, tempo
from scribe.engrave.ink.outline import Box, union
from scribe.engrave.ink.signs import (
    bar_number,
    box,
    coda,
    direction,
    form_words,
    fret,
    letters,
    question,
    segno,
    to_coda,
    to_do,
    volta,
)
from scribe.engrave.ink.words import text

__all__ = [
    "BLACK",
    "DOUBT",
    "FACES",
    "GREY",
    "Box",
    "Drawn",
    "Face",
    "Glyph",
    "Ink",
    "Mark",
    "Piece",
    "TitleBlock",
    "Use",
    "bar_number",
    "box",
    "chord",
    "coda",
    "defs",
    "direction",
    "form_words",
    "fret",
    "ink",
    "join",
    "lay",
    "letters",
    "note",
    "page_number",
    "question",
    "running_head",
    "segno",
    "swing",
    "tempo",
    "text",
    "title_block",
    "to_coda",
    "to_do",
    "union",
    "volta",
]
