"""A fresh workshop for every test, and a clock that steps by a second each time somebody looks at it."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from buildbook.store.workshop import Workshop, open_workshop


def stepping_clock(start: datetime = datetime(2024, 3, 1, 18, 0, tzinfo=UTC)) -> Callable[[], datetime]:
    """A clock that shows `start` first, and a second more each time."""
    moments = (start + timedelta(seconds=seconds) for seconds in range(10_000_000))
    return lambda: next(moments)


@pytest.fixture(scope="session")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An empty workshop file, migrated once; tests copy it and never open it."""
    path = tmp_path_factory.mktemp("template") / "workshop.db"
    open_workshop(path).close()
    return path


@pytest.fixture
def shop(tmp_path: Path, template: Path) -> Iterator[Workshop]:
    """A fresh, empty workshop at `tmp_path / "workshop.db"`."""
    path = tmp_path / "workshop.db"
    shutil.copyfile(template, path)
    workshop = Workshop(path, clock=stepping_clock())
    yield workshop
    workshop.close()


@pytest.fixture(scope="session")
def demo_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo workshop, made once from its lists; tests copy it and never open it."""
    from buildbook.cli.demo import make_demo

    path = tmp_path_factory.mktemp("demo") / "demo.db"
    make_demo(path)
    return path


def copy_whole(file: Path, to: Path) -> Path:
    """Copy a workshop file with the folder of what is attached."""
    shutil.copytree(f"{file}.files", f"{to}.files")
    return Path(shutil.copyfile(file, to))


@pytest.fixture
def demo(tmp_path: Path, demo_file: Path) -> Iterator[Workshop]:
    """A copy of the demo workshop of its own, at `tmp_path / "demo.db"`."""
    path = tmp_path / "demo.db"
    copy_whole(demo_file, path)
    workshop = Workshop(path, clock=stepping_clock(datetime(2026, 11, 28, 18, 0, tzinfo=UTC)))
    yield workshop
    workshop.close()


@pytest.fixture
def at_demo(tmp_path: Path, demo_file: Path) -> Path:
    """A copy of the demo workshop where the command line of a test looks: at `tmp_path / "workshop.db"`."""
    return copy_whole(demo_file, tmp_path / "workshop.db")


@pytest.fixture(scope="session")
def demo_to_read(demo_file: Path) -> Iterator[Workshop]:
    """The demo workshop for tests that only read it: opened once."""
    workshop = Workshop(demo_file)
    yield workshop
    workshop.close()
