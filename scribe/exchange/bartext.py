"""One bar as a person would type it."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from scribe.exchange.layout import Division, Group, Slots, Word
from scribe.exchange.model import Bar, Event, Head, Sign, Symbol
from scribe.exchange.pitchtext import Hand, Unsayable, Way, ends_open, keys, typed
from scribe.music.bar import SLAP_ENDS
from scribe.music.inforce import InForce
from scribe.music.resolve import Contour
from scribe.source.directions import MARKS
from scribe.source.note import CONNECTORS
from scribe.source.plain import plain_line

CONNECTOR_SIGN = {name: sign for sign, name in CONNECTORS.items()} | {"": ""}
MARK_SIGN = {name: sign for sign, name in MARKS.items()}
SAVED = 2  # keys that a `/` must save to be worth it


class Piece(NamedTuple):
    """One beat word in the making. `meaning`: what it says, wherever it stands; equal ones may be written `/`."""

    text: str
    meaning: tuple[object, ...]


def bar_text(bar: Bar, division: Division, now: InForce, way: Way) -> str:
    """Return the text of a bar, divided as told.

    Raises:
        Unsayable: a note cannot be typed in this division.
    """
    return _Writer(bar, now, way).whole(division.words)


class _Writer:
    def __init__(self, bar: Bar, now: InForce, way: Way) -> None:
        self.bar = bar
        self.now = now
        # Under `degrees chord` a degree is counted from a root that another program may have moved.
        self.way: Way = "letter" if way == "degree" and now.degrees == "chord" else way
        self.hand = Hand(Contour(now.home))
        self.starts: dict[Fraction, Event] = {event.onset: event for event in bar.events}
        self.signs: list[Sign] = sorted(bar.signs, key=lambda s: s.onset)
        self.symbols: list[Symbol] = sorted(bar.symbols, key=lambda s: s.onset)
        self.sounding = False  # a note goes on
        self.slap = now.slap

    def whole(self, words: Sequence[Word]) -> str:
        out = self.row(words)
        out += [_sign(sign) for sign in self.signs]  # those at the bar's end
        return " ".join(out)

    def row(self, words: Sequence[Word]) -> list[str]:
        out: list[str] = []
        before: Piece | None = None
        for word in words:
            if isinstance(word, Group):
                out += self.due(word.start, word)
                out.append(f"{word.beats}{{{' '.join(self.row(word.words))}}}")
                before = None
                continue
            out += self.due(word.start, word)
            piece = self.word(word)
            again = before is not None and piece.meaning == before.meaning and keys(piece.text) > SAVED
            out.append("/" if again else piece.text)
            before = piece
        return out

    def due(self, start: Fraction, word: Word) -> list[str]:
        """Chords, texts and directions that stand before a word."""
        out: list[str] = []
        while self.signs and self.signs[0].onset <= start and start < self.bar.length:
            sign = self.signs.pop(0)
            if sign.kind == "direction" and (sign.text == "slap" or sign.text in SLAP_ENDS):
                self.slap = sign.text == "slap"
            out.append(_sign(sign))
        if isinstance(word, Group):
            return out
        while self.symbols and self.symbols[0].onset < word.start + word.length:
            symbol = self.symbols.pop(0)
            slot = (symbol.onset - word.start) * word.count / word.length + 1
            if slot.denominator != 1:
                raise Unsayable(f"the chord {symbol.name} stands between two slots")
            place = f"{slot}:" if slot > 1 else ""
            out.append(f"@{place}{symbol.name}{'?' if symbol.doubtful else ''}")
        return out

    def word(self, word: Slots) -> Piece:
        if self.way == "fret":
            try:
                return self.spelled(word, "fret")
            except Unsayable:
                return self.spelled(word, "letter")
        return self.spelled(word, self.way)

    def spelled(self, word: Slots, way: Way) -> Piece:
        start = self.hand._replace(string=None, open_end=False)
        hand, sounding = start, self.sounding
        text = ""
        meaning: list[object] = [word.count]
        falls = False
        for index in range(word.count):
            event = self.starts.get(word.start + word.length * index / word.count)
            if event is None or event.held:
                if event is not None:
                    sounding = bool(event.heads)
                text += "-" if sounding else "."
                meaning.append(text[-1])
                hand = hand._replace(open_end=False)
            elif event.todo:
                if word.count > 1:
                    raise Unsayable("a part of a beat still to do")
                text, sounding = "?", True  # a hold goes on with it
                meaning.append(word.start)
            elif not event.heads:
                text += "."
                meaning.append(".")
                sounding = False
                hand = hand._replace(open_end=False)
            else:
                if falls:
                    raise Unsayable("a fall-off with a note right behind it")
                made, hand = self.strike(event, hand, way)
                text += made
                meaning.append((event.heads, event.graces, event.connector, event.marks))
                sounding = True
            falls = text.endswith("\\")
        self.hand, self.sounding = hand, sounding
        return Piece(text, tuple(meaning))

    def strike(self, event: Event, hand: Hand, way: Way) -> tuple[str, Hand]:
        text = ""
        for grace in event.graces:
            made = typed(grace.head, hand, self.now, way)
            text += CONNECTOR_SIGN[grace.connector] + "," + made
            hand = self.after(hand, made, grace.head, way)._replace(contour=hand.contour)
        connector = CONNECTOR_SIGN[event.connector]
        marks = self.marks(event)
        below: Contour | None = None
        # Upwards on the staff, where Ab lies above G## although it sounds below.
        heads = (
            event.heads if way == "fret" else sorted(event.heads, key=lambda h: (h.pitch.staff, h.pitch.midi))
        )
        for head in heads:
            place = hand if below is None else hand._replace(contour=below, open_end=False)
            made = typed(head, place, self.now, way, stacked=below is not None and way != "fret")
            if below is None:
                doubt = "?" if made.endswith("?") else ""
                text += connector + made.removesuffix("?") + marks + doubt
            else:
                text += "+" + made
            below = Contour(head.pitch, way == "fret")
            hand = self.after(hand, made, head, way)
        lowest = next(iter(heads), None)
        if lowest is not None and lowest.kind == "note":
            hand = hand._replace(contour=Contour(lowest.pitch, way == "fret"), lies=lowest.string)
        return text, hand._replace(open_end=ends_open(text))

    def after(self, hand: Hand, text: str, head: Head, way: Way) -> Hand:
        named = head.string if way == "fret" or (head.kind != "note" and head.string) else hand.string
        return hand._replace(string=named, open_end=ends_open(text))

    def marks(self, event: Event) -> str:
        marks = event.marks
        if self.slap and event.connector in ("", "slur"):  # what the language adds by itself
            marks = tuple(m for m in marks if m != "thumb")
        signs = [MARK_SIGN[mark] for mark in marks]
        signs.sort(key=lambda sign: sign != "\\")  # a fall before another mark cannot be taken for a slide
        return "".join(signs)


def _sign(sign: Sign) -> str:
    return f"'{sign.text}" if sign.kind == "direction" else f'"{plain_text(sign.text)}"'


def plain_text(text: str) -> str:
    """Return words as they may stand between double quotes in a bar."""
    plain = plain_line(text).translate({ord('"'): "'", ord("|"): "/"})
    kept = "".join(c if c.isprintable() else " " for c in plain)
    return " ".join(kept.split()) or "-"
