"""What directives set: for the next bar (`InForce`), for the page, for the head of the piece."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from scribe.diagnostics import Diagnostic
from scribe.music import settings
from scribe.music.draught import Draught
from scribe.music.inforce import Feel, InForce, Tempo
from scribe.music.metre import writable
from scribe.music.piece import Heading, Layout, Shown
from scribe.source.tree import Directive


class Context:
    """Threads what is in force from line to line and bar to bar."""

    def __init__(self) -> None:
        self.in_force = InForce()
        self.heading = Heading()
        self.layout = Layout()
        self.shown = Shown()
        self.position: int | None = None
        self.rests = 0
        self.ending: tuple[int, ...] = ()
        self.home_typed = False
        self.home_text = ""
        self.tempo: Tempo | None = None
        self.feel: Feel | None = None
        self.new_key = True
        self.new_metre = True

    def apply(self, line: Directive) -> Diagnostic | None:
        """Take a directive in. Returns what there is to say about its value, or None."""
        name, text = line.name, line.text
        if name in Heading._fields:
            self.heading = self.heading._replace(**{name: text})
            return None
        if not getattr(self, f"_{name}")(text):
            from scribe.music.refusal import refuse  # seldom needed, and a start without it is faster

            return refuse(line, self.in_force)
        if name == "tempo" and self.tempo and self.tempo.bpm is None and not text.isalpha():
            from scribe.music.refusal import number_in_words

            return number_in_words(line)
        return None

    def next_bar(self) -> InForce:
        """What is in force for the next bar."""
        return self.in_force

    def after_bar(self, after: InForce) -> None:
        """Carry on what a bar changed (the last chord, slapping); a short bar's length ends with it."""
        self.in_force = self.in_force._replace(chord=after.chord, slap=after.slap, length=None, pickup=False)

    def announce(self, bar: Draught) -> None:
        """Mark on a bar what is to be printed at it, once."""
        bar.new_key, bar.new_metre = self.new_key, self.new_metre
        bar.tempo, bar.feel, bar.ending = self.tempo, self.feel, self.ending or bar.ending
        bar.shown, bar.position = self.shown, self.position
        self.new_key = self.new_metre = False
        self.tempo, self.feel, self.ending = None, None, ()

    # --- one method a directive: takes the value's text, tells whether it is one ------------------------------

    def _set(self, **changes: Any) -> bool:
        if None in changes.values():
            return False
        self.in_force = self.in_force._replace(**changes)
        return True

    def _key(self, text: str) -> bool:
        key = settings.parse_key(text)
        if key is not None and key.fifths != self.in_force.key.fifths:
            self.new_key = True
            if (
                self.in_force.degrees == "key"
            ):  # a chord of the old key says nothing about names in the new one
                self.in_force = self.in_force._replace(chord=None)
        return self._set(key=key)

    def _time(self, text: str) -> bool:
        metre = settings.parse_metre(text)
        old = self.in_force.metre
        self.new_metre = self.new_metre or (metre is not None and metre[:2] != old[:2])
        return self._set(metre=metre)

    def _tempo(self, text: str) -> bool:
        self.tempo = settings.parse_tempo(text) or self.tempo
        return settings.parse_tempo(text) is not None

    def _feel(self, text: str) -> bool:
        feel = settings.parse_feel(text)
        if feel is not None and (feel != self.in_force.feel or self.feel):
            self.feel = feel
        return self._set(feel=feel)

    def _enharmonic(self, text: str) -> bool:
        return self._set(enharmonic=settings.parse_enharmonic(text))

    def _degrees(self, text: str) -> bool:
        return self._set(degrees=settings.parse_degrees(text))

    def _strings(self, text: str) -> bool:
        return self._set(tuning=settings.parse_tuning(text))

    def _instrument(self, text: str) -> bool:
        instrument = settings.find_instrument(text)
        if instrument is None:
            return False
        if not self.home_typed:
            self.in_force = self.in_force._replace(home=instrument.home)
        return self._set(instrument=instrument)

    def _home(self, text: str) -> bool:
        self.home_typed = True
        return self._set(home=settings.parse_home(text, self.in_force.tuning, self.in_force.key))

    def _length(self, text: str, pickup: bool) -> bool:
        beats = settings.parse_beats(text)
        if beats is None:
            return False
        length = settings.beats_length(beats, self.in_force.metre, at_end=pickup)
        if length is None or not Fraction(0) < length < self.in_force.metre.length or not writable(length):
            return False
        return self._set(length=length, pickup=pickup)

    def _pickup(self, text: str) -> bool:
        return self._length(text, pickup=True)

    def _short(self, text: str) -> bool:
        return self._length(text, pickup=False)

    def _rest(self, text: str) -> bool:
        self.rests = settings.parse_rest(text) or 0
        return self.rests > 0

    def _ending(self, text: str) -> bool:
        self.ending = settings.parse_ending(text) or ()
        return bool(self.ending)

    def _layout(self, text: str) -> bool:
        change = settings.parse_layout(text)
        if change is not None:
            self.layout = self.layout._replace(**change)
        return change is not None

    def _show(self, text: str) -> bool:
        what = settings.parse_show(text)
        if what is not None:
            self.shown = Shown(what)
        return what is not None

    def _position(self, text: str) -> bool:
        position = settings.parse_position(text)
        if position is not None:
            self.position = position.fret
        return position is not None
