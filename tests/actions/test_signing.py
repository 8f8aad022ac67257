"""Hold points are signed with a name; first power waits for the signatures."""

from __future__ import annotations

import pytest

from buildbook.actions import bench as actions
from buildbook.actions import boards, checklists, measuring
from buildbook.actions.checklists import After, NewStep
from buildbook.actions.measuring import NewPoint
from buildbook.actions.workshop import Workshop
from buildbook.answers.bench import StepRow, bench
from buildbook.answers.measuring import sheet
from buildbook.answers.safety import safety
from buildbook.answers.signatures import last_signer
from buildbook.answers.why_step import why_step
from buildbook.errors import BadInput, Forbidden

EARTH, POWER = "Protective earth: inlet pin to every panel", "First power through the lamp limiter"


@pytest.fixture
def unit(shop: Workshop) -> Workshop:
    """A unit with an earth reading, a step between, and its first power."""
    boards.new_project(shop, "LAMP")
    checklists.add_steps(
        shop,
        "LAMP",
        [
            NewStep(EARTH, work="safety checks", hold_point=True),
            NewStep("Close the lid", after=(After(EARTH),)),
            NewStep(POWER, work="first power", after=(After("Close the lid"),)),
        ],
    )
    return shop


def step(shop: Workshop, name: str) -> StepRow:
    """A step as it stands on the Bench."""
    return next(row for row in bench(shop).rows if row.name == name)


def test_a_signature_has_a_name_that_is_remembered(unit: Workshop) -> None:
    actions.tick(unit, "LAMP", EARTH)
    with pytest.raises(BadInput, match="Nobody is named"):
        actions.sign(unit, "LAMP", EARTH, "0.04 ohm")
    actions.sign(unit, "LAMP", EARTH, "0.04 ohm", by=" K. Lund ")
    assert last_signer(unit) == "K. Lund"
    actions.sign(unit, "LAMP", EARTH, "0.05 ohm")
    row = step(unit, EARTH)
    assert (row.signed, row.signed_by) == ("0.05 ohm", "K. Lund")


def test_the_action_itself_tells_who_signed(unit: Workshop) -> None:
    actions.tick(unit, "LAMP", EARTH, signed="0.04 ohm", by="K. Lund")
    title = unit.reads.execute("SELECT title FROM journal_entry ORDER BY id DESC").fetchone()[0]
    assert title == f"Done: {EARTH}, signed by K. Lund"


def test_without_words_all_that_it_confirms_was_checked(unit: Workshop) -> None:
    checklists.change_step(unit, 1, checks="Lid read\n\n Wrap read ")
    assert step(unit, EARTH).confirms == ("Lid read", "Wrap read")
    actions.tick(unit, "LAMP", EARTH)
    actions.sign(unit, "LAMP", EARTH, by="K. Lund")
    assert step(unit, EARTH).signed == "Lid read; Wrap read"


def test_a_name_of_a_hundred_letters_is_refused(unit: Workshop) -> None:
    with pytest.raises(BadInput, match="80"):
        actions.tick(unit, "LAMP", EARTH, signed="read", by="x" * 100)
    assert step(unit, EARTH).state == "ready"


def test_first_power_is_held_until_the_check_is_signed(unit: Workshop) -> None:
    actions.tick(unit, "LAMP", EARTH)
    actions.tick(unit, "LAMP", "Close the lid")
    row = step(unit, POWER)
    assert row.state == "held"
    assert row.held_by == (f"{EARTH}, not signed",)
    with pytest.raises(Forbidden, match="It is the first power, and it is held"):
        actions.start(unit, "LAMP", POWER)
    actions.sign(unit, "LAMP", EARTH, "0.04 ohm", by="K. Lund")
    assert step(unit, POWER).state == "ready"
    actions.start(unit, "LAMP", POWER)


def test_a_check_that_is_begun_again_has_to_be_signed_again(unit: Workshop) -> None:
    actions.tick(unit, "LAMP", EARTH, signed="0.04 ohm", by="K. Lund")
    actions.start(unit, "LAMP", EARTH)
    actions.tick(unit, "LAMP", EARTH)
    assert (step(unit, EARTH).signed_at, step(unit, EARTH).signed_by) == ("", "")
    assert f"{EARTH}, not signed" in step(unit, POWER).held_by


def test_a_check_that_was_left_out_holds_it_still(unit: Workshop) -> None:
    actions.drop(unit, "LAMP", EARTH)
    actions.tick(unit, "LAMP", "Close the lid")
    assert step(unit, POWER).held_by == (f"{EARTH}, not signed",)


def test_without_a_safety_check_it_is_held_and_says_so(unit: Workshop) -> None:
    checklists.change_step(unit, 1, hold_point=False)
    actions.tick(unit, "LAMP", EARTH)
    actions.tick(unit, "LAMP", "Close the lid")
    row = step(unit, POWER)
    assert (row.state, row.held_by) == ("held", ("no safety check stands before it",))
    assert "1 held for a signature" in bench(unit).sentence
    with pytest.raises(Forbidden, match="no safety check stands before it"):
        actions.start(unit, "LAMP", POWER)
    assert why_step(unit, "LAMP", POWER).terms[0].release.startswith("Put a hold point of safety checks before it")


def test_why_names_the_hold_points_with_who_and_when(unit: Workshop) -> None:
    assert [(row.name, row.signed_at) for row in why_step(unit, "LAMP", POWER).hold_points] == [(EARTH, "")]
    actions.tick(unit, "LAMP", EARTH, signed="0.04 ohm", by="K. Lund")
    row = why_step(unit, "LAMP", POWER).hold_points[0]
    assert (row.signed_by, row.signed) == ("K. Lund", "0.04 ohm")
    assert row.signed_at


def test_the_safety_page_of_a_build(unit: Workshop) -> None:
    measuring.add_point(unit, "LAMP", NewPoint("PE", "inlet pin to the lid", standard="Protective earth"))
    page = safety(unit, "LAMP")
    assert page.sentence.startswith("LAMP: 0 of 1 safety hold point signed; 0 of 1 reading")
    assert page.sentence.endswith("not that it is safe. Local codes and licensed practice decide.")
    assert [row.state for row in page.powers] == ["held"]
    actions.tick(unit, "LAMP", EARTH, signed="0.04 ohm", by="K. Lund")
    measuring.read(unit, "LAMP", "PE", "0.2")
    page = safety(unit, "LAMP")
    assert "1 of 1 safety hold point signed; 1 of 1 reading of earth and insulation taken, 1 out" in page.sentence
    with pytest.raises(BadInput):
        safety(unit, "NONE")


# --- standards of test points ----------------------------------------------------------------------------------------


def test_a_standard_gives_limits_where_none_are_typed(unit: Workshop) -> None:
    measuring.add_points(
        unit,
        "LAMP",
        [NewPoint("PE", standard="protective EARTH"), NewPoint("INS", limits="min 5 Mohm", standard="insulation")],
    )
    earth, insulation = sheet(unit).rows
    assert (earth.limits, earth.standard) == ("at most 0.1 Ω", "protective earth")
    assert "IEC 60950-1 cl. 2.6.3.3" in earth.source
    assert (insulation.limits, insulation.source) == ("at least 5 MΩ", "insulation, min 1 Mohm: common practice")


def test_a_standard_is_changed_and_taken_off(unit: Workshop) -> None:
    measuring.add_point(unit, "LAMP", NewPoint("PE", limits="max 0.1 ohm"))
    measuring.change_point(unit, "PE", standard="protective earth")
    assert sheet(unit).rows[0].standard == "protective earth"
    measuring.change_point(unit, "PE", standard="-")
    assert sheet(unit).rows[0].source == ""
    with pytest.raises(BadInput, match="protective earth"):
        measuring.change_point(unit, "PE", standard="earthing")
