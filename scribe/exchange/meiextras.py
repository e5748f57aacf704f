"""What music21 leaves unread in MEI: chord symbols, tempo, words, dynamics, marks, tunings, endings."""

from __future__ import annotations

import re
from collections import defaultdict
from fractions import Fraction
from typing import NamedTuple

from lxml import etree

from scribe.exchange.credits import credits_of_mei, drawn_in_mei, is_title
from scribe.exchange.extras import Extras
from scribe.exchange.loudness import sign_of
from scribe.exchange.m21.symbols import as_typed
from scribe.exchange.meidefs import NS, metre_of
from scribe.exchange.meilayers import BENT, UNPITCHED, XML_ID
from scribe.exchange.meiplaces import Place, both_hands, has_dynamics, ids, places_of, staves_of
from scribe.exchange.meiready import TODO, Ready
from scribe.exchange.meisigns import SILENT, called, onset_of, tempo_of
from scribe.exchange.meitab import open_strings
from scribe.exchange.model import Sign, Symbol
from scribe.exchange.tempowords import as_words, is_change
from scribe.exchange.xmltempo import PLAYED, is_news
from scribe.exchange.xmltext import decimal, text_of
from scribe.music.chord import move_chord_text
from scribe.music.inforce import Tempo
from scribe.music.interval import Interval, move_key
from scribe.music.key import Key
from scribe.music.pitch import name_at
from scribe.music.tuning import Tuning, risen
from scribe.source.directions import ACCENTS, DIRECTIONS, LEVELS
from scribe.source.tree import Connector, Mark

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
_CHORD = re.compile(r"[A-G]|N\.? ?C")
_NUMBER = re.compile(r"-?\d{1,2}")
NEAR = Fraction(1, 4)  # of a quarter
PARTS, HALVES = (
    6,
    2,
)  # of a beat: where a hairpin may begin, where it may end; what is finer was placed by eye
HEARD = frozenset(("tie", "tuplet", "tupletSpan"))  # what music21 does read


def extras(root: etree._Element, ready: Ready) -> Extras:
    """Return the extras of a document that was made ready; what is read here music21 does not find any more."""
    return _Reading(root, ready).extras()


class Hairpin(NamedTuple):
    """Number of the part, bar and onset where it begins, its form, and where it ends (None: the bar does)."""

    part: int
    start: tuple[int, Fraction]
    form: str
    end: tuple[int, Fraction | None]


class _Reading:
    def __init__(self, root: etree._Element, ready: Ready) -> None:
        self.root = root
        self.ready = ready
        self.places = places_of(root)
        self.parts: dict[str, int] = {}  # numbers of staves to numbers of parts, as music21 counts them
        for each in root.iter(f"{NS}staffDef"):
            self.parts.setdefault(each.get("n") or "", len(self.parts) + 1)
        self.both_hands = both_hands(root)
        self.repeats: dict[tuple[int, int], tuple[int, int]] = {}
        self.rests: dict[tuple[int, int], int] = {}
        self.keys: dict[str, Key] = {}  # as written, by number of the staff; empty: of all
        self.at = {(p.bar, p.onset, p.staff): each for each, p in reversed(self.places.items()) if p.length}
        self.moves: dict[str, Interval] = {}  # by number of the staff, from written to sounding
        self.tunings: dict[int, Tuning] = {}
        self.tempos: dict[int, Tempo] = {}
        self.sections: dict[int, str] = {}
        self.signs: dict[tuple[int, int], list[Sign]] = defaultdict(list)
        self.hairpins: list[Hairpin] = []
        self.printed: list[int] = []  # the index of each measure, long rests as one
        self.length = Fraction(4)  # of a bar
        self.words: dict[tuple[int, int], list[tuple[Fraction, str]]] = defaultdict(list)
        self.symbols: dict[tuple[int, int], list[Symbol]] = defaultdict(list)
        self.endings: dict[int, tuple[tuple[int, ...], bool]] = {}
        self.marks: dict[str, list[Mark]] = defaultdict(list)
        self.heads: dict[str, set[str]] = defaultdict(set)
        self.slides: list[tuple[str, str]] = []
        self.slurs: list[tuple[str, str]] = []
        self.leads: dict[str, Connector] = {}
        self.lost: dict[tuple[int, int], list[str]] = defaultdict(list)

    def extras(self) -> Extras:
        index = -1
        for index, measure in enumerate(self.root.iter(f"{NS}measure")):
            if not self.printed or index - self.printed[-1] >= self.rests.get((0, self.printed[-1]), 1):
                self.printed.append(index)
            if measure in self.ready.rests:
                self.rests[0, index] = self.ready.rests[measure]
        unit = Fraction(1)
        index = -1
        for element in self.root.iter(f"{NS}scoreDef", f"{NS}staffDef", f"{NS}measure"):
            if element.tag != f"{NS}measure":
                self.staff(element, index)
                text = element.get("meter.unit") or ""
                unit = Fraction(4, int(text)) if text in ("1", "2", "4", "8", "16", "32") else unit
                self.length = metre_of(element) or self.length
                continue
            index += 1
            if element in self.ready.endings:
                self.endings[index] = self.ready.endings[element]
            for number, sign in self.ready.repeats.get(element, {}).items():
                self.repeats[self.parts.get(number, 0), index] = sign
            for number, what in self.ready.lost.get(element, ()):
                self.lost[self.parts.get(number, 0), index].append(what)
            for control in element:
                if isinstance(control.tag, str) and control.tag.startswith(NS):
                    self.control(index, control, control.tag[len(NS) :], unit)
        self.hairpins_end(index)
        for each in self.root.iter(f"{NS}mRest"):
            if (each.get(XML_ID) or "").startswith(TODO):
                self.heads[each.get(XML_ID) or ""].add("to do")
        for each in self.root.iter(f"{NS}note", f"{NS}chord"):
            if each.get(BENT):
                self.marks[each.get(XML_ID) or ""].append("bent")
            if (each.get(XML_ID) or "").startswith(UNPITCHED):
                self.heads[each.get(XML_ID) or ""].add("dead")
            for attribute, value, what in HEADS:
                if each.get(attribute) == value:
                    self.heads[each.get(XML_ID) or ""].add(what)
            for name in ("string", "fret"):
                number = each.get(f"tab.{name}") or (each.get("tab.course") if name == "string" else "") or ""
                if number.isdecimal() and int(number) < 40:
                    self.heads[each.get(XML_ID) or ""].add(f"{name} {int(number)}")
        title = next((t for t in map(text_of, self.root.iter(f"{NS}title")) if is_title(t)), "")
        head = drawn_in_mei(self.root)
        people = [
            (p.get("role") or "", text_of(p))
            for p in self.root.iter(f"{NS}persName", f"{NS}name", f"{NS}corpName")
        ]
        composer = next((text_of(t) for t in self.root.iter(f"{NS}composer") if text_of(t)), "")
        composer = composer or next((name for role, name in people if role == "composer"), "")
        player = next((name for role, name in people if role in PLAYERS), "")
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
            systems=self.systems(),
            modes=any(each.get("key.mode") for each in self.root.iter(f"{NS}scoreDef", f"{NS}staffDef")),
            credits=credits_of_mei(self.root),
            title=title or head.title,
            composer=("" if composer == "Music21" else composer) or head.composer,
        )

    def systems(self) -> frozenset[int]:
        """Which bars begin a line of the page."""
        found: set[int] = set()
        index, broken = 0, False
        for each in self.root.iter(f"{NS}sb", f"{NS}pb", f"{NS}measure"):
            if each.tag != f"{NS}measure":
                broken = True
                continue
            if broken:
                found.add(index)
            index, broken = index + 1, False
        return frozenset(found)

    def hairpins_end(self, last: int) -> None:
        """Begin hairpins again at each sforzando that they pass, and end them where no dynamic does: in a draft they
        reach to the next one. `last`: the index of the last measure, whose end needs no sign.
        """
        placed = {
            (part, index, sign.onset): sign.text in ACCENTS
            for (part, index), signs in self.signs.items()
            for sign in signs
            if sign.kind == "direction" and DIRECTIONS[sign.text].kind in LEVELS
        }
        for part, start, form, (index, until) in self.hairpins:
            end = (index + 1, Fraction(0)) if until is None else (index, until)
            inside = sorted(place for place in placed if place[0] == part and start < place[1:] < end)
            for place in inside:
                if not placed[place]:
                    break  # it ends there
                self.signs[part, place[1]].append(Sign(place[2], "direction", form))
            else:
                if (part, *end) not in placed and end[0] <= last:
                    self.signs[part, end[0]].append(Sign(end[1], "direction", "steady"))

    def staff(self, element: etree._Element, index: int) -> None:
        """Take in what is in force: the signature, and of a staff how far it sounds away and its strings."""
        signature = re.fullmatch(r"([0-7])([sf]?)", element.get("key.sig") or "")
        number = element.get("n") or ""
        if signature:
            letter, alter = name_at(int(signature[1]) * (-1 if signature[2] == "f" else 1))
            self.keys[number] = Key(letter, alter, "major")
        steps, semitones = element.get("trans.diat") or "", element.get("trans.semi") or ""
        if _NUMBER.fullmatch(steps) and _NUMBER.fullmatch(semitones):
            self.moves[number] = Interval(int(steps), int(semitones))
        tuning = risen(open_strings(element)) if element.tag == f"{NS}staffDef" else None
        if tuning is not None:
            self.tunings.setdefault(self.parts[number], tuning)
        played = decimal(element.get("midi.bpm"))
        if index < 0 and is_news(played) and played is not None:
            self.tempos.setdefault(0, Tempo("", PLAYED, played.limit_denominator(1000)))

    def symbol(self, number: str, text: str, onset: Fraction) -> Symbol:
        """A chord symbol at sounding pitch: a part that transposes prints its own."""
        doubt = text.endswith("?")
        name = as_typed(text.removesuffix("?")) or "N.C."
        away = self.moves.get(number)
        if away is not None and away.semitones % 12:
            key = self.keys.get(number) or self.keys.get("") or C_MAJOR
            name = move_chord_text(name, away, move_key(key, away))
        return Symbol(onset, name, doubt)

    def control(self, index: int, control: etree._Element, name: str, unit: Fraction) -> None:
        """Take in one element that stands beside the staves."""
        if name in HEARD or name in SILENT:
            return
        text = text_of(control)
        staves = staves_of(control, self.places)
        start, end = self.between(index, control, unit)
        if name in ("dynam", "hairpin") and control.get("place") != "above" and len(staves) == 1:
            both = self.both_hands.get(staves[0], staves)
            staves = staves if has_dynamics(control, both[-1]) else both
        parts = [self.parts[number] for number in staves if number in self.parts] or [0]
        place = self.places.get(start)
        onset = onset_of(control, unit)
        if onset is None and place is not None:
            index, onset = place.bar, place.onset
        elif onset is None and name in ("reh", "tempo"):
            onset = Fraction(0)
        if name in ("slur", "phrase"):
            # music21 loses those that begin or end at a note of a chord.
            if start and end:
                self.slurs.append((start, end))
            else:
                self.tell(parts, index, "a slur that leads nowhere")
            control.tag = f"{NS}annot"
        elif name == "fermata" and start:
            self.marks[start].append("held")
        elif name == "gliss" and start and end:
            self.slides.append((start, end))
        elif name == "octave" and start and end:
            pass  # its notes stand where they sound
        elif name == "dir" and control.get("type") in ("doubt", "todo") and start:
            self.heads[start].add("doubtful" if control.get("type") == "doubt" else "to do")
        elif name == "dir" and control.get("type") in LEADS and start:
            self.leads[end or start] = LEADS[control.get("type") or ""]
        elif name == "dir" and control.get("type") in TYPED and start:
            self.marks[start].append(TYPED[control.get("type") or ""])
        elif onset is None:
            self.tell(parts, index, called(control, text))
        elif name == "tempo":
            onset = Fraction(0) if onset < NEAR else onset  # placed by eye
            self.tempo(index, onset, control, text)
        elif name == "reh" and onset == 0:
            self.sections.setdefault(index, text)
        else:
            for number, part in zip(staves or [""], parts, strict=False):
                self.one(part, number, index, onset, control, text, unit)

    def one(
        self,
        part: int,
        number: str,
        index: int,
        onset: Fraction,
        control: etree._Element,
        text: str,
        unit: Fraction,
    ) -> None:
        """Take in a sign with a place, for one of its staves."""
        name = str(control.tag)[len(NS) :]
        if name == "harm" and text and not _CHORD.match(text):
            self.words[part, index].append((onset, text))  # a function, a figure
        elif name == "harm" and text:
            self.symbols[part, index].append(self.symbol(number, text, onset))
        elif name == "dynam":
            at = self.settled((index, onset), number, unit, HALVES)[1]
            onset = onset if at is None else at
            name_of = {"cresc.": "cresc", "dim.": "dim"}.get(text)
            sign, lost = (Sign(onset, "direction", name_of), "") if name_of else sign_of(text, onset)
            self.signs[part, index].append(sign)
            self.tell([part], index, lost)
        elif name == "hairpin":
            form = "cresc" if control.get("form") == "cres" else "dim"
            onset = self.settled((index, onset), number, unit, PARTS)[1] or Fraction(0)
            self.signs[part, index].append(Sign(onset, "direction", form))
            end = self.end(index, control, unit)
            if end is not None:
                end = end if end[1] is None else self.settled((end[0], end[1]), number, unit, HALVES)
                self.hairpins.append(Hairpin(part, (index, onset), form, end))
        elif name == "repeatMark" and control.get("func") in FORM:
            self.signs[part, index].append(Sign(onset, "direction", FORM[control.get("func") or ""]))
        elif name in ("dir", "reh", "repeatMark") and text:
            self.words[0 if is_change(text) else part, index].append((onset, text))
        else:
            self.tell([part], index, called(control, text))

    def tempo(self, index: int, onset: Fraction, control: etree._Element, text: str) -> None:
        """Take in a tempo mark: it is everybody's."""
        made = tempo_of(control, text)
        if made is None:
            self.tell(
                [0], index, "a tempo mark of another kind, as one value that becomes another" if text else ""
            )
        elif onset == 0 and ((made.bpm and made.value != PLAYED) or not is_change(made.words)):
            before = self.tempos.get(index)
            if before is None or (before.value == PLAYED and not before.words):
                self.tempos[index] = made
        else:
            words = as_words(made)
            if words and (onset, words) not in self.words[0, index]:
                self.words[0, index].append((onset, words))

    def tell(self, parts: list[int], index: int, what: str) -> None:
        """Keep for the comments what is lost."""
        for part in parts if what else ():
            self.lost[part, index].append(what)

    # --- places

    def between(self, index: int, control: etree._Element, unit: Fraction) -> tuple[str, str]:
        """The ids of the notes that a sign begins and ends at, also where it names their times only."""
        start, end = ids(control)
        onset, until = onset_of(control, unit), self.end(index, control, unit)
        number = (control.get("staff") or "").split()[:1]
        if number and not start and onset is not None:
            start = self.at.get((index, onset, number[0]), "")
        if number and not end and until is not None and until[1] is not None:
            end = self.at.get((until[0], until[1], number[0]), "")
        return start, end

    def settled(
        self, place: tuple[int, Fraction], number: str, unit: Fraction, parts: int
    ) -> tuple[int, Fraction | None]:
        """A place that was set by eye, between so many parts of a beat and at no note: the nearest note, or the bar's
        end (None).
        """
        bar, onset = place
        starts = {p.onset for p in self.places.values() if p.bar == bar and p.staff == number and p.length}
        if onset in starts or (onset / unit * parts).denominator == 1:
            return place
        near = min([*sorted(starts), self.length], key=lambda start: abs(start - onset))
        return bar, near if near < self.length else None

    def end(self, index: int, control: etree._Element, unit: Fraction) -> tuple[int, Fraction | None] | None:
        """The bar and the onset where a sign ends (None: with its bar); None where it does not say."""
        place: Place | None = self.places.get((control.get("endid") or "").lstrip("#"))
        said = _END.fullmatch(control.get("tstamp2") or "")
        if said is None:
            return None if place is None else (place.bar, place.onset)
        until = (Fraction(said[2]).limit_denominator(960) - 1) * unit
        row = max(sum(1 for printed in self.printed if printed <= index) - 1, 0) + int(said[1] or 0)
        bar = self.printed[row] if row < len(self.printed) else len(self.printed) and self.printed[-1] + 1
        return bar, until if until < self.length else None
