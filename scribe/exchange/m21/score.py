"""One part of a music21 score as a line."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction

from music21 import bar as barlines
from music21 import harmony, key, layout, meter, spanner, stream

from scribe.exchange.extras import NOTHING, Extras
from scribe.exchange.m21.choose import Candidate, Things, candidates, choose, left_out, measures_of, things_of
from scribe.exchange.m21.events import Row, Struck, Thread
from scribe.exchange.m21.groups import Beam, beams_of, grouped
from scribe.exchange.m21.heading import heading
from scribe.exchange.m21.instruments import instrument_of
from scribe.exchange.m21.pitches import C_MAJOR, exact, key_of, metre_of, span_of
from scribe.exchange.m21.settled import jumps_as_said, minor_where_it_ends_so, repeated
from scribe.exchange.m21.signs import Signs, in_beats, own_signs, shared_signs, take_extras
from scribe.exchange.m21.spans import connect, spanners
from scribe.exchange.m21.symbols import says_no_chord, symbol_name
from scribe.exchange.m21.tab import is_tablature, take_places
from scribe.exchange.m21.unmetred import metred
from scribe.exchange.m21.wedges import wedges
from scribe.exchange.model import Bar, Left, Line, Right, Sign, Symbol
from scribe.exchange.values import key_text
from scribe.exchange.xmltempo import PLAYED
from scribe.music.inforce import Tempo
from scribe.music.key import Key
from scribe.music.metre import Metre

FOUR = Metre(4, 4)
NEAR = Fraction(1, 4)  # of a quarter, between a sign and its note


def read_line(
    score: stream.Score,
    part: str | None = None,
    voice: int | None = None,
    extras: Extras = NOTHING,
) -> tuple[Line, Candidate, list[Candidate]]:
    """Return a line of a score at sounding pitch, which one it is, and all that there are. Changes the score.

    Raises:
        Cannot: there is no such part or voice, or nothing in it.
    """
    score = _with_parts(score)
    for number, each in enumerate(score.parts, 1):
        each.partName = extras.labels.get(number) or each.partName
    found = candidates(score)
    chosen = choose(found, part, voice)
    parts = list(score.parts)
    mine = parts[chosen.part - 1]
    for each in [
        mine,
        *(
            p
            for p in parts
            if p is not mine and (p.recurse().getElementsByClass(harmony.Harmony) or is_tablature(p))
        ),
    ]:
        if each.atSoundingPitch is not True:
            each.toSoundingPitch(inPlace=True)
    hand = isinstance(mine, stream.PartStaff) and not any(map(is_tablature, parts))
    instrument, remark = instrument_of(mine, hand=hand)
    reading = _Reading(score, mine, chosen, extras)
    bars = jumps_as_said(reading.bars())
    head = heading(score, extras)
    line = Line(
        title=head.title,
        composer=head.composer,
        player=head.player,
        part=chosen.name,
        instrument=instrument,
        tuning=extras.tunings.get(chosen.part),
        bars=tuple(bars),
        remarks=(*([remark] if remark else []), *reading.remarks),
        credits=tuple(extras.credits),
    )
    return line, chosen, found


def _with_parts(score: stream.Score) -> stream.Score:
    """A score with parts of measures, whatever was read."""
    if not score.parts:
        whole = stream.Score()
        part = stream.Part()
        for each in score:
            part.coreInsert(each.offset, each)
        part.coreElementsChanged()
        whole.insert(0, part)
        whole.metadata = score.metadata
        score = whole
    for part in list(score.parts):
        if not part.hasMeasures() and part.recurse().notesAndRests:
            made = part.makeMeasures()
            made.id, made.partName = part.id, part.partName
            score.replace(part, made)
    return score


class _Reading:
    def __init__(self, score: stream.Score, mine: stream.Part, chosen: Candidate, extras: Extras) -> None:
        self.score = score
        self.mine = mine
        self.part, self.voice = chosen.part, chosen.voice
        self.next_key: Key | None = None  # that begins inside the bar in hand
        self.modes = False  # whether the source names modes
        self.remarks: list[str] = []  # about the whole line
        self.extras = extras
        self.measures = measures_of(mine)
        others = [p for p in score.parts if p is not mine]
        self.tabs = {id(m) for p in others if is_tablature(p) for m in measures_of(p)}
        # What stands once for all parts stands in the highest one (MusicXML's custom).
        self.others: dict[Fraction, list[stream.Measure]] = {}
        for part in others:
            for measure in measures_of(part):
                self.others.setdefault(exact(measure.offset), []).append(measure)
        self.endings = _endings(mine) or next((e for p in others if (e := _endings(p))), {})

    def bars(self) -> list[Bar]:
        thread = Thread(self.extras.heads)
        rows: list[Row] = []
        made: list[Bar] = []
        beams: list[list[Beam]] = []
        now_key, now_metre = C_MAJOR, FOUR
        now_tempo: Tempo | None = None
        fork = 0
        lasts: list[Struck | None] = []  # the last event of each bar
        for index, measure in enumerate(self.measures):
            start = exact(measure.offset)
            others = self.others.get(start, [])
            unsaid: list[str] = []
            now_key = self._key(measure, now_key, unsaid)
            now_metre = self._metre(measure, now_metre, unsaid)
            things = things_of(measure, self.voice)
            unsaid += left_out(measure, self.voice)
            length = self._length(index, things, now_metre)
            if self._rests_too_long(index, things, length, now_metre):
                unsaid.append(f"rests of {length} quarters in a bar of {now_metre}, written as a bar's rest")
                length, things = now_metre.length, []
            if length <= 0:
                continue
            ending, starts = self._ending(index, measure, others)
            before = made[-1] if made else None
            if starts and not (before is not None and before.endings and before.right == "repeat end"):
                fork = len(made)
            second = starts and fork != len(made)
            entry = lasts[fork - 1] if second and fork else lasts[-1] if lasts and not second else None
            row = thread.bar(things, length, entry)
            for tab in others:
                if id(tab) in self.tabs:
                    take_places(row.events, things_of(tab, 0))
            rows.append(row)
            beams.append(beams_of(things))
            lasts.append(row.events[-1] if row.events else None)
            signs = own_signs(measure, length)
            signs.before = now_tempo
            shared_signs(measure, length, signs)
            for other in others:
                shared_signs(other, length, signs)
            take_extras(signs, self.extras, self.part, index)
            unsaid += [*self.extras.lost.get((0, index), ()), *self.extras.lost.get((self.part, index), ())]
            if signs.played and not made and signs.tempo is None:
                signs.tempo = Tempo("", PLAYED, signs.played)
            signs.tempo = in_beats(signs.tempo, now_metre)
            now_tempo = signs.tempo or now_tempo
            symbols = _silenced(self._symbols(index, others, length, signs), signs)
            signs.signs = _placed(signs.signs, row, length, now_metre)
            left, right = self._barlines(measure, others, unsaid)
            repeats = self.extras.repeats
            sign = repeats.get((self.part, index)) or repeats.get((0, index)) or (0, 0)
            rests = self.extras.rests.get((self.part, index)) or self.extras.rests.get((0, index)) or 0
            made.append(
                Bar(
                    number=str(measure.number) + (measure.numberSuffix or ""),
                    length=length,
                    key=now_key,
                    metre=now_metre,
                    events=(),
                    pickup=self._is_pickup(index, measure, length, now_metre, made),
                    symbols=symbols,
                    signs=_once(signs.signs),
                    tempo=signs.tempo,
                    feel=signs.feel,
                    section=signs.section,
                    left=left,
                    right=right,
                    endings=ending,
                    ending_starts=starts,
                    new_system=index > 0 and (_new_system(measure) or index in self.extras.systems),
                    printed=row.printed,
                    unsaid=(*unsaid, *signs.unsaid, *row.unsaid),
                    repeat=sign[0],
                    repeat_part=sign[1],
                    rests=rests,
                )
            )
        metres = {metre: _grouped(metre, made, rows, beams) for metre in {bar.metre for bar in made}}
        lost_graces = [(len(made) - 1, "grace notes behind the last note")] if thread.end() else []
        _own_marks(thread.played, self.extras)
        more = lost_graces + [
            (thread.played[place].bar, what)
            for place, what in connect(self.mine, self.score, thread.played, self.extras.slurs)
        ]
        wedged, lost = wedges(spanners(self.mine, self.score), thread.places, made, self.extras.late)
        more += lost
        bars = [
            replace(
                bar,
                metre=metres[bar.metre],
                events=tuple(event.event() for event in row.events),
                signs=_once((*bar.signs, *wedged.get(index, ()))),
                unsaid=_counted([*bar.unsaid, *(what for at, what in more if at == index)]),
            )
            for index, (bar, row) in enumerate(zip(made, rows, strict=True))
        ]
        bars = repeated(bars, silent=not self.extras.copies)
        if bars and not self.score.recurse().getElementsByClass(meter.TimeSignature):
            bars, remark = metred(bars)
            self.remarks.append(remark)
        return bars if self.modes else minor_where_it_ends_so(bars)

    # --- what is in force

    def _key(self, measure: stream.Measure, now: Key, unsaid: list[str]) -> Key:
        now, self.next_key = self.next_key or now, None
        for found in measure.recurse().getElementsByClass(key.KeySignature):
            made = key_of(found)
            self.modes = self.modes or (self.extras.modes and isinstance(found, key.Key))
            if made is None:
                unsaid.append("a key signature of another kind")
            elif found.getOffsetInHierarchy(measure) > 0 and made != now:
                unsaid.append(f"the key {key_text(made)} begins inside the bar, not behind it")
                self.next_key = made
            else:
                now = made
        return now

    def _metre(self, measure: stream.Measure, now: Metre, unsaid: list[str]) -> Metre:
        for found in measure.getElementsByClass(meter.TimeSignature):
            made = metre_of(found)
            if made is None:
                unsaid.append(f"the metre {found.ratioString}")
            else:
                now = made
        return now

    def _length(self, index: int, things: Things, metre: Metre) -> Fraction:
        measure = self.measures[index]
        filled = max((o + span_of(o, n.duration.quarterLength) for o, n in things), default=Fraction(0))
        if index + 1 < len(self.measures):
            length = exact(self.measures[index + 1].offset) - exact(measure.offset)
            # Where another voice or part is too full, this one is not.
            return metre.length if length > metre.length >= filled > 0 else length
        highest = exact(measure.highestTime)
        if filled or highest:
            return max(filled, highest)
        return metre.length

    def _rests_too_long(self, index: int, things: Things, length: Fraction, metre: Metre) -> bool:
        """Whether a bar holds nothing but rests, more than its metre does, while it is no longer in another part."""
        if length <= metre.length or not all(each.isRest for _, each in things):
            return False
        rows = (measures_of(part) for part in self.score.parts if part is not self.mine)
        same = (row[index] for row in rows if index < len(row))
        return any(exact(each.highestTime) == metre.length and each.recurse().notes for each in same)

    def _is_pickup(
        self, index: int, measure: stream.Measure, length: Fraction, metre: Metre, before: Sequence[Bar]
    ) -> bool:
        if length >= metre.length:
            return False
        if index == 0 or not before:
            return len(self.measures) > 1
        if exact(measure.paddingLeft) > 0:
            return True
        last = before[-1]  # the second half of a bar that a repeat sign divides
        return last.metre == metre and not last.pickup and last.length + length == metre.length

    # --- barlines, endings, symbols

    def _barlines(
        self, measure: stream.Measure, others: Sequence[stream.Measure], unsaid: list[str]
    ) -> tuple[Left, Right]:
        left: Left = ""
        right: Right = ""
        for each in (measure, *others[:1]):
            start, end = each.leftBarline, each.rightBarline
            if isinstance(start, barlines.Repeat) and start.direction == "start":
                left = "repeat start"
            elif start is not None and start.type == "double" and not left:
                left = "double"
            if isinstance(end, barlines.Repeat) and end.direction == "end":
                if end.times not in (None, 2) and right != "repeat end":
                    unsaid.append(f"a repeat played {end.times} times")
                right = "repeat end"
            elif end is not None and end.type in ("double", "final") and not right:
                right = end.type
            elif (
                end is not None and end.type not in ("regular", "double", "final", "none") and each is measure
            ):
                unsaid.append(f"a {end.type} barline")
        return left, right

    def _ending(
        self, index: int, measure: stream.Measure, others: Sequence[stream.Measure]
    ) -> tuple[tuple[int, ...], bool]:
        for each in (measure, *others):
            if id(each) in self.endings:
                return self.endings[id(each)]
        return self.extras.endings.get(index, ((), False))

    def _symbols(
        self, index: int, others: Iterable[stream.Measure], length: Fraction, signs: Signs
    ) -> tuple[Symbol, ...]:
        for each in (self.measures[index], *others):
            found: dict[Fraction, Symbol] = {}
            for symbol in each.recurse().getElementsByClass(harmony.Harmony):
                onset = exact(symbol.getOffsetInHierarchy(each))
                if onset >= length or onset < 0:
                    signs.unsaid.append(f"chord {symbol_name(symbol)} at the barline")
                    continue
                if onset in found:
                    signs.unsaid.append(f"chord {found[onset].name} at the place of another")
                doubt = (symbol.style.color or "").upper() == "#B3400E"
                found[onset] = Symbol(onset, symbol_name(symbol), doubt)
            if found:
                return tuple(found[onset] for onset in sorted(found))
        beside = {
            part: symbols for (part, at), symbols in self.extras.symbols.items() if at == index and symbols
        }
        nearest = self.part if self.part in beside else min(beside, default=0)
        return tuple(s for s in beside.get(nearest, ()) if s.onset < length)


def _silenced(symbols: tuple[Symbol, ...], signs: Signs) -> tuple[Symbol, ...]:
    """Add to a bar's chord symbols those that it spells out as words: `N.C.`."""
    taken = {symbol.onset for symbol in symbols}
    said = [s for s in signs.signs if s.kind == "text" and says_no_chord(s.text) and s.onset not in taken]
    signs.signs = [s for s in signs.signs if s not in said]
    return tuple(sorted((*symbols, *(Symbol(s.onset, "N.C.") for s in said)), key=lambda s: s.onset))


def _own_marks(played: Sequence[Struck], extras: Extras) -> None:
    """Marks and slides that a format names by the ids of notes."""
    by_name = {name: each for each in played for name in each.names}
    for name, marks in extras.marks.items():
        if name in by_name:
            by_name[name].marks += [mark for mark in marks if mark not in by_name[name].marks]
    for start, end in extras.slides:
        if start in by_name and end in by_name and by_name[end].heads and by_name[start].heads:
            up = by_name[end].heads[0].pitch.midi >= by_name[start].heads[0].pitch.midi
            by_name[end].connector = "slide up" if up else "slide down"
    for name, connector in extras.leads.items():
        if name in by_name and not by_name[name].held:
            by_name[name].connector = connector


def _endings(part: stream.Part) -> dict[int, tuple[tuple[int, ...], bool]]:
    """Of each measure under a bracket: its numbers, and whether the bracket starts there."""
    found: dict[int, tuple[tuple[int, ...], bool]] = {}
    for bracket in part.recurse().getElementsByClass(spanner.RepeatBracket):
        numbers = tuple(n for n in bracket.numberRange if 1 <= n <= 99) or (1,)
        for place, measure in enumerate(sorted(bracket.getSpannedElements(), key=lambda m: m.offset)):
            found[id(measure)] = numbers, place == 0
    return found


def _new_system(measure: stream.Measure) -> bool:
    return any(each.isNew for each in measure.getElementsByClass(layout.SystemLayout))


def _once(signs: Iterable[Sign]) -> tuple[Sign, ...]:
    """In order, each once: some scores print `cresc.` and draw a hairpin."""
    return tuple(sorted(dict.fromkeys(signs), key=lambda sign: sign.onset))


def _grouped(metre: Metre, bars: Sequence[Bar], rows: Sequence[Row], beams: Sequence[list[Beam]]) -> Metre:
    mine = [index for index, bar in enumerate(bars) if bar.metre == metre]
    onsets = [event.onset for index in mine for event in rows[index].events if event.heads]
    return grouped(metre, [beams[index] for index in mine], onsets)


def _placed(signs: Iterable[Sign], row: Row, length: Fraction, metre: Metre) -> list[Sign]:
    """Signs at the notes they belong to: programs place them by eye, a little beside the note."""
    onsets = [event.onset for event in row.events]
    onsets += [Fraction(4 * i, metre.unit) for i in range(metre.count)]
    printed = {
        each.onset for each in row.printed
    }  # a note that is tied to the one before is a place of its own
    out = []
    for sign in signs:
        if sign.onset in printed:
            out.append(sign)
            continue
        near = min(onsets, key=lambda onset: abs(onset - sign.onset), default=sign.onset)
        out.append(
            sign._replace(onset=near) if abs(near - sign.onset) <= NEAR and sign.onset < length else sign
        )
    return out


def _counted(said: Sequence[str]) -> tuple[str, ...]:
    """The same remark once, with how often."""
    kinds = dict.fromkeys(said)
    return tuple(what if said.count(what) == 1 else f"{what} ({said.count(what)} times)" for what in kinds)
