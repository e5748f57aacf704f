"""The W3C's XML schema of MusicXML 4.0, for the tests: it comes with the package `musicxml` (extra `dev`)."""

from __future__ import annotations

import tempfile
from functools import lru_cache
from importlib.metadata import PackageNotFoundError, files
from pathlib import Path

import pytest
from lxml import etree

SCHEMA = "musicxml_4_0.xsd"
# The two small schemas that it imports: attributes of XML and XLink (W3C; written from their recommendations).
XML = """<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" targetNamespace="http://www.w3.org/XML/1998/namespace">
<xs:attribute name="lang" type="xs:language"/>
<xs:attribute name="space" type="xs:NCName"/></xs:schema>"""
XLINK = """<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" targetNamespace="http://www.w3.org/1999/xlink">
<xs:attribute name="href" type="xs:anyURI"/><xs:attribute name="type" type="xs:token"/>
<xs:attribute name="role" type="xs:token"/><xs:attribute name="title" type="xs:token"/>
<xs:attribute name="show" type="xs:token"/><xs:attribute name="actuate" type="xs:token"/></xs:schema>"""


@lru_cache(maxsize=1)
def schema() -> etree.XMLSchema:
    """Return the schema; skips the test where the package is not there."""
    try:
        found = next(f for f in files("musicxml") or () if f.name == SCHEMA)
    except (PackageNotFoundError, StopIteration):
        pytest.skip("the package `musicxml` with the schema is not installed")
    text = Path(str(found.locate())).read_text(encoding="utf-8")
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        (place / "xml.xsd").write_text(XML, encoding="utf-8")
        (place / "xlink.xsd").write_text(XLINK, encoding="utf-8")
        (place / SCHEMA).write_text(text.replace("http://www.musicxml.org/xsd/", ""), encoding="utf-8")
        return etree.XMLSchema(etree.parse(str(place / SCHEMA)))


def faults(data: bytes) -> list[str]:
    """Return what the schema says against a document."""
    found = schema()
    found.validate(etree.fromstring(data, etree.XMLParser(no_network=True, load_dtd=False)))
    return [str(error.message) for error in found.error_log]
