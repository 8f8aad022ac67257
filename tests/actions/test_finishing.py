"""A finished build keeps its record as it was, whatever becomes of its project; taken up again, it loses that."""

from __future__ import annotations

import pytest
from sqlmodel import col, update

from buildbook.actions import boards
from buildbook.actions.workshop import undo
from buildbook.answers.record import freeze, is_kept, record
from buildbook.errors import BadInput, StoreFault
from buildbook.store.journal import action
from buildbook.store.tables import AsBuilt
from buildbook.store.workshop import Workshop


@pytest.fixture
def finished(shop: Workshop) -> Workshop:
    boards.new_project(shop, "TIT", "Tit whistle")
    boards.new_assembly(shop, "TIT", "REED", "Reed board")
    boards.change_build(shop, "TIT", state="finished", keep=freeze)
    return shop


def test_a_later_change_of_the_project_does_not_alter_the_record(finished: Workshop) -> None:
    before = record(finished, "TIT")
    boards.change_assembly(finished, "TIT/REED", name="Another reed board")
    boards.new_assembly(finished, "TIT", "BELL")
    assert record(finished, "TIT") == before
    assert [row.name for row in before.sections] == ["Tit whistle", "Reed board"]
    assert before.frozen_at.startswith(before.day)


def test_taken_up_again_it_tells_of_the_build_as_it_stands(finished: Workshop) -> None:
    boards.change_build(finished, "TIT", state="active")
    assert not is_kept(finished, "TIT")
    boards.new_assembly(finished, "TIT", "BELL")
    assert len(record(finished, "TIT").sections) == 3


def test_undo_takes_finishing_and_taking_up_back(finished: Workshop) -> None:
    before = record(finished, "TIT")
    boards.change_build(finished, "TIT", state="active")
    undo(finished)
    assert record(finished, "TIT") == before
    undo(finished)
    assert not is_kept(finished, "TIT")
    assert record(finished, "TIT").frozen_at == ""


def test_finishing_twice_keeps_the_first_record(finished: Workshop) -> None:
    before = record(finished, "TIT")
    boards.change_build(finished, "TIT", state="finished", keep=freeze)
    assert record(finished, "TIT") == before


def test_other_changes_are_not_made_with_it(shop: Workshop) -> None:
    boards.new_project(shop, "TIT")
    with pytest.raises(BadInput, match="kept as it stands"):
        boards.change_build(shop, "TIT", units=3, state="finished", keep=freeze)
    assert record(shop, "TIT").units == 1


def test_a_record_that_was_damaged_is_not_told(finished: Workshop) -> None:
    with action(finished, "Damage it") as work:
        work.exec(update(AsBuilt).where(col(AsBuilt.id) > 0).values(record="{}"))
    with pytest.raises(StoreFault, match="damaged"):
        record(finished, "TIT")
