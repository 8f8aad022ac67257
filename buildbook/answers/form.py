"""What every answer looks like: a plain sentence first, then rows; frozen, and the same on the screen and as JSON."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any, ClassVar


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer of one place. `sentence` says it in words; the fields of each kind of answer say it in figures.

    `SCHEMA` names the shape and its version, for those who read it as JSON. Quantities are whole numbers of the part's
    base unit, money (`..._micros`) is in millionths of the workshop's currency, times are UTC.
    """

    SCHEMA: ClassVar[str] = ""

    sentence: str


def as_json(answer: Answer) -> dict[str, Any]:
    """The answer as plain values, the sentence first, then the name of its shape.

    >>> as_json(Answer("Nothing is short."))
    {'sentence': 'Nothing is short.', 'schema': ''}
    """
    plain: dict[str, Any] = {"sentence": answer.sentence, "schema": answer.SCHEMA}
    for field in fields(answer):
        plain.setdefault(field.name, _plain(getattr(answer, field.name)))
    return plain


def _plain(value: Any) -> Any:
    if isinstance(value, tuple) and hasattr(value, "_asdict"):
        return {name: _plain(part) for name, part in value._asdict().items()}
    if isinstance(value, (tuple, list)):
        return [_plain(part) for part in value]
    if isinstance(value, dict):
        return {str(key): _plain(part) for key, part in value.items()}
    if hasattr(value, "__dataclass_fields__"):
        return {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
    return value


def count_of(number: int, one: str, many: str = "") -> str:
    """A number with its noun, in the right number.

    >>> count_of(1, "board"), count_of(3, "board"), count_of(2, "assembly", "assemblies"), count_of(0, "part")
    ('1 board', '3 boards', '2 assemblies', 'no parts')
    """
    noun = one if number == 1 else many or f"{one}s"
    return f"{number if number else 'no'} {noun}"


def join_words(words: list[str]) -> str:
    """Words in a row, with an "and" before the last.

    >>> join_words(["IF board", "harness", "case"])
    'IF board, harness and case'
    """
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"
