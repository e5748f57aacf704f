"""The engine: a new text in, what changed on the page out; the same notation as on the printed page."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from scribe import compile, engrave
from scribe.live.engine import Engine, Update
from scribe.live.engraver import Engraver, Failed, Job
from scribe.live.hub import Hub, View
from scribe.live.systems import Picture, Want
from tests.benchmarks.core import draft
from tests.live_help import DEMOS, engines, last, look_of
from tests.pieces import random_draft

Make = Callable[[], Engine]


@pytest.fixture(scope="module")
def make() -> Iterator[Make]:
    """A maker of engines."""
    with engines() as maker:
        yield maker


def pictures(updates: list[Update]) -> list[dict[str, Any]]:
    """The systems of a page in order, as the last of its updates leaves them."""
    known: dict[str, str] = {}
    order = None
    for update in updates:
        known |= update.pictures
        order = update.order or order
    assert order is not None
    return [json.loads(known[key]) for key, _, _ in order]


NUMBER = re.compile(r'<g class="bar-number".*?</g>', re.S)


def notation(svg: str) -> list[str]:
    """Everything drawn, in order, without places: glyphs, words, the classes of notes and signs."""
    body = re.sub(
        r"<(title|desc|defs)>.*?</\1>|<rect class=\"paper\"[^>]*>", "", NUMBER.sub("", svg), flags=re.S
    )
    systems = re.findall(r'<g class="system".*', body, re.S)
    return re.findall(
        r'xlink:href="#([^"]+)"|aria-label="([^"]*)"|<g class="([^"]+)"', systems[0] if systems else ""
    )


def printed(text: str) -> list[Any]:
    """The notation of the printed pages."""
    found: list[Any] = []
    for svg in engrave(compile(text)).svgs:
        systems = svg[svg.index('<g class="system"') :]
        found += notation(systems)
    return [
        each for each in found if each[2] not in ("page-number", "running-head") and "page " not in each[1]
    ]


def live(make: Make, text: str) -> list[Any]:
    """The notation of the live page."""
    return [each for system in pictures(list(make().update(text))) for each in notation(system["svg"])]


@pytest.mark.parametrize("demo", DEMOS, ids=lambda path: path.stem)
def test_the_page_shows_what_is_printed(make: Make, demo: Path) -> None:
    """Every demo: note by note, sign by sign and word by word the same on the live page and in print."""
    text = demo.read_text(encoding="utf-8")
    ours, theirs = live(make, text), printed(text)
    assert len(theirs) > 100
    assert ours == theirs


@pytest.mark.parametrize("seed", range(6))
def test_made_up_drafts_look_alike_too(make: Make, seed: int) -> None:
    """Drafts full of everything, lines over the ends of systems too."""
    text = random_draft(seed)
    ours, theirs = live(make, text), printed(text)
    assert sorted(map(str, ours)) == sorted(map(str, theirs))


def test_hairpins_and_signs_of_the_form_reach_over_systems(make: Make) -> None:
    """What a system shows because of a bar far away: hairpins, `D.S. al Coda`, curves and lines over the edge."""
    text = (
        "| 'p 'cresc g b d g | g g g g- |\n| - - g b | g g ~a b |\n| ~c d e f | 'f 'dim g g g 'segno g |\n"
        "| 'p 'tocoda g 'palm g g 'ds g |\n| g |\n| 'coda g g 'open g g |\n"
    )
    assert live(make, text) == printed(text)


def test_an_edit_sends_its_own_system_only(make: Make) -> None:
    """One bar of 40 is edited: one picture is sent, all other systems are the ones that were there."""
    engine = make()
    before = last(engine, draft(40)).order
    update = last(engine, draft(40, edited=17))
    assert len(update.pictures) == 1
    assert before is not None
    assert update.order is not None
    changed = [i for i, (old, new) in enumerate(zip(before, update.order, strict=True)) if old != new]
    assert changed == [4]
    assert update.changed == ((17, 20),)


@pytest.mark.parametrize(
    "edit",
    [
        lambda text: text.replace("title Benchmark", "title Another\ncomposer Me"),
        lambda text: "; a comment\n\n" + text,
        lambda text: text.replace("key G minor\n", "key   G minor  ; the key\n"),
    ],
)
def test_an_edit_around_the_music_engraves_nothing(make: Make, edit: Callable[[str], str]) -> None:
    """Title, comments and blanks: no system is drawn again."""
    engine = make()
    last(engine, draft(24))
    assert last(engine, edit(draft(24))).pictures == {}


def test_a_bar_put_in_moves_the_numbers_only(make: Make) -> None:
    """A new line of music: the systems behind it keep their pictures and get new numbers."""
    engine = make()
    before = last(engine, draft(24)).order
    lines = draft(24).splitlines()
    lines.insert(6, "| @Gm7 g b d g | g g g a |")
    update = last(engine, "\n".join(lines))
    assert len(update.pictures) == 1
    assert before is not None
    assert update.order is not None
    assert [key for key, _, _ in update.order[3:]] == [key for key, _, _ in before[2:]]
    assert [number for _, number, _ in update.order] == [0, 5, 9, 11, 15, 19, 23]
    assert update.order[-1][2] == (10, 10, 10, 10)


def test_an_undo_draws_nothing(make: Make) -> None:
    """The text as it was before: pictures are sent again, but none is drawn."""
    engine = make()
    last(engine, draft(16))
    last(engine, draft(16, edited=3))
    assert last(engine, draft(16)).changed == ()


def test_a_key_change_reaches_as_far_as_it_holds(make: Make) -> None:
    """A new key line changes the systems behind it up to the next key line; the one before announces it."""
    text = "key C\n" + "| g a g f |\n" * 3 + "| g g g g |\n" * 2 + "key F\n" + "| d d d d |\n"
    engine = make()
    last(engine, text)
    lines = text.splitlines()
    lines.insert(4, "key Eb")
    order = last(engine, "\n".join(lines)).changed
    assert order == ((3, 5),)


def test_a_broken_bar_keeps_its_last_good_music(make: Make) -> None:
    """While a bar cannot be read its old notes stay, marked; the problem tells where; mended, all is as before."""
    engine = make()
    good = "| g b d g | c e g ^c |\n| ^f a c f |\n"
    first = pictures(list(engine.update(good)))
    updates = list(engine.update(good.replace("c e g ^c", "c e h ^c")))
    system = json.loads(next(iter(updates[-1].pictures.values())))
    assert system["stale"] == [1]
    assert notation(system["svg"]) == notation(first[0]["svg"])
    assert updates[-1].problems is not None
    problem = updates[-1].problems[0]
    assert (problem.severity, problem.line, problem.column, problem.system, problem.bar) == (
        "error",
        1,
        17,
        0,
        1,
    )
    again = list(engine.update(good))
    assert again[-1].problems == ()
    assert again[-1].order is not None
    assert again[-1].order[0][0] not in updates[-1].pictures


def test_last_good_music_survives_more_edits(make: Make) -> None:
    """A bar that stays broken keeps its music while lines come and go above it, and through further broken texts."""
    engine = make()
    last(engine, "| a a a a |\n| g b d g | c e g ^c |\n")
    last(engine, "| a a a a |\n| g b d g | c e h ^c |\n")
    last(engine, "| d |\n| a a a a |\n| g b d g | c e hh ^c |\n")
    found = list(engine.update("| d |\n| a a a a |\n| e e | g b d g | c e hhh ^c |\n"))
    stale = [json.loads(text).get("stale") for text in found[-1].pictures.values()]
    assert stale == [[2]]


def test_a_bar_broken_from_the_start_is_drawn_to_mend(make: Make) -> None:
    """Nothing good to keep: the bar is drawn as in print, empty and marked."""
    text = "| g b d g | g h |\n"
    assert live(make, text) == printed(text)


def test_places_are_told_for_every_note(make: Make) -> None:
    """Every head on the page can be pointed at and leads to the slot that made it, stacks and grace notes too."""
    text = "key G minor\nstrings E A D G\n | @C7 g,ab e+^b A:3:5 x? | b5 qg |\n"
    (system,) = pictures(list(make().update(text)))
    heads = re.findall(r'<g class="note" data-n="([^"]+)"', system["svg"])
    assert set(heads) == set(system["notes"])
    line = text.splitlines()[2]
    found = {}
    for name, degree, tone, string, marks, bar, start, end in system["notes"].values():
        offset = system["bars"][bar][2]
        found[line[offset + start : offset + end]] = (name, degree, tone, string, marks)
    assert found["g"] == ("G1", "1", "5 of C7", "", "")
    assert found["A:3"][3] == "A string, fret 3"
    assert found[":5"][:1] == ("D2",)
    assert found["b5"][1] == "♭5"
    assert found["x?"][0] == "dead note"
    assert found["qg"][4] == "ghost"


def test_every_number_of_bars_and_layout(make: Make) -> None:
    """Layouts and papers: the live page puts the same bars on each system as the printed one does."""
    for layout in ("layout 4", "layout 3\npage letter", "layout lines", "layout fit"):
        text = draft(22).replace("feel swing", layout.replace("page", "layout page"))
        assert live(make, text) == printed(text)


def tabbed(bars: int, edited: int | None = None) -> str:
    """A draft that shows all there is of the hand."""
    text = draft(bars, edited).replace("tempo 132", "tempo 132\nshow tab fingers positions")
    return text.replace("g g g g", "^g a A:3 D:5")


def test_the_hand_on_the_page_is_the_printed_one(make: Make) -> None:
    """Strings, frets, fingers and positions: after edits too, what a long piece shows in the end is what is printed."""
    engine = make()
    for text in (tabbed(60), tabbed(60, 20), "position 5\n" + tabbed(60, 21), tabbed(60, 41)):
        assert live_of(engine, text) == printed(text)


def test_an_edit_does_not_wait_for_the_hand(make: Make) -> None:
    """In a long piece the edited system comes first, fingered from the bars around it; the whole piece follows."""
    engine = make()
    last(engine, tabbed(60))
    first = next(iter(engine.update(tabbed(60, 33))))
    assert not first.done
    assert len(first.pictures) == 1
    assert first.order is not None
    assert first.order[8][0] in first.pictures


def test_a_save_does_not_wait_for_the_hand_of_the_save_before(make: Make) -> None:
    """While the hand of a long piece is looked for, a newer save ends that; what it shows in the end is exact."""
    engine = make()
    last(engine, tabbed(60))
    updates = list(engine.update(tabbed(60, 33), stop=lambda: True))
    assert updates
    assert not any(update.done for update in updates)
    assert live_of(engine, tabbed(60, 34)) == printed(tabbed(60, 34))


def test_where_notes_are_likely_played(make: Make) -> None:
    """Notes without a string on the page get a likely place, one for each that can be pointed at; pinned ones stay."""
    engine = make()
    updates = list(engine.update("| g,ab e+^b A:3 x | ^d E:5 . u |\n| g b d g |\n"))
    stops = look_of(engine).stops
    notes = [list(system["notes"].values()) for system in pictures(updates)]
    assert [len(system) for system in stops] == [len(system) for system in notes]
    assert stops[0][0] == "E:3"
    assert [stop for note, stop in zip(notes[0], stops[0], strict=True) if "fret" in note[3]] == [
        "A:3",
        "E:5",
    ]
    last(engine, tabbed(8))
    assert list(look_of(engine).stops) == []


def test_a_stopped_update_is_taken_up_by_the_next(make: Make) -> None:
    """A newer save interrupts the drawing of a long draft; in the end the page shows that save."""
    engine = make()
    for _ in engine.update(draft(200), stop=lambda: True):
        pass
    assert live_of(engine, draft(200, edited=5)) == live(make, draft(200, edited=5))


def live_of(engine: Engine, text: str) -> list[Any]:
    """The notation of an engine's page after a text, whatever came before."""
    update = last(engine, text)
    assert update.done
    assert engine.order
    keys = [key for key, _, _ in engine.order]
    known = {
        each.key: each.message for each in engine._systems.pictures.values() if isinstance(each, Picture)
    }
    return [each for key in keys for each in notation(json.loads(known[key])["svg"])]


# --- the engraver -------------------------------------------------------------------------------------------------

BAD = (
    '<mei xmlns="http://www.music-encoding.org/ns/mei" meiversion="5.0"><music><body><mdiv><score><scoreDef>'
    '<staffGrp><staffDef n="1" lines="5" clef.shape="F" clef.line="4"/></staffGrp></scoreDef><section>'
    '<measure n="1"><staff n="1"><layer n="1"><note dur="4" oct="z" pname="c"/></layer></staff></measure>'
    "</section></score></mdiv></body></music></mei>"
)  # `oct="z"` ends Verovio's process (measured with 6.4.1)


def test_a_killed_engraver_is_replaced(make: Make) -> None:
    """The engraver is killed between two saves, and between two systems: nothing of the page is lost."""
    engine = make()
    whole = live_of(engine, draft(24))
    pid = engine._engraver.pid
    assert pid is not None
    os.kill(pid, 9)
    assert live_of(engine, draft(24, edited=9)) != whole
    assert engine._engraver.pid != pid

    fresh = make()
    for update in fresh.update(draft(160)):
        if not update.done and fresh._engraver.pid is not None:
            os.kill(fresh._engraver.pid, 9)
    assert len(fresh.order) == 40
    assert all(key for key, _, _ in fresh.order)


def test_a_document_that_stops_verovio_fails_alone() -> None:
    """Of three documents the one in the middle ends the process: it fails, the others are drawn."""
    engraver = Engraver()
    try:
        good = Job(BAD.replace('oct="z"', 'oct="3"'), {})
        found = list(engraver.draw([good, Job(BAD, {}), good, good]))
        assert [isinstance(each, Failed) for each in found] == [False, True, False, False]
    finally:
        engraver.close()


def test_a_silent_engraver_is_given_up() -> None:
    """A child that is stopped and never answers is ended; the document fails, the next one is drawn."""
    engraver = Engraver(patience=0.6)
    good = Job(BAD.replace('oct="z"', 'oct="3"'), {})
    try:
        list(engraver.draw([good]))
        assert engraver.pid is not None
        os.kill(engraver.pid, 19)  # SIGSTOP
        assert [isinstance(each, Failed) for each in engraver.draw([good])] == [True]
        assert [isinstance(each, Failed) for each in engraver.draw([good])] == [False]
    finally:
        engraver.close()


def test_a_system_that_cannot_be_engraved_is_a_problem_of_its_own(
    make: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One system's document ends Verovio: it keeps its last picture, the problem names it, the others are new."""
    engine = make()
    before = last(engine, draft(12)).order
    real = Want.job.fget
    assert real is not None

    def spoiled(want: Want) -> Job:
        job: Job = real(want)
        return job._replace(document=BAD) if job.document.count('pname="a"') > 12 else job

    monkeypatch.setattr(Want, "job", property(spoiled))
    lines = draft(12).splitlines()
    lines[5] = "| aaaa aaaa aaaa aaaa | a |"
    lines[6] = "| d d d d | d |"
    updates = list(engine.update("\n".join(lines)))
    assert before is not None
    assert engine.order[1][0] == before[1][0]
    assert len({key for update in updates for key in update.pictures}) == 1
    said = next(update.problems for update in reversed(updates) if update.problems is not None)
    assert [(each.code, each.line) for each in said if each.severity == "error"] == [("not-engraved", 6)]
    said = next(update.problems for update in engine.update(draft(12)) if update.problems is not None)
    assert not [each for each in said if each.severity == "error"]


# --- what pages are told -------------------------------------------------------------------------------------------


def test_the_whole_page_is_the_sum_of_its_updates(make: Make) -> None:
    """Whoever joins late is told the same page as those who were there all the time."""
    hub, engine = Hub(), make()
    for text in (draft(24), draft(24, edited=4), "| g b |\n" + draft(24), draft(12)):
        for update in engine.update(text):
            hub.update(View("a"), update)
    sheet = hub._sheets[View("a")]
    keys = [entry[0] for entry in json.loads(sheet.parts["order"])]
    assert keys == [key for key, _, _ in engine.order]
    assert set(keys) == set(sheet.pictures)
    defined = set(re.findall(r'<path id="([^"]+)"', "".join(sheet.glyphs)))
    used = {use for text in sheet.pictures.values() for use in re.findall(r'href=\\"#([^"\\]+)', text)}
    assert used <= defined
