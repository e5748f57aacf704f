"""The piece as an MEI document for other programs: the same bars, with words in full instead of stand-ins."""

from __future__ import annotations

from collections.abc import Sequence, Set
from fractions import Fraction
from xml.sax.saxutils import escape

from scribe.engrave.mei.bar import BarMei
from scribe.engrave.mei.document import barlines, change, score_def
from scribe.engrave.mei.lines import Letter, Line, Lines
from scribe.engrave.mei.transpose import written_chord
from scribe.engrave.mei.values import DUR
from scribe.music.events import PlacedWord
from scribe.music.inforce import InForce, Tempo
from scribe.music.piece import Bar, Heading
from scribe.music.tuning import STANDARD
from scribe.source.directions import DIRECTIONS, LEVELS

_FORM = {"segno": "segno", "coda": "coda", "ds": "dalSegno", "dc": "daCapo", "fine": "fine"}
_ACCID = {1: ' accid="s"', -1: ' accid="f"'}
_SIGNS = str.maketrans({"#": "♯"})


def write_score(
    bars: Sequence[Bar],
    meis: Sequence[BarMei],
    lines: Lines,
    runs: Sequence[tuple[int, int]],
    heading: Heading,
) -> str:
    """Return an MEI document (schema of MEI 5.0, common music notation) of the bars in `runs`, systems broken there."""
    first, last = runs[0][0], runs[-1][1]
    breaks = {start for start, _ in runs}
    starting: dict[int, list[str]] = {}
    leads: list[Line | Letter] = [line for line in lines.lines if line.start or line.kind != "tie"]
    leads += lines.letters
    for line in leads:
        if first <= line.start_bar and line.end_bar < last:
            starting.setdefault(line.start_bar, []).append(_lead(line))
    reached = {line.end for line in lines.lines if line.kind == "tie" and line.start}
    hairpins = _hairpins(bars, first, last)
    body: list[str] = []
    open_ending = False
    for index in range(first, last):
        bar = bars[index]
        if index > first:
            body.append(change(bars[index - 1], bar))
        if index in breaks:
            body.append("<sb/>")
        if bar.ending_starts or (bar.endings and not open_ending):
            body.append(f'<ending n="{",".join(map(str, bar.endings))}">')
            open_ending = True
        double = index > first and bars[index - 1].right == "repeat both"
        layer = _held(bar, meis[index], reached)
        body.append(
            _measure(bar, meis[index], layer, starting.get(index, ()), hairpins.get(index, ()), double)
        )
        if open_ending and (bar.ending_ends or index == last - 1):
            body.append("</ending>")
            open_ending = False
    people = f"<composer>{escape(heading.composer)}</composer>" if heading.composer else ""
    if heading.player:
        people += f'<respStmt><persName role="performer">{escape(heading.player)}</persName></respStmt>'
    force = bars[first].in_force
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n<mei xmlns="http://www.music-encoding.org/ns/mei" meiversion="5.0">'
        f"<meiHead><fileDesc><titleStmt><title>{escape(heading.title)}</title>{people}</titleStmt><pubStmt/>"
        f"</fileDesc></meiHead><music><body><mdiv><score>{score_def(force, _part(force))}"
        f"<section>{''.join(body)}</section></score></mdiv></body></music></mei>\n"
    )


def _held(bar: Bar, mei: BarMei, reached: Set[str]) -> str:
    """The notes of a bar; those held from where no tie can begin (a repeat sign, the bar before endings) say so."""
    layer = mei.notes.layer
    for head in mei.notes.first if bar.tied else ():
        if head.id not in reached:
            layer = layer.replace(f'xml:id="{head.id}"', f'xml:id="{head.id}" tie="t"', 1)
    return layer


def _measure(
    bar: Bar, mei: BarMei, layer: str, leads: Sequence[str], hairpins: Sequence[str], after_double: bool
) -> str:
    if mei.face == "rests":
        layer = f'<multiRest num="{bar.rests}"/>' if bar.rests > 1 else "<mRest/>"
    elif mei.face == "repeat":
        layer = "<mRpt/>"
    elif mei.face == "double repeat":
        layer = "<mRpt2/>" if bar.repeat_part == 1 else "<mSpace/>"
    elif mei.face in ("todo", "broken"):
        layer = "<mSpace/>"
    kind = ' type="todo"' if mei.face in ("todo", "broken") else ""
    short = ' metcon="false"' if bar.in_force.length is not None else ""
    return (
        f'<measure xml:id="{bar.id}" n="{bar.number}"{kind}{short}{barlines(bar, first=not after_double)}>'
        f'<staff n="1"><layer n="1">{layer}</layer></staff>'
        f"{''.join(_signs(bar, mei))}{''.join(leads)}{''.join(hairpins)}</measure>"
    )


def _part(force: InForce) -> str:
    """The name of the part, and its strings from the highest where they are not the usual ones."""
    tuned = ""
    if force.instrument.fretted and force.tuning != STANDARD:
        tuned = "".join(
            f'<course n="{number}" pname="{string.letter.lower()}" oct="{string.octave}"'
            f"{_ACCID.get(string.alter, '')}/>"
            for number, string in enumerate(reversed(force.tuning), 1)
        )
        tuned = f"<tuning>{tuned}</tuning>"
    return f"<label>{escape(force.instrument.name)}</label>{tuned}"


# SMuFL, range "Metronome marks".
_METRONOME = {
    "W": "metNoteWhole",
    "H": "metNoteHalfUp",
    "Q": "metNoteQuarterUp",
    "E": "metNote8thUp",
    "S": "metNote16thUp",
    "T": "metNote32ndUp",
    "X": "metNote64thUp",
}


def _lead(line: Line | Letter) -> str:
    """What leads from note to note. The letters of a hammer-on and a pull-off, and a slide from nowhere, are words."""
    if isinstance(line, Letter):
        kind = "hammer" if line.letter == "H" else "pull"
        return f'<dir type="{kind}" startid="#{line.start}" endid="#{line.end}" place="above">{line.letter}</dir>'
    if not line.start:
        return f'<dir type="{line.kind.replace(" ", "-")}" startid="#{line.end}" place="above">slide</dir>'
    name = "gliss" if line.kind.startswith("slide") else line.kind
    return f'<{name} startid="#{line.start}" endid="#{line.end}"/>'


def _tempo_text(tempo: Tempo) -> str:
    """What other programs print of a tempo: its words, and its number behind a note, which `mm` alone does not show."""
    if tempo.bpm is None:
        return escape(tempo.words)
    names = [_METRONOME[tempo.value[:1] or "Q"], *["metAugmentationDot"] * tempo.value.count(".")]
    note = "".join(f'<symbol glyph.auth="smufl" glyph.name="{name}"/>' for name in names)
    return f"{escape(tempo.words)} {note} = {float(tempo.bpm):g}".lstrip()


def _signs(bar: Bar, mei: BarMei) -> list[str]:
    out: list[str] = []
    if bar.section:
        out.append(f'<reh staff="1" tstamp="1"><rend rend="box">{escape(bar.section)}</rend></reh>')
    if bar.tempo is not None:
        rate = ""
        if bar.tempo.bpm is not None:
            unit, dots = DUR[bar.tempo.value[:1] or "Q"], bar.tempo.value.count(".")
            rate = f' mm="{float(bar.tempo.bpm):g}" mm.unit="{unit}"' + (f' mm.dots="{dots}"' if dots else "")
        out.append(f'<tempo staff="1" tstamp="1"{rate}>{_tempo_text(bar.tempo)}</tempo>')
    if bar.feel is not None:
        out.append(f'<dir staff="1" tstamp="1" place="above">{escape(_feel(bar))}</dir>')
    for chord in (written_chord(placed, bar.in_force) for placed in bar.music.chords):
        name = escape(chord.name.translate(_SIGNS)) + ("?" if chord.doubtful else "")
        out.append(f'<harm staff="1" tstamp="{_stamp(bar, chord.onset)}">{name}</harm>')
    for word in bar.music.words:
        out.append(_word(bar, word))
    out.extend(f'<fermata startid="#{id}"/>' for id in mei.notes.fermatas)
    for sign in mei.notes.signs:
        text = {
            "doubt": "?",
            "todo": "?",
            "thumb": "T",
            "popped": "P",
            "vibrato": "vib.",
            "bent": "bend",
            "fall": "fall",
        }.get(sign.kind)
        if text:
            place = "below" if sign.kind == "doubt" else "above"
            out.append(f'<dir type="{sign.kind}" startid="#{sign.id}" place="{place}">{text}</dir>')
    return out


def _word(bar: Bar, word: PlacedWord) -> str:
    stamp = _stamp(bar, word.onset)
    if word.kind == "text":
        return f'<dir staff="1" tstamp="{stamp}" place="above">{escape(word.text)}</dir>'
    info = DIRECTIONS.get(word.text)
    if info is None or info.kind in ("hairpin", "level"):
        return ""
    if info.kind == "dynamic":
        return f'<dynam staff="1" tstamp="{stamp}" place="below">{info.words}</dynam>'
    if word.text in _FORM:
        return f'<repeatMark staff="1" tstamp="{stamp}" func="{_FORM[word.text]}"/>'
    return f'<dir staff="1" tstamp="{stamp}" place="above">{escape(info.words)}</dir>'


def _hairpins(bars: Sequence[Bar], first: int, last: int) -> dict[int, list[str]]:
    """Hairpins by the bar that they start in, each to the next level or hairpin."""
    found: dict[int, list[str]] = {}
    waiting: tuple[int, str, str] | None = None
    for index in range(first, last):
        bar = bars[index]
        for word in bar.music.words:
            info = DIRECTIONS.get(word.text) if word.kind == "direction" else None
            if info is None or info.kind not in LEVELS:
                continue
            stamp = _stamp(bar, word.onset)
            if waiting is not None:
                start, form, at = waiting
                found.setdefault(start, []).append(
                    f'<hairpin staff="1" form="{form}" tstamp="{at}" tstamp2="{index - start}m+{stamp}"/>'
                )
                waiting = None
            if info.kind == "hairpin":
                waiting = (index, "cres" if word.text == "cresc" else "dim", stamp)
    if waiting is not None:
        start, form, at = waiting
        words = "cresc." if form == "cres" else "dim."
        found.setdefault(start, []).append(f'<dynam staff="1" tstamp="{at}" place="below">{words}</dynam>')
    return found


def _stamp(bar: Bar, onset: Fraction) -> str:
    """A time stamp: beats of the metre's unit, the first is 1."""
    return f"{float(1 + onset / Fraction(4, bar.in_force.metre.unit)):.5f}".rstrip("0").rstrip(".")


def _feel(bar: Bar) -> str:
    assert bar.feel is not None
    unit = {"8": " eighths", "16": " 16ths"}.get(bar.feel.unit, "")
    ratio = f" {bar.feel.ratio[0]}:{bar.feel.ratio[1]}" if bar.feel.ratio else ""
    return bar.feel.name + unit + ratio
