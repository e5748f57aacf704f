"""What stands in the layers of MEI, in the few elements and values that music21 knows; what is lost so is told."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import count

from lxml import etree

from scribe.exchange.meidefs import LINES, NS
from scribe.exchange.meitab import Strings, notes_of_tablature, strings_of
from scribe.exchange.xmltext import text_of

XML_ID = "{http://www.w3.org/XML/1998/namespace}id"
Tell = Callable[[etree._Element, str], None]  # something in a measure, and what is lost of it, in words

# Of several readings the first of these is taken, else the first of all (MEI 5: `app`, `choice`, `subst`).
CHOICES = ("app", "choice", "subst")
TAKEN = ("lem", "corr", "reg", "expan", "add")
DROPPED = ("del", "ossia", "oStaff", "oLayer")
OPENED = (
    "lem", "rdg", "corr", "sic", "reg", "orig", "expan", "abbr", "add", "supplied", "unclear", "damage", "restore",
    "handShift", "bTrem", "fTrem",
)  # fmt: skip
DURATIONS = {
    "long": "long", "longa": "long", "maxima": "long", "breve": "breve", "brevis": "breve", "semibrevis": "1",
    "minima": "2", "semiminima": "4", "fusa": "8", "semifusa": "16",
}  # fmt: skip
VALUES = ("1", "2", "4", "8", "16", "32", "64", "128", "256", "512", "1024", "2048")
HALVED = dict(zip(("breve", *VALUES), (*VALUES, "2048"), strict=True))
ACCIDENTALS = frozenset(
    ("s", "f", "ss", "x", "ff", "xs", "ts", "tf", "n", "nf", "ns", "su", "sd", "fu", "fd", "nu", "nd")
)
SOUNDING = frozenset(("s", "f", "ss", "ff", "n", "su", "sd", "fu", "fd"))
ALIKE = {
    "x": "ss", "nf": "f", "ns": "s", "1qs": "sd", "3qs": "su", "1qf": "fu", "3qf": "fd", "nu": "sd", "nd": "fu",
}  # fmt: skip
ARTICULATIONS = frozenset(
    (
        "acc", "stacc", "ten", "stacciss", "marc", "marc-stacc", "ten-stacc", "spicc", "doit", "plop", "fall", "dnbow",
        "upbow", "harm", "snap", "stop", "open", "dbltongue", "trpltongue",
    )
)  # fmt: skip
NAMED = {"tap": "fret tap", "lhpizz": "left-hand pizzicato", "damp": "damped", "dampall": "damped"}
LETTERS = "cdefgab"
UNPITCHED = "scribe-unpitched-"  # how the ids of notes begin that have no pitch
BENT = "scribe-bent"  # an attribute of ours: a bend that music21 has no word for
_IDS = count(1)


def plain_layers(root: etree._Element, tell: Tell) -> None:
    """Change layers into what music21 reads. `tell` hears what is lost."""
    _one_reading(root)
    _tremolos(root, tell)
    for tag in OPENED:
        for each in list(root.iter(f"{NS}{tag}")):
            _open(each)
    strings = strings_of(root)
    for layer in root.iter(f"{NS}layer"):
        staff = layer.getparent()
        notes_of_tablature(layer, strings.get("" if staff is None else staff.get("n") or "", Strings(())))
    for clef in list(root.iter(f"{NS}clef")):
        _clef(clef)
    for each in list(root.iter(f"{NS}beatRpt", f"{NS}halfmRpt")):
        tell(each, "a sign that repeats a part of the bar, left silent")
        _put(each, etree.Element(f"{NS}rest", dur="4" if each.tag == f"{NS}beatRpt" else "2"))
    for each in root.iter(f"{NS}note", f"{NS}chord", f"{NS}rest", f"{NS}space"):
        _values(each)
    for each in root.iter(f"{NS}note"):
        _pitch(each, tell)
    for each in root.iter(f"{NS}note", f"{NS}chord"):
        _articulations(each, tell)
        if "slash" in (each.get("stem.mod") or "") and not each.get("grace"):
            tell(each, "tremolo")
    for each in root.iter(f"{NS}tuplet"):
        _tuplet(each)
    for each in root.iter(f"{NS}verse"):
        if not (each.get("n") or "").isdecimal():
            each.attrib.pop("n", None)
    for each in root.iter(f"{NS}syl"):
        _syllable(each)


def _one_reading(root: etree._Element) -> None:
    for tag in CHOICES:
        for each in reversed(list(root.iter(f"{NS}{tag}"))):
            readings = [c for c in each if isinstance(c.tag, str)]
            taken = [r for name in TAKEN for r in readings if r.tag == f"{NS}{name}"] or readings
            for reading in readings:
                if reading is not taken[0]:
                    each.remove(reading)
            _open(each)
    for tag in DROPPED:
        for each in list(root.iter(f"{NS}{tag}")):
            _remove(each)


def _tremolos(root: etree._Element, tell: Tell) -> None:
    """A trembling note is one note; of two that alternate each sounds half of what is printed (MEI 5, `fTrem`)."""
    for each in root.iter(f"{NS}bTrem", f"{NS}fTrem"):
        tell(each, "tremolo")
        inside = [n for n in each.iter(f"{NS}note", f"{NS}chord") if n.getparent() is each]
        if each.tag == f"{NS}bTrem":
            for note in each.iter(f"{NS}note", f"{NS}chord"):
                note.attrib.pop("stem.mod", None)
            continue
        for note in inside:
            note.attrib.pop("stem.mod", None)
            note.set("dur", HALVED.get(note.get("dur") or "4", "4"))


def _clef(clef: etree._Element) -> None:
    shape = clef.get("shape") or ""
    for holder in clef.iterancestors(f"{NS}beam", f"{NS}tuplet"):  # where music21 takes it for a note
        holder.addprevious(clef)
    if shape == "GG":
        clef.attrib.update({"shape": "G", "dis": "8", "dis.place": "below"})
    elif shape not in (*LINES, "perc", "TAB"):
        _remove(clef)
        return
    if not clef.get("line") and clef.get("shape") in LINES:
        clef.set("line", LINES[clef.get("shape") or ""])


def _values(each: etree._Element) -> None:
    """An id, and a value that is one; a note without takes that of its chord."""
    if not each.get(XML_ID):
        each.set(XML_ID, f"scribe-{next(_IDS)}")
    value = each.get("dur")
    if value is not None and value not in VALUES:
        each.set("dur", DURATIONS.get(value, "4"))
    elif value is None and not _in_chord(each):
        each.set("dur", "4")
    if not (each.get("dots") or "0").isdecimal():
        each.attrib.pop("dots")


def _pitch(note: etree._Element, tell: Tell) -> None:
    """A pitch that music21 can read, at the octave where it sounds."""
    if (note.get("oct.ges") or "").isdecimal():
        note.set("oct", note.get("oct.ges"))
    if note.get("pname") not in tuple(LETTERS) or not (note.get("oct") or "").isdecimal():
        place = note.get("loc") or ""
        steps = 4 * 7 + 2 + (int(place) if place.lstrip("-").isdecimal() else 4)  # from the lowest line, E4
        note.set("pname", LETTERS[steps % 7])
        note.set("oct", str(steps // 7))
        note.set(XML_ID, f"{UNPITCHED}{note.get(XML_ID)}")
    for holder, name in ((note, "accid"), (note, "accid.ges"), *_accidentals(note)):
        value = holder.get(name)
        known = ACCIDENTALS if name == "accid" else SOUNDING
        if value is None or value in known:
            continue
        if ALIKE.get(value) in known:
            holder.set(name, ALIKE[value])
        else:
            holder.attrib.pop(name)
            tell(note, f"the accidental {value}")


def _accidentals(note: etree._Element) -> Iterator[tuple[etree._Element, str]]:
    for accid in note.iterchildren(f"{NS}accid"):
        yield accid, "accid"
        yield accid, "accid.ges"


def _articulations(each: etree._Element, tell: Tell) -> None:
    for holder in (each, *list(each.iterchildren(f"{NS}artic"))):
        names = (holder.get("artic") or "").split()
        if not names and holder is not each:
            tell(each, "a sign of playing")
            each.remove(holder)
            continue
        kept = [name for name in names if name in ARTICULATIONS]
        for name in names:
            if name == "bend":
                each.set(BENT, "yes")
            elif name not in ARTICULATIONS:
                tell(each, NAMED.get(name, name))
        if kept:
            holder.set("artic", " ".join(kept))
        elif holder is not each:
            each.remove(holder)
        else:
            holder.attrib.pop("artic", None)


def _tuplet(tuplet: etree._Element) -> None:
    """Both numbers; where one is left out, the nearest power of two below (MEI 5, `att.duration.ratio`)."""
    number = tuplet.get("num") or ""
    if not number.isdecimal() or int(number) == 0:
        tuplet.set("num", number := "3")
    normal = tuplet.get("numbase") or ""
    if not normal.isdecimal() or int(normal) == 0:
        tuplet.set("numbase", str(1 << (max(int(number) - 1, 1).bit_length() - 1)))


def _syllable(syl: etree._Element) -> None:
    """The text of a syllable with a hyphen where its word goes on: music21 knows fewer kinds of both."""
    text = text_of(syl)
    goes_on = syl.get("wordpos") in ("i", "m")
    for child in list(syl):
        syl.remove(child)
    for name in ("wordpos", "con"):
        syl.attrib.pop(name, None)
    syl.text = f"{text.rstrip('-')}-" if goes_on else text


def _in_chord(each: etree._Element) -> bool:
    parent = each.getparent()
    return parent is not None and parent.tag == f"{NS}chord"


def _open(each: etree._Element) -> None:
    for child in list(each):
        each.addprevious(child)
    _remove(each)


def _put(old: etree._Element, new: etree._Element) -> None:
    parent = old.getparent()
    if parent is not None:
        parent.replace(old, new)


def _remove(element: etree._Element) -> None:
    parent = element.getparent()
    if parent is not None:
        parent.remove(element)
