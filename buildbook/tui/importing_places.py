"""The two places of a list on its way in: its columns, with examples, and its rows, with what each would mean."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar

from buildbook.errors import BadInput
from buildbook.tui.desk import Desk
from buildbook.tui.importing_columns import columns_view, understand
from buildbook.tui.importing_list import PARTS, PRICES, STOCK, Incoming, ListPlace, incoming_of
from buildbook.tui.importing_mapping import change_column, leave_column, other_sheet
from buildbook.tui.importing_rows import meant, meant_lines, rows_view
from buildbook.tui.importing_settling import another_part, enter_row, go_on, new_parts, skip_row, take_in
from buildbook.tui.place import Place, Verb
from buildbook.tui.rows import Line, Row, View

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop


def show_columns(desk: Desk, incoming: Incoming) -> None:
    """Show the columns of a list."""
    show(desk, COLUMNS_OF[incoming.purpose](incoming))


def show(desk: Desk, place: Place) -> None:
    """Show the columns or the rows, instead of the other if that is shown."""
    panel = desk.frame.panel
    if isinstance(panel.place, ListPlace):
        panel.go_out()
    desk.frame.go_in(place)


async def to_rows(desk: Desk) -> None:
    """On to the rows."""
    incoming = incoming_of(desk)
    show(desk, ROWS_OF[incoming.purpose](incoming))


async def to_columns(desk: Desk) -> None:
    """Back to the columns."""
    show_columns(desk, incoming_of(desk))


class Columns(ListPlace):
    """The columns of a list: what each heading is read as, with examples."""

    QUESTION: ClassVar[str] = "What do the columns of this list mean?"
    verbs: ClassVar[tuple[Verb, ...]] = (
        Verb("space", "go on", "see what each row would mean", to_rows, on_row=False),
        Verb("enter", "change", "say what the column is", change_column),
        Verb("d", "leave out", "read nothing from the column", leave_column),
        Verb("I", "rows", "see what each row would mean", to_rows, on_row=False, foot=False),
        Verb("", "sheet", "read another sheet of the workbook", other_sheet, on_row=False, foot=False),
    )

    def ask(self, shop: Workshop, build: str | None) -> View:
        """Every heading of the file."""
        try:
            self.incoming.columns = now = understand(shop, self.incoming)
        except BadInput as error:
            return View(f"{error} Esc leaves it.")
        return columns_view(self.incoming, now)


class Rows(ListPlace):
    """The rows of a list: what each would mean, what is at fault, what is to be settled."""

    QUESTION: ClassVar[str] = "What would each row of this list mean?"
    verbs: ClassVar[tuple[Verb, ...]] = (
        Verb("space", "next", "settle the next question; when none is left, take the list in", go_on, on_row=False),
        Verb("C", "columns", "see the columns, and change what they mean", to_columns, on_row=False),
        Verb("I", "take in", "take the list in, as one action", take_in, on_row=False),
        Verb("enter", "settle", "settle a question; fold any other row open", enter_row, on_row=False),
        Verb("a", "new parts", "make new parts of what nothing known comes near, or ask", new_parts, on_row=False),
        Verb("v", "change", "say that the row means another part", another_part),
        Verb("d", "skip", "skip the row, and others that say the same", skip_row),
    )

    def ask(self, shop: Workshop, build: str | None) -> View:
        """Every row of the file, as it would be taken in."""
        if self.incoming.written:
            return View("")
        found = self.incoming.find(shop)
        if found.plan is None:
            return View(f"{found.trouble} Nothing is written. C shows the columns, esc leaves it.")
        return rows_view(self.incoming, found.plan)

    def unfold(self, shop: Workshop, build: str | None, row: Row) -> Sequence[Line]:
        """All about a row."""
        one = meant(row)
        return meant_lines(one) if one else row.fold or ()

    def why(self, shop: Workshop, build: str | None, row: Row) -> Sequence[Line]:
        """All about a row."""
        return self.unfold(shop, build, row)


class PartsColumns(Columns):
    """Those of a parts list, within Boards."""

    KEY: ClassVar[str] = "2"


class StockColumns(Columns):
    """Those of a stock list, within Stores."""

    KEY: ClassVar[str] = "3"


class PriceColumns(Columns):
    """Those of a price list, within Buying."""

    KEY: ClassVar[str] = "4"


class PartsRows(Rows):
    """Those of a parts list, within Boards."""

    KEY: ClassVar[str] = "2"


class StockRows(Rows):
    """Those of a stock list, within Stores."""

    KEY: ClassVar[str] = "3"


class PriceRows(Rows):
    """Those of a price list, within Buying."""

    KEY: ClassVar[str] = "4"


COLUMNS_OF = {PARTS: PartsColumns, STOCK: StockColumns, PRICES: PriceColumns}
ROWS_OF = {PARTS: PartsRows, STOCK: StockRows, PRICES: PriceRows}
