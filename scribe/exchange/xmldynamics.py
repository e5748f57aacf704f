"""Dynamics and hairpins of MusicXML made ready for music21, which loses or misplaces some."""

from __future__ import annotations

from copy import deepcopy

from lxml import etree

from scribe.exchange.xmltext import staves

LATE = "late-"  # how the numbers of hairpins begin that begin inside a note


def ready_dynamics(root: etree._Element) -> None:
    """Change a partwise score so that every dynamic and hairpin is read where it stands."""
    dynamics_of_notes(root)
    dynamics_of_both_staves(root)
    other_dynamics(root)
    hairpin_ends(root)
    late_hairpins(root)


def dynamics_of_notes(root: etree._Element) -> None:
    """Put dynamics that hang on a note before it, as a direction: music21 reads them only there."""
    for each in list(root.iterfind("part/measure/note/notations/dynamics")):
        note = each.getparent().getparent()
        if note.find("chord") is not None:
            continue
        direction = etree.Element("direction")
        etree.SubElement(direction, "direction-type").append(each)
        for name in ("voice", "staff"):
            found = note.find(name)
            if found is not None:
                etree.SubElement(direction, name).text = found.text
        note.addprevious(direction)


def dynamics_of_both_staves(root: etree._Element) -> None:
    """Give dynamics between the staves of a piano to the lower one too, where it has none in that bar.

    They stand once for both hands (common practice, no source), and music21 gives them to
    the staff that the file names.
    """
    for part in root.iterchildren("part"):
        if staves(part) != 2:
            continue
        for measure in part.iterchildren("measure"):
            found = [
                each
                for each in measure.iterchildren("direction")
                if each.find("direction-type/dynamics") is not None
            ]
            lower = [each for each in found if (each.findtext("staff") or "1").strip() == "2"]
            for each in [] if lower else found:
                if each.get("placement") == "below":
                    copied = deepcopy(each)
                    staff = copied.find("staff")
                    staff = etree.SubElement(copied, "staff") if staff is None else staff
                    staff.text = "2"
                    each.addnext(copied)


def other_dynamics(root: etree._Element) -> None:
    """Name dynamics of other kinds as music21 expects them: it misspells the element, and so loses their text."""
    for each in root.iter("other-dynamics"):
        each.tag = "other-dynamic"


def hairpin_ends(root: etree._Element) -> None:
    """Put the end of a hairpin at a bar's start at the end of the bar before: music21 loses it where it stood."""
    for wedge in list(root.iterfind("part/measure/direction/direction-type/wedge[@type='stop']")):
        direction = wedge.getparent().getparent()
        before = direction.getparent().getprevious()
        if before is not None and not any(e.tag == "note" for e in direction.itersiblings(preceding=True)):
            made = etree.SubElement(before, "direction")
            etree.SubElement(made, "direction-type").append(wedge)


def late_hairpins(root: etree._Element) -> None:
    """Number all hairpins, and those that begin behind the start of a note so that each is known.

    music21 passes over how far behind, and over hairpins without a number.
    """
    for part in root.iterchildren("part"):
        open_now: dict[str, str] = {}
        for place, wedge in enumerate(part.iterfind("measure/direction/direction-type/wedge")):
            number = wedge.get("number") or "1"
            if wedge.get("type") == "stop":
                wedge.set("number", open_now.pop(number, number))
            elif wedge.getparent().getparent().find("offset") is not None:
                open_now[number] = f"{LATE}{place}"
                wedge.set("number", open_now[number])
            else:  # music21 loses those without a number
                wedge.set("number", number)
