"""The demo, on the day that it is made, shows a step in every state, and what holds the held ones."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from buildbook.actions import bench as actions
from buildbook.actions import deliveries, kits, stores
from buildbook.actions.workshop import Workshop
from buildbook.answers.bench import STATES, bench
from buildbook.cli.demo import make_demo


@pytest.fixture
def fresh(tmp_path: Path) -> Workshop:
    make_demo(tmp_path / "demo.db", silent=True)
    return Workshop(tmp_path / "demo.db")


def test_every_state_is_there_and_every_reason_but_those_of_a_coat(fresh: Workshop) -> None:
    rows = bench(fresh).rows
    assert {row.state for row in rows} == set(STATES)
    assert {one.kind for row in rows for one in row.held} >= {"before", "parts", "question", "unread"}
    waits = [row for row in rows if row.state == "waiting"]
    assert [(row.name, row.wait_kind) for row in waits] == [("Make the probe", "cure")]
    ahead = datetime.fromisoformat(waits[0].until) - datetime.now(UTC)
    assert timedelta(hours=8) < ahead < timedelta(hours=10)
    for row in rows:
        for one in row.held:
            assert one.release.endswith("."), one
            assert one.where in ("Bench", "Boards", "Buying", "Checks"), one
            assert one.key, one
    fresh.close()


def test_the_other_reasons_appear_when_their_time_comes(fresh: Workshop) -> None:
    # The chassis is deburred and degreased: what dries takes the case; a hold point is done and not signed.
    for place in range(5, 12):
        row = next(one for one in bench(fresh, "CURLEW").rows if one.place == f"CURLEW/CASE/{place}")
        if row.state not in ("done", "dropped"):
            actions.tick(fresh, "CURLEW", row.step)
    kinds = {one.kind for row in bench(fresh, "CURLEW").rows for one in row.held}
    assert kinds & {"wait", "taken"}
    mask = next(row for row in bench(fresh, "CURLEW").rows if row.name.startswith("Mask the bare-metal patch"))
    actions.tick(fresh, "CURLEW", mask.step)
    assert "unsigned" in {one.kind for row in bench(fresh, "CURLEW").rows for one in row.held}
    fresh.close()


def test_parts_hold_the_step_that_fits_them_until_they_are_kitted(fresh: Workshop) -> None:
    def fit() -> tuple[str, ...]:
        row = next(one for one in bench(fresh, "CURLEW").rows if one.name == "Fit the IF transformers")
        return tuple(one.what for one in row.held if one.kind == "parts")

    assert fit() == ("T1, T2: 2 coming, due 4 Dec",)
    stores.new_bin(fresh, "NEW")
    deliveries.receive_order(fresh, "TW-2611", "NEW")
    assert fit() == ("T1, T2 not kitted",)
    kits.kit_assembly(fresh, "CURLEW", "CURLEW/IF", stand_ins=True)
    assert fit() == ()
    fresh.close()
