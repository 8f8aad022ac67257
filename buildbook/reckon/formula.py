"""What a formula comes to: one line of arithmetic about parts and supplies, read by a grammar of our own.

    sum     = product { ("+" | "-") product }
    product = signed { ("*" | "/") signed }
    signed  = "-" signed | "+" signed | power
    power   = atom [ "^" signed ]
    atom    = number | name | function "(" sum { "," sum } ")" | "(" sum ")"

Numbers are written as the trade writes them (4k7, 100n, 2.2M; m is a thousandth). A formula is read into a list of
plain steps and nothing of it is ever run as a program. Units are not tracked: volts, ohms and farads go in, and what
comes out is in the unit of those.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.trade.plain import quote

LONGEST = 400
DEEPEST = 30
MEND = 'Write it like "HT * R2 / (R1 + R2) where HT = 250 V 5 %".'
PREFIXES = {"p": -12, "n": -9, "u": -6, "µ": -6, "m": -3, "R": 0, "k": 3, "K": 3, "M": 6, "G": 9}
_NUMBER = re.compile(r"(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3}|([pnuµmRkKMG])([0-9]*))?(?![0-9.])")
_NAME = re.compile(r"[A-Za-z][A-Za-z0-9_]*")
_SIGNS = "+-*/^(),"


class Function(NamedTuple):
    """A step of arithmetic: what it gives, and how much it changes with each of what goes in.

    `slopes` takes what went in and what came out. `least` and `most` say how many things go in.
    """

    name: str
    work: Callable[..., float]
    slopes: Callable[[Sequence[float], float], Sequence[float]]
    least: int = 2
    most: int = 2


class Apply(NamedTuple):
    """A function upon the last so many values; `at` is its place in the text, from 1."""

    function: Function
    taken: int
    at: int


Step = float | str | Apply


class Formula(NamedTuple):
    """A formula that was understood: its text, its steps in the order of work, the names in it, in capitals."""

    text: str
    steps: tuple[Step, ...]
    names: tuple[str, ...]


def _parallel(*sizes: float) -> float:
    return 0.0 if 0.0 in sizes else 1 / sum(1 / size for size in sizes)


def _power_slopes(given: Sequence[float], out: float) -> tuple[float, float]:
    base, exponent = given
    by_base = 0.0 if exponent == 0 or (base == 0 and exponent > 1) else exponent * base ** (exponent - 1)
    return by_base, out * math.log(base) if base > 0 else 0.0


def _which(given: Sequence[float], out: float) -> list[float]:
    first = list(given).index(out)
    return [float(place == first) for place in range(len(given))]


_MANY = 20
SIGNS = {
    "+": Function("+", lambda a, b: a + b, lambda *_: (1.0, 1.0)),
    "-": Function("-", lambda a, b: a - b, lambda *_: (1.0, -1.0)),
    "*": Function("*", lambda a, b: a * b, lambda given, _: (given[1], given[0])),
    "/": Function("/", lambda a, b: a / b, lambda given, out: (1 / given[1], -out / given[1])),
    "^": Function("^", lambda a, b: a**b, _power_slopes),
}
MINUS = Function("minus", lambda a: -a, lambda *_: (-1.0,), 1, 1)
FUNCTIONS = {
    one.name: one
    for one in (
        Function("par", _parallel, lambda given, out: [(out / size) ** 2 if size else 1.0 for size in given], 1, _MANY),
        Function("sqrt", math.sqrt, lambda _, out: (0.5 / out if out else 0.0,), 1, 1),
        Function("ln", math.log, lambda given, _: (1 / given[0],), 1, 1),
        Function("exp", math.exp, lambda _, out: (out,), 1, 1),
        Function("abs", abs, lambda given, _: (math.copysign(1.0, given[0]) if given[0] else 0.0,), 1, 1),
        Function("min", lambda *sizes: min(sizes), _which, 1, _MANY),
        Function("max", lambda *sizes: max(sizes), _which, 1, _MANY),
    )
}


def read_formula(text: str) -> Formula:
    """Understand a formula, without what stands behind "where".

    Raises BadInput, with the place, for what is no arithmetic, for what is longer than 400 characters or nested deeper
    than 30, and for a function that there is not.

    >>> read_formula("HT * R2 / (R1 + R2)").names
    ('HT', 'R2', 'R1')
    >>> round(come_to(read_formula("par(10k, 4k7)"), {}))
    3197
    """
    if len(text) > LONGEST:
        raise refused(f"It is {len(text):,} characters long and may have {LONGEST} at most.")
    reader = _Reader(text)
    reader.whole()
    return Formula(text, tuple(reader.steps), tuple(dict.fromkeys(one for one in reader.steps if isinstance(one, str))))


class _Word(NamedTuple):
    kind: str
    text: str
    at: int
    size: float = 0.0


class _Reader:
    """Reads one text from left to right and notes the steps."""

    def __init__(self, text: str) -> None:
        self.words = list(_words(text))
        self.place = 0
        self.depth = 0
        self.steps: list[Step] = []

    @property
    def word(self) -> _Word:
        return self.words[self.place]

    def takes(self, signs: str) -> _Word | None:
        """The next word, taken, if it is one of these signs."""
        word = self.word
        if word.kind != "sign" or word.text not in signs:
            return None
        self.place += 1
        return word

    def whole(self) -> None:
        if self.word.kind == "end":
            raise refused("Nothing is given.")
        self.sum()
        if self.word.kind != "end":
            raise self.unexpected()

    def sum(self) -> None:
        self.depth += 1
        if self.depth > DEEPEST:
            raise refused(f"It is nested deeper than {DEEPEST} at character {self.word.at}.")
        self.product()
        while sign := self.takes("+-"):
            self.product()
            self.steps.append(Apply(SIGNS[sign.text], 2, sign.at))
        self.depth -= 1

    def product(self) -> None:
        self.signed()
        while sign := self.takes("*/"):
            self.signed()
            self.steps.append(Apply(SIGNS[sign.text], 2, sign.at))

    def signed(self) -> None:
        signs = []
        while sign := self.takes("+-"):
            signs.append(sign)
        self.power()
        self.steps += [Apply(MINUS, 1, sign.at) for sign in signs if sign.text == "-"]

    def power(self) -> None:
        self.atom()
        if sign := self.takes("^"):
            self.depth += 1
            if self.depth > DEEPEST:
                raise refused(f"It is nested deeper than {DEEPEST} at character {sign.at}.")
            self.signed()
            self.depth -= 1
            self.steps.append(Apply(SIGNS["^"], 2, sign.at))

    def atom(self) -> None:
        word = self.word
        if word.kind == "number":
            self.place += 1
            self.steps.append(word.size)
        elif word.kind == "name":
            self.place += 1
            self.named(word)
        elif bracket := self.takes("("):
            self.sum()
            self.close(bracket)
        else:
            raise self.unexpected()

    def named(self, word: _Word) -> None:
        bracket = self.takes("(")
        if bracket is None:
            self.steps.append(word.text.upper())
            return
        function = FUNCTIONS.get(word.text.lower())
        if function is None:
            raise refused(f"There is no function {quote(word.text)} at character {word.at}: {', '.join(FUNCTIONS)}.")
        self.sum()
        taken = 1
        while self.takes(","):
            self.sum()
            taken += 1
        self.close(bracket)
        if not function.least <= taken <= function.most:
            raise refused(f"{function.name} at character {word.at} takes {function.most} and was given {taken}.")
        self.steps.append(Apply(function, taken, word.at))

    def close(self, bracket: _Word) -> None:
        if not self.takes(")"):
            if self.word.kind == "end":
                raise refused(f"The parenthesis at character {bracket.at} is not closed.")
            raise self.unexpected()

    def unexpected(self) -> BadInput:
        word = self.word
        if word.kind == "end":
            return refused("It ends where a number or a name is expected.")
        if word.text == ")":
            return refused(f"The parenthesis at character {word.at} closes nothing.")
        return refused(f"{quote(word.text)} at character {word.at} is not expected there.")


def _words(text: str) -> Iterator[_Word]:
    at = 0
    while at < len(text):
        if text[at].isspace():
            at += 1
            continue
        if found := _NUMBER.match(text, at):
            yield _Word("number", found[0], at + 1, _size(found))
        elif found := _NAME.match(text, at):
            yield _Word("name", found[0], at + 1)
        elif text[at] in _SIGNS:
            yield _Word("sign", text[at], at + 1)
            at += 1
            continue
        else:
            raise refused(f"{quote(text[at])} at character {at + 1} is no arithmetic.")
        at = found.end()
    yield _Word("end", "", len(text) + 1)


def _size(found: re.Match[str]) -> float:
    letter, decimals = found[1], found[2]
    if not letter:
        return float(found[0])
    whole = found[0].partition(letter)[0]
    if decimals and "." in whole:
        raise refused(f"{quote(found[0])} at character {found.start() + 1} has two points.")
    return float(f"{whole}{f'.{decimals}' if decimals else ''}e{PREFIXES[letter]}")


def come_to(formula: Formula, values: Mapping[str, float]) -> float:
    """What a formula comes to with these values by name.

    Raises BadInput for a name that is not among them, for a division by nothing, and for what is no finite number.

    >>> come_to(read_formula("-t / (R*C)"), {"T": 1.0, "R": 1e6, "C": 1e-6})
    -1.0
    """
    return _steps_done(formula, values, ())[0]


def slopes(formula: Formula, values: Mapping[str, float], names: Sequence[str]) -> tuple[float, ...]:
    """How much it changes with each of these names, there: its partial derivatives, by the chain rule, exactly.

    >>> slopes(read_formula("A * A * B"), {"A": 3.0, "B": 2.0}, ["A", "B"])
    (12.0, 9.0)
    """
    return _steps_done(formula, values, tuple(names))[1]


_Grown = tuple[float, tuple[float, ...]]


def _steps_done(formula: Formula, values: Mapping[str, float], names: tuple[str, ...]) -> _Grown:
    """Each value with its slopes by the names: forward differentiation, as with dual numbers."""
    stack: list[_Grown] = []
    flat = (0.0,) * len(names)
    for step in formula.steps:
        if isinstance(step, Apply):
            taken = stack[-step.taken :]
            del stack[-step.taken :]
            stack.append(_applied(step, taken, names))
        elif isinstance(step, str):
            if step not in values:
                raise refused(f"{step} is not known.")
            stack.append((values[step], tuple(float(name == step) for name in names)))
        else:
            stack.append((step, flat))
    out, grown = stack[-1]
    if not (math.isfinite(out) and all(map(math.isfinite, grown))):
        raise refused("It does not come to a finite number.")
    return out, grown


def _applied(step: Apply, taken: Sequence[_Grown], names: tuple[str, ...]) -> _Grown:
    given = [value for value, _ in taken]
    try:
        out = step.function.work(*given)
        if isinstance(out, complex):
            raise refused(f"The root of what is less than nothing is asked for at character {step.at}.")
        if not names:
            return out, ()
        by = step.function.slopes(given, out)
        return out, tuple(sum(by[of] * taken[of][1][at] for of in range(len(taken))) for at in range(len(names)))
    except ZeroDivisionError:
        raise refused(f"It divides by zero at character {step.at}.") from None
    except OverflowError:
        raise refused(f"It grows beyond all bounds at character {step.at}.") from None
    except ValueError:
        raise refused(f"{step.function.name} at character {step.at} cannot take that.") from None


def refused(why: str) -> BadInput:
    """The one way in which a formula is refused."""
    return BadInput("The formula was not understood.", why, MEND)
