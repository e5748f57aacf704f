"""MEI made ready for music21, and what it leaves unread: chord symbols, tempo, words, dynamics, marks, endings."""

from __future__ import annotations

import re
from collections import defaultdict
from copy import deepcopy
from fractions import Fraction
from itertools import count

from lxml import etree
from music21 import note, stream

from scribe.exchange.extras import Extras
from scribe.exchange.m21.symbols import as_typed
from scribe.exchange.model import Sign, Symbol
from scribe.music.inforce import Tempo
from scribe.source.directions import DIRECTIONS
from scribe.source.tree import Connector, Mark

NS = "{http://www.music-encoding.org/ns/mei}"
XML_ID = "{http://www.w3.org/XML/1998/namespace}id"
CODES = {"1": "W", "2": "H", "4": "Q", "8": "E", "16": "S", "32": "T"}
FORM = {"segno": "segno", "coda": "coda", "dalSegno": "ds", "daCapo": "dc", "fine": "fine"}
# Marks that our own MEI writes as words with a type.
TYPED: dict[str, Mark] = {
    "thumb": "thumb",
    "popped": "popped",
    "vibrato": "vibrato",
    "bent": "bent",
    "fall": "fall",
}
LEADS: dict[str, Connector] = {
    "hammer": "hammer",
    "pull": "pull",
    "slide-up": "slide up",
    "slide-down": "slide down",
}
HEADS = (("head.shape", "x", "dead"), ("head.shape", "slash", "unheard"), ("head.mod", "paren", "ghost"))
TODO = "scribe-todo-"  # how the ids of rests begin that are bars still to do
HEARD = frozenset(("slur", "tie", "tuplet", "staff", "tupletSpan", "beamSpan"))  # what music21 does read
MOST_RESTS = 999
SILENT = "scribe-rest-"  # how the ids of notes begin that stand in for rests
_COPIES = count(1)


def prepare(root: etree._Element) -> Extras:
    """Change an MEI document into what music21 understands; return what it would lose.

    Rests of several bars and repeated bars are written out, endings unwrapped, attributes get their older names.
    """
    _older_names(root)
    endings = _unwrap(root)
    repeats = _write_out(root)
    _loose_graces(root)
    _last_rests(root)
    return _Reading(root, endings, repeats).extras()


def _older_names(root: etree._Element) -> None:
    """MEI 5 calls `key.sig` `keysig`; music21 knows the older name, and no transposition by nothing."""
    for each in root.iter(f"{NS}scoreDef", f"{NS}staffDef"):
        if each.get("trans.semi") in ("0", "0.0"):
            for name in ("trans.semi", "trans.diat"):
                each.attrib.pop(name, None)
        if each.get("keysig") and not each.get("key.sig"):
            each.set("key.sig", each.get("keysig"))


def _unwrap(root: etree._Element) -> dict[etree._Element, tuple[tuple[int, ...], bool]]:
    """Take measures out of `<ending>`; returns the passes of each, and whether it is the first one there."""
    found: dict[etree._Element, tuple[tuple[int, ...], bool]] = {}
    for ending in list(root.iter(f"{NS}ending")):
        passes = tuple(int(n) for n in re.findall(r"\d+", ending.get("n") or "")[:9] if 0 < int(n) < 100) or (
            1,
        )
        for place, measure in enumerate(ending.iter(f"{NS}measure")):
            found[measure] = (passes, place == 0)
        parent = ending.getparent()
        if parent is not None:
            for child in list(ending):
                ending.addprevious(child)
            parent.remove(ending)
    return found


def _write_out(root: etree._Element) -> dict[etree._Element, tuple[int, int]]:
    """One measure for each bar of rest, notes for each repeated bar; returns the repeat signs that stood there."""
    before: list[etree._Element] = []
    signs: dict[etree._Element, tuple[int, int]] = {}
    for measure in list(root.iter(f"{NS}measure")):
        many = next(measure.iter(f"{NS}multiRest"), None)
        if many is not None:
            text = many.get("num") or "1"
            rests = min(int(text), MOST_RESTS) if text.isdigit() else 1
            for each in list(measure.iter(f"{NS}multiRest")):
                _put(each, etree.Element(f"{NS}mRest"))
            for _ in range(rests - 1):
                measure.addnext(_without_controls(measure))
        for tag, back in ((f"{NS}mRpt", 1), (f"{NS}mRpt2", 2)):
            for each in list(measure.iter(tag)):
                if len(before) >= back:
                    _copy_layer(each, before[-back])
                    signs[measure] = (back, back - 1)
                if back == 2:
                    second = _second_half(measure, before)
                    signs |= {} if second is None else {second: (2, 2)}
        for each in list(measure.iter(f"{NS}mSpace")):
            rest = etree.Element(f"{NS}mRest")
            rest.set(XML_ID, f"{TODO if measure.get('type') == 'todo' else 'space-'}{next(_COPIES)}")
            _put(each, rest)
        before.append(measure)
    return signs


def _loose_graces(root: etree._Element) -> None:
    """music21 skips `<graceGrp>` with all that is in it: its notes stand alone instead."""
    for group in list(root.iter(f"{NS}graceGrp")):
        for each in list(group.iter(f"{NS}note", f"{NS}chord")):
            if each.getparent() is not None and each.getparent().tag != f"{NS}chord":
                each.set("grace", each.get("grace") or group.get("grace") or "acc")
                group.addprevious(each)
        parent = group.getparent()
        if parent is not None:
            parent.remove(group)


def _last_rests(root: etree._Element) -> None:
    """A tuplet that ends with a rest makes music21 stumble: a note stands in for it (see `SILENT`)."""
    for tuplet in root.iter(f"{NS}tuplet"):
        inside = list(tuplet.iter(f"{NS}note", f"{NS}chord", f"{NS}rest", f"{NS}space"))
        if inside and inside[-1].tag in (f"{NS}rest", f"{NS}space"):
            last = inside[-1]
            made = etree.Element(f"{NS}note", pname="c", oct="4", dur=last.get("dur") or "4")
            made.set(XML_ID, f"{SILENT}{next(_COPIES)}")
            if last.get("dots"):
                made.set("dots", last.get("dots"))
            made.tail = last.tail
            _put(last, made)


def silence(score: stream.Score) -> None:
    """Make rests again of the notes that stood in for some."""
    for each in list(score.recurse().notes):
        if str(each.id).startswith(SILENT) and each.activeSite is not None:
            rest = note.Rest()
            rest.duration = each.duration
            each.activeSite.replace(each, rest)


def _put(old: etree._Element, new: etree._Element) -> None:
    parent = old.getparent()
    if parent is not None:
        parent.replace(old, new)


def _without_controls(measure: etree._Element) -> etree._Element:
    copy = etree.Element(measure.tag, {k: v for k, v in measure.attrib.items() if k in ("n", "right")})
    for staff in measure.iterchildren(f"{NS}staff"):
        copy.append(_renamed(deepcopy(staff)))
    return copy


def _copy_layer(sign: etree._Element, source: etree._Element) -> None:
    """Put the notes of the same staff of an earlier measure in the place of a repeat sign."""
    layer = sign.getparent()
    staff = layer.getparent() if layer is not None else None
    if layer is None or staff is None:
        return
    for other in source.iterchildren(f"{NS}staff"):
        if other.get("n") == staff.get("n"):
            first = next(other.iterchildren(f"{NS}layer"), None)
            if first is not None:
                parent = layer
                parent.remove(sign)
                parent.extend([_renamed(deepcopy(each)) for each in first])
            return


def _second_half(measure: etree._Element, before: list[etree._Element]) -> etree._Element | None:
    """A two-bar repeat stands in its first bar; the second follows with nothing of its own, and is returned."""
    following = measure.getnext()
    while following is not None and following.tag != measure.tag:
        following = following.getnext()
    if following is None or len(before) < 1:
        return None
    spaces = list(following.iter(f"{NS}mSpace"))
    for space in spaces:
        _copy_layer(space, before[-1])
    return following if spaces else None


def _renamed(element: etree._Element) -> etree._Element:
    """A copy must not have the ids of what it was copied from."""
    for each in element.iter():
        if each.get(XML_ID):
            each.set(XML_ID, f"{each.get(XML_ID)}.{next(_COPIES)}")
    return element


class _Reading:
    def __init__(
        self,
        root: etree._Element,
        endings: dict[etree._Element, tuple[tuple[int, ...], bool]],
        repeats: dict[etree._Element, tuple[int, int]],
    ) -> None:
        self.root = root
        self.repeat_signs = repeats
        self.repeats: dict[tuple[int, int], tuple[int, int]] = {}
        self.endings_of = endings
        self.tempos: dict[int, Tempo] = {}
        self.sections: dict[int, str] = {}
        self.signs: dict[int, list[Sign]] = defaultdict(list)
        self.words: dict[int, list[tuple[Fraction, str]]] = defaultdict(list)
        self.symbols: dict[int, list[Symbol]] = defaultdict(list)
        self.endings: dict[int, tuple[tuple[int, ...], bool]] = {}
        self.marks: dict[str, list[Mark]] = defaultdict(list)
        self.heads: dict[str, set[str]] = defaultdict(set)
        self.slides: list[tuple[str, str]] = []
        self.slurs: list[tuple[str, str]] = []
        self.leads: dict[str, Connector] = {}
        self.lost: dict[int, list[str]] = defaultdict(list)

    def extras(self) -> Extras:
        unit = Fraction(4, 4)
        index = -1
        for element in self.root.iter(f"{NS}scoreDef", f"{NS}staffDef", f"{NS}measure"):
            if element.tag != f"{NS}measure":
                text = element.get("meter.unit") or ""
                unit = Fraction(4, int(text)) if text in ("1", "2", "4", "8", "16", "32") else unit
                continue
            index += 1
            if element in self.endings_of:
                self.endings[index] = self.endings_of[element]
            if element in self.repeat_signs:
                self.repeats[0, index] = self.repeat_signs[element]
            for control in element:
                if isinstance(control.tag, str) and control.tag.startswith(NS):
                    self.control(index, control, control.tag[len(NS) :], unit)
        for each in self.root.iter(f"{NS}mRest"):
            if (each.get(XML_ID) or "").startswith(TODO):
                self.heads[each.get(XML_ID) or ""].add("to do")
        for each in self.root.iter(f"{NS}note"):
            for attribute, value, what in HEADS:
                if each.get(attribute) == value:
                    self.heads[each.get(XML_ID) or ""].add(what)
            for name in ("string", "fret"):
                number = each.get(f"tab.{name}") or ""
                if number.isdigit() and int(number) < 40:
                    self.heads[each.get(XML_ID) or ""].add(f"{name} {int(number)}")
        title = next((_text(t) for t in self.root.iter(f"{NS}title") if _text(t)), "")
        composer = next((_text(t) for t in self.root.iter(f"{NS}composer") if _text(t)), "")
        return Extras(
            tempos=self.tempos,
            sections=self.sections,
            signs=self.signs,
            words=self.words,
            symbols=self.symbols,
            endings=self.endings,
            marks=self.marks,
            heads=self.heads,
            slides=self.slides,
            slurs=self.slurs,
            leads=self.leads,
            lost=self.lost,
            repeats=self.repeats,
            modes=any(each.get("key.mode") for each in self.root.iter(f"{NS}scoreDef", f"{NS}staffDef")),
            title=title,
            composer=composer,
        )

    def control(self, index: int, control: etree._Element, name: str, unit: Fraction) -> None:
        """Take in one element that stands beside the staves."""
        if name == "slur" and control.get("startid") and control.get("endid"):
            # music21 loses those that begin or end at a note of a chord.
            self.slurs.append((control.get("startid", "")[1:], control.get("endid", "")[1:]))
            control.tag = f"{NS}annot"
            return
        if name in HEARD:
            return
        text = _text(control)
        start, end = (control.get("startid") or "").lstrip("#"), (control.get("endid") or "").lstrip("#")
        onset = _onset(control, unit)
        if name == "fermata" and start:
            self.marks[start].append("held")
        elif name == "gliss" and start and end:
            self.slides.append((start, end))
        elif name == "dir" and control.get("type") in ("doubt", "todo") and start:
            self.heads[start].add("doubtful" if control.get("type") == "doubt" else "to do")
        elif name == "dir" and control.get("type") in LEADS and start:
            self.leads[end or start] = LEADS[control.get("type") or ""]
        elif name == "dir" and control.get("type") in TYPED and start:
            self.marks[start].append(TYPED[control.get("type") or ""])
        elif onset is None:
            self.lost[index].append(f"{name} {text}".strip())
        elif name == "harm":
            doubt = text.endswith("?")
            self.symbols[index].append(Symbol(onset, as_typed(text.removesuffix("?")) or "N.C.", doubt))
        elif name == "tempo" and onset == 0:
            made = _tempo(control, text)
            if made is not None:
                self.tempos.setdefault(index, made)
        elif name == "reh" and onset == 0:
            self.sections.setdefault(index, text)
        elif name == "dynam":
            known = text in DIRECTIONS and DIRECTIONS[text].kind == "dynamic"
            name_of = {"cresc.": "cresc", "dim.": "dim"}.get(text)
            if known or name_of:
                self.signs[index].append(Sign(onset, "direction", name_of or text))
            else:
                self.signs[index].append(Sign(onset, "text", text))
        elif name == "hairpin":
            form = "cresc" if control.get("form") == "cres" else "dim"
            self.signs[index].append(Sign(onset, "direction", form))
        elif name == "repeatMark" and control.get("func") in FORM:
            self.signs[index].append(Sign(onset, "direction", FORM[control.get("func") or ""]))
        elif name in ("dir", "tempo", "reh", "repeatMark") and text:
            self.words[index].append((onset, text))
        else:
            self.lost[index].append(f"{name} {text}".strip())


def _text(element: etree._Element) -> str:
    return " ".join("".join(str(part) for part in element.itertext()).split())


def _onset(control: etree._Element, unit: Fraction) -> Fraction | None:
    """A time stamp counts beats of the metre's unit from 1."""
    try:
        stamp = Fraction(control.get("tstamp") or "x").limit_denominator(960)
    except ValueError:
        return None
    return max((stamp - 1) * unit, Fraction(0))


def _tempo(control: etree._Element, words: str) -> Tempo | None:
    try:
        rate = Fraction(control.get("mm") or control.get("midi.bpm") or "x").limit_denominator(1000)
    except ValueError:
        return Tempo(words, "Q", None) if words else None
    code = CODES.get(control.get("mm.unit") or "4")
    if code is None or not 0 < rate <= 999:
        return Tempo(words, "Q", None) if words else None
    return Tempo(words, code + ("." if control.get("mm.dots") == "1" else ""), rate)
