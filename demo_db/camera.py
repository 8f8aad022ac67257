"""What the builder of the demo keeps for the camera: own words, marks, shots, and questions from the audience."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from typing import TYPE_CHECKING, TypeAlias

from buildbook.actions import filming

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop

Told: TypeAlias = tuple[str, Callable[["Workshop"], object]]

WORDS = {
    1: (
        "A receiver begins with a heap: drawers, two old price lists and a transformer that is already here. "
        "If the transformer cannot feed it, nothing else matters, so that sum came first."
    ),
    2: (
        "Small boards are a good way to find out how long things really take. "
        "The fuse board is dull to look at and the one I would not skip."
    ),
}
MARKS = (
    "0:00 What is on the bench",
    "2:15 Fuse board, first joint",
    "7:40 Across the fuse: 0.94 Mohm",
    "11:05 The strips",
)
SHOTS = (
    ("The dividers walking along the steel", True),
    ("Drill coming through, from below", True),
    ("Lacquer going on, side light", False),
    ("Hand on the switch before first power, meter in the picture", False),
)


def events() -> Iterator[Told]:
    """When, and what is kept."""
    for number, words in WORDS.items():
        yield f"2026-11-0{7 + number} 20:00", partial(own_words, number, words)
    yield "2026-11-08 17:00", mark_all
    yield "2026-11-20 09:00", list_shots
    yield "2026-10-12 08:00", ask
    yield (
        "2026-10-15 21:00",
        lambda shop: filming.answer_audience(
            shop,
            1,
            "It would fit the winding at last, but the valve rectifier lets the HT rise slowly. It is not settled.",
        ),
    )
    yield (
        "2026-11-18 20:00",
        lambda shop: filming.ask_from_audience(
            shop, "Will you show the aligning of the IF transformers?", build="CURLEW", by="Odile", episode=3
        ),
    )


def ask(shop: Workshop) -> None:
    """The first question, about the first stage."""
    filming.ask_from_audience(
        shop, "Why not put silicon diodes in from the start?", build="CURLEW", by="Tobias", episode=1
    )


def own_words(number: int, words: str, shop: Workshop) -> None:
    """What the builder says of an episode."""
    filming.write_words(shop, words, build="CURLEW", episode=number)


def mark_all(shop: Workshop) -> None:
    """The marks of the one take of the second episode."""
    for text in MARKS:
        filming.mark(shop, text, build="CURLEW", take="bench")


def list_shots(shop: Workshop) -> None:
    """What is to be filmed of the third episode; some of it is."""
    for text, done in SHOTS:
        number = filming.add_shot(shop, text, build="CURLEW")
        if done:
            filming.tick_shot(shop, number)
