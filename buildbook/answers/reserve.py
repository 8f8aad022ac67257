"""What a build has spoken for: what may be kitted for it without taking from a build that comes before."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from buildbook.answers.form import join_words
from buildbook.answers.standing import stand
from buildbook.reckon.reserve import Reserve, reserve
from buildbook.store.read.boards import named_lines
from buildbook.trade.units import Unit, show_quantity

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop


def reserve_of(shop: Workshop, build: str) -> Reserve:
    """What the build of that code may take from the drawers, every build before it served first."""
    standing = stand(shop)
    codes = {one.id: one.code for one in standing.builds}
    pairs = zip(standing.needs, standing.shares, strict=True)
    return reserve(((codes[need.build], share) for need, share in pairs), build)


def left_in_words(shop: Workshop, left: Iterable[tuple[int, int]], reserve: Reserve) -> str:
    """What was left for other builds, as (line, base units): "2 of V-ECH81, spoken for by CURLEW"."""
    lying = list(left)
    lines = named_lines(shop.reads, [line for line, _ in lying])
    sums: dict[int, int] = {}
    for number, qty in lying:
        sums[lines[number].part] = sums.get(lines[number].part, 0) + qty
    parts = {line.part: line for line in lines.values()}
    said = []
    for part, qty in sums.items():
        others = join_words(list(reserve.others.get(part, ())))
        said.append(f"{show_quantity(qty, Unit(parts[part].unit))} of {parts[part].key}, spoken for by {others}")
    return "; ".join(said)
