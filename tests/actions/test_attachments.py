"""Photos and files attached, described, taken off, tidied: rows and files go together, and an undo finds both."""

from __future__ import annotations

import hashlib
import os
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, precondition, rule

from buildbook.actions import boards, log, measuring, merging, snags, stores, tree
from buildbook.actions.attachments import Of, attach, caption, detach, name_of, tidy
from buildbook.actions.workshop import Workshop, back_up, redo, restore, undo
from buildbook.answers.attachments import attachments as attached
from buildbook.answers.attachments import content_of, take_out
from buildbook.errors import BadInput, Forbidden, StoreFault
from buildbook.store import files
from buildbook.store.checkup import check
from buildbook.store.files import folder_of, lying, place_of

Dump = Callable[[Workshop], dict[str, list[tuple[Any, ...]]]]


@pytest.fixture
def photo(tmp_path: Path) -> Path:
    path = tmp_path / "stud.png"
    path.write_bytes(b"\x89PNG\r\n\x1a\nsome rows of pixels")
    return path


def names(shop: Workshop) -> list[str]:
    return [path.name for path in lying(shop.path)]


def proof_of_files(shop: Workshop) -> tuple[bool, str, tuple[str, ...]]:
    proof = next(one for one in check(shop) if one.name == "files")
    return proof.holds, proof.sentence, proof.faults


# --- what it may be about --------------------------------------------------------------------------------------------


def prepare(shop: Workshop) -> None:
    """An episode, a snag, a reading and a note, each number 1."""
    log.open_episode(shop, "CURLEW", "Metalwork")
    snags.open_snag(shop, "CURLEW", "It hums")
    measuring.add_points(shop, "IF", [measuring.NewPoint("A", "Anode current", "2 mA +- 20 %", "A")])
    measuring.read(shop, "CURLEW", "IF/A", "2.1 mA")
    log.note(shop, "The coil sings.", build="CURLEW")


@pytest.mark.parametrize(
    ("of", "kind", "about", "build"),
    [
        (Of(build="curlew"), "build", "CURLEW", "CURLEW"),
        (Of(assembly="if"), "assembly", "CURLEW/IF", ""),
        (Of(build="CURLEW", assembly="IF"), "assembly", "CURLEW/IF", "CURLEW"),
        (Of(build="CURLEW", step="IF/2"), "step", "CURLEW/IF, Fit the coils", "CURLEW"),
        (Of(part="r-4k7"), "part", "R-4K7", ""),
        (Of(episode=1), "episode", "episode 1: Metalwork", "CURLEW"),
        (Of(snag="1"), "snag", "snag 1: It hums", "CURLEW"),
        (Of(reading=1), "reading", "CURLEW/IF/A: 2.1 mA", "CURLEW"),
        (Of(note=1), "note", "note: The coil sings.", "CURLEW"),
    ],
)
def test_it_is_about_one_thing_and_says_so(
    curlew: Workshop, photo: Path, of: Of, kind: str, about: str, build: str
) -> None:
    prepare(curlew)
    assert attach(curlew, photo, of, caption=" Bare \n metal ") == 1
    row = attached(curlew).rows[0]
    assert (row.number, row.name, row.media, row.size) == (1, "stud.png", "image/png", photo.stat().st_size)
    assert (row.kind, row.about, row.build, row.fault) == (kind, about, build, "")
    assert row.caption == "Bare\nmetal"
    assert content_of(curlew, 1).content == photo.read_bytes()


@pytest.mark.parametrize(
    ("of", "said"),
    [
        (Of(), "It is not said what it is about."),
        (Of(assembly="IF", part="R-4K7"), "It is about several things."),
        (Of(build="NONE"), "There is no build NONE."),
        (Of(assembly="NONE"), "There is no assembly NONE."),
        (Of(step="NONE"), "There is no step NONE."),
        (Of(part="NONE"), "There is no part NONE."),
        (Of(episode=7), "There is no episode 7."),
        (Of(snag="7"), "There is no snag 7."),
        (Of(reading=7), "There is no reading 7."),
        (Of(note=7), "There is no note 7."),
    ],
)
def test_what_is_not_there_is_told_and_no_row_is_written(curlew: Workshop, photo: Path, of: Of, said: str) -> None:
    before = entries(curlew)
    with pytest.raises(BadInput, match=said):
        attach(curlew, photo, of)
    assert entries(curlew) == before
    assert attached(curlew).sentence == "Nothing is attached."


def entries(shop: Workshop) -> int:
    return int(shop.reads.execute("SELECT count(*) FROM journal_entry").fetchone()[0])


def test_an_episode_of_two_builds_has_to_be_named_with_its_build(curlew: Workshop, photo: Path) -> None:
    boards.new_project(curlew, "LINNET")
    for build in ("CURLEW", "LINNET"):
        log.open_episode(curlew, build, "First")
    with pytest.raises(BadInput, match=r"Episode 1 is not clear. CURLEW and LINNET have one each."):
        attach(curlew, photo, Of(episode=1))
    attach(curlew, photo, Of(build="LINNET", episode=1))
    assert attached(curlew).rows[0].build == "LINNET"


@pytest.mark.parametrize(
    ("given_name", "kept"),
    [
        ("IMG_0042.JPG", "IMG_0042.JPG"),
        ("earth\x1b[31m \x07 stud\u202egvs.svg", "earth studgvs.svg"),
        ("...", "file"),
        (".hidden", "hidden"),
        ("..\\..\\windows\\a.txt", "a.txt"),
        ("a\nb.txt", "a b.txt"),
        ("-rf", "-rf"),
        ('what? "now" <1>.png', "what_ _now_ _1_.png"),
        ("\udcff\udcfe.png", "png"),
        ("x" * 200 + ".jpeg", "x" * 115 + ".jpeg"),
        ("x" * 200, "x" * 120),
    ],
)
def test_a_hostile_name_is_made_plain(given_name: str, kept: str) -> None:
    assert name_of(Path("folder") / given_name) == kept


def test_a_file_of_any_name_is_attached_and_taken_out(curlew: Workshop, tmp_path: Path) -> None:
    source = Path(os.fsdecode(bytes(tmp_path) + b"/\xff\x1b[2J.png"))
    source.write_bytes(b"abc")
    attach(curlew, source, Of(build="CURLEW"))
    out = tmp_path / "out"
    out.mkdir()
    assert take_out(curlew, 1, out) == out / "png"
    assert (out / "png").read_bytes() == b"abc"


# --- taken off, described, undone ------------------------------------------------------------------------------------


def test_attaching_is_one_entry_and_undo_and_redo_keep_the_file(curlew: Workshop, dump: Dump, photo: Path) -> None:
    before = dump(curlew)
    attach(curlew, photo, Of(build="CURLEW"))
    after, lie = dump(curlew), names(curlew)
    assert undo(curlew) == "Attach stud.png"
    assert dump(curlew) == before
    assert names(curlew) == lie
    redo(curlew)
    assert dump(curlew) == after
    assert content_of(curlew, 1).content == photo.read_bytes()


def test_a_detached_file_stays_until_the_folder_is_tidied(curlew: Workshop, dump: Dump, photo: Path) -> None:
    attach(curlew, photo, Of(build="CURLEW"))
    before = dump(curlew)
    assert detach(curlew, 1) == "stud.png"
    assert len(names(curlew)) == 1
    holds, sentence, _ = proof_of_files(curlew)
    assert holds
    assert names(curlew)[0] in sentence
    assert "workshop check --tidy" in sentence
    undo(curlew)
    assert dump(curlew) == before
    assert tidy(curlew) == (0, 0)
    detach(curlew, 1)
    count = entries(curlew)
    assert tidy(curlew) == (1, photo.stat().st_size)
    assert entries(curlew) == count  # nothing of the workshop itself has changed
    assert not folder_of(curlew.path).exists()
    # An undo brings back the row, and the row says what is lost.
    undo(curlew)
    assert attached(curlew).rows[0].fault == "The file is missing."


def test_a_caption_is_changed_and_that_is_undone(curlew: Workshop, photo: Path) -> None:
    attach(curlew, photo, Of(build="CURLEW"), caption="Stud")
    caption(curlew, 1, "Earth stud")
    assert attached(curlew).rows[0].caption == "Earth stud"
    undo(curlew)
    assert attached(curlew).rows[0].caption == "Stud"
    with pytest.raises(BadInput, match=r"There is no attachment 9. See `buildbook log attached`."):
        caption(curlew, 9, "x")
    with pytest.raises(BadInput, match=r"There is no attachment 9."):
        detach(curlew, 9)


def test_a_file_that_is_tidied_away_while_it_is_attached_is_told(
    curlew: Workshop, photo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = files.take_in

    def then_tidied(*given: Any) -> Any:
        kept = real(*given)
        tidy(curlew)
        return kept

    monkeypatch.setattr(files, "take_in", then_tidied)
    with pytest.raises(StoreFault, match=r"stud.png was not attached. It is missing in the folder. Attach it again."):
        attach(curlew, photo, Of(build="CURLEW"))
    assert not attached(curlew).rows


def test_parts_that_are_merged_bring_their_photos_along(curlew: Workshop, photo: Path) -> None:
    attach(curlew, photo, Of(part="R-4K7-CF"))
    merging.merge(curlew, "R-4K7-CF", "R-4K7")
    assert attached(curlew, part="R-4K7").rows[0].about == "R-4K7"


def test_an_assembly_with_a_photo_is_not_taken_away(curlew: Workshop, photo: Path) -> None:
    attach(curlew, photo, Of(assembly="AUDIO"))
    with pytest.raises(Forbidden, match=r"CURLEW/AUDIO was not taken away"):
        tree.drop_assembly(curlew, "AUDIO")


def test_the_answer_is_narrowed_to_a_build_an_assembly_or_a_part(curlew: Workshop, photo: Path) -> None:
    boards.new_project(curlew, "LINNET")
    for of in (
        Of(build="CURLEW"),
        Of(build="CURLEW", assembly="IF"),
        Of(build="CURLEW", step="IF/1"),
        Of(assembly="IF"),
        Of(part="R-4K7"),
        Of(build="LINNET"),
    ):
        attach(curlew, photo, of)

    def numbers(**narrow: str) -> list[int]:
        return [row.number for row in attached(curlew, **narrow).rows]

    assert numbers() == [6, 5, 4, 3, 2, 1]
    assert numbers(build="CURLEW") == [3, 2, 1]
    assert numbers(assembly="IF") == [4, 3, 2]
    assert numbers(assembly="IF", build="CURLEW") == [4, 3, 2]
    assert numbers(assembly="IF", build="LINNET") == [4]
    assert numbers(part="R-4K7") == [5]
    assert len(names(curlew)) == 1


# --- the content -----------------------------------------------------------------------------------------------------


def test_a_missing_or_damaged_photo_is_one_sentence_and_breaks_nothing(curlew: Workshop, photo: Path) -> None:
    attach(curlew, photo, Of(build="CURLEW"))
    place = place_of(curlew.path, attached(curlew).rows[0].sha256)
    place.chmod(0o600)
    content = place.read_bytes()
    place.write_bytes(content[::-1])
    told = content_of(curlew, 1)
    assert (told.content, told.fault) == (None, "The file stud.png does not have the content that was attached.")
    assert attached(curlew).rows[0].fault == ""  # of the right size; only a check reads it all
    assert proof_of_files(curlew)[2] == ("attachment 1 (stud.png) does not have the content that was attached",)
    place.unlink()
    assert content_of(curlew, 1).fault == "The file stud.png is missing."
    assert proof_of_files(curlew)[2] == ("attachment 1 (stud.png) is missing",)
    assert attached(curlew).sentence == "1 picture attached, 27 bytes; 1 not as attached."
    with pytest.raises(StoreFault, match=r"stud.png was not taken out. The file is missing."):
        take_out(curlew, 1, photo.with_name("out.png"))
    assert not photo.with_name("out.png").exists()


def test_taking_out_replaces_nothing(curlew: Workshop, photo: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    attach(curlew, photo, Of(build="CURLEW"))
    out = photo.with_name("out.png")
    out.symlink_to(photo.with_name("nowhere"))
    with pytest.raises(BadInput, match=r"out.png exists. Choose another name."):
        take_out(curlew, 1, out)
    out.unlink()
    with pytest.raises(StoreFault, match=r"cannot be written: No such file"):
        take_out(curlew, 1, photo.parent / "no" / "out.png")
    assert take_out(curlew, 1, out).read_bytes() == photo.read_bytes()
    assert sorted(path.name for path in photo.parent.iterdir() if "unfinished" in path.name) == []

    def refused(*_: object, **__: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", refused)  # a stick that knows no second names
    assert take_out(curlew, 1, photo.with_name("second.png")).read_bytes() == photo.read_bytes()


# --- backups ---------------------------------------------------------------------------------------------------------


def test_a_backup_takes_the_files_along_and_restoring_brings_them_back(
    curlew: Workshop, photo: Path, tmp_path: Path
) -> None:
    attach(curlew, photo, Of(build="CURLEW"))
    backup = tmp_path / "kept" / "monday.db"
    backup.parent.mkdir()
    back_up(curlew, backup)
    assert sorted(path.name for path in backup.parent.iterdir()) == ["monday.db", "monday.db.files"]
    there = Workshop(backup)
    assert content_of(there, 1).content == photo.read_bytes()
    assert proof_of_files(there)[0]
    there.close()
    # All is lost but the backup, and something else has been attached meanwhile.
    shutil.rmtree(folder_of(curlew.path))
    second = photo.with_name("second.txt")
    second.write_text("measured")
    attach(curlew, second, Of(build="CURLEW"))
    kept = restore(curlew, backup)
    assert kept is not None
    assert content_of(curlew, 1).content == photo.read_bytes()
    assert proof_of_files(curlew)[0]
    replaced = Workshop(kept)
    assert content_of(replaced, 2).content == b"measured"
    assert content_of(replaced, 1).fault == "The file stud.png is missing."
    replaced.close()


def test_a_backup_that_cannot_take_the_files_along_is_not_written(
    curlew: Workshop, photo: Path, tmp_path: Path
) -> None:
    attach(curlew, photo, Of(build="CURLEW"))
    (tmp_path / "monday.db.files").write_text("in the way")
    with pytest.raises(StoreFault, match=r"The attached files were not brought along. The folder .*monday.db.files"):
        back_up(curlew, tmp_path / "monday.db")
    assert not (tmp_path / "monday.db").exists()
    assert not (tmp_path / "monday.db.unfinished").exists()


def test_a_missing_photo_keeps_no_backup_from_being_made(curlew: Workshop, photo: Path, tmp_path: Path) -> None:
    attach(curlew, photo, Of(build="CURLEW"))
    shutil.rmtree(folder_of(curlew.path))
    assert back_up(curlew, tmp_path / "monday.db") > 0


# --- any history -----------------------------------------------------------------------------------------------------

CONTENTS = st.sampled_from([b"", b"one", b"two", b"three " * 1000])


class AnyHistory(RuleBasedStateMachine):
    """Whatever is attached, taken off, captioned, undone, redone and tidied: rows are as a list would have them."""

    start: Path  # an empty Curlew, set by the test
    folder: Path
    count = 0

    @initialize()
    def begin(self) -> None:
        type(self).count += 1
        home = self.folder / str(self.count)
        home.mkdir()
        shutil.copyfile(self.start, home / "curlew.db")
        self.shop = Workshop(home / "curlew.db", durable=False)
        self.source = home / "file"
        self.rows: dict[int, bytes] = {}
        self.undone: list[dict[int, bytes]] = []
        self.done: list[dict[int, bytes]] = []
        self.whole: set[bytes] = set()
        self.next = 1

    def teardown(self) -> None:
        if hasattr(self, "shop"):
            self.look()
            self.shop.close()

    def remember(self) -> None:
        self.done.append(dict(self.rows))
        self.undone.clear()

    @rule(content=CONTENTS)
    def attach(self, content: bytes) -> None:
        self.source.write_bytes(content)
        self.remember()
        number = attach(self.shop, self.source, Of(build="CURLEW"))
        assert number not in self.rows
        self.rows[number] = content
        self.whole.add(content)

    @precondition(lambda self: self.rows)
    @rule(which=st.integers(0, 100))
    def detach(self, which: int) -> None:
        number = sorted(self.rows)[which % len(self.rows)]
        self.remember()
        detach(self.shop, number)
        del self.rows[number]

    @precondition(lambda self: self.done)
    @rule()
    def undo(self) -> None:
        undo(self.shop)
        self.undone.append(dict(self.rows))
        self.rows = self.done.pop()

    @precondition(lambda self: self.undone)
    @rule()
    def redo(self) -> None:
        redo(self.shop)
        self.done.append(dict(self.rows))
        self.rows = self.undone.pop()

    @rule()
    def tidy(self) -> None:
        tidy(self.shop)
        self.whole &= set(self.rows.values())

    @rule()
    def look(self) -> None:
        """Rows are right, each content that should be there is there once, and the rest is told as missing."""
        told = {row.number: row for row in attached(self.shop).rows}
        assert set(told) == set(self.rows)
        for number, content in self.rows.items():
            assert told[number].sha256 == hashlib.sha256(content).hexdigest()
            found = content_of(self.shop, number)
            assert found.content == (content if content in self.whole else None)
            assert bool(found.fault) is (content not in self.whole)
        assert sorted(names(self.shop)) == sorted(hashlib.sha256(content).hexdigest() for content in self.whole)
        assert proof_of_files(self.shop)[0] is (set(self.rows.values()) <= self.whole)


def test_any_history_keeps_rows_and_files_right(curlew_file: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    from hypothesis.stateful import run_state_machine_as_test

    AnyHistory.start, AnyHistory.folder = curlew_file, tmp_path_factory.mktemp("histories")
    run_state_machine_as_test(
        AnyHistory,
        settings=settings(max_examples=15, stateful_step_count=20, deadline=None),
    )


def test_a_part_that_has_nothing_attached_has_nothing_listed(curlew: Workshop) -> None:
    stores.new_part(curlew, "V-1")
    assert attached(curlew, part="V-1").rows == ()
