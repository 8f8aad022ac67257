"""The folder of attached files: whole or not at all, once, never changed, and no faults of the disk that hurt."""

from __future__ import annotations

import errno
import hashlib
import os
import socket
import stat
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput, StoreFault
from buildbook.store import files
from buildbook.store.files import bring_along, content_of, folder_of, lying, place_of, strays, take_in, tidy

PICTURE = b"<svg xmlns='http://www.w3.org/2000/svg'/>"


@pytest.fixture
def workshop(tmp_path: Path) -> Path:
    """A file that stands for a workshop; the folder does not look into it."""
    path = tmp_path / "shop" / "workshop.db"
    path.parent.mkdir()
    path.write_bytes(b"a workshop")
    path.chmod(0o640)
    return path


@pytest.fixture
def photo(tmp_path: Path) -> Path:
    path = tmp_path / "patch.svg"
    path.write_bytes(PICTURE)
    return path


def names(workshop: Path) -> list[str]:
    return [path.name for path in lying(workshop)]


# --- in and out ------------------------------------------------------------------------------------------------------


def test_a_file_lies_under_the_hash_of_its_content(workshop: Path, photo: Path) -> None:
    kept = take_in(workshop, photo)
    assert kept == (hashlib.sha256(PICTURE).hexdigest(), len(PICTURE), "image/svg+xml")
    place = workshop.parent / "workshop.db.files" / kept.sha256[:2] / kept.sha256
    assert [*lying(workshop)] == [place] == [place_of(workshop, kept.sha256)]
    assert place.read_bytes() == PICTURE == content_of(workshop, kept.sha256)
    # Whoever may read the workshop may read it; nobody writes it.
    assert stat.S_IMODE(place.stat().st_mode) == 0o440
    photo.unlink()
    assert files.amiss(workshop, kept.sha256, kept.size, read=True) == ""


def test_the_same_content_is_kept_once_and_not_written_again(workshop: Path, photo: Path) -> None:
    kept = take_in(workshop, photo)
    before = place_of(workshop, kept.sha256).stat()
    other = photo.with_name("other.txt")
    other.write_bytes(PICTURE)
    assert take_in(workshop, other) == kept
    after = place_of(workshop, kept.sha256).stat()
    assert (before.st_ino, before.st_mtime_ns) == (after.st_ino, after.st_mtime_ns)
    assert names(workshop) == [kept.sha256]


def test_what_was_damaged_is_mended_when_it_is_attached_again(workshop: Path, photo: Path) -> None:
    kept = take_in(workshop, photo)
    hurt(place_of(workshop, kept.sha256), b"X" * kept.size)
    assert content_of(workshop, kept.sha256) is None
    take_in(workshop, photo)
    assert content_of(workshop, kept.sha256) == PICTURE


def hurt(path: Path, content: bytes) -> None:
    path.chmod(0o600)
    path.write_bytes(content)


def test_a_workshop_opened_through_a_link_has_its_files_beside_the_file_itself(workshop: Path, photo: Path) -> None:
    link = photo.with_name("link.db")
    link.symlink_to(workshop)
    kept = take_in(link, photo)
    assert content_of(workshop, kept.sha256) == PICTURE
    assert folder_of(link) == folder_of(workshop)


def test_a_large_file_is_copied_in_pieces(workshop: Path, photo: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[int] = []
    real = os.read

    def counted(file: int, many: int) -> bytes:
        asked.append(many)
        return real(file, many)

    content = os.urandom(3 * files.CHUNK + 5)
    photo.write_bytes(content)
    monkeypatch.setattr(os, "read", counted)
    kept = take_in(workshop, photo)
    assert kept.size == len(content)
    assert kept.sha256 == hashlib.sha256(content).hexdigest()
    assert max(asked) <= files.CHUNK
    assert len(asked) >= 4


@pytest.mark.parametrize(
    ("fault", "make"),
    [
        ("is missing", lambda place: place.unlink()),
        ("has 3 bytes instead of 41", lambda place: hurt(place, b"abc")),
        ("does not have the content that was attached", lambda place: hurt(place, b"X" * 41)),
        ("is no plain file", lambda place: (place.unlink(), place.symlink_to("/etc/hostname"))),
        ("is no plain file", lambda place: (place.unlink(), place.mkdir())),
    ],
)
def test_what_is_wrong_is_said(workshop: Path, photo: Path, fault: str, make: Callable[[Path], object]) -> None:
    kept = take_in(workshop, photo)
    make(place_of(workshop, kept.sha256))
    assert files.amiss(workshop, kept.sha256, kept.size, read=True) == fault
    assert content_of(workshop, kept.sha256) is None


@pytest.mark.parametrize("sha256", ["", "../../workshop.db", "AB" * 32, "ab" * 31])
def test_a_row_that_names_no_hash_leads_nowhere(workshop: Path, sha256: str) -> None:
    assert content_of(workshop, sha256) is None
    assert files.amiss(workshop, sha256, 10, read=True) == "is missing"


# --- what is refused -------------------------------------------------------------------------------------------------


def a_link(path: Path) -> None:
    path.symlink_to("/etc/hostname")


def a_socket(path: Path) -> None:
    with socket.socket(socket.AF_UNIX) as one:
        one.bind(str(path))


@pytest.mark.skipif(sys.platform == "win32", reason="no pipes and sockets in folders there")
@pytest.mark.parametrize(
    ("why", "make"),
    [
        ("It is a link.", a_link),
        ("It is a folder.", lambda path: path.mkdir()),
        ("It is a pipe.", lambda path: os.mkfifo(path)),
        ("It is a socket.", a_socket),
        ("There is no such file.", lambda path: None),
    ],
)
def test_only_a_plain_file_is_attached(
    workshop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, why: str, make: Callable[[Path], object]
) -> None:
    monkeypatch.chdir(tmp_path)
    make(Path("thing"))
    with pytest.raises(BadInput, match=f"thing was not attached. {why}"):
        take_in(workshop, tmp_path / "thing")
    assert not folder_of(workshop).exists()


def test_a_device_is_not_opened(workshop: Path) -> None:
    with pytest.raises(BadInput, match=r"It is a device."):
        take_in(workshop, Path("/dev/zero"))


@pytest.mark.parametrize("end", ["", "-wal", "-shm"])
def test_the_workshop_itself_is_not_attached(workshop: Path, end: str) -> None:
    beside = workshop.with_name(workshop.name + end)
    beside.touch()
    second = workshop.with_name("second.db")
    os.link(beside, second)
    for one in (beside, second):
        with pytest.raises(BadInput, match=r"It is the workshop itself."):
            take_in(workshop, one)


def test_a_name_that_no_file_can_have_is_told(workshop: Path) -> None:
    for name in ("a" * 5000, "a\0b"):
        with pytest.raises(BadInput, match=r"was not attached"):
            take_in(workshop, Path(name))


def test_too_much_is_refused_before_it_is_copied(workshop: Path, photo: Path) -> None:
    with pytest.raises(BadInput, match=r"It has 41 bytes, and 40 bytes is the most. Make it smaller."):
        take_in(workshop, photo, largest=40)
    assert not folder_of(workshop).exists()
    assert take_in(workshop, photo, largest=41).size == 41


def test_a_sparse_file_of_a_terabyte_is_refused_at_once(workshop: Path, photo: Path) -> None:
    with photo.open("r+b") as file:
        file.truncate(10**12)
    with pytest.raises(BadInput, match=r"It has 1,000,000.0 MB, and 500.0 MB is the most."):
        take_in(workshop, photo)


# --- faults ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("how", ["grows", "shrinks", "is written over", "grows for ever"])
def test_a_file_that_changes_while_it_is_copied_is_not_taken(
    workshop: Path, photo: Path, monkeypatch: pytest.MonkeyPatch, how: str
) -> None:
    photo.write_bytes(b"x" * 10)
    real = os.read
    often = 0

    def meddling(file: int, many: int) -> bytes:
        nonlocal often
        piece = real(file, many)
        often += 1
        if how == "grows for ever" or often == 1:
            with photo.open("r+b") as other:
                if how == "shrinks":
                    other.truncate(3)
                elif how == "is written over":
                    other.write(b"yy")
                    os.utime(photo, ns=(1, 1))
                else:
                    other.seek(0, 2)
                    other.write(b"more")
        return piece

    monkeypatch.setattr(os, "read", meddling)
    why = "It grows beyond 100 bytes" if how == "grows for ever" else "It changed while it was copied."
    with pytest.raises(BadInput, match=why):
        take_in(workshop, photo, largest=100)
    assert not folder_of(workshop).exists()


def test_a_file_of_which_only_a_piece_can_be_read_is_not_taken(
    workshop: Path, photo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = os.read
    pieces = iter((real, lambda *_: b""))
    monkeypatch.setattr(os, "read", lambda file, _: next(pieces)(file, 7))
    with pytest.raises(BadInput, match=r"It changed while it was copied."):
        take_in(workshop, photo)


def test_a_file_that_vanishes_while_it_is_copied_was_read_whole_or_is_told(
    workshop: Path, photo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = os.read

    def vanishing(file: int, many: int) -> bytes:
        photo.unlink(missing_ok=True)
        return real(file, many)

    monkeypatch.setattr(os, "read", vanishing)
    # What is open stays readable to its end, though it has no name any more.
    assert content_of(workshop, take_in(workshop, photo).sha256) == PICTURE


def test_a_file_that_vanishes_before_it_is_opened_is_told(
    workshop: Path, photo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = os.open

    def late(path: object, *rest: int, **more: int) -> int:
        photo.unlink(missing_ok=True)
        return real(path, *rest, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(os, "open", late)
    with pytest.raises(BadInput, match=r"patch.svg was not attached. There is no such file."):
        take_in(workshop, photo)


def test_a_card_that_cannot_be_read_is_told(workshop: Path, photo: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(_file: int, _many: int) -> bytes:
        raise OSError(errno.EIO, "Input/output error")

    monkeypatch.setattr(os, "read", broken)
    with pytest.raises(BadInput, match=r"patch.svg was not attached. Input/output error. Check the disk or the card"):
        take_in(workshop, photo)
    assert not folder_of(workshop).exists()


@pytest.mark.parametrize("where", ["write", "fsync", "replace"])
def test_a_full_disk_leaves_nothing_behind(
    workshop: Path, photo: Path, monkeypatch: pytest.MonkeyPatch, where: str
) -> None:
    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(os, where, full)
        with pytest.raises(StoreFault, match=r"patch.svg was not attached. The folder .* No space left on device."):
            take_in(workshop, photo)
    assert names(workshop) == []
    assert take_in(workshop, photo).size == 41


def test_a_disk_that_writes_little_at_a_time_is_written_to_the_end(
    workshop: Path, photo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = os.write
    monkeypatch.setattr(os, "write", lambda file, piece: real(file, bytes(piece[:7])))
    assert content_of(workshop, take_in(workshop, photo).sha256) == PICTURE


def test_a_folder_that_cannot_be_made_is_told(workshop: Path, photo: Path) -> None:
    folder_of(workshop).write_text("in the way")
    with pytest.raises(StoreFault, match=r"The folder .*workshop.db.files cannot be written: File exists."):
        take_in(workshop, photo)


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="who may do anything is refused nothing")
def test_a_folder_that_may_only_be_read_is_told(workshop: Path, photo: Path) -> None:
    folder_of(workshop).mkdir(0o500)
    with pytest.raises(StoreFault, match=r"cannot be written: Permission denied."):
        take_in(workshop, photo)


def test_a_read_only_disk_is_told(workshop: Path, photo: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(*_: object, **__: object) -> None:
        raise OSError(errno.EROFS, "Read-only file system")

    monkeypatch.setattr(Path, "mkdir", refused)
    with pytest.raises(StoreFault, match=r"cannot be written: Read-only file system. Check who may write there"):
        take_in(workshop, photo)


# --- all of them -----------------------------------------------------------------------------------------------------


def test_strays_are_named_and_tidied_and_nothing_else(workshop: Path, photo: Path) -> None:
    kept = take_in(workshop, photo)
    photo.write_bytes(b"another")
    other = take_in(workshop, photo)
    folder = folder_of(workshop)
    (folder / "unfinished-x").write_bytes(b"half")
    (folder / kept.sha256).write_bytes(b"in the wrong place")
    known = {kept.sha256}.__contains__
    found = {path.relative_to(folder).as_posix() for path in strays(workshop, known)}
    assert found == {"unfinished-x", kept.sha256, f"{other.sha256[:2]}/{other.sha256}"}
    assert tidy(workshop, known) == (3, 4 + 18 + 7)
    assert [*lying(workshop)] == [place_of(workshop, kept.sha256)]
    assert tidy(workshop, lambda _: False) == (1, 41)
    assert not folder.exists()


def test_a_link_among_the_files_is_removed_and_not_followed(workshop: Path, photo: Path, tmp_path: Path) -> None:
    take_in(workshop, photo)
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "precious").write_text("mine")
    (folder_of(workshop) / "zz").symlink_to(elsewhere)
    tidy(workshop, lambda _: False)
    assert (elsewhere / "precious").read_text() == "mine"


@pytest.mark.parametrize("links", [True, False])
def test_files_are_brought_along_whole_ones_only(
    workshop: Path, photo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, links: bool
) -> None:
    if not links:

        def refused(*_: object, **__: object) -> None:
            raise OSError(errno.EXDEV, "Invalid cross-device link")

        monkeypatch.setattr(os, "link", refused)
    whole = take_in(workshop, photo)
    photo.write_bytes(b"soon damaged")
    damaged = take_in(workshop, photo)
    hurt(place_of(workshop, damaged.sha256), b"was damaged!")
    target = tmp_path / "backup.db"
    assert bring_along(workshop, target) == 1
    assert names(target) == [whole.sha256]
    assert content_of(target, whole.sha256) == PICTURE
    same = os.path.samefile(place_of(target, whole.sha256), place_of(workshop, whole.sha256))
    assert same is links
    assert bring_along(workshop, target) == 0
    # What is damaged at the target is mended from the source.
    place_of(target, whole.sha256).unlink()
    place_of(target, whole.sha256).write_bytes(b"-")
    assert bring_along(workshop, target) == 1
    assert content_of(target, whole.sha256) == PICTURE


def test_where_nothing_is_attached_no_folder_is_made(workshop: Path, tmp_path: Path) -> None:
    assert bring_along(workshop, tmp_path / "backup.db") == 0
    assert tidy(workshop, lambda _: False) == (0, 0)
    assert not folder_of(workshop).exists()
    assert not folder_of(tmp_path / "backup.db").exists()


@given(contents=st.lists(st.binary(max_size=40), max_size=8))
@settings(max_examples=25, deadline=None)
def test_there_are_as_many_files_as_contents(tmp_path_factory: pytest.TempPathFactory, contents: list[bytes]) -> None:
    folder = tmp_path_factory.mktemp("any")
    workshop, source = folder / "workshop.db", folder / "file"
    workshop.touch()
    kept = []
    for content in contents:
        source.write_bytes(content)
        kept.append(take_in(workshop, source))
    assert sorted(names(workshop)) == sorted({hashlib.sha256(content).hexdigest() for content in contents})
    assert [content_of(workshop, one.sha256) for one in kept] == contents
