"""Words, dynamics, playing directions and signs of the form, at their place in a bar."""

from __future__ import annotations

from collections.abc import Callable

from music21 import duration, dynamics, expressions, repeat, tempo
from music21.base import Music21Object

from scribe.diagnostics import Span
from scribe.music.events import PlacedWord
from scribe.music.inforce import Feel, Tempo
from scribe.music.written import VALUES
from scribe.score.label import at
from scribe.source.directions import DIRECTIONS, LEVELS

WEDGES: dict[str, Callable[[], dynamics.DynamicWedge]] = {
    "cresc": dynamics.Crescendo,
    "dim": dynamics.Diminuendo,
}
SIGNS: dict[str, Callable[[], repeat.RepeatExpression]] = {
    "segno": repeat.Segno,
    "coda": repeat.Coda,
    "tocoda": lambda: repeat.Coda("To Coda"),
    "fine": repeat.Fine,
}


def changes_loudness(placed: PlacedWord) -> bool:
    """Whether a word is a dynamic, or begins or ends a wedge."""
    if placed.kind != "direction" or placed.text not in DIRECTIONS:
        return False
    return DIRECTIONS[placed.text].kind in LEVELS


def jump(name: str, *, coda: bool, fine: bool) -> repeat.RepeatExpression:
    """Return D.S. or D.C.: al Coda where the piece says where to leave it, else al Fine where it may end."""
    if name == "ds":
        if coda:
            return repeat.DalSegnoAlCoda()
        return repeat.DalSegnoAlFine() if fine else repeat.DalSegno()
    if coda:
        return repeat.DaCapoAlCoda()
    return repeat.DaCapoAlFine() if fine else repeat.DaCapo()


def word(placed: PlacedWord, span: Span, *, coda: bool, fine: bool) -> Music21Object | None:
    """Return what stands at a word's place; None for `cresc` and `dim`, which reach over notes, and for
    `steady`, which ends them."""
    made: Music21Object
    info = DIRECTIONS.get(placed.text) if placed.kind == "direction" else None
    if info is not None and info.kind in ("hairpin", "level"):
        return None
    if info is None:
        made = above(placed.text)
    elif info.kind == "dynamic":
        made = dynamics.Dynamic(info.words)
    elif placed.text in SIGNS:
        made = SIGNS[placed.text]()
    elif placed.text in ("ds", "dc"):
        made = jump(placed.text, coda=coda, fine=fine)
    else:
        made = above(info.words)
    return at(made, span)


def above(text: str) -> expressions.TextExpression:
    """Return words that stand above the staff."""
    made = expressions.TextExpression(text)
    made.placement = "above"
    return made


def tempo_mark(mark: Tempo) -> tempo.TempoIndication:
    """Return the metronome mark, or the words alone where no number was given."""
    if mark.bpm is None:
        return tempo.TempoText(mark.words)
    number = int(mark.bpm) if mark.bpm.denominator == 1 else float(mark.bpm)
    referent = duration.Duration(type=VALUES[mark.value[0]][0], dots=mark.value.count("."))
    return tempo.MetronomeMark(text=mark.words or None, number=number, referent=referent)


def feel_text(feel: Feel) -> expressions.TextExpression:
    """Return the feel in words: `swing 16ths 3:2`. MusicXML's `<swing>` is out of music21's reach."""
    unit = "16ths" if feel.unit == "16" and feel.name == "swing" else ""
    ratio = f"{feel.ratio[0]}:{feel.ratio[1]}" if feel.ratio else ""
    return above(" ".join(part for part in (feel.name, unit, ratio) if part))
