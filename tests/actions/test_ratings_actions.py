"""What lines bear and parts are made for: written down, replaced, taken back; and what is refused."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from buildbook.actions import lists, merging, ratings, splitting, stores, tree
from buildbook.actions.workshop import Workshop, redo, set_setting, undo
from buildbook.errors import BadInput
from buildbook.store.checkup import check
from buildbook.store.read.naming import find_line, find_part
from buildbook.store.read.ratings import part_ratings, stresses

Dump = Callable[[Workshop], dict[str, list[tuple[Any, ...]]]]


def borne(shop: Workshop, line: str) -> list[tuple[str, int, str]]:
    """What a line bears, as it is kept."""
    return [(one.what, one.micro, one.note) for one in stresses(shop.reads).get(find_line(shop, line).id, [])]


def made(shop: Workshop, part: str) -> list[tuple[str, int, str]]:
    """What a part is made for, as it is kept."""
    return [(one.what, one.micro, one.note) for one in part_ratings(shop.reads).get(find_part(shop, part).id, [])]


def test_what_is_borne_is_kept_in_millionths(curlew: Workshop) -> None:
    said = ratings.state_bears(curlew, "IF/R1", ["12,5 V", "3 mA"], note="at the start")
    assert said == "CURLEW/IF/R1-R3 bears 12.5 V DC and 3 mA."
    assert borne(curlew, "IF/R2") == [("amps", 3000, "at the start"), ("dc volts", 12_500_000, "at the start")]


def test_the_same_sort_is_replaced_and_the_rest_stays(curlew: Workshop) -> None:
    ratings.state_bears(curlew, "IF/C1", ["40V", "5 V AC"], note="cold")
    ratings.state_bears(curlew, "IF/C1", ["45 V DC"])
    assert borne(curlew, "IF/C1") == [("ac volts", 5_000_000, "cold"), ("dc volts", 45_000_000, "cold")]
    assert ratings.clear_bears(curlew, "IF/C1", "AC volts") == "CURLEW/IF/C1, C2"
    assert borne(curlew, "IF/C1") == [("dc volts", 45_000_000, "cold")]
    ratings.clear_bears(curlew, "IF/C1")
    assert borne(curlew, "IF/C1") == []


def test_a_part_is_made_for_what_its_data_sheet_says(curlew: Workshop) -> None:
    stores.new_part(curlew, "D-1N4007", kind="diode", value="1N4007")
    said = ratings.state_rated(curlew, "d-1n4007", ["1000V", "1A"], note="data sheet")
    assert said == "D-1N4007 is made for 1 kV reverse and 1 A."
    ratings.clear_rated(curlew, "D-1N4007", "amps")
    assert made(curlew, "D-1N4007") == [("reverse volts", 1_000_000_000, "data sheet")]


WRONG: dict[str, tuple[Callable[[Workshop], object], str]] = {
    "no unit": (lambda shop: ratings.state_bears(shop, "IF/R1", ["300"]), "volts, amps or watts"),
    "twice": (lambda shop: ratings.state_bears(shop, "IF/R1", ["3V", "4V"]), "the same sort twice"),
    "below zero": (lambda shop: ratings.state_bears(shop, "IF/R1", ["-3V"]), "below zero"),
    "nothing": (lambda shop: ratings.state_bears(shop, "IF/R1", [" "]), "No amount was given"),
    "no such line": (lambda shop: ratings.state_bears(shop, "IF/R9", ["3V"]), "There is no line"),
    "no such part": (lambda shop: ratings.state_rated(shop, "R-9", ["3V"]), "There is no part"),
    "nought": (lambda shop: ratings.state_rated(shop, "R-4K7", ["0 W"]), "It is zero"),
    "not stated": (lambda shop: ratings.clear_bears(shop, "IF/R1"), "Nothing was said of what"),
    "no such sort": (lambda shop: ratings.clear_rated(shop, "R-4K7", "ohms"), "nothing that a part bears"),
    "another sort": (lambda shop: ratings.clear_rated(shop, "R-4K7", "amps"), "Nothing was taken back"),
    "share": (lambda shop: set_setting(shop, "derating_resistor", "120 %"), "at most 100 %"),
}


@pytest.mark.parametrize("name", WRONG)
def test_what_is_wrong_is_refused_and_nothing_written(curlew: Workshop, dump: Dump, name: str) -> None:
    before = dump(curlew)
    act, said = WRONG[name]
    with pytest.raises(BadInput) as refused:
        act(curlew)
    assert said in str(refused.value)
    assert dump(curlew) == before


DEEDS: dict[str, Callable[[Workshop], object]] = {
    "bears": lambda shop: ratings.state_bears(shop, "IF/C1", ["30V"]),
    "bears another": lambda shop: ratings.state_bears(shop, "IF/R1", ["13V", "1 mA"]),
    "clear bears": lambda shop: ratings.clear_bears(shop, "IF/R1"),
    "rated": lambda shop: ratings.state_rated(shop, "R-4K7", ["0.5W", "350V"]),
    "clear rated": lambda shop: ratings.clear_rated(shop, "R-4K7"),
    "setting": lambda shop: set_setting(shop, "derating_capacitor", "60 %"),
    "drop the line": lambda shop: lists.drop_line(shop, "IF/R1"),
    "drop the project": lambda shop: tree.drop_project(shop, "CURLEW"),
    "split the line": lambda shop: splitting.split_line(shop, "IF/R1", "R3"),
    "merge the part": lambda shop: merging.merge(shop, "R-4K7", "R-4K7-CF"),
}


@pytest.mark.parametrize("name", DEEDS)
def test_taking_back_leaves_the_workshop_as_it_was(curlew: Workshop, dump: Dump, name: str) -> None:
    ratings.state_bears(curlew, "IF/R1", ["12V"])
    ratings.state_rated(curlew, "R-4K7", ["0.6W"])
    before = dump(curlew)
    DEEDS[name](curlew)
    after = dump(curlew)
    assert after != before
    undo(curlew)
    assert dump(curlew) == before
    redo(curlew)
    assert dump(curlew) == after
    assert all(proof.holds for proof in check(curlew))


def test_what_a_line_bears_goes_with_it(curlew: Workshop) -> None:
    ratings.state_bears(curlew, "IF/R1", ["12V"])
    lists.drop_line(curlew, "IF/R1")
    assert stresses(curlew.reads) == {}


def test_merged_parts_keep_what_they_are_made_for(curlew: Workshop) -> None:
    ratings.state_rated(curlew, "R-4K7", ["0.6W", "350V"])
    ratings.state_rated(curlew, "R-4K7-CF", ["0.5W"])
    merging.merge(curlew, "R-4K7", "R-4K7-CF")
    assert made(curlew, "R-4K7-CF") == [("dc volts", 350_000_000, ""), ("watts", 500_000, "")]


def test_lines_that_are_split_bear_the_same_and_joined_ones_the_larger(curlew: Workshop) -> None:
    ratings.state_bears(curlew, "IF/R1", ["12V"], note="cold")
    splitting.split_line(curlew, "IF/R1", "R3")
    assert borne(curlew, "IF/R3") == borne(curlew, "IF/R1") == [("dc volts", 12_000_000, "cold")]
    ratings.state_bears(curlew, "IF/R3", ["15V", "1 mA"], note="hot")
    splitting.join_lines(curlew, "IF/R1", "IF/R3")
    assert borne(curlew, "IF/R3") == [("amps", 1000, "hot"), ("dc volts", 15_000_000, "hot")]
    assert all(proof.holds for proof in check(curlew))


def test_the_only_thing_that_is_said_takes_the_place_of_all(curlew: Workshop) -> None:
    ratings.state_bears(curlew, "IF/C1", ["40V", "5 V AC"], note="cold")
    ratings.state_bears(curlew, "IF/C1", ["30V"], only=True)
    assert borne(curlew, "IF/C1") == [("dc volts", 30_000_000, "cold")]
