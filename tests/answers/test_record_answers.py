"""The record of a build: whole, the same twice, the same back from JSON, its figures those of the answers."""

from __future__ import annotations

import pytest

from buildbook.answers.bench import bench
from buildbook.answers.board import board
from buildbook.answers.boards import boards
from buildbook.answers.cost import build_cost
from buildbook.answers.finish import finish
from buildbook.answers.measuring import points
from buildbook.answers.record import Record, record
from buildbook.answers.record_json import read_as, written
from buildbook.answers.snags import snags
from buildbook.answers.supply import supplies
from buildbook.errors import BadInput, StoreFault
from buildbook.store.workshop import Workshop


def test_every_figure_is_that_of_the_answers(demo: Workshop) -> None:
    found = record(demo, "CURLEW")
    tree = boards(demo, "CURLEW").rows
    assert [(row.code, row.count, row.state) for row in found.sections] == [(r.code, r.count, r.state) for r in tree]
    lines = [row for code in dict.fromkeys(row.code for row in tree) for row in board(demo, code, "CURLEW").lines]
    assert [(r.key, r.qty, r.need, r.fitted) for r in found.lines] == [(r.key, r.qty, r.need, r.fitted) for r in lines]
    cost = build_cost(demo, "CURLEW")
    assert (found.cost.total_micros, found.cost.spent_micros) == (cost.total_micros, cost.spent_micros)
    assert [row.total for row in found.cost.sections] == [row.total for row in cost.sections]
    steps = bench(demo, "CURLEW").rows
    assert [(r.place, r.likely_min, r.minutes) for r in found.work] == [
        (r.place, r.likely_min, r.minutes) for r in steps
    ]
    budget = supplies(demo, "CURLEW")
    assert [(r.code, r.load_micro, r.percent) for r in found.supplies] == [
        (r.code, r.load_micro, r.percent) for r in budget
    ]
    sheet = list(points(demo, "CURLEW"))
    assert [(r.code, r.limits, r.said) for r in found.points] == [(r.code, r.limits, r.said) for r in sheet]
    assert [len(r.readings) for r in found.points] == [r.times for r in sheet]
    assert sorted(r.title for r in found.snags) == sorted(r.title for r in snags(demo, "CURLEW").rows)


def test_what_was_done_when_is_what_the_plan_of_the_finish_says(demo: Workshop) -> None:
    found = record(demo, "CURLEW")
    assert found.done
    assert [(row.at, row.minutes) for row in found.done] == [
        tuple(row) for row in finish(demo, "CURLEW", draws=10).done
    ]
    assert found.cost.labour_minutes == build_cost(demo, "CURLEW").labour_minutes


def test_what_was_taken_is_worth_what_was_spent(demo: Workshop) -> None:
    found = record(demo, "CURLEW")
    assert found.held
    assert sum(row.worth_micros for row in found.held) == found.cost.spent_micros


def test_it_comes_back_from_json_as_it_was(demo: Workshop) -> None:
    found = record(demo, "CURLEW")
    assert read_as(Record, written(found)) == found
    assert written(found) == written(record(demo, "CURLEW"))


def test_a_text_that_is_no_record_is_refused_in_a_sentence() -> None:
    for text in ("", "[]", "{}", '{"sentence": 3}'):
        with pytest.raises(StoreFault, match="cannot be read"):
            read_as(Record, text)


def test_without_a_build_it_asks_which(demo: Workshop, shop: Workshop) -> None:
    with pytest.raises(BadInput, match="not clear which build"):
        record(demo)
    with pytest.raises(BadInput, match="not clear which build"):
        record(shop)
