"""Notes on a grid as a line: bars, ties over barlines, key, names."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from scribe.exchange.known import NOTHING, Known
from scribe.exchange.m21.groups import grouped
from scribe.exchange.midi.bars import Span, before, lay_out
from scribe.exchange.midi.changes import key_named, keys, with_tempos
from scribe.exchange.midi.choice import read_bars
from scribe.exchange.midi.file import Contents, Voice, read_midi
from scribe.exchange.midi.keys import estimate
from scribe.exchange.midi.part import choose, for_basses, said, with_players
from scribe.exchange.midi.quantise import Quantised, Taken
from scribe.exchange.midi.texts import with_texts
from scribe.exchange.midi.touch import cut, made_of, touched
from scribe.exchange.model import Bar, Event, Grace, Head, Line
from scribe.exchange.partname import several
from scribe.exchange.taken import Taken as Result
from scribe.music.inforce import Feel, Tempo
from scribe.music.instrument import BASS, Instrument, find_instrument
from scribe.music.key import Key
from scribe.music.metre import Metre
from scribe.music.notate import written_time
from scribe.music.notate.swing import pair
from scribe.music.pitch import Pitch, name_at
from scribe.music.spelling.note import Note
from scribe.music.spelling.speller import spell

# General MIDI programs (from 0) and the instruments for them (MIDI Manufacturers Association; from memory).
PROGRAMS = (
    (range(4), "piano"), (range(4, 8), "electric piano"), (range(11, 12), "vibraphone"), (range(16, 21), "organ"),
    (range(24, 32), "guitar"), (range(32, 33), "double bass"), (range(33, 38), "bass"), (range(38, 40), "synth bass"),
    (range(40, 42), "violin"), (range(42, 43), "cello"), (range(43, 44), "double bass"), (range(56, 57), "trumpet"),
    (range(57, 58), "trombone"), (range(58, 59), "tuba"), (range(60, 61), "horn"), (range(64, 65), "soprano sax"),
    (range(65, 66), "alto sax"), (range(66, 67), "tenor sax"), (range(67, 68), "baritone sax"), (range(68, 69), "oboe"),
    (range(70, 71), "bassoon"), (range(71, 72), "clarinet"), (range(73, 74), "flute"),
)  # fmt: skip
LOOSE = 0.04  # seconds: root mean square of errors that halves the confidence
TOLD = 0.003  # seconds: a smaller lag is not worth a word
PHRASE = 64  # notes that the speller looks at together
LOW = 52  # mean MIDI number below which a line without an instrument is one for the bass


def take_midi(data: bytes, part: str | None = None, known: Known = NOTHING) -> Result:
    """Return the line of a MIDI file; what was guessed is in its remarks. `known`: what need not be guessed.

    Raises:
        Cannot: the file cannot be read, or holds no such part, or no notes, or does not go with what is known.
    """
    contents = with_players(read_midi(data))
    voice = touched(choose(contents, part), contents)
    found, choice, clear = read_bars(voice, contents, known)
    spans = lay_out(found.notes, contents.metres, choice)
    key, sure = _key(contents, found)
    feel = known.feel or found.feel
    every, within = keys(spans, contents, found, key)
    bars = _spelled(_grouped(_bars(found, spans, every)))
    if bars:
        bars[0] = replace(
            bars[0],
            tempo=known.tempo or _tempo(contents, found, bars[0].metre),
            feel=feel if feel != Feel() else None,
        )
    bars, passing = with_tempos(bars, spans, contents, found) if known.tempo is None else (bars, 0)
    bars, over, head = with_texts(bars, spans, contents, found)
    remarks = [_grid_remark(found)]
    remarks += [f"{choice.metre} found"] if choice is not None and known.metre is None else []
    remarks += [f"{known.said} as told"] if known != NOTHING else []
    remarks += [f"key {key} estimated"] if sure < 1 else []
    if found.feel != Feel() and known.feel is None:
        ratio = found.feel.ratio or (2, 1)
        remarks.append(f"swing found, about {ratio[0]}:{ratio[1]}")
    remarks += [f"{over} text{'s' if over > 1 else ''} neither sections nor chords"] if over else []
    if choice is None and (silent := before(contents.metres, spans)):
        remarks.append(f"{silent} bar{'s' if silent > 1 else ''} of rest before left out")
    remarks += made_of(voice)
    remarks += _losses(
        voice, contents, {"key change inside a bar": within, "tempo change on the way": passing}
    )
    others = [said(v) for v in for_basses(contents) if v.number != voice.number]
    if part is None and others:
        remarks.append("also for a bass: " + several(others))
    line = Line(
        title=contents.title if contents.title != voice.name or len(contents.voices) == 1 else "",
        part=voice.name,
        instrument=_instrument(voice),
        bars=tuple(bars),
        credits=head,
        remarks=tuple(remarks),
    )
    return Result(line, "midi", said(voice), len(contents.voices) - 1, _confidence(found, sure, clear))


def _losses(voice: Voice, contents: Contents, changes: dict[str, int]) -> list[str]:
    """What is in the file and not, or not as it is there, in the draft."""
    out = ["the file breaks off"] if contents.broken else []
    if voice.endless:
        out.append(f"{voice.endless} note{'s' if voice.endless > 1 else ''} without an end, until the next")
    if shortened := cut(voice):
        out.append(f"{shortened} note{'s' if shortened > 1 else ''} cut where the next begins")
    lost = [(what, n) for what, n in (*changes.items(), *voice.lost) if n]
    if lost:
        out.append("not taken: " + ", ".join(f"{n} {_plural(what) if n > 1 else what}" for what, n in lost))
    return out


def _plural(what: str) -> str:
    """More than one of something, by its first noun."""
    return re.sub(
        r"change|press$|lyric|bend", lambda found: found[0] + ("es" if found[0] == "press" else "s"), what
    )


def _grid_remark(found: Quantised) -> str:
    if found.exact:
        return "on the file's own beats"
    where = "the file's own beats" if found.own else f"beats found at {found.bpm:.0f} a minute"
    if abs(found.lag) >= TOLD:
        where += (
            f", {abs(found.lag) * 1000:.0f} ms {'behind' if found.lag > 0 else 'before'} them all through"
        )
    return f"{where}, {found.error * 1000:.0f} ms off (root mean square)"


def _confidence(found: Quantised, key: float, clear: float) -> float:
    """One number for all that was guessed: notes near their place, how clear the metre was, how clear the key.

    `clear`: bits between the metre found and the next best: how likely it is the better of the two, as the weights of
    these bits were learned. For beats that were searched that is near the share of made-up bass lines whose tempo,
    metre, first beat and swing are all right, and too much for printed lines of other music, of which it is about
    half as many (`python -m tests.benchmarks.exchange_midi`).
    """
    likely = 1 / (1 + 2**-clear)
    metre = 0.2 + 0.8 * likely if found.own else 0.98 * likely
    near = 1.0 if found.exact else found.close * 2 ** -((found.error / LOOSE) ** 2)
    return near * metre * (0.9 + 0.1 * key)


def _tempo(contents: Contents, found: Quantised, metre: Metre) -> Tempo | None:
    if not found.own and found.bpm is not None:
        quarters = found.bpm * (1.5 if found.threes else 1)
        compound = metre.kind == "compound"
        return Tempo("", "Q." if compound else "Q", Fraction(round(quarters / 1.5 if compound else quarters)))
    if contents.tempos and 1 <= contents.tempos[0][1] <= 999:
        return Tempo("", "Q", Fraction(round(contents.tempos[0][1])))
    return None


def _instrument(voice: Voice) -> Instrument:
    named = find_instrument(voice.name) if voice.name else None
    if named is not None:
        return named
    for programs, name in PROGRAMS:
        if voice.program in programs and not (voice.program == 0 and voice.mean < LOW):
            return find_instrument(name) or BASS
    return BASS if voice.mean < 60 else find_instrument("voice") or BASS


def _key(contents: Contents, found: Quantised) -> tuple[Key, float]:
    """Return the key and how sure it is: the file's if it names one with signs, else an estimate."""
    for _, fifths, minor in contents.keys[:1]:
        if fifths or minor or len(contents.keys) > 1:
            return key_named(fifths, minor), 1.0
    guessed = estimate(found.notes)
    if guessed is None:
        return Key("C", 0, "major"), 0.0
    if contents.keys and guessed.key.fifths == 0:
        return guessed.key, 1.0
    return guessed.key, max(0.0, min(0.99, 0.5 + 4 * guessed.margin))


def _bars(found: Quantised, spans: Sequence[Span], keys: Sequence[Key]) -> list[Bar]:
    """Cut the notes at barlines and fill the silence; swung off-beats are written straight."""
    bars: list[Bar] = []
    notes = list(found.notes)
    first = 0
    for number, (span, key) in enumerate(zip(spans, keys, strict=True), 1):
        end = span.start + span.length
        while first < len(notes) and notes[first].end <= span.start:
            first += 1
        events: list[Event] = []
        at = span.start
        for note in notes[first:]:
            if note.onset >= end:
                break
            start, stop = max(note.onset, span.start), min(note.end, end)
            if start > at:
                events.append(Event(at - span.start, start - at))
            heads = tuple(Head(_raw(midi), ghost=note.ghost) for midi in note.midis)
            held = note.onset < span.start
            graces = () if held else tuple(Grace(Head(_raw(midi))) for midi in note.graces)
            events.append(Event(start - span.start, stop - start, heads, graces, held=held))
            at = stop
        if at < end:
            events.append(Event(at - span.start, end - at))
        if found.exact and found.feel != Feel():
            events = _straightened(events, span, found.feel)
        bars.append(Bar(str(number), span.length, key, span.metre, tuple(events), pickup=span.pickup))
    return bars


def _grouped(bars: Sequence[Bar]) -> list[Bar]:
    """Give 7/8 and its like the groups on which most notes begin."""
    metres = {
        metre: grouped(metre, [], [e.onset for b in bars if b.metre == metre for e in b.events if e.heads])
        for metre in {bar.metre for bar in bars}
    }
    return [replace(bar, metre=metres[bar.metre]) for bar in bars]


def _straightened(events: Sequence[Event], span: Span, feel: Feel) -> list[Event]:
    """Write swung off-beats straight; one that belongs to three in the time of two beats stays."""
    size = pair(feel)
    if size is None or span.metre.kind == "compound":
        return list(events)
    edges = {edge for event in events for edge in (event.onset, event.end)}
    inner: dict[int, set[Fraction]] = {}
    for edge in edges:
        if edge % size:
            inner.setdefault(int(edge // size), set()).add(edge % size)
    moved: dict[Fraction, Fraction] = {}
    for place, points in inner.items():
        over_two = points == {size * 2 / 3} and inner.get(place + 1) == {size / 3}
        if len(points) == 1 and not over_two:
            (point,) = points
            moved[place * size + point] = written_time(place * size + point, feel)
    return [
        e._replace(
            onset=moved.get(e.onset, e.onset), length=moved.get(e.end, e.end) - moved.get(e.onset, e.onset)
        )
        for e in events
    ]


def _raw(midi: int) -> Pitch:
    """Any name for a MIDI number; the speller gives it its own."""
    place = -5 + (7 * midi + 5) % 12
    letter, alter = name_at(place)
    pitch = Pitch(letter, alter, 0)
    return pitch.octaves((midi - pitch.midi) // 12)


def _spelled(bars: Sequence[Bar]) -> list[Bar]:
    """Give every note the name that the speller expects."""
    names: list[Pitch] = []
    for start, end in _phrases(bars):
        notes = [
            Note(head.pitch.midi, bar.key)
            for bar in bars[start:end]
            for event in bar.events
            for head in (*(grace.head for grace in event.graces), *event.heads)
        ]
        names += spell(notes)
    waiting = iter(names)
    out = []
    for bar in bars:
        events = [
            e._replace(
                graces=tuple(g._replace(head=g.head._replace(pitch=next(waiting))) for g in e.graces),
                heads=tuple(h._replace(pitch=next(waiting)) for h in e.heads),
            )
            for e in bar.events
        ]
        out.append(replace(bar, events=tuple(events)))
    return _same_over_barlines(out)


def _phrases(bars: Sequence[Bar]) -> list[tuple[int, int]]:
    """Runs of bars with about as many notes as the speller should see together."""
    runs: list[tuple[int, int]] = []
    start = count = 0
    for index, bar in enumerate(bars):
        count += sum(len(event.heads) for event in bar.events)
        if count >= PHRASE:
            runs.append((start, index + 1))
            start, count = index + 1, 0
    return [*runs, (start, len(bars))] if start < len(bars) else runs


def _same_over_barlines(bars: Sequence[Bar]) -> list[Bar]:
    """A tied note has one name."""
    out: list[Bar] = []
    before: tuple[Head, ...] = ()
    for bar in bars:
        events = list(bar.events)
        if (
            events
            and events[0].held
            and [h.pitch.midi for h in before] == [h.pitch.midi for h in events[0].heads]
        ):
            events[0] = events[0]._replace(heads=before)
        out.append(replace(bar, events=tuple(events)))
        before = events[-1].heads if events else ()
    return out


__all__ = ["Taken", "take_midi"]
