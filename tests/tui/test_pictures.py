"""The screen looks as in its pictures: six places, three sizes, two themes; empty, the demo, and huge."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from buildbook.tui.places import SIGNS
from buildbook.tui.themes import NAMES
from tests.tui.pictures import (
    KEPT,
    RENEW,
    SCENES,
    SITTINGS,
    Sitting,
    differences,
    drawn,
    looks_otherwise,
    places,
    plain_looks,
    scenes,
    workshop_file,
)
from tests.tui.svg import lines_of

README = Path(__file__).resolve().parents[2] / "README.md"


@pytest.fixture(scope="session")
def shops(tmp_path_factory: pytest.TempPathFactory, demo_file: Path) -> Path:
    """A folder for the workshops that are looked at; nobody writes to them."""
    folder = tmp_path_factory.mktemp("pictures")
    shutil.copyfile(demo_file, folder / "demo.db")
    return folder


def the_same(looks: dict[str, str]) -> None:
    found = looks_otherwise(looks)
    assert not found, "\n".join(["the screen looks otherwise than it did.", *found, RENEW])


@pytest.mark.parametrize("sitting", SITTINGS, ids=str)
def test_the_places_look_as_in_their_pictures(sitting: Sitting, shops: Path) -> None:
    the_same(drawn(places(sitting, workshop_file(sitting.workshop, shops))))


def test_the_scenes_of_the_readme_look_as_in_their_pictures(shops: Path) -> None:
    the_same(drawn(scenes(workshop_file("demo", shops))))


def test_the_places_look_as_kept_where_there_are_only_plain_signs(shops: Path) -> None:
    looks = drawn(plain_looks(workshop_file("demo", shops)))
    assert "".join(looks.values()).isascii()
    the_same(looks)


def test_there_is_a_picture_of_everything_and_none_of_anything_else() -> None:
    wanted = {f"{sitting}-{theme}-{sign.name.lower()}" for sitting in SITTINGS for theme in NAMES for sign in SIGNS}
    wanted |= {scene.name for scene in SCENES}
    assert {path.stem for path in KEPT[".svg"].iterdir()} == wanted
    assert len(list(KEPT[".txt"].iterdir())) == len(SIGNS)


def test_the_readme_shows_every_scene_and_nothing_that_is_not_there() -> None:
    shown = re.findall(r"!\[[^\]]+\]\(([^)]+)\)", README.read_text(encoding="utf-8"))
    pages = [f"tests/publish/pages/{page}.png" for page in ("book", "episode")]
    assert sorted(shown) == sorted([*pages, *(f"tests/tui/pictures/{scene.name}.svg" for scene in SCENES)])
    assert all((README.parent / page).is_file() for page in pages)


def test_no_picture_asks_for_anything_from_outside() -> None:
    for path in KEPT[".svg"].iterdir():
        svg = path.read_text(encoding="utf-8").replace('xmlns="http://www.w3.org/2000/svg"', "")
        assert not re.search(r"https?:|href|@import|@font-face|url\(|<script", svg), path.name


def test_a_picture_has_as_many_lines_as_its_terminal() -> None:
    for path in KEPT[".svg"].glob("*-*x*-*-*.svg"):
        height = int(path.stem.split("-")[1].partition("x")[2])
        assert len(lines_of(path.read_text(encoding="utf-8"))) == height, path.name


def test_a_difference_is_told_as_lines_of_text_and_else_as_lines_of_the_picture() -> None:
    kept = '<g><text class="s0" x="12" y="30" textLength="60">ready</text></g>\n<g></g>'
    assert differences("bench.svg", kept, kept) == []
    told = differences("bench.svg", kept.replace("ready", "held"), kept)
    assert told[-2:] == ["-ready", "+held"]
    told = differences("bench.svg", kept.replace("s0", "s1"), kept)
    assert told[-1] == '+<g><text class="s1" x="12" y="30" textLength="60">ready</text></g>'
