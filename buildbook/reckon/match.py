"""Which part of ours a row of a foreign list means, and how sure that is.

A key, a remembered name, an order code or a maker's number says it outright. A resistor, capacitor or coil is found by
its value: the same amount, the same package, ratings at least as good. Anything else is found by its type as it is
written. Where two parts would do equally well, or one only nearly, a person chooses: nothing is guessed.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from difflib import SequenceMatcher
from functools import cached_property, lru_cache
from typing import Literal, NamedTuple, TypeAlias

from buildbook.trade.kinds import KINDS, read_package
from buildbook.trade.marking import Tolerance
from buildbook.trade.values import Ambiguous, NotAValue, Value, worse_because, write

How: TypeAlias = Literal["key", "alias", "number", "value", "name", "near", "none"]

_MOST_CANDIDATES = 8
_MOST_SIMILAR = 5
_LEAST_LIKENESS = 0.7
# Similar names are looked for among this many neighbours in the alphabet on either side, with two letters in common.
_NEIGHBOURS = 5
_SHARED_LETTERS = 2
_LONGEST_SPELT = 60
_LEFT_OUT = dict.fromkeys(map(ord, " -_\t\u00a0\u2010\u2011\u2012\u2013\u2212"))


@dataclass(frozen=True, slots=True)
class Known:
    """A part of ours with everything that it is called; `value` is None where it has none that can be read."""

    part: int
    key: str
    kind: str
    name: str = ""
    value: Value | None = None
    package: str = ""
    maker_number: str = ""
    order_codes: tuple[str, ...] = ()
    aliases: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a row says of its part; `text` is the value or type as written, `kind` is empty when nobody knows it.

    `said` is the whole of it in one piece, as a person may have answered it once.
    """

    row: int
    key: str = ""
    said: str = ""
    kind: str = ""
    text: str = ""
    value: Value | Ambiguous | NotAValue | None = None
    package: str = ""
    maker_number: str = ""
    order_code: str = ""
    name: str = ""


class Candidate(NamedTuple):
    """A part that may be meant, and in words why it was not simply taken."""

    part: int
    why_not: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Match:
    """The part that a row means and by what it was found; for "near" and "none" no part, but perhaps candidates."""

    row: int
    how: How
    part: int | None
    candidates: tuple[Candidate, ...] = ()


class _Found(NamedTuple):
    """A match before it is known for which row."""

    how: How
    part: int | None
    candidates: tuple[Candidate, ...] = ()


class _Judged(NamedTuple):
    """A part of the right amount, and what speaks against it."""

    known: Known
    value: Value
    why_not: tuple[str, ...]


_Index: TypeAlias = dict[str, list[int]]
_Shelves: TypeAlias = dict[Hashable, list[Known]]
_Rank: TypeAlias = tuple[bool, bool, bool, Decimal, Decimal]


class Catalogue:
    """All parts of a workshop, laid out so that any number of rows can be matched quickly.

    >>> from buildbook.trade.values import read
    >>> ours = Catalogue([Known(7, "R-4K7", "resistor", value=read("4k7 1% 0.6W", "R"), package="axial")])
    >>> ours.match(Wanted(row=2, kind="resistor", text="4.7 kohm 5%", value=read("4.7 kohm 5%", "R")))
    Match(row=2, how='value', part=7, candidates=())
    """

    def __init__(self, parts: Iterable[Known]) -> None:
        self._parts = {known.part: known for known in parts}
        self._alphabets: dict[str, list[tuple[str, str, int]]] = {}
        self._likes: dict[tuple[str, str], _Found] = {}

    def match(self, wanted: Wanted) -> Match:
        """Tell which part a row means: by key, remembered name, number, value or type, in this order."""
        found = (
            self._by_key(wanted)
            or self._by_number(wanted)
            or self._by_value(wanted)
            or self._by_type(wanted)
            or self._by_likeness(wanted)
        )
        return Match(wanted.row, *found)

    # Each index is laid out when it is first asked for: a list that names all parts by key needs no other.

    @cached_property
    def _keys(self) -> _Index:
        return _index((_fold_name(known.key), known.part) for known in self._parts.values())

    @cached_property
    def _aliases(self) -> _Index:
        named = (known for known in self._parts.values() if known.aliases)
        return _index((_fold_name(alias), known.part) for known in named for alias in known.aliases)

    @cached_property
    def _numbers(self) -> _Index:
        numbers = ((known.part, (known.maker_number, *known.order_codes)) for known in self._parts.values())
        return _index((_fold_number(number), part) for part, some in numbers for number in some if number)

    @cached_property
    def _types(self) -> _Index:
        texts = (
            (known.part, (known.key, known.name, known.maker_number, *known.aliases)) for known in self._parts.values()
        )
        return _index((_fold_number(text), part) for part, some in texts for text in some if text)

    @cached_property
    def _packages(self) -> set[str]:
        return {_package_key(package) for package in {known.package for known in self._parts.values()}} - {""}

    @cached_property
    def _amounts(self) -> _Shelves:
        valued = ((known.value, known) for known in self._parts.values() if known.value)
        return _shelved(((value.kind, value.amount), known) for value, known in valued)

    @cached_property
    def _exact(self) -> _Shelves:
        valued = ((known.value, known) for known in self._parts.values() if known.value)
        return _shelved(((_grade(value), _package_key(known.package)), known) for value, known in valued)

    def _by_key(self, wanted: Wanted) -> _Found | None:
        key = _fold_name(wanted.key)
        if parts := self._keys.get(key):
            # Letters that only a human eye takes for the same (ß, ss) may tell two keys apart.
            return self._settled("key", [one for one in parts if self._parts[one].key == wanted.key] or parts, wanted)
        called = self._aliases.get(key) or self._aliases.get(_fold_name(wanted.said)) or []
        return self._settled("alias", called, wanted)

    def _by_number(self, wanted: Wanted) -> _Found | None:
        """Find by order code and maker's number; where they lead to different parts, a person chooses."""
        ordered = self._numbers.get(_fold_number(wanted.order_code), []) if wanted.order_code else []
        made: list[int] = []
        if wanted.maker_number:
            number = _fold_number(wanted.maker_number)
            made = self._numbers.get(number) or self._types.get(number, [])
        both = [part for part in ordered if part in made]
        return self._settled("number", both or list(dict.fromkeys([*ordered, *made])), wanted)

    def _by_value(self, wanted: Wanted) -> _Found | None:
        if isinstance(wanted.value, Value):
            return self._by_reading(wanted, wanted.value)
        if isinstance(wanted.value, Ambiguous):
            return self._by_readings(wanted, wanted.value)
        return None

    def _by_reading(self, wanted: Wanted, value: Value) -> _Found | None:
        """Find by one reading of the value; a package may stand behind it, in the same cell."""
        package = wanted.package
        if not package and value.rest and _package_key(value.rest) in self._packages:
            package = value.rest
        return self._best_fit(wanted.kind, value, package)

    def _by_readings(self, wanted: Wanted, value: Ambiguous) -> _Found | None:
        """Gather what each reading would lead to; which one is meant only a person can say."""
        candidates: dict[int, Candidate] = {}
        for reading in value.readings:
            found = self._by_reading(wanted, reading)
            condition = f"if {value.text} means {write(reading)}"
            if found and found.part is not None:
                candidates.setdefault(found.part, Candidate(found.part, (condition,)))
            for one in found.candidates if found else ():
                candidates.setdefault(one.part, Candidate(one.part, (condition, *one.why_not)))
        return _Found("near", None, tuple(candidates.values())[:_MOST_CANDIDATES]) if candidates else None

    def _best_fit(self, kind: str, value: Value, package: str) -> _Found | None:
        key = _package_key(package)
        exact = [one for one in self._exact.get((_grade(value), key), ()) if not kind or one.kind == kind]
        if len(exact) == 1 and not value.rest:
            return _Found("value", exact[0].part)
        # What is exactly as asked for is the tightest there can be: the rest need not be judged then.
        alike = self._amounts.get((value.kind, value.amount), ())
        return _tightest(_judged(exact, kind, value, package), value, key) or _best_of(
            _judged(alike, kind, value, package), value, key
        )

    def _by_type(self, wanted: Wanted) -> _Found | None:
        parts = self._types.get(_fold_number(_type_said(wanted)), ())
        alike = [part for part in parts if not _other_package(self._parts[part].package, wanted.package)]
        if parts and not alike:
            packed = ((part, _other_package(self._parts[part].package, wanted.package)) for part in sorted(parts))
            return _Found("near", None, tuple(Candidate(*one) for one in packed)[:_MOST_CANDIDATES])
        return self._settled("name", alike, wanted)

    def _settled(self, how: How, parts: Sequence[int], wanted: Wanted) -> _Found | None:
        """Take the only part, or the only one of the kind wanted; several are left to a person."""
        if len(parts) > 1:
            parts = [part for part in parts if self._parts[part].kind == wanted.kind] or parts
        if len(parts) == 1:
            return _Found(how, parts[0])
        why_not = ("others are called the same",)
        candidates = tuple(Candidate(part, why_not) for part in sorted(parts)[:_MOST_CANDIDATES])
        return _Found("near", None, candidates) if candidates else None

    def _by_likeness(self, wanted: Wanted) -> _Found:
        """Find what is spelt nearly the same among parts of the kind; a value that is understood has no spelling."""
        asked = (wanted.kind, _type_said(wanted))
        if isinstance(wanted.value, Value | Ambiguous):
            return _Found("none", None)
        if asked not in self._likes:
            best = self._spelt_like(*asked)
            self._likes[asked] = _Found("near" if best else "none", None, tuple(best))
        return self._likes[asked]

    def _spelt_like(self, kind: str, text: str) -> list[Candidate]:
        folded = _fold_number(text)[:_LONGEST_SPELT]
        if len(folded) <= _SHARED_LETTERS:
            return []
        alphabet = self._alphabet(kind)
        place = bisect_left(alphabet, (folded, "", 0))
        spelling = SequenceMatcher(None, b=folded, autojunk=False)
        scores: dict[int, tuple[float, Candidate]] = {}
        for near, spelt, part in alphabet[max(0, place - _NEIGHBOURS) : place + _NEIGHBOURS]:
            spelling.set_seq1(near)
            if near[:_SHARED_LETTERS] == folded[:_SHARED_LETTERS] and spelling.ratio() >= _LEAST_LIKENESS:
                scores.setdefault(part, (-spelling.ratio(), Candidate(part, (f"{spelt}, {text} wanted",))))
        return [candidate for _, candidate in sorted(scores.values())[:_MOST_SIMILAR]]

    def _alphabet(self, kind: str) -> list[tuple[str, str, int]]:
        """All names of parts of a kind (of all parts, when it is not known), folded, in order."""
        if kind not in self._alphabets:
            self._alphabets[kind] = sorted(
                {
                    (_fold_number(text)[:_LONGEST_SPELT], text, known.part)
                    for known in self._parts.values()
                    if not kind or known.kind == kind
                    for text in (known.key, known.name, known.maker_number)
                    if text
                }
            )
        return self._alphabets[kind]


def _index(entries: Iterable[tuple[str, int]]) -> _Index:
    """The parts of each name, each once, in order."""
    found: _Index = {}
    for text, part in entries:
        parts = found.get(text)
        if parts is None:
            found[text] = [part]
        elif part != parts[-1]:
            parts.append(part)
    found.pop("", None)
    return found


def _shelved(entries: Iterable[tuple[Hashable, Known]]) -> _Shelves:
    """The parts of each sort."""
    found: _Shelves = {}
    for sort, known in entries:
        found.setdefault(sort, []).append(known)
    return found


def _fold_name(text: str) -> str:
    """A key or a name without regard to capitals and to how many blanks it has."""
    return " ".join(text.casefold().split())


def _fold_number(text: str) -> str:
    """A number or a type in capitals, without blanks and dashes."""
    return text.upper().translate(_LEFT_OUT)


def _type_said(wanted: Wanted) -> str:
    """The type or name that a row gives; the mere word for a kind of part says nothing."""
    text = wanted.text or wanted.name
    return "" if _fold_name(text) in KINDS else text


@lru_cache(maxsize=4096)
def _package_key(package: str) -> str:
    return read_package(package).key


def _other_package(have: str, want: str) -> tuple[str, ...]:
    if have and want and _package_key(have) != _package_key(want):
        return (f"package {have}, {want} wanted",)
    return ()


def _grade(value: Value) -> Hashable:
    """All that a value says, but for words that were not understood."""
    return value.kind, value.amount, value.tolerance, value.volts, value.watts, value.amps, value.material


def _judged(parts: Iterable[Known], kind: str, want: Value, package: str) -> list[_Judged]:
    """Tell of the parts of a kind what speaks against each."""
    return [
        _Judged(known, known.value, (*worse_because(known.value, want), *_other_package(known.package, package)))
        for known in parts
        if known.value and (not kind or known.kind == kind)
    ]


def _tightest(judged: Iterable[_Judged], want: Value, package: str) -> _Found | None:
    """Take the part that will do and is least over-rated; where several tie, a person chooses."""
    ranked = [(_rank(one, want, package), one.known.part) for one in judged if not one.why_not]
    if not ranked:
        return None
    best = min(ranked)[0]
    tied = sorted(part for rank, part in ranked if rank == best)
    if len(tied) == 1:
        return _Found("value", tied[0])
    why_not = ("another one fits as well",)
    return _Found("near", None, tuple(Candidate(part, why_not) for part in tied[:_MOST_CANDIDATES]))


def _best_of(judged: list[_Judged], want: Value, package: str) -> _Found | None:
    """Take the tightest part, or offer those that nearly do."""
    if (found := _tightest(judged, want, package)) or not judged:
        return found
    nearest = sorted(judged, key=lambda one: (len(one.why_not), one.known.part))[:_MOST_CANDIDATES]
    return _Found("near", None, tuple(Candidate(one.known.part, one.why_not) for one in nearest))


def _rank(one: _Judged, want: Value, package: str) -> _Rank:
    """Order the parts that will do: the package named, exactly as asked for, the material named, least over-rated.

    What was not asked for makes a part no better and no worse.
    """
    have = one.value
    pairs = ((have.volts, want.volts), (have.watts, want.watts), (have.amps, want.amps))
    over_rating = sum((has / needs for has, needs in pairs if has and needs), Decimal(0))
    return (
        _package_key(one.known.package) != package,
        _grade(have) != _grade(want),
        bool(want.material) and have.material != want.material,
        over_rating,
        _narrower(have.tolerance, want.tolerance),
    )


def _narrower(has: Tolerance | None, needs: Tolerance | None) -> Decimal:
    """By how much a tolerance is narrower than asked for, where the two can be compared."""
    if has is None or needs is None or has.unit != needs.unit:
        return Decimal(0)
    return needs.minus + needs.plus - has.minus - has.plus
