"""What music21 leaves unread in MEI: chord symbols, tempo, words, dynamics, marks, tunings, endings."""

from __future__ import annotations

import re
from collections import defaultdict
from fractions import Fraction

from lxml import etree

from scribe.exchange.credits import credits_of_mei
from scribe.exchange.extras import Extras
from scribe.exchange.loudness import sign_of
from scribe.exchange.m21.symbols import as_typed
from scribe.exchange.meiready import NS, TODO, XML_ID, Ready
from scribe.exchange.model import Sign, Symbol
from scribe.exchange.xmltext import decimal, text_of
from scribe.music.chord import move_chord_text
from scribe.music.inforce import Tempo
from scribe.music.interval import Interval, move_key
from scribe.music.key import Key
from scribe.music.pitch import Pitch, name_at
from scribe.music.tuning import Tuning, risen
from scribe.source.directions import ACCENTS, DIRECTIONS, LEVELS
from scribe.source.tree import Connector, Mark

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
C_MAJOR = Key("C", 0, "major")
PLAYERS = ("performer", "player")
_END = re.compile(r"(?:(\d{1,4})m *\+ *)?(\d{1,4}(?:\.\d+)?)")  # MEI: bars on, and the beat there
_NUMBER = re.compile(r"-?\d{1,2}")
HEARD = frozenset(("slur", "tie", "tuplet", "staff", "tupletSpan", "beamSpan"))  # what music21 does read
# The number that a tempo mark prints behind its words, the note before it: a sign of SMuFL, of Unicode, or left out.
_PRINTED = re.compile(r"[\s(]*[\ue000-\uf8ff\u2669-\u266c\U0001d15e-\U0001d164.\s]*=\s*\d+(?:\.\d+)?\)?\s*$")


def extras(root: etree._Element, ready: Ready) -> Extras:
    """Return the extras of a document that was made ready; what is read here music21 does not find any more."""
    return _Reading(root, ready).extras()


class _Reading:
    def __init__(self, root: etree._Element, ready: Ready) -> None:
        self.root = root
        self.ready = ready
        self.repeats: dict[tuple[int, int], tuple[int, int]] = {}
        self.rests: dict[tuple[int, int], int] = {}
        self.key = C_MAJOR  # as written
        self.moves: dict[str, Interval] = {}  # by number of the staff, from written to sounding
        self.tunings: dict[int, Tuning] = {}
        self.tempos: dict[int, Tempo] = {}
        self.sections: dict[int, str] = {}
        self.signs: dict[int, list[Sign]] = defaultdict(list)
        # Where each begins, its form, and where it ends: number of the printed measure from 0, onset (None: its end).
        self.hairpins: list[tuple[tuple[int, Fraction], str, tuple[int, Fraction | None]]] = []
        self.printed: list[int] = []  # the index of each measure, long rests as one
        self.length = Fraction(4)  # of a bar
        self.words: dict[int, list[tuple[Fraction, str]]] = defaultdict(list)
        self.symbols: dict[int, list[Symbol]] = defaultdict(list)
        self.endings: dict[int, tuple[tuple[int, ...], bool]] = {}
        self.marks: dict[str, list[Mark]] = defaultdict(list)
        self.heads: dict[str, set[str]] = defaultdict(set)
        self.slides: list[tuple[str, str]] = []
        self.slurs: list[tuple[str, str]] = []
        self.leads: dict[str, Connector] = {}
        self.lost: dict[tuple[int, int], list[str]] = defaultdict(list)

    def extras(self) -> Extras:
        unit = Fraction(4, 4)
        index = -1
        for element in self.root.iter(f"{NS}scoreDef", f"{NS}staffDef", f"{NS}measure"):
            if element.tag != f"{NS}measure":
                self.staff(element)
                text = element.get("meter.unit") or ""
                unit = Fraction(4, int(text)) if text in ("1", "2", "4", "8", "16", "32") else unit
                count = element.get("meter.count") or ""
                self.length = int(count) * unit if count.isdigit() else self.length
                continue
            index += 1
            if not self.printed or index - self.printed[-1] >= self.rests.get((0, self.printed[-1]), 1):
                self.printed.append(index)
            if element in self.ready.endings:
                self.endings[index] = self.ready.endings[element]
            if element in self.ready.repeats:
                self.repeats[0, index] = self.ready.repeats[element]
            if element in self.ready.rests:
                self.rests[0, index] = self.ready.rests[element]
            for control in element:
                if isinstance(control.tag, str) and control.tag.startswith(NS):
                    self.control(index, control, control.tag[len(NS) :], unit)
        self.hairpins_end(index)
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
        title = next((text_of(t) for t in self.root.iter(f"{NS}title") if text_of(t)), "")
        composer = next((text_of(t) for t in self.root.iter(f"{NS}composer") if text_of(t)), "")
        player = next((text_of(p) for p in self.root.iter(f"{NS}persName") if p.get("role") in PLAYERS), "")
        return Extras(
            tunings=self.tunings,
            labels=self.ready.labels,
            player=player,
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
            rests=self.rests,
            copies=True,
            modes=any(each.get("key.mode") for each in self.root.iter(f"{NS}scoreDef", f"{NS}staffDef")),
            credits=credits_of_mei(self.root),
            title=title,
            composer=composer,
        )

    def hairpins_end(self, last: int) -> None:
        """Begin hairpins again at each sforzando that they pass, and end them where no dynamic does: in a draft they
        reach to the next one. `last`: the index of the last measure, whose end needs no sign.
        """
        placed = {
            (index, sign.onset): sign.text in ACCENTS
            for index, signs in self.signs.items()
            for sign in signs
            if sign.kind == "direction" and DIRECTIONS[sign.text].kind in LEVELS
        }
        for start, form, (measure, until) in self.hairpins:
            index = self.printed[measure] if measure < len(self.printed) else last + 1
            end = (index + 1, Fraction(0)) if until is None else (index, until)
            inside = sorted(place for place in placed if start < place < end)
            for place in inside:
                if not placed[place]:
                    break  # it ends there
                self.signs[place[0]].append(Sign(place[1], "direction", form))
            else:
                if end not in placed and end[0] <= last:
                    self.signs[end[0]].append(Sign(end[1], "direction", "steady"))

    def staff(self, element: etree._Element) -> None:
        """Take in what is in force: the signature, and of a staff how far it sounds away and its strings."""
        signature = re.fullmatch(r"([0-7])([sf]?)", element.get("key.sig") or "")
        if signature:
            letter, alter = name_at(int(signature[1]) * (-1 if signature[2] == "f" else 1))
            self.key = Key(letter, alter, "major")
        steps, semitones = element.get("trans.diat") or "", element.get("trans.semi") or ""
        number = element.get("n") or "1"
        if _NUMBER.fullmatch(steps) and _NUMBER.fullmatch(semitones):
            self.moves[number] = Interval(int(steps), int(semitones))
        courses = list(element.iter(f"{NS}course"))
        tuning = risen([_open_string(each) for each in reversed(courses)])
        if tuning is not None and number.isdigit():
            self.tunings.setdefault(int(number), tuning)

    def symbol(self, control: etree._Element, text: str, onset: Fraction) -> Symbol:
        """A chord symbol at sounding pitch: a part that transposes prints its own."""
        doubt = text.endswith("?")
        name = as_typed(text.removesuffix("?")) or "N.C."
        away = self.moves.get(control.get("staff") or "1")
        if away is not None and away.semitones % 12:
            name = move_chord_text(name, away, move_key(self.key, away))
        return Symbol(onset, name, doubt)

    def control(self, index: int, control: etree._Element, name: str, unit: Fraction) -> None:
        """Take in one element that stands beside the staves."""
        if name == "slur" and control.get("startid") and control.get("endid"):
            # music21 loses those that begin or end at a note of a chord.
            self.slurs.append((control.get("startid", "")[1:], control.get("endid", "")[1:]))
            control.tag = f"{NS}annot"
            return
        if name in HEARD:
            return
        text = text_of(control)
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
            self.lost[0, index].append(f"{name} {text}".strip())
        elif name == "harm":
            self.symbols[index].append(self.symbol(control, text, onset))
        elif name == "tempo" and onset == 0:
            made = _tempo(control, text)
            if made is not None:
                self.tempos.setdefault(index, made)
        elif name == "reh" and onset == 0:
            self.sections.setdefault(index, text)
        elif name == "dynam":
            name_of = {"cresc.": "cresc", "dim.": "dim"}.get(text)
            sign, lost = (Sign(onset, "direction", name_of), "") if name_of else sign_of(text, onset)
            self.signs[index].append(sign)
            if lost:
                self.lost[0, index].append(lost)
        elif name == "hairpin":
            form = "cresc" if control.get("form") == "cres" else "dim"
            self.signs[index].append(Sign(onset, "direction", form))
            end = _END.fullmatch(control.get("tstamp2") or "")
            if end:
                until = (Fraction(end[2]).limit_denominator(960) - 1) * unit
                measure = len(self.printed) - 1 + int(end[1] or 0)
                self.hairpins.append(
                    ((index, onset), form, (measure, until if until < self.length else None))
                )
        elif name == "repeatMark" and control.get("func") in FORM:
            self.signs[index].append(Sign(onset, "direction", FORM[control.get("func") or ""]))
        elif name in ("dir", "tempo", "reh", "repeatMark") and text:
            self.words[index].append((onset, text))
        else:
            self.lost[0, index].append(f"{name} {text}".strip())


def _open_string(course: etree._Element) -> Pitch | None:
    letter, octave = (course.get("pname") or "").upper(), course.get("oct") or ""
    if letter not in tuple("ABCDEFG") or not re.fullmatch("[0-9]", octave):
        return None
    return Pitch(letter, {"s": 1, "f": -1}.get(course.get("accid") or "", 0), int(octave))


def _onset(control: etree._Element, unit: Fraction) -> Fraction | None:
    """A time stamp counts beats of the metre's unit from 1."""
    stamp = decimal(control.get("tstamp"))
    return None if stamp is None else max((stamp.limit_denominator(960) - 1) * unit, Fraction(0))


def _tempo(control: etree._Element, words: str) -> Tempo | None:
    rate = decimal(control.get("mm") or control.get("midi.bpm"))
    code = CODES.get(control.get("mm.unit") or "4")
    if rate is None:
        return Tempo(words, "Q", None) if words else None
    words = _PRINTED.sub("", words)
    if code is None or not 0 < rate <= 999:
        return Tempo(words, "Q", None) if words else None
    dotted = control.get("mm.dots") == "1"
    return Tempo(words, code + ("." if dotted else ""), rate.limit_denominator(1000))
