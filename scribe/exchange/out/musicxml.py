"""A piece as MusicXML 4.0: music21 writes it, and what it leaves out or says otherwise is put right here."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator

from lxml import etree
from music21.musicxml.m21ToXml import GeneralObjectExporter

from scribe.engrave.mei.transpose import written_chord
from scribe.exchange.asides import asides_of
from scribe.exchange.asidesxml import asides_in_musicxml
from scribe.exchange.carried import carry_in_musicxml
from scribe.exchange.chordnames import ROOT
from scribe.exchange.m21.signs import feel_in
from scribe.exchange.out.chordsxml import is_told, print_degrees
from scribe.exchange.out.hairpins import put_hairpins
from scribe.exchange.xmlextras import STRINGS
from scribe.music.chord import Chord, Name, parse_chord
from scribe.music.inforce import Feel
from scribe.music.instrument import written_interval
from scribe.music.interval import move_name
from scribe.music.notate.swing import long_share
from scribe.music.passes import later_ending
from scribe.music.piece import Bar, Piece
from scribe.music.tuning import STANDARD, show_tuning
from scribe.score import build
from scribe.score.label import DOUBT
from scribe.score.words import feel_text
from scribe.source.directions import ACCENTS

DOCTYPE = (
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
    '"http://www.musicxml.org/dtds/partwise.dtd">'
)
CONTAINER = (
    b'<?xml version="1.0" encoding="UTF-8"?>\n<container><rootfiles><rootfile full-path="score.musicxml" '
    b'media-type="application/vnd.recordare.musicxml+xml"/></rootfiles></container>\n'
)
LONG_AGO = (1980, 1, 1, 0, 0, 0)  # the time stamp of everything in an archive: the same draft, the same bytes
PASSING = ACCENTS | {"fp"}  # dynamics that do not hold
LETTERS = ("T", "P")  # of the plucking hand: thumb, popped


def musicxml(piece: Piece, text: str = "") -> bytes:
    """Return the piece as a partwise score of one part, at written pitch with its transposition.

    `text`: the draft that the file carries along, so that it can come back whole.

    Swing is said in words and in `<swing>`; chord symbols have kind, degrees and the text that was typed; doubts are
    coloured and have a question mark; strings, frets and the letters of the plucking hand are `<technical>`; the
    draft's lines are systems. Bars with an error, and those still to do, are rests.
    """
    exporter = GeneralObjectExporter(build(piece))
    exporter.makeNotation = False  # every value, tie and beam is there already
    root = etree.fromstring(exporter.parse(), etree.XMLParser(remove_blank_text=True, remove_comments=True))
    _head(root)
    part = root.find("part")
    if part is not None:
        _bars(part, piece)
    _strings(root, piece)
    asides_in_musicxml(root, asides_of(piece, told=is_told))
    etree.indent(root)
    carry_in_musicxml(root, text)
    return etree.tostring(root, xml_declaration=True, encoding="UTF-8", doctype=DOCTYPE) + b"\n"  # type: ignore[no-any-return]


def mxl(piece: Piece, text: str = "") -> bytes:
    """Return the same as compressed MusicXML; equal pieces give equal bytes."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in (("META-INF/container.xml", CONTAINER), ("score.musicxml", musicxml(piece, text))):
            archive.writestr(zipfile.ZipInfo(name, LONG_AGO), data, zipfile.ZIP_DEFLATED)
    return out.getvalue()


def _head(root: etree._Element) -> None:
    """Names that do not change from run to run, and who wrote the file."""
    encoding = root.find("identification/encoding")
    if encoding is not None:
        for date in encoding.findall("encoding-date"):
            encoding.remove(date)
        software = encoding.find("software")
        if software is not None:
            software.text = "scribe"
    names: dict[str, str] = {}
    for kind, stem in (("score-part", "P"), ("score-instrument", "P1-I"), ("midi-instrument", "P1-I")):
        for each in root.iter(kind):
            old = each.get("id") or ""
            names.setdefault(
                old, f"{stem}{1 + sum(1 for name in names.values() if name.startswith(stem + '1'))}"
            )
            each.set("id", names[old])
    for tag in (
        "part-abbreviation",
        "instrument-abbreviation",
    ):  # music21's own, and nobody's custom (`Elec b`)
        for each in list(root.iter(tag)):
            each.getparent().remove(each)
    for each in root.iter("part", "instrument"):
        each.set("id", names.get(each.get("id") or "", each.get("id") or ""))
    for name, standing_in in (("movement-title", "Music21 Fragment"), ("identification/creator", "Music21")):
        for each in root.findall(name):
            if each.text in (standing_in, root.findtext("work/work-title")):
                each.getparent().remove(each)


def _bars(part: etree._Element, piece: Piece) -> None:
    measures: Iterator[etree._Element] = part.iterchildren("measure")
    starts = {start for start, _ in piece.systems[1:]}
    rows = [(bar, [next(measures) for _ in range(bar.rests or 1)]) for bar in piece.bars]
    put_hairpins(rows)
    for index, (bar, row) in enumerate(rows):
        first = row[0]
        if index in starts:
            first.insert(0, etree.Element("print", {"new-system": "yes"}))
        before = piece.bars[index - 1] if index else None
        _repeat(first, bar, before)
        if bar.tied and later_ending(before, bar):
            _tied_in(first)
        _unknown(first, bar)
        _chords(first, bar)
        _feel(first, bar)
        _tempo(first)
        _tempo_words(first, bar)
        _not_swung(first, bar)
        for measure in row:
            _doubts(measure)
            _passing(measure)
            _plucks(measure)


def _tied_in(measure: etree._Element) -> None:
    """Attach the tie into a later ending to its one note: a start and a stop there (MusicXML 4.0, "tied")."""
    notes = list(measure.iterchildren("note"))
    for number, note in enumerate(notes):
        if number and note.find("chord") is None:
            break
        stop = note.find("notations/tied[@type='stop']")
        if stop is not None:
            stop.addprevious(etree.Element("tied", type="start"))


# --- what a bar says ----------------------------------------------------------------------------------------


def _chords(measure: etree._Element, bar: Bar) -> None:
    """Give each symbol the text that was typed; what of it is in the degrees is not printed a second time.

    Roots are named as our page names them: music21 moves them with the part into double accidentals.
    """
    known = [p for p in bar.music.chords if p.chord is not None or ROOT.match(p.name)]
    known.sort(key=lambda p: p.onset)
    for harmony, each in zip(measure.findall("harmony"), known, strict=False):
        kind = harmony.find("kind")
        chord = each.chord
        if kind is None or not isinstance(chord, Chord):
            continue
        if chord.root is None:
            kind.set("text", chord.text)
            continue
        print_degrees(harmony, chord)
        kind.text = chord.kind
        written = parse_chord(written_chord(each, bar.in_force).name)
        if written is not None:
            _name(harmony.find("root"), written.root)
            _name(harmony.find("bass"), written.bass)


def _name(element: etree._Element | None, name: Name | None) -> None:
    """Name a `<root>` or `<bass>`."""
    if element is None or name is None:
        return
    letter, alter = name
    for child in list(element):
        element.remove(child)
    etree.SubElement(element, f"{element.tag}-step").text = letter
    if alter:
        etree.SubElement(element, f"{element.tag}-alter").text = str(alter)


def _unknown(measure: etree._Element, bar: Bar) -> None:
    """A symbol that scribe does not understand, but that begins with a root, is one of another kind."""
    up = written_interval(bar.in_force.instrument, bar.in_force.key)
    for each in bar.music.chords:
        root = ROOT.match(each.name)
        if each.chord is not None or root is None:
            continue
        for direction in measure.findall("direction"):
            words = direction.find("direction-type/words")
            if words is None or words.text != each.name:
                continue
            harmony = etree.Element("harmony")
            if words.get("color"):
                harmony.set("color", words.get("color"))
            made = etree.SubElement(harmony, "root")
            letter, alter = move_name((root[1], root[2].count("#") - root[2].count("b")), up)
            etree.SubElement(made, "root-step").text = letter
            if alter:
                etree.SubElement(made, "root-alter").text = str(alter)
            etree.SubElement(harmony, "kind", text=each.name[root.end() :]).text = "other"
            for late in direction.findall("offset"):
                harmony.append(late)
            measure.replace(direction, harmony)
            break


def _feel(measure: etree._Element, bar: Bar) -> None:
    """Put `<swing>` beside the words that name a feel."""
    if bar.feel is None:
        return
    words = feel_text(bar.feel).content
    for direction in measure.findall("direction"):
        if direction.findtext("direction-type/words") == words:
            direction.append(swing(bar.feel))
            return


def _not_swung(measure: etree._Element, bar: Bar) -> None:
    """Say that eighths are straight under a tempo mark whose words speak of a feel that is not in force."""
    now = bar.in_force.feel
    if bar.tempo is None or bar.feel is not None or now != Feel() or feel_in(bar.tempo.words) in (None, now):
        return
    for direction in measure.findall("direction"):
        if bar.tempo.words in ("".join(words.itertext()) for words in direction.iter("words")):
            direction.append(swing(now))
            return


def swing(feel: Feel) -> etree._Element:
    """Return `<sound><swing>`: long and short as the feel has them, 2:1 where it says nothing; or straight."""
    sound = etree.Element("sound")
    made = etree.SubElement(sound, "swing")
    if feel.name == "straight":
        etree.SubElement(made, "straight")
        return sound
    share = long_share(feel)
    first, second = share.numerator, share.denominator - share.numerator
    etree.SubElement(made, "first").text = str(first)
    etree.SubElement(made, "second").text = str(second)
    etree.SubElement(made, "swing-type").text = "16th" if feel.unit == "16" else "eighth"
    return sound


def _tempo(measure: etree._Element) -> None:
    """Put the words of a tempo mark before its number, in one direction: music21 writes two."""
    for direction in measure.findall("direction"):
        mark = direction.find("direction-type/metronome")
        after = direction.getnext()
        if mark is None or after is None or after.tag != "direction":
            continue
        words = after.find("direction-type/words")
        if words is None or words.get("font-weight") != "bold":
            continue
        kind = words.getparent()
        direction.set("placement", "above")
        direction.insert(0, kind)
        measure.remove(after)


def _tempo_words(measure: etree._Element, bar: Bar) -> None:
    """Say of words alone that they are a tempo (MusicXML 4.0, `directive`: `yes` for words placed as tempos are)."""
    if bar.tempo is None or bar.tempo.bpm is not None:
        return
    for direction in measure.findall("direction"):
        if direction.findtext("direction-type/words") == bar.tempo.words:
            direction.set("placement", "above")
            direction.set("directive", "yes")
            return


def _repeat(measure: etree._Element, bar: Bar, before: Bar | None) -> None:
    """Say where bars are printed as repeat signs; their notes are there for programs that do not print them so."""
    last = 0 if before is None else before.repeat
    if bar.repeat == last:
        return
    attributes = measure.find("attributes")
    if attributes is None:
        attributes = etree.Element("attributes")
        measure.insert(1 if measure.find("print") is not None else 0, attributes)
    if last:
        style = etree.SubElement(attributes, "measure-style")
        etree.SubElement(style, "measure-repeat", type="stop")
    if bar.repeat:
        style = etree.SubElement(attributes, "measure-style")
        sign = etree.SubElement(style, "measure-repeat", type="start", slashes=str(bar.repeat))
        sign.text = str(bar.repeat)


def _doubts(measure: etree._Element) -> None:
    """Print a question mark under every doubtful note and over every doubtful chord."""
    colour = DOUBT.upper()
    for each in list(measure):
        if (
            each.tag not in ("note", "harmony")
            or each.get("color") != colour
            or each.find("rest") is not None
        ):
            continue
        if each.find("chord") is not None:
            continue  # one mark a stack
        direction = etree.Element("direction", placement="below" if each.tag == "note" else "above")
        words = etree.SubElement(etree.SubElement(direction, "direction-type"), "words", color=colour)
        words.text = "?"
        each.addprevious(direction)


def _passing(measure: etree._Element) -> None:
    """Take the loudness in figures from dynamics of one note: MusicXML's `sound` holds until the next one."""
    for sound in measure.findall("direction/sound[@dynamics]"):
        direction = sound.getparent()
        if any(each.tag in PASSING for each in direction.iterfind("direction-type/dynamics/*")):
            direction.remove(sound)


def _plucks(measure: etree._Element) -> None:
    """Letters of the plucking hand are `<pluck>`; music21 writes them as fingers of the other hand."""
    for fingering in list(measure.iter("fingering")):
        if fingering.text in LETTERS:
            pluck = etree.Element("pluck")
            pluck.text = fingering.text
            fingering.getparent().replace(fingering, pluck)


def _strings(root: etree._Element, piece: Piece) -> None:
    """Say a tuning of the draft's own as the draft does, in a field that other programs keep and do not show.

    `<staff-tuning>` is for the lines of a tablature staff (MusicXML 4.0): with it readers draw our notes as tablature.
    """
    identification = root.find("identification")
    if identification is None or not piece.bars:
        return
    force = piece.bars[0].in_force
    if force.instrument.fretted and force.tuning != STANDARD:
        others = identification.find("miscellaneous")
        if others is None:
            others = etree.SubElement(identification, "miscellaneous")
        etree.SubElement(others, "miscellaneous-field", name=STRINGS).text = show_tuning(force.tuning)
