"""Two parts that turn out to be one: everything goes to the one that stays, and the other name is remembered."""

from __future__ import annotations

from sqlmodel import col, select

from buildbook.actions.incoming import Remembered, remember
from buildbook.actions.offers import remove_offer
from buildbook.actions.rows import remove, the
from buildbook.errors import BadInput, Forbidden
from buildbook.reckon.average import Pile, issue
from buildbook.store import ledger
from buildbook.store.journal import Work, action, table_of
from buildbook.store.ledger import Move
from buildbook.store.read import kitting
from buildbook.store.read.naming import PartNamed, find_part
from buildbook.store.tables import (
    Attachment,
    Balance,
    DeliveryLine,
    Entry,
    Line,
    Offer,
    Part,
    PartAlias,
    PartRating,
    PurchaseLine,
    StandIn,
    Worth,
)
from buildbook.store.workshop import Workshop


def merge(shop: Workshop, part: str, into: str) -> str:
    """Make `part` one with `into`: stock with its worth, lines, offers, orders, stand-ins, names; return the key kept.

    Pieces of it whose price nobody knows take the average of the other, as in any receipt. Movements stay in the ledger
    as they were. Raises Forbidden while a build holds (or has lost) some of it, since that is what was really fitted.
    """
    old, new = find_part(shop, part), find_part(shop, into)
    if old.id == new.id:
        raise BadInput("Nothing was merged.", f"Both names mean {new.key}.", "Name another part.")
    if old.unit != new.unit:
        raise Forbidden(
            f"{old.key} was not merged into {new.key}.",
            f"One is counted in {old.unit}, the other in {new.unit}.",
            "Change the unit of the one that has not been used.",
        )
    with action(shop, f"Merge {old.key} into {new.key}") as work:
        if holders := kitting.holders_of_part(shop.reads, old.id):
            mend = "Undo the kitting and fitting."
            if not kitting.holders_of_part(shop.reads, new.id):
                mend = f"Merge {new.key} into {old.key} instead, or undo the kitting and fitting."
            raise Forbidden(
                f"{old.key} was not merged into {new.key}.",
                f"{' and '.join(holders)} took some of {old.key} and keep{'s' * (len(holders) == 1)} it on record.",
                mend,
            )
        _move_stock(work, old, new)
        for model in (Line, PurchaseLine, DeliveryLine, PartAlias, Entry, Attachment):
            for row in work.exec(select(model).where(table_of(model).c.part_id == old.id)):
                row.part_id = new.id
        _move_offers(work, old.id, new.id)
        _move_stand_ins(work, old.id, new.id)
        _move_ratings(work, old.id, new.id)
        work.flush()
        remember(work, Remembered(aliases={old.key: new.key}))
        remove(work, the(work, Part, old.id))
    return new.key


def _move_stock(work: Work, old: PartNamed, new: PartNamed) -> None:
    """Count the one out of its bins and the other into them, the value of the priced pieces with them."""
    columns = select(Worth.qty, Worth.unpriced_qty, Worth.value_micros)
    pile = Pile(*(work.exec(columns.where(col(Worth.part_id) == old.id)).first() or ()))
    outs, unpriced, priced = [], [], []
    into = f"Merged into {new.key}"
    out_of = f"Merged from {old.key}"
    bins = select(Balance.bin_id, Balance.qty).where(col(Balance.part_id) == old.id)
    for place, qty in work.exec(bins.order_by(col(Balance.bin_id))).all():
        pile, change = issue(pile, qty)
        outs.append(Move("counted", old.id, place, -qty, note=into))
        without, value = -change.unpriced_qty, -change.value_micros
        if without:
            unpriced.append(Move("counted", new.id, place, without, note=out_of))
        if qty > without:
            priced.append(Move("counted", new.id, place, qty - without, value_micros=value, note=out_of))
    if outs:
        # Those without a price go first: they take the average of the other part, not that of the pieces beside them.
        ledger.post(work, [*outs, *unpriced, *priced])


def _move_offers(work: Work, old: int, new: int) -> None:
    """Hand over the offers; one that the other part has already from the same supplier is dropped."""
    known = {(row.supplier_id, row.order_code) for row in work.exec(select(Offer).where(col(Offer.part_id) == new))}
    for offer in work.exec(select(Offer).where(col(Offer.part_id) == old)).all():
        if (offer.supplier_id, offer.order_code) in known:
            remove_offer(work, offer)
        else:
            offer.part_id = new


def _move_ratings(work: Work, old: int, new: int) -> None:
    """Hand over what it is made for; where the other part has its own figure, that one stays."""
    known = set(work.exec(select(PartRating.what).where(col(PartRating.part_id) == new)))
    for row in work.exec(select(PartRating).where(col(PartRating.part_id) == old)).all():
        if row.what in known:
            work.delete(row)
        else:
            row.part_id = new


def _move_stand_ins(work: Work, old: int, new: int) -> None:
    """Hand over the approvals, both ways; those known already, and of the part for itself, are dropped."""
    both = (col(StandIn.part_id).in_((old, new))) | (col(StandIn.alt_id).in_((old, new)))
    rows = work.exec(select(StandIn).where(both)).all()
    known = {(row.part_id, row.alt_id) for row in rows if old not in (row.part_id, row.alt_id)}
    doubles = []
    for row in rows:
        if old not in (row.part_id, row.alt_id):
            continue
        pair = (new if row.part_id == old else row.part_id, new if row.alt_id == old else row.alt_id)
        if pair in known or pair[0] == pair[1]:
            doubles.append(row)
        else:
            known.add(pair)
            row.part_id, row.alt_id = pair
    for row in doubles:
        work.delete(row)
    work.flush()
