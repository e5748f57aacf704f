"""Who and what a score names beside title, composer and player: said in words, for comments at a draft's head."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from lxml import etree

from scribe.exchange.meidefs import NS
from scribe.exchange.xmltext import decimal, one_line, text_of

TITLES = ("work/work-title", "movement-title")
FILE_NAMES = (".mxl", ".xml", ".musicxml", ".mei", ".mid", ".midi", ".krn", ".abc")
TOP = Fraction(4, 5)  # of the way up from the bottom of the page to its highest words
TITLE = 14  # points: the smallest size of a title
_NO_NAME = re.compile(r"\d|^arr|.{60}", re.IGNORECASE)
MOST = 12  # of them, in a draft
LONGEST = 160  # signs of one
SAID = frozenset(("composer", "performer", "player"))  # these have directives
ROLES = ("lyricist", "librettist", "arranger", "author", "editor", "funder", "sponsor")
_DRAWN = frozenset(("page number", "title", "composer", "part name"))  # kinds of credits that say nothing new


def credits_of_musicxml(root: etree._Element) -> tuple[str, ...]:
    """Return what a MusicXML score names: other creators, rights, numbers of the work, words drawn on its pages.

    Each once, without what the draft says anyway. MusicXML 4.0: `identification`, `work`, `credit`.
    """
    known = {_plain(text) for text in _known(root)}
    return _once(_of_musicxml(root), known)


class Drawn(NamedTuple):
    """Title and composer as they are drawn on the first page; empty where they are said elsewhere, or not at all."""

    title: str
    composer: str


def drawn(root: etree._Element) -> Drawn:
    """Return what only the page says: by its kind, else the largest centred words at the top are the title, and those
    at the right the composer (common practice, no source).
    """
    title = composer = ""
    tops: list[tuple[Fraction, str]] = []
    highest = max(
        (_number(each, "default-y") for each in root.iterfind("credit/credit-words")), default=Fraction(0)
    )
    for credit in root.iterfind("credit"):
        kinds = {text_of(each).casefold() for each in credit.iterfind("credit-type")}
        words = list(credit.iterfind("credit-words"))
        said = one_line(" ".join(text_of(each) for each in words))
        if not said or (credit.get("page") or "1") != "1":
            continue
        side = words[0].get("justify") or words[0].get("halign") or "left"
        if "title" in kinds or "composer" in kinds:
            title = title or (said if "title" in kinds else "")
            composer = composer or (said if "composer" in kinds else "")
        elif not kinds and (_number(words[0], "default-y") or highest) > highest * TOP:
            if side == "center":
                tops.append((_number(words[0], "font-size"), said))
            elif side == "right" and not composer and not _NO_NAME.search(said):
                composer = said
    largest = max((size for size, _ in tops), default=Fraction(0))
    if not title and largest >= TITLE:
        title = next(said for size, said in tops if size == largest)
    has_title = any(text_of(each) for path in TITLES for each in root.iterfind(path))
    has_composer = any(c.get("type") == "composer" for c in root.iterfind("identification/creator"))
    return Drawn("" if has_title else title, "" if has_composer else composer)


def _number(element: etree._Element, attribute: str) -> Fraction:
    return decimal(element.get(attribute)) or Fraction(0)


def _known(root: etree._Element) -> Iterator[str]:
    """What stands in a draft already, or is drawn only to repeat it."""
    yield from drawn(root)
    for path in (*TITLES, "part-list/score-part/part-name"):
        yield from (text_of(each) for each in root.iterfind(path))
    for creator in root.iterfind("identification/creator"):
        yield text_of(creator)  # those without a directive are named with what they did
    yield from (text_of(each) for each in root.iterfind("identification/rights"))


def _of_musicxml(root: etree._Element) -> Iterator[tuple[str, str]]:
    """Each with what it is."""
    for path, what in (("work/work-number", "work number"), ("movement-number", "movement number")):
        yield from ((what, text_of(each)) for each in root.iterfind(path))
    for creator in root.iterfind("identification/creator"):
        kind = one_line(creator.get("type") or "creator").casefold()
        if kind not in SAID:
            yield kind, text_of(creator)
    for each in root.iterfind("identification/rights"):
        yield "rights", text_of(each)
    for credit in root.iterfind("credit"):
        kinds = {text_of(each).casefold() for each in credit.iterfind("credit-type")}
        if not kinds & _DRAWN:
            yield "", one_line(" ".join(text_of(each) for each in credit.iterfind("credit-words")))


def is_title(text: str) -> bool:
    """Whether a text may be a title: not the name of a file, nor what music21 writes where there is none."""
    return bool(text) and text != "Music21 Fragment" and not text.endswith(FILE_NAMES)


def drawn_in_mei(root: etree._Element) -> Drawn:
    """Return what the head of an MEI score's first page says: in the middle its title, at the right its composer."""
    titles: list[str] = []
    composers: list[str] = []
    for head in list(root.iter(f"{NS}pgHead"))[:1]:
        for rend in head.iter(f"{NS}rend"):
            said = text_of(rend)
            if rend.get("halign") == "center" and is_title(said):
                titles.append(said)
            elif rend.get("halign") == "right" and said and not _NO_NAME.search(said):
                composers.append(said)
    return Drawn(titles[0] if titles else "", composers[0] if composers else "")


def credits_of_mei(root: etree._Element) -> tuple[str, ...]:
    """Return what an MEI score names: people beside composer and player, rights.

    MEI 5: `titleStmt`, `useRestrict`.
    """
    return _once(_of_mei(root), set())


def _of_mei(root: etree._Element) -> Iterator[tuple[str, str]]:
    head = root.find(f"{NS}meiHead")
    if head is None:
        return
    for statement in head.iter(f"{NS}titleStmt"):
        for each in statement.iter(*(f"{NS}{role}" for role in ROLES)):
            yield str(each.tag)[len(NS) :], text_of(each)
        for person in statement.iter(f"{NS}persName", f"{NS}corpName", f"{NS}name"):
            role = one_line(person.get("role") or "").casefold()
            if role and role not in SAID:
                yield role, text_of(person)
    for each in head.iter(f"{NS}useRestrict"):
        yield "rights", text_of(each)


def _once(found: Iterator[tuple[str, str]], known: set[str]) -> tuple[str, ...]:
    """In words, each once; `known` texts only where it is said what they are."""
    out: dict[str, str] = {}
    for what, text in found:
        key = _plain(text)
        if not key or (not what and (key in known or key in out or text.isdecimal())):
            continue
        said = f"{what}: {text}" if what else text
        out.setdefault(key if not what else f"{what} {key}", said[:LONGEST])
        known.add(key)
    listed = tuple(dict.fromkeys(out.values()))
    more = len(listed) - MOST
    return listed if more <= 0 else (*listed[:MOST], f"{more} more lines on the page")


def _plain(text: str) -> str:
    """Letters and digits alone: a text is drawn now with a colon, now in capitals."""
    return "".join(c for c in text.casefold() if c.isalnum())
