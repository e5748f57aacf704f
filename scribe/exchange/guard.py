"""Files from elsewhere, opened with care: what is inside, no more than it may be, and nothing outside it.

Entities are never expanded and nothing is fetched; archives are never unpacked to disk, so names in them lead nowhere.
"""

from __future__ import annotations

import io
import re
import zipfile
from typing import Literal, TypeAlias

from lxml import etree

from scribe.exchange.model import Cannot

MOST_BYTES = 64 * 2**20  # of a score, unpacked
MOST_FILE = 64 * 2**20  # of a file as it lies there
MOST_MEMBERS = 2000  # of an archive
MOST_NOTES = 150_000
MOST_MIDI = 8 * 2**20

Kind = Literal["musicxml", "mei", "midi"]
Element: TypeAlias = etree._Element
_ENTITY = tuple("<!ENTITY".encode(code) for code in ("ascii", "utf-16-le", "utf-16-be"))


def too_large(size: int) -> Cannot | None:
    """What to say about a file of that many bytes, before it is read."""
    if size <= MOST_FILE:
        return None
    return Cannot(f"{size / 2**20:.0f} MB, more than the {MOST_FILE // 2**20} MB that are read")


def open_score(data: bytes) -> tuple[Kind, bytes | Element]:
    """Return what a file holds: the root of MusicXML or MEI, or the bytes of a MIDI file.

    Raises:
        Cannot: it is none of these, it is damaged, or larger than the limits above.
    """
    fault = too_large(len(data))
    if fault is not None:
        raise fault
    if not data.strip():
        raise Cannot("the file is empty")
    if data[:4] == b"MThd" or (data[:4] == b"RIFF" and data[8:12] == b"RMID"):
        if len(data) > MOST_MIDI:
            raise Cannot(
                f"a MIDI file of {len(data) / 2**20:.0f} MB, more than the {MOST_MIDI // 2**20} MB read"
            )
        return "midi", data[data.index(b"MThd") :] if b"MThd" in data else data
    if data[:2] == b"PK":
        data = unpacked(data)
    root = xml_root(data)
    name = etree.QName(root).localname
    if name in ("score-partwise", "score-timewise"):
        notes = sum(1 for _ in root.iter("note"))
        if notes > MOST_NOTES:
            raise Cannot(f"{notes} notes, more than the {MOST_NOTES} that are read")
        return "musicxml", root
    if name in ("mei", "music"):
        return "mei", root
    raise Cannot(f"expected MusicXML, MEI or MIDI, found XML with the root `{name[:40]}`")


def xml_root(data: bytes) -> Element:
    """Parse XML without entities, without the network, within libxml2's own limits.

    Raises:
        Cannot: it is no XML, it is damaged, or it declares entities.
    """
    if len(data) > MOST_BYTES:
        raise Cannot(
            f"{len(data) / 2**20:.0f} MB of XML, more than the {MOST_BYTES // 2**20} MB that are read"
        )
    if any(sign in data for sign in _ENTITY):
        raise Cannot("it declares entities, which no score needs: not read")
    parser = etree.XMLParser(
        resolve_entities=False, no_network=True, load_dtd=False, dtd_validation=False, huge_tree=False,
        remove_comments=True, remove_pis=True,
    )  # fmt: skip
    try:
        root = etree.fromstring(data, parser)
    except (etree.XMLSyntaxError, ValueError) as fault:
        if not data.lstrip(b"\xef\xbb\xbf\xff\xfe \t\r\n")[:1] == b"<":
            raise Cannot("expected MusicXML, MEI or MIDI, found something else") from None
        raise Cannot(_damaged(fault)) from None
    if root is None:
        raise Cannot("damaged XML: nothing in it")
    return root


def _damaged(fault: Exception) -> str:
    """What is wrong with XML, and where."""
    where = getattr(fault, "position", None)
    place = f" at line {where[0]}, column {where[1]}" if where and where[0] else ""
    return f"damaged XML{place}: {_said(fault)}"


def _said(fault: Exception) -> str:
    """The words of a reader, without the place that it does not know the name of."""
    said = _short(re.sub(r"( line \d+)?(, line \d+, column \d+)?( \(<string>, line \d+\))?$", "", str(fault)))
    return said[:1].lower() + said[1:]


def unpacked(data: bytes) -> bytes:
    """Return the score in a compressed MusicXML file, which its container names.

    Raises:
        Cannot: the archive is damaged, locked, a bomb, or holds no score.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            members = {m.filename: m for m in archive.infolist() if not m.is_dir()}
            if len(members) > MOST_MEMBERS:
                raise Cannot(f"an archive of {len(members)} files")
            name = _score_name(archive, members)
            return _member(archive, members[name])
    except (zipfile.BadZipFile, RuntimeError, NotImplementedError, EOFError, OSError, ValueError) as fault:
        if isinstance(fault, Cannot):
            raise
        raise Cannot(f"damaged archive: {_said(fault)}") from None
    except Exception as fault:  # zlib.error, lzma.LZMAError: whatever a damaged stream raises
        raise Cannot(f"damaged archive: {_said(fault)}") from None


def _score_name(archive: zipfile.ZipFile, members: dict[str, zipfile.ZipInfo]) -> str:
    scores = [
        name
        for name in sorted(members)
        if name.lower().endswith((".musicxml", ".xml")) and not name.startswith(("META-INF/", "__MACOSX/"))
    ]
    container = members.get("META-INF/container.xml")
    if container is not None:
        root = xml_root(_member(archive, container))
        for file in root.iter("{*}rootfile"):
            named = file.get("full-path") or ""
            kind = file.get("media-type") or ""
            if kind in ("", "application/vnd.recordare.musicxml+xml", "application/vnd.recordare.musicxml"):
                if named in members:
                    return named
                raise Cannot(f"the archive holds no `{_short(named)}`, which its container names")
    if scores:
        return scores[0]
    raise Cannot("an archive without a score")


def _member(archive: zipfile.ZipFile, member: zipfile.ZipInfo) -> bytes:
    """Read one member, never more than the limit, whatever its header says."""
    with archive.open(member) as stream:
        data = stream.read(MOST_BYTES + 1)
    if len(data) > MOST_BYTES:
        raise Cannot(f"it unpacks to more than {MOST_BYTES // 2**20} MB: not read")
    return data


def _short(text: str) -> str:
    kept = "".join(c if c.isprintable() else " " for c in text.split("\n")[0])
    return kept if len(kept) <= 80 else kept[:79] + "…"
