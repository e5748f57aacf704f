"""`scribe import` and `scribe export` from end to end, as a user calls them."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest
import verovio
from music21 import converter

from scribe.exchange.out.midi import midi
from scribe.exchange.out.musicxml import musicxml, mxl
from tests.exchange_help import piece_of
from tests.test_commands import scribe

LINE = "title Lamp Post\nkey Bb\nfeel swing\ntempo 120\n[A]\n| @Bb6 bd fg | @F7 ^f a vc va | b . b - |\n"
PIECE = piece_of(LINE)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder of scores: two good ones, one in a folder of its own, one that is none."""
    (tmp_path / "in" / "old").mkdir(parents=True)
    (tmp_path / "in" / "one.musicxml").write_bytes(musicxml(PIECE))
    (tmp_path / "in" / "old" / "two.mxl").write_bytes(mxl(PIECE))
    (tmp_path / "in" / "three.mid").write_bytes(midi(PIECE))
    (tmp_path / "in" / "bad.xml").write_bytes(b"<score-partwise><par")
    (tmp_path / "in" / "notes.txt").write_text("not a score", encoding="utf-8")
    return tmp_path


def test_a_tree_comes_in_and_what_fails_is_said(folder: Path) -> None:
    """Folders are kept, one line a draft, one line a failure and their mend, the rest goes on; exit status 1."""
    done = scribe("import", "in", "-o", "out", cwd=folder)
    assert done.returncode == 1
    made = sorted(str(p.relative_to(folder)) for p in (folder / "out").rglob("*.scribe"))
    assert made == ["out/old/two.scribe", "out/one.scribe", "out/three.scribe"]
    assert done.stderr.startswith("in/bad.xml: damaged XML")
    assert done.stderr.splitlines()[1:] == [
        "hint: open these in the program that wrote them, and export them again as MusicXML"
    ]
    assert "out/one.scribe: part 1 (bass); 10 notes in 3 bars\n" in done.stdout
    assert done.stdout.splitlines()[-1] == (
        "3 drafts made, 30 notes, 0 remarks in comments, 1 failed, 1 other file left aside (.txt)"
    )
    text = (folder / "out" / "one.scribe").read_text(encoding="utf-8")
    assert "title    Lamp Post" in text
    assert "[A] |@Bb6 b d f g|@F7" in text
    assert scribe("check", "out", cwd=folder).returncode == 0


def test_blanks_beside_the_barlines_are_there_for_the_asking(folder: Path) -> None:
    """Short is the rule; `--blanks` spreads the bars, and both say the same."""
    short = scribe("import", "in/one.musicxml", "-o", "a.scribe", cwd=folder)
    spread = scribe("import", "in/one.musicxml", "-o", "b.scribe", "--blanks", cwd=folder)
    assert (short.returncode, spread.returncode) == (0, 0)
    a, b = ((folder / name).read_text(encoding="utf-8") for name in ("a.scribe", "b.scribe"))
    assert "[A] |@Bb6 b d f g|@F7" in a
    assert "[A] | @Bb6 b d f g | @F7" in b
    ends = [[line[-1] == "|" for line in text.splitlines() if "|" in line] for text in (a, b)]
    assert not any(ends[0][:-1])
    assert all(ends[1])
    listed = [scribe("notes", name, cwd=folder).stdout.splitlines()[1:] for name in ("a.scribe", "b.scribe")]
    assert [line.split()[:-1] for line in listed[0]] == [line.split()[:-1] for line in listed[1]]


def test_drafts_that_are_there_are_left_alone(folder: Path) -> None:
    """A second run makes only what is missing, unless told otherwise."""
    mine = folder / "out" / "one.scribe"
    mine.parent.mkdir()
    mine.write_text("| g |\n", encoding="utf-8")
    done = scribe("import", "in", "-o", "out", cwd=folder)
    assert mine.read_text(encoding="utf-8") == "| g |\n"
    assert "1 there already" in done.stdout
    alone = scribe("import", "in/one.musicxml", "-o", "out", cwd=folder)
    assert alone.returncode == 2
    assert "--force" in alone.stderr
    forced = scribe("import", "in/one.musicxml", "-o", "out/one.scribe", "--force", cwd=folder)
    assert forced.returncode == 0
    assert "Lamp Post" in mine.read_text(encoding="utf-8")


def test_a_failure_never_touches_a_draft(folder: Path) -> None:
    """Nothing is half written, nothing is lost, even with --force."""
    mine = folder / "bad.scribe"
    mine.write_text("| g |\n", encoding="utf-8")
    done = scribe("import", "in/bad.xml", "-o", "bad.scribe", "--force", cwd=folder)
    assert done.returncode == 1
    assert mine.read_text(encoding="utf-8") == "| g |\n"
    assert [p.name for p in folder.iterdir() if p.name.startswith(".")] == []


def test_misuse_is_told_in_one_line(folder: Path) -> None:
    """No such file, nothing to do, two scores for one draft: exit status 2."""
    for arguments, words in (
        (("import", "no-such.xml", "-o", "out"), "no such file"),
        (("import", "out", "-o", "out2"), "no such file"),
        (("import", "in/one.musicxml", "in/three.mid", "-o", "x.scribe"), "one draft can hold one score"),
        (("import", "in/one.musicxml", "-o", "x.txt"), "a draft's name ends in .scribe: x.scribe"),
        (("import", "in/three.mid", "-o", "o", "--time", "4:4"), "--time: expected a metre such as `6/8`"),
        (("import", "in/three.mid", "-o", "o", "--tempo", "fast"), "--tempo: expected a number such as `92`"),
        (("import", "in/three.mid", "-o", "o", "--feel", "loose"), "--feel: expected `straight`, `swing`"),
        (("import", "in", "-o", "o", "--time", "4/4"), "--time, --tempo and --feel are for MIDI files"),
        (("export", "in", "-o", "x.mid"), "--all"),
        (("export", "one.scribe", "-o", "x.doc"), "expected a name that ends in"),
    ):
        done = scribe(*arguments, cwd=folder)
        assert done.returncode == 2, arguments
        assert words in done.stderr
        assert "Traceback" not in done.stderr


def test_part_and_voice_can_be_asked_for(folder: Path) -> None:
    """A part that is not there is a failure that lists those that are."""
    good = scribe("import", "in/one.musicxml", "-o", "out", "--part", "Bass", cwd=folder)
    assert good.returncode == 0
    bad = scribe("import", "in/one.musicxml", "-o", "out2", "--part", "7", cwd=folder)
    assert bad.returncode == 1
    assert "no part `7`; there are part 1 (bass)" in bad.stderr
    midi_ = scribe("import", "in/three.mid", "-o", "out2", "--voice", "2", cwd=folder)
    assert midi_.returncode == 1
    assert "no voice 2 there; the channels of a MIDI file are its parts" in midi_.stderr


def test_what_is_known_of_a_midi_file(folder: Path) -> None:
    """Metre and tempo typed as in a draft stand in the draft; notation named like MIDI is told from it."""
    done = scribe("import", "in/three.mid", "-o", "out", "--time", "3/4", "--tempo", "88", cwd=folder)
    assert done.returncode == 0
    assert "time 3/4, tempo 88 as told" in done.stdout
    text = (folder / "out" / "three.scribe").read_text(encoding="utf-8")
    assert "time     3/4" in text
    assert "tempo    88" in text
    (folder / "in" / "fake.mid").write_bytes(musicxml(PIECE))
    fake = scribe("import", "in/fake.mid", "-o", "out", "--tempo", "88", cwd=folder)
    assert fake.returncode == 1
    assert "no MIDI file, but notation" in fake.stderr


def test_export_writes_every_format(tmp_path: Path) -> None:
    """MusicXML, its archive, MEI that Verovio takes without a word, MIDI that music21 reads."""
    (tmp_path / "lamp.scribe").write_text(LINE, encoding="utf-8")
    for kind in ("musicxml", "mxl", "mei", "mid"):
        done = scribe("export", "lamp.scribe", "-o", f"lamp.{kind}", cwd=tmp_path)
        told = ": MIDI has no names of notes" if kind == "mid" else ""
        assert (done.returncode, done.stdout, done.stderr) == (0, f"lamp.{kind}{told}\n", "")
    assert (tmp_path / "lamp.musicxml").read_bytes() == musicxml(PIECE, LINE)
    with zipfile.ZipFile(tmp_path / "lamp.mxl") as archive:
        assert archive.namelist() == ["META-INF/container.xml", "score.musicxml"]
        assert archive.read("score.musicxml") == musicxml(PIECE, LINE)
    toolkit = verovio.toolkit()
    assert toolkit.loadData((tmp_path / "lamp.mei").read_text(encoding="utf-8"))
    assert toolkit.getLog() == ""
    notes = converter.parse(tmp_path / "lamp.mid").flatten().notes
    assert [n.pitch.midi for n in notes][:5] == [34, 38, 41, 43, 41]


def test_export_of_a_folder(tmp_path: Path) -> None:
    """Every draft in the folder, folders kept; a draft with an error is given out and makes the status 1."""
    (tmp_path / "in" / "deep").mkdir(parents=True)
    (tmp_path / "in" / "a.scribe").write_text(LINE, encoding="utf-8")
    (tmp_path / "in" / "deep" / "b.scribe").write_text("| g b d |\n", encoding="utf-8")
    done = scribe("export", "--all", "in", "-o", "out", "--to", "mxl", cwd=tmp_path)
    assert done.returncode == 1
    assert "word-count" in done.stderr
    assert sorted(p.name for p in (tmp_path / "out").rglob("*.mxl")) == ["a.mxl", "b.mxl"]


def test_export_of_a_folder_goes_on(tmp_path: Path) -> None:
    """A draft without a bar and one that is no text are told in a line each; the rest is given out."""
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / "a.scribe").write_text("; to come\n", encoding="utf-8")
    (tmp_path / "in" / "b.scribe").write_bytes(b"| g |\xff")
    (tmp_path / "in" / "c.scribe").write_text(LINE, encoding="utf-8")
    done = scribe("export", "--all", "in", "-o", "out", cwd=tmp_path)
    assert done.returncode == 1
    assert "a.scribe: no bar to give out" in done.stderr
    assert "not-utf8" in done.stderr
    assert done.stdout.splitlines() == ["out/c.musicxml", "1 given out, 2 failed"]
    assert [p.name for p in (tmp_path / "out").iterdir()] == ["c.musicxml"]


def test_what_is_left_alone_is_named(folder: Path) -> None:
    """Two tunes of one name from two folders: the second is not passed over in silence."""
    (folder / "more").mkdir()
    (folder / "more" / "one.musicxml").write_bytes(musicxml(PIECE))
    (folder / "more" / "four.musicxml").write_bytes(musicxml(PIECE))
    assert scribe("import", "in/one.musicxml", "-o", "out", cwd=folder).returncode == 0
    done = scribe("import", "more", "-o", "out", cwd=folder)
    assert "out/one.scribe: there already, left as it is; not made of more/one.musicxml\n" in done.stdout
    assert "1 there already (--force writes over them)" in done.stdout.splitlines()[-1]


def test_hidden_files_are_no_scores_and_others_are_counted(folder: Path) -> None:
    """`._one.musicxml`, which some systems put beside a file, and what lies in hidden folders."""
    (folder / "in" / "._one.musicxml").write_bytes(b"\0\5\26\7")
    (folder / "in" / "__MACOSX").mkdir()
    (folder / "in" / "__MACOSX" / "one.musicxml").write_bytes(b"\0\5\26\7")
    (folder / "in" / ".trash").mkdir()
    (folder / "in" / ".trash" / "five.musicxml").write_bytes(musicxml(PIECE))
    done = scribe("import", "in", "-o", "out", cwd=folder)
    assert done.stderr.splitlines()[1:] == [
        "hint: open these in the program that wrote them, and export them again as MusicXML"
    ]
    assert done.stdout.splitlines()[-1].endswith("1 failed, 1 other file left aside (.txt)")
    assert len(list((folder / "out").rglob("*"))) == 4


def test_a_notated_score_goes_before_the_played_one(folder: Path) -> None:
    """Of `tune.mid` and `tune.musicxml` the one that says more becomes `tune.scribe`."""
    (folder / "in" / "one.mid").write_bytes(midi(PIECE))
    done = scribe("import", "in", "-o", "out", cwd=folder)
    assert "out/one.scribe: part 1 (bass); 10 notes in 3 bars\n" in done.stdout
    assert "out/one.mid.scribe: " in done.stdout


@pytest.mark.parametrize(
    "command", [("check",), ("notes",), ("export", "-o", "x.mid"), ("engrave", "-o", "x.svg")]
)
@pytest.mark.parametrize("name", ["one.musicxml", "old/two.mxl", "three.mid"])
def test_a_score_is_no_draft(folder: Path, command: tuple[str, ...], name: str) -> None:
    """One line, with the command that makes a draft of it; no complaint about its XML."""
    done = scribe(command[0], f"in/{name}", *command[1:], cwd=folder)
    assert done.returncode == 2
    stem = Path(name).stem
    assert done.stderr == (
        f"Error: in/{name} is a score, not a draft; `scribe import in/{name} -o {stem}.scribe` makes a draft of it\n"
    )


def test_export_says_errors_and_warnings_only(tmp_path: Path) -> None:
    """Hints about how a line is typed are for `check`; over a folder of drafts they would hide the rest."""
    (tmp_path / "a.scribe").write_text("| g b d f | g b d g |\n", encoding="utf-8")
    assert "hint" in scribe("check", "a.scribe", cwd=tmp_path).stdout
    assert scribe("export", "a.scribe", "-o", "a.mid", cwd=tmp_path).stderr == ""
    (tmp_path / "taken").write_text("", encoding="utf-8")
    done = scribe("export", "--all", ".", "-o", "taken", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (
        2,
        "Error: taken is a file; --all wants a folder to write into\n",
    )
