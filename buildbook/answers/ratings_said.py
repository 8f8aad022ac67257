"""How a part stands against its rating, in words: "300 of 450 V DC, 67 %: fits, 80 % may be used"."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from buildbook.reckon.ratings import Place, Verdict, Weighed
from buildbook.trade.amounts import show_amount
from buildbook.trade.bearing import AC, DC, MICRO, REVERSE, show_bearing
from buildbook.trade.derating import show_share

FIGURES = 3
HIGHEST_SHARE = 1.0


def line_said(place: Place, weighed: Sequence[str]) -> str:
    """How a part in its place stands: all that was weighed, the worst first, and what could not be."""
    if not weighed:
        return "what it bears is not stated"
    said = "; ".join(weighed)
    volts = [what for what in (DC, AC, REVERSE) if what in place.stresses]
    limited = DC in place.ratings or AC in place.ratings
    open_yet = place.kind == "resistor" and place.ohms and volts and not limited
    return f"{said}; its own highest voltage is not stated" if open_yet else said


def weighed_said(one: Weighed, place: Place, doubt: str) -> tuple[str, str]:
    """The arithmetic of one load against one rating, and how it stands."""
    return _how(one, place), _said(one, doubt)


def _said(one: Weighed, doubt: str) -> str:
    if one.load is None:
        return f"its {one.what} are not stated"
    load = show_bearing(one.what, one.load, figures=FIGURES)
    if one.rating is None or one.share is None:
        return f"{load}: what it is made for is not stated{f', {doubt}' if doubt else ''}"
    rating = show_bearing(one.what, one.rating, figures=FIGURES)
    said = f"{load} of {rating}, {ceil(round(100 * one.share, 6))} %: {one.verdict.value}"
    if one.verdict is Verdict.FITS:
        return said
    if one.wants is None:
        return f"{said}, which its watts allow"
    wants = f"wants {show_bearing(one.what, _up(one.wants))}"
    if one.allowed == HIGHEST_SHARE:
        return f"{said}, {wants}"
    return f"{said}, {wants} where {show_share(one.allowed)} is used at most"


def _up(micro: int) -> int:
    """Rounded up to three figures: what is asked for is never less than what is wanted."""
    step = int(10 ** max(0, len(str(micro)) - FIGURES))
    return -(-micro // step) * step


def _how(one: Weighed, place: Place) -> str:
    """The load, by what it was worked out from; the rating, and how much of it may be used."""
    terms = []
    if one.by and place.ohms and one.load is not None:
        what, micro = one.by
        ohms, power = show_amount(place.ohms, "Ω"), show_bearing(one.what, one.load, figures=FIGURES)
        size = show_bearing(what, micro)
        terms.append(f"({size})² x {ohms} = {power}" if what == "amps" else f"({size})² / {ohms} = {power}")
    watts = place.ratings.get("watts")
    if one.from_watts and place.ohms and watts is not None and one.rating is not None:
        limit = show_bearing(one.what, one.rating, figures=FIGURES)
        terms.append(f"highest voltage √({show_bearing('watts', watts)} x {show_amount(place.ohms, 'Ω')}) = {limit}")
    if one.load is not None and one.rating is not None and one.share is not None:
        terms.append(f"{one.load / MICRO:.4g} / {one.rating / MICRO:.4g} = {100 * one.share:.1f} %")
    if one.load is not None and one.wants is not None and one.allowed < HIGHEST_SHARE:
        wants = show_bearing(one.what, _up(one.wants))
        terms.append(f"{show_share(one.allowed)} is used at most, so it wants {wants}")
    return "; ".join(terms)
