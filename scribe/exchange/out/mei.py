"""A piece as MEI 5 for other programs, with the draft's own text in its head."""

from __future__ import annotations

from lxml import etree

from scribe.engrave import engrave
from scribe.exchange.asides import asides_of
from scribe.exchange.asidesxml import asides_in_mei
from scribe.exchange.carried import carry_in_mei
from scribe.music.piece import Piece


def mei(piece: Piece, text: str = "") -> bytes:
    """Return the piece as an MEI document. `text`: the draft that it carries, so that it can come back whole."""
    root = etree.fromstring(engrave(piece).mei.encode())
    asides_in_mei(root, asides_of(piece, hand=True))
    carry_in_mei(root, text)
    return etree.tostring(root, xml_declaration=True, encoding="UTF-8") + b"\n"  # type: ignore[no-any-return]
