"""What stands above and below the notes: words, dynamics, tempo, feel, sections, signs of the form."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction

from music21 import dynamics, expressions, repeat, stream, tempo

from scribe.exchange.extras import Extras
from scribe.exchange.loudness import sign_of
from scribe.exchange.m21.heads import DOUBT
from scribe.exchange.m21.pitches import exact
from scribe.exchange.model import Sign
from scribe.exchange.tempowords import as_words, is_change, is_tempo
from scribe.exchange.xmltempo import PLAYED, is_news
from scribe.music.inforce import Feel, Tempo
from scribe.music.metre import Metre
from scribe.music.settings import parse_feel
from scribe.music.written import VALUES
from scribe.source.directions import DIRECTIONS

CODES = {name: code for code, (name, _, _) in VALUES.items()}
BY_WORDS = {
    info.words.casefold().rstrip("."): name
    for name, info in DIRECTIONS.items()
    if info.kind in ("playing", "hairpin") or name in ("tocoda", "ds", "dc", "fine")
}
FORM: tuple[tuple[type, str], ...] = (
    (repeat.Segno, "segno"),
    (repeat.Fine, "fine"),
    (repeat.DaCapo, "dc"),
    (repeat.DalSegno, "ds"),
)
STRAIGHT = Feel()
FEELS = (
    (re.compile(r"\b(?:straight|even (?:8ths|eighths))\b", re.I), STRAIGHT),
    (re.compile(r"\bshuffle\b", re.I), Feel("shuffle", "8")),
    (re.compile(r"\bsw(?:ing|ung)\b", re.I), Feel("swing", "8")),
)
KINDS = (dynamics.Dynamic, expressions.Expression, tempo.TempoIndication)  # repeat signs are expressions


@dataclass
class Signs:
    """What a bar says besides its notes."""

    signs: list[Sign] = field(default_factory=list)
    tempo: Tempo | None = None
    feel: Feel | None = None
    section: str = ""
    unsaid: list[str] = field(default_factory=list)
    before: Tempo | None = None  # in force till here
    played: Fraction | None = None  # quarters a minute, where only the sound says so


def own_signs(measure: stream.Measure, length: Fraction) -> Signs:
    """Return what a part's own bar says: words, dynamics, signs of the form."""
    found = Signs()
    for onset, each in _all(measure, length):
        if isinstance(each, dynamics.Dynamic):
            sign, lost = sign_of(each.value or "", onset)
            found.signs.append(sign)
            found.unsaid += [lost] if lost else []
        elif isinstance(each, repeat.RepeatExpression):
            found.signs.append(_form(each, onset))
        elif isinstance(each, expressions.TextExpression):
            _text(each, onset, found)
    return found


def shared_signs(measure: stream.Measure, length: Fraction, found: Signs) -> None:
    """Add what stands once for all parts: tempo and its changes, sections."""
    for onset, each in _all(measure, length):
        if isinstance(each, expressions.RehearsalMark):
            if onset == 0 and not found.section:
                found.section = str(each.content)
            elif str(each.content) != found.section:
                found.signs.append(Sign(onset, "text", str(each.content)))
        elif isinstance(each, tempo.TempoIndication):
            _tempo(each, onset, found)
        elif isinstance(each, expressions.TextExpression):
            words = " ".join(str(each.content).split())
            again = any(sign.kind == "text" and sign.text == words for sign in found.signs)
            if not again and (is_change(words) or (onset and is_tempo(words))):
                found.signs.append(Sign(onset, "text", words))


def _all(measure: stream.Measure, length: Fraction) -> Iterable[tuple[Fraction, object]]:
    for each in measure.recurse():
        if isinstance(each, KINDS):
            yield min(max(exact(each.getOffsetInHierarchy(measure)), Fraction(0)), length), each


def _form(mark: repeat.RepeatExpression, onset: Fraction) -> Sign:
    text = (mark.getText() or "").strip()
    if isinstance(mark, repeat.Coda):
        return Sign(onset, "direction", "tocoda" if "to" in text.casefold().split() else "coda")
    for kind, name in FORM:
        if isinstance(mark, kind):
            return Sign(onset, "direction", name)
    return Sign(onset, "text", text or type(mark).__name__)


def _text(text: expressions.TextExpression, onset: Fraction, found: Signs) -> None:
    words = " ".join((text.content or "").split())
    if words and not (
        (text.style.color or "").upper() == DOUBT and words == "?"
    ):  # a doubt of ours: its note says it
        _words(words, onset, found)


def _words(words: str, onset: Fraction, found: Signs) -> None:
    feel = parse_feel(words)
    if feel is not None and onset == 0:
        found.feel = feel
        return
    said = feel_in(words)
    if said is not None and found.feel is None and onset == 0:
        found.feel = said
    name = BY_WORDS.get(words.casefold().rstrip("."))
    found.signs.append(Sign(onset, "direction", name) if name else Sign(onset, "text", words))


def take_extras(found: Signs, extras: Extras, part: int, index: int) -> None:
    """Add what was read beside music21 of one measure of a part (its number, from 1)."""
    played = extras.feels.get(index)
    if (
        found.feel is None or played == STRAIGHT
    ):  # `Medium swing` may be words that are played straight all the same
        found.feel = played or found.feel
    found.section = found.section or extras.sections.get(index, "")
    alone = extras.tempos.get(index)
    if alone is not None and found.tempo is None:
        found.tempo = alone
    elif alone is not None:
        _beside(alone.words, found)
    _beside(extras.tempo_words.get(index, ""), found)
    told = alone.words if alone is not None and alone.value == PLAYED else extras.tempo_words.get(index, "")
    if found.feel is None and played is None:
        found.feel = feel_in(told)
    for place in ((0, index), (part, index)):
        found.signs += extras.signs.get(place, ())
        for onset, words in extras.words.get(place, ()):
            _words(words, onset, found)


def _beside(words: str, found: Signs) -> None:
    """Put words to the tempo mark that has none; else they stand above the staff."""
    if found.tempo is not None and not found.tempo.words:
        found.tempo = found.tempo._replace(words=words)
    elif words and (found.tempo is None or words != found.tempo.words):
        found.signs.append(Sign(Fraction(0), "text", words))


def feel_in(words: str) -> Feel | None:
    """Return the feel that some words speak of: `Medium Swing`, `Slow shuffle`; None if they speak of none."""
    return next((feel for pattern, feel in FEELS if pattern.search(words)), None)


def _tempo(mark: tempo.TempoIndication, onset: Fraction, found: Signs) -> None:
    made = tempo_of(mark)
    if made is None and isinstance(mark, tempo.MetronomeMark) and not (mark.text or "").strip():
        # Not printed, only played: good for playing along, once.
        if onset == 0 and found.tempo is None and is_news(mark.numberSounding):
            found.played = Fraction(mark.numberSounding).limit_denominator(1000)
        return
    if made is None:
        found.unsaid.append("a tempo mark of another kind, as one value that becomes another")
    elif onset == 0 and found.tempo is None:
        found.tempo = made
    elif onset == 0 and made.bpm is not None and found.tempo is not None and found.tempo.bpm is None:
        found.tempo = made._replace(words=made.words or found.tempo.words)
    elif not made.words and made[1:] == (found.tempo or found.before or made)[1:]:
        pass  # the same once more
    elif made != found.tempo:
        found.signs.append(Sign(onset, "text", as_words(made)))
    if made is not None and made.words and found.feel is None and onset == 0:
        found.feel = feel_in(made.words)


def tempo_of(mark: tempo.TempoIndication) -> Tempo | None:
    """Return a tempo mark in our terms: number, beat and words; None if it says something else."""
    if isinstance(mark, tempo.TempoText):
        return Tempo(" ".join(mark.text.split()), "Q", None) if mark.text else None
    if not isinstance(mark, tempo.MetronomeMark):
        return None
    words = "" if mark.textImplicit else " ".join((mark.text or "").split())
    number = None if mark.numberImplicit else mark.number
    code = CODES.get(mark.referent.type)
    if number is None or not 0 < number <= 999:
        return Tempo(words, "Q", None) if words else None
    if code is None or mark.referent.dots > 1:
        return None
    return Tempo(words, code + "." * mark.referent.dots, Fraction(number).limit_denominator(1000))


def in_beats(tempo: Tempo | None, metre: Metre) -> Tempo | None:
    """A tempo that is only played said in the beats of its metre."""
    if tempo is None or tempo.value != PLAYED:
        return tempo
    dotted = metre.kind == "compound" and metre.unit == 8 and tempo.bpm is not None
    return tempo._replace(
        value="Q." if dotted else "Q", bpm=tempo.bpm / Fraction(3, 2) if dotted and tempo.bpm else tempo.bpm
    )
