"""MusicXML made ready for music21: rounded values, voices that cross the staves, the plucking hand, hairpins."""

from __future__ import annotations

from collections import Counter, defaultdict
from copy import deepcopy
from fractions import Fraction
from itertools import pairwise

from lxml import etree

from scribe.exchange.xmldynamics import ready_dynamics
from scribe.exchange.xmltempo import plain_speeds
from scribe.exchange.xmltext import decimal
from scribe.exchange.xmlvalues import exact_values
from scribe.music.interval import simplest, usual
from scribe.music.pitch import Pitch


def prepare(root: etree._Element) -> etree._Element:
    """Return a score as music21 understands it: partwise, and with nothing in it that it would lose or misread."""
    root = partwise(root)
    exact_values(root)
    plucks(root)
    ready_dynamics(root)
    whole_voices(root)
    plain_roots(root)
    rootless(root)
    moved(root)
    plain_speeds(root)
    offsets_inside(root)
    return root


def plucks(root: etree._Element) -> None:
    """Write the letters of the plucking hand as music21 reads them: it takes `<pluck>`, and loses what it says."""
    for pluck in list(root.iter("pluck")):
        parent = pluck.getparent()
        if parent is not None:
            made = etree.Element("fingering")
            made.text = pluck.text
            made.tail = pluck.tail
            parent.replace(pluck, made)


def plain_roots(root: etree._Element) -> None:
    """Name roots and basses of chords with one accidental at most: music21 fails over some others."""
    for tag in ("root", "bass"):
        for each in root.iterfind(f"part/measure/harmony/{tag}"):
            step, alter = each.find(f"{tag}-step"), each.find(f"{tag}-alter")
            if step is None or alter is None or (alter.text or "").strip() not in ("2", "-2"):
                continue
            letter = (step.text or "").strip()
            if letter in tuple("ABCDEFG"):
                plain = simplest(Pitch(letter, int(alter.text or 0), 4))
                step.text, alter.text = plain.letter, str(plain.alter)


def rootless(root: etree._Element) -> None:
    """Print chords named by their place in the key (`V7`) as words: music21 fails over chords without a root."""
    for harmony in list(root.iterfind("part/measure/harmony")):
        numeral = harmony.find("numeral/numeral-root")
        name = harmony.findtext("function") or (
            "" if numeral is None else numeral.get("text") or numeral.text or ""
        )
        kind = harmony.find("kind")
        parent = harmony.getparent()
        silent = kind is not None and (kind.text or "").strip() == "none"
        if harmony.find("root") is not None or parent is None or (silent and not name.strip()):
            continue
        direction = etree.Element("direction", placement="above")
        words = etree.SubElement(etree.SubElement(direction, "direction-type"), "words")
        words.text = f"{name.strip()}{'' if numeral is None or kind is None else kind.get('text', '')}"
        direction.extend([deepcopy(each) for each in harmony if each.tag in ("offset", "staff")])
        direction.tail = harmony.tail
        if words.text:
            parent.replace(harmony, direction)
        else:
            parent.remove(harmony)


def moved(root: etree._Element) -> None:
    """Say by how many steps a part is transposed where only the semitones are said: music21 fails without."""
    for transpose in root.iterfind("part/measure/attributes/transpose"):
        if transpose.find("diatonic") is None:
            made = etree.Element("diatonic")
            made.text = str(usual(int(decimal(transpose.findtext("chromatic")) or 0)).steps)
            transpose.insert(0, made)
        if transpose.find("chromatic") is None:
            etree.SubElement(transpose, "chromatic").text = "0"


def offsets_inside(root: etree._Element) -> None:
    """Keep what stands above and below the notes inside its bar: to music21 a sign that is set behind the end of a
    pickup makes it longer.
    """
    for measure in root.iterfind("part/measure"):
        at = end = Fraction(0)
        found: list[tuple[etree._Element, Fraction]] = []
        for each in measure:
            if each.tag in ("note", "forward", "backup") and each.find("chord") is None:
                at += (decimal(each.findtext("duration")) or 0) * (-1 if each.tag == "backup" else 1)
                end = max(end, at)
            elif (offset := each.find("offset")) is not None:
                found.append((offset, at))
        for offset, begin in found:
            said = decimal(offset.text)
            if said is None:
                offset.text = "0"
            elif end and said > end - begin:
                offset.text = f"{float(end - begin):g}"


def partwise(root: etree._Element) -> etree._Element:
    """Return a timewise score turned into a partwise one; a partwise one as it is."""
    if root.tag != "score-timewise":
        return root
    made = etree.Element("score-partwise", dict(root.attrib))
    parts: dict[str, etree._Element] = {}
    for child in root:
        if child.tag != "measure":
            made.append(deepcopy(child))
            continue
        for part in child.iterchildren("part"):
            name = part.get("id") or ""
            if name not in parts:
                parts[name] = etree.SubElement(made, "part", {"id": name})
            measure = etree.SubElement(parts[name], "measure", dict(child.attrib))
            measure.extend([deepcopy(each) for each in part])
    return made


def whole_voices(root: etree._Element) -> None:
    """Keep a voice that crosses to the other staff on its own one, where most of its notes are.

    music21 makes a part of each staff, and so would tear the voice apart. Voices that sound on two staves at once are
    two voices of one number, and stay as they are.
    """
    for part in root.iterchildren("part"):
        staves: dict[str, Counter[str]] = defaultdict(Counter)
        twice: set[str] = set()
        for measure in part.iterchildren("measure"):
            for voice, spans in _spans(measure).items():
                staves[voice].update(staff for _, _, staff in spans)
                spans.sort()
                if any(b[0] < a[1] and a[2] != b[2] for a, b in pairwise(spans)):
                    twice.add(voice)
        homes = {
            v: count.most_common(1)[0][0] for v, count in staves.items() if len(count) > 1 and v not in twice
        }
        for note in part.iterfind("measure/note") if homes else ():
            staff = note.find("staff")
            home = homes.get(note.findtext("voice") or "1")
            if staff is not None and home is not None:
                staff.text = home


def _spans(measure: etree._Element) -> dict[str, list[tuple[int, int, str]]]:
    """By voice: from where to where each of its notes and rests lasts, and on which staff. Counted in divisions."""
    found: dict[str, list[tuple[int, int, str]]] = defaultdict(list)
    at = 0
    for each in measure.iterchildren("note", "backup", "forward"):
        text = (each.findtext("duration") or "").strip()
        size = int(text) if text.isdecimal() else 0
        if each.tag == "note" and each.find("chord") is None and size:
            staff = (each.findtext("staff") or "1").strip()
            found[each.findtext("voice") or "1"].append((at, at + size, staff))
        if each.find("chord") is None:
            at += -size if each.tag == "backup" else size
    return found
