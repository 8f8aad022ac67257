"""What may be odd about a delivery, and how each is settled: common practice of buying."""

from __future__ import annotations

# The ways to settle what came otherwise than ordered; the first is the usual one.
SETTLED_AS: dict[str, tuple[str, ...]] = {
    "short": ("reorder", "as ordered", "credit", "written off"),
    "wrong": ("reorder", "credit", "accepted", "written off"),
    "replaced": ("accepted", "reorder", "credit", "written off"),
    "damaged": ("reorder", "credit", "accepted", "written off"),
    "over": ("sent back", "accepted"),
    "price": ("accepted", "credit"),
    "returned": ("credit", "reorder", "written off"),
}
