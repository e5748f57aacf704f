"""`scribe fingering` and `scribe arrange`, as a user calls them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from scribe import compile
from scribe.bass.warnings import CAUTION
from tests.test_commands import DEMO, scribe

LINE = "key F\ntempo 138\n| g b d f | ^e c b g | a c f e | d f b a | ; four bars\n"
ALTO = "instrument alto sax\nkey Eb\ntempo 160\n| @Fm7 .c eg b d | @Ebmaj7 g-b d ^g f |\n"


def test_fingering_shows_ways_with_their_costs(tmp_path: Path) -> None:
    """Three ways of three bars: each with shifts, cost by kind, hardest moment and its path."""
    done = scribe("fingering", "-", "--bars", "1-3", "--ways", "3", cwd=tmp_path, text=LINE)
    assert done.returncode == 0
    assert done.stderr == ""
    assert done.stdout.count("\n  hardest: bar ") == 3
    assert done.stdout.startswith("way 1: the least work")
    assert "E:3(" in done.stdout
    assert "bar 4 " not in done.stdout


def test_fingering_writes_the_chosen_way_as_pins(tmp_path: Path) -> None:
    """The strings are typed behind the notes; music and comments stay; the pinned draft is fingered the same way."""
    file = tmp_path / "line.scribe"
    file.write_text(LINE, encoding="utf-8")
    before = compile(LINE)
    shown = scribe("fingering", "line.scribe", "--ways", "2", "--json", cwd=tmp_path)
    second = json.loads(shown.stdout)["ways"][1]
    assert scribe("fingering", "line.scribe", "--write", "--way", "2", cwd=tmp_path).returncode == 0
    text = file.read_text(encoding="utf-8")
    assert "; four bars" in text
    after = compile(text)
    assert [n.midi for n in after.notes] == [n.midi for n in before.notes]
    assert not after.diagnostics
    wanted = [(n["string"], n["fret"]) for row in second["path"] for n in row["notes"]]
    assert [(n.string, n.fret) for n in after.notes] == wanted


@pytest.mark.parametrize("bar", ["gb gb ef bb", "5b3 5#4 b7b6 1", "(g)b (ab) ,gb x"])
@pytest.mark.parametrize("strings", ["E A D G", "D A D G", "Eb Ab Db Gb"])
def test_a_pin_is_never_read_as_part_of_the_next_note(bar: str, strings: str, tmp_path: Path) -> None:
    """`g` on the A string before `b` or `#4`: the next note stays what it is, in any tuning."""
    draft = f"strings {strings}\nkey G\nhome A2\n| {bar} |\n"
    assert not compile(draft).diagnostics
    done = scribe("fingering", "-", "--write", cwd=tmp_path, text=draft)
    assert done.returncode == 0, done.stderr
    assert [n.midi for n in compile(done.stdout).notes] == [n.midi for n in compile(draft).notes]
    assert all(n.string for n in compile(done.stdout).notes if n.midi)


def test_the_record_holds_every_note(tmp_path: Path) -> None:
    """String, fret and finger of every note, position, cost; sums by kind."""
    done = scribe("fingering", "-", "--ways", "1", "--json", cwd=tmp_path, text=LINE)
    (way,) = json.loads(done.stdout)["ways"]
    assert len(way["path"]) == 16
    assert way["path"][0]["notes"] == [{"string": 4, "fret": 3, "finger": 4}]
    assert way["total"] == pytest.approx(sum(way["cost"].values()), abs=0.01)


def test_wide_stretches_bring_one_line_of_caution(tmp_path: Path) -> None:
    """Where one is proposed, once; elsewhere not at all."""
    wide = "tempo 60\nposition 3\n| E:3 E:7 A:3 A:7 |\n"
    assert scribe("fingering", "-", cwd=tmp_path, text=wide).stdout.count(CAUTION) == 1
    assert CAUTION not in scribe("fingering", "-", "--ways", "1", cwd=tmp_path, text=LINE).stdout


def test_what_cannot_be_played_is_shown_with_its_place(tmp_path: Path) -> None:
    """Line and column of the draft, then the way out."""
    done = scribe("fingering", "-", "--ways", "1", cwd=tmp_path, text="tempo 200\n| E:1E:15 . . . |\n")
    assert "2:6: bar 1, beat 1 1/2: the hand has" in done.stdout
    assert "instead: playable up to" in done.stdout


def test_arrange_writes_a_bass_line_and_reports(tmp_path: Path) -> None:
    """The new draft checks clean; the source is untouched; the report names octaves and key."""
    (tmp_path / "alto.scribe").write_text(ALTO, encoding="utf-8")
    done = scribe(
        "arrange", "alto.scribe", "--for", "bass", "--ways", "2", "-o", "deep/bass.scribe", cwd=tmp_path
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.count("from the alto sax, which reads a M6 above its sound") == 2
    assert (tmp_path / "alto.scribe").read_text(encoding="utf-8") == ALTO
    written = (tmp_path / "deep" / "bass.scribe").read_text(encoding="utf-8")
    notes = compile(written).notes
    assert [n.onset for n in notes] == [n.onset for n in compile(ALTO).notes]
    assert all(28 <= (n.midi or 0) <= 67 for n in notes)
    assert scribe("check", "deep/bass.scribe", cwd=tmp_path).returncode == 0


def test_arrange_moves_the_key_and_writes_to_standard_output(tmp_path: Path) -> None:
    """The draft alone on standard output, the report on the other."""
    done = scribe("arrange", "-", "--key", "G", "-o", "-", cwd=tmp_path, text=ALTO)
    assert done.returncode == 0
    assert "key G major" in done.stdout
    assert "key moved up M3: Eb major to G major" in done.stderr
    assert not [d for d in compile(done.stdout).diagnostics if d.severity == "error"]


@pytest.mark.parametrize(
    ("arguments", "text", "word"),
    [
        (("fingering", "-"), ALTO, "`scribe arrange` makes a bass line of it"),
        (("fingering", "-"), "| . |\n", "no note to finger"),
        (("fingering", "-", "--bars", "9"), LINE, "there are no such bars"),
        (("fingering", "-", "--bars", "x"), LINE, "expected a bar such as 5"),
        (("fingering", "-", "--frets", "30"), LINE, "frets"),
        (("fingering", "-", "--write", "--way", "7"), "| E:3 A:1 D:0 D:3 |\n", "there are only 1"),
        (("arrange", "-", "-o", "a.txt"), ALTO, "expected a name that ends in .scribe"),
        (("arrange", "-", "--key", "H"), ALTO, "expected a tonic"),
        (("arrange", "-", "--key", "G minor"), ALTO, "keeps the mode"),
        (("arrange", "-", "--strings", "E A"), ALTO, "four to six open strings"),
        (("arrange", "-"), "| . |\n", "no note to arrange"),
    ],
)
def test_misuse_ends_with_status_two_and_a_clear_word(
    arguments: tuple[str, ...], text: str, word: str, tmp_path: Path
) -> None:
    """One line, no traceback."""
    done = scribe(*arguments, cwd=tmp_path, text=text)
    assert done.returncode == 2
    assert word in done.stderr
    assert "Traceback" not in done.stderr


def test_a_faulty_draft_is_fingered_as_far_as_it_goes(tmp_path: Path) -> None:
    """Status 1, the fault named, the other bars fingered."""
    done = scribe("fingering", "-", cwd=tmp_path, text="| g b d | g b d g |\n")
    assert done.returncode == 1
    assert "word-count" in done.stderr
    assert "bar 2" in done.stdout


@pytest.mark.parametrize("demo", sorted(DEMO.glob("*.scribe")), ids=lambda p: p.stem)
def test_every_demo_can_be_fingered(demo: Path, tmp_path: Path) -> None:
    """Each demo has a way; nothing in it is out of the hand's reach."""
    done = scribe("fingering", str(demo), "--ways", "1", "--json", cwd=tmp_path)
    assert done.returncode == 0
    (way,) = json.loads(done.stdout)["ways"]
    assert way["path"]
    assert way["cost"]["impossible"] == 0
