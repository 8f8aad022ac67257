"""Proof that deliveries, orders and the ledger tell the same story."""

from __future__ import annotations

import sqlite3

from buildbook.store.evidence import Evidence, count_of, many, texts

# What a parcel tells closes so much of a row, and brings so much into stock. Rows that began to arrive before parcels
# were told of are left out.
TOLD = """
    WITH told AS (
        SELECT purchase_line_id AS line, min(d.at) AS since,
               sum(CASE WHEN what = 'received' THEN m.qty
                        WHEN what IN ('short', 'wrong', 'replaced', 'damaged')
                             AND settled IN ('credit', 'written off') THEN m.qty
                        WHEN what IN ('wrong', 'replaced', 'damaged') AND settled = 'accepted' THEN m.qty
                        WHEN what = 'returned' AND settled = 'reorder' THEN -m.qty ELSE 0 END) AS closed,
               sum(CASE WHEN what = 'received' THEN m.qty
                        WHEN what IN ('wrong', 'replaced', 'damaged', 'over') AND settled = 'accepted' THEN m.qty
                        WHEN what = 'returned' THEN -m.qty ELSE 0 END) AS came
          FROM delivery_line AS m JOIN delivery AS d ON d.id = m.delivery_id
         GROUP BY purchase_line_id
    ), moved AS (
        SELECT purchase_line_id AS line, sum(bin_qty) AS qty,
               min(at) FILTER (WHERE kind <> 'reversed'
                                 AND id NOT IN (SELECT reverses_id FROM movement WHERE reverses_id > 0)) AS since
          FROM movement WHERE purchase_line_id IS NOT NULL GROUP BY purchase_line_id
    )
    SELECT printf('row %d of order %s: %d closed, %d by its parcels; %d in the ledger, %d by its parcels',
                  l.id, p.ref, l.received_qty, told.closed, coalesce(moved.qty, 0), told.came)
      FROM told JOIN purchase_line AS l ON l.id = told.line JOIN purchase AS p ON p.id = l.purchase_id
      LEFT JOIN moved ON moved.line = told.line
     WHERE coalesce(moved.since >= told.since, 1)
       AND (l.received_qty <> told.closed OR coalesce(moved.qty, 0) <> told.came)
"""


def deliveries_agree(db: sqlite3.Connection) -> Evidence:
    """What parcels tell is what the orders count as closed, and what the ledger took in."""
    told = count_of(db, "SELECT count(*) FROM delivery_line")
    parcels = many(count_of(db, "SELECT count(*) FROM delivery"), "parcel")
    return Evidence(f"{many(told, 'line')} of {parcels} agree with the orders and the ledger.", texts(db, TOLD))
