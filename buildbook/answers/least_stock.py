"""What lacks to the stock that is always to be there, beside all that the builds need."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from buildbook.answers.buying import Shortage, ShortRow
from buildbook.answers.form import count_of
from buildbook.answers.standing import left_free, stand
from buildbook.store.read import order_plan as read
from buildbook.store.read import standing as read_standing

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop


def lacking(shop: Workshop) -> dict[int, int]:
    """How much of each part lacks to its least stock: what is free, or coming for nobody, counts towards it."""
    least = read.least_stock(shop.reads)
    if not least:
        return {}
    free, coming = left_free(shop), dict.fromkeys(least, 0)
    for row in read_standing.coming(shop.reads):
        if row.part in coming:
            coming[row.part] += row.qty
    coming |= {part: qty for part, qty in stand(shop, parts=set(least)).coming_free.items() if part in coming}
    lacks = {part: qty - free.get(part, 0) - coming[part] for part, qty in least.items()}
    return {part: lack for part, lack in lacks.items() if lack > 0}


def with_least_stock(shop: Workshop, answer: Shortage) -> Shortage:
    """What is short, and what lacks to the least stock: in the rows that are there, and in rows of their own below."""
    lacks = lacking(shop)
    rows = [replace(row, keep_short=lacks.get(row.part, 0)) for row in answer.rows]
    others = {part: lack for part, lack in lacks.items() if part not in {row.part for row in rows}}
    free = left_free(shop)
    rows += [
        ShortRow(*part, 0, 0, 0, free.get(part.id, 0), 0, free.get(part.id, 0), 0, 0, "", 0, others[part.id])
        for part in sorted(read_standing.named(shop.reads, others), key=lambda part: part.key)
    ]
    said = f"{count_of(len(lacks), 'part')} below the least stock" if lacks else "all least stock is there"
    return replace(answer, sentence=f"{answer.sentence.removesuffix('.')}; {said}.", rows=tuple(rows))
