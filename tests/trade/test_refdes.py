"""Reference designators: groups and ranges read as people write them, joined so that they read back."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.trade.kinds import KINDS
from buildbook.trade.refclasses import CLASSES
from buildbook.trade.refdes import classes, join_refs, kind_of, natural_key, read_refs

REF = st.builds(
    "{}{}{}{}".format,
    st.sampled_from(["", "", "MB-", "IF-"]),
    st.sampled_from(["R", "C", "IC", "XV"]),
    st.integers(0, 30) | st.integers(0, 10**8),
    st.sampled_from(["", "", "", "A", "B"]),
)


@given(st.lists(REF, max_size=40))
@settings(deadline=None, max_examples=300)
def test_joined_designators_read_back_in_natural_order(refs: list[str]) -> None:
    assert read_refs(join_refs(refs)) == tuple(sorted(set(refs), key=natural_key))


@given(st.text("R1C-., ;&?*ATO\n–\u200b", max_size=30))
@settings(deadline=None, max_examples=300)
def test_any_text_gives_different_designators_or_bad_input(text: str) -> None:
    try:
        refs = read_refs(text)
    except BadInput as fault:
        assert fault.why.endswith(".")  # noqa: PT017
    else:
        assert len(set(refs)) == len(refs)


@pytest.mark.parametrize(
    ("text", "refs"),
    [
        ("R1,R2, R5-R9", "R1 R2 R5 R6 R7 R8 R9"),
        ("R1-R4, R7", "R1 R2 R3 R4 R7"),
        ("C1,C2 C5", "C1 C2 C5"),
        ("C1 C2", "C1 C2"),
        ("R1-4", "R1 R2 R3 R4"),
        ("R1..R4", "R1 R2 R3 R4"),
        ("R1…R4", "R1 R2 R3 R4"),
        ("R1 to R4", "R1 R2 R3 R4"),
        ("R1 thru 4", "R1 R2 R3 R4"),
        ("R1–R4", "R1 R2 R3 R4"),
        ("R1 - R4", "R1 R2 R3 R4"),
        ("R1;R2\nC3", "R1 R2 C3"),
        ("R1 and R2 & R3", "R1 R2 R3"),
        ("R1, 3, 5-7", "R1 R3 R5 R6 R7"),
        ("IC1A, IC1B", "IC1A IC1B"),
        ("MB-R12", "MB-R12"),
        ("MB-R12-MB-R14", "MB-R12 MB-R13 MB-R14"),
        ("MB-R12-R14", "MB-R12 MB-R13 MB-R14"),
        ("r01", "R1"),
        ("R2, R1", "R2 R1"),
        ("R3-R3", "R3"),
        ("R1,,R2,", "R1 R2"),
        ("TO1", "TO1"),
        ("", ""),
        (" \n", ""),
    ],
)
def test_groups_and_ranges_are_written_out(text: str, refs: str) -> None:
    assert read_refs(text) == tuple(refs.split())


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("R4-R1", "“R4-R1” runs backwards."),
        ("R1-C4", "“R1-C4” starts and ends with different letters."),
        ("MB-R1-IF-R3", "“MB-R1-IF-R3” starts and ends with different letters."),
        ("R1-R100000", "“R1-R100000” is longer than 2,000."),
        ("R1-R2001", "“R1-R2001” is longer than 2,000."),
        ("R1, R2, R1", "R1 is given more than once."),
        ("R1-R3, R2, R3", "R2, R3 are given more than once."),
        ("IC1A-IC1D", "“IC1A-IC1D” is a range with letters behind the number."),
        ("R?", "“R?” has no number."),
        ("R1 and C", "“C” has no number."),
        ("R1 2", "“2” is not a reference designator."),
        ("R1-R2-R3", "“R1-R2-R3” is not a reference designator."),
        ("4k7", "“4K7” is not a reference designator."),
    ],
)
def test_what_is_no_designator_is_refused_with_the_reason(text: str, why: str) -> None:
    with pytest.raises(BadInput) as fault:
        read_refs(text)
    assert fault.value.why == why


def test_a_range_may_be_2000_long_and_longer_rows_are_joined_from_several() -> None:
    refs = read_refs("R1-R2000") + read_refs("R2001-R2002")
    assert join_refs(refs) == "R1-R2000, R2001, R2002"
    assert len(read_refs("R1-R2000")) == 2000


def test_three_in_a_row_make_a_range_and_two_do_not() -> None:
    assert join_refs(["R10", "R2", "R1", "R3", "C2", "C1"]) == "C1, C2, R1-R3, R10"


def test_designators_with_letters_behind_never_make_a_range() -> None:
    assert join_refs(["IC1A", "IC2A", "IC3A"]) == "IC1A, IC2A, IC3A"
    assert join_refs(["MB-R1", "MB-R2", "MB-R3", "R4"]) == "MB-R1-MB-R3, R4"


def test_natural_order_counts_numbers_and_passes_over_case() -> None:
    assert sorted(["R10", "R2", "r1", "C3", "R2A", "bin 10", "Bin 9"], key=natural_key) == [
        "Bin 9", "bin 10", "C3", "r1", "R2", "R2A", "R10",
    ]  # fmt: skip
    assert natural_key("R" + "9" * 10**5) > natural_key("R1")


@pytest.mark.parametrize(
    ("letters", "kind"),
    # IEEE 315 with ASME Y14.44; CR, XF, CB and the like among them
    [
        ("R", "resistor"), ("C", "capacitor"), ("L", "inductor"), ("D", "diode"), ("CR", "diode"), ("DS", "lamp"),
        ("Q", "transistor"), ("V", "valve"), ("T", "transformer"), ("BR", "diode"), ("F", "fuse"), ("XF", "socket"),
        ("J", "connector"), ("P", "connector"), ("XV", "socket"), ("S", "switch"), ("K", "relay"), ("CB", "switch"),
        ("U", "ic"), ("TB", "connector"), ("TP", "hardware"), ("MP", "metalwork"), ("Y", "crystal"), ("LS", "other"),
        ("B", "other"), ("W", "wire"), ("M", "meter"), ("RT", "resistor"), ("BT", "battery"),
    ],
)  # fmt: skip
def test_class_letters_of_ieee_315_come_first(letters: str, kind: str) -> None:
    assert kind_of(f"{letters}12") == kind
    assert classes(letters)[0].standard == "IEEE 315"


@pytest.mark.parametrize(
    ("letters", "kind"),
    # common practice at the bench
    [
        ("LED", "diode"), ("IC", "ic"), ("FS", "fuse"), ("FU", "fuse"), ("CN", "connector"), ("SW", "switch"),
        ("RLY", "relay"), ("XTAL", "crystal"), ("LP", "lamp"), ("HS", "hardware"), ("SK", "connector"),
    ],
)  # fmt: skip
def test_letters_of_the_bench_are_known_too(letters: str, kind: str) -> None:
    assert kind_of(f"{letters}1") == kind
    assert classes(letters)[0].standard == "bench"


def test_letters_alone_never_identify_a_part_across_standards() -> None:
    """From IEEE 315 against IEC 81346-2 and the older IEC letters (from memory)."""
    for letters in ("V", "K", "Q", "T", "R", "X"):
        assert len({meaning.kind for meaning in classes(letters)}) > 1, letters


def test_every_meaning_is_of_a_kind_that_the_workshop_knows() -> None:
    assert {meaning.kind for meanings in CLASSES.values() for meaning in meanings} <= KINDS.keys()


def test_the_kind_of_a_prefixed_a_suffixed_and_an_unknown_designator() -> None:
    assert (kind_of("MB-R12"), kind_of("IC1A"), kind_of("r"), kind_of("QQ7"), kind_of("")) == (
        "resistor", "ic", "resistor", None, None,
    )  # fmt: skip
    assert classes("QQ") == ()
