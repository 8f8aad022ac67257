"""What the command line prints on paper: the bench copy of a board, the quotation for a build, labels for bins."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from buildbook.cli.frame import AssemblyCode, BuildCode, Db, opened
from buildbook.cli.show import say
from buildbook.errors import BadInput

OutPage = Annotated[
    Path, typer.Option("--out", metavar="FILE", show_default=False, help="The .pdf or .html file to write.")
]
OutSheet = Annotated[Path, typer.Option("--out", metavar="FILE", show_default=False, help="The .pdf file to write.")]
Replace = Annotated[bool, typer.Option("--replace", help="Write over a file of that name.")]
OnPaper = Annotated[str, typer.Option("--paper", metavar="a4|us-letter", help="The size of the paper.")]


def add_boards(app: typer.Typer) -> None:
    """Add the verbs of Boards."""
    app.command("print")(bench_copy)
    app.command("quote")(quote)


def add_stores(app: typer.Typer) -> None:
    """Add the verb of Stores."""
    app.command("labels")(labels)


def bench_copy(
    code: AssemblyCode,
    *,
    out: OutPage,
    paper: OnPaper = "a4",
    replace: Replace = False,
    build: BuildCode = None,
    db: Db = None,
) -> None:
    """Print the bench copy of a section: parts with boxes to tick, its checklist, and a test sheet to write into.

    \b
    Example:
      buildbook boards print CURLEW/IF --out if-board.pdf
    """
    from buildbook.exchange.writing import put_bytes
    from buildbook.publish.bench_copy import bench_copy_of
    from buildbook.publish.rendered import HTML, PDF, paper_of, render, require_kind

    size = paper_of(paper)
    require_kind(out, PDF, HTML)
    require_free(out, replace=replace)
    with opened(db) as shop:
        document = bench_copy_of(shop, code, build, paper=size)
    put_bytes(out, render(document, out))
    say(f"{document.title}: {named(out)}.")


def quote(
    *,
    out: OutPage,
    margin: Annotated[
        str, typer.Option("--margin", metavar="PERCENT", help="The share of the price that is not cost.")
    ] = "0%",
    hours_rate: Annotated[
        str | None,
        typer.Option(
            "--hours-rate", metavar="MONEY", show_default=False, help="An hour's price, if not the workshop's."
        ),
    ] = None,
    until: Annotated[
        str, typer.Option("--until", metavar="DAY", show_default=False, help="The last day that it is valid.")
    ] = "",
    customer: Annotated[str, typer.Option("--for", metavar="NAME", show_default=False, help="Whom it is for.")] = "",
    maker: Annotated[str, typer.Option("--by", metavar="NAME", show_default=False, help="Who makes it.")] = "",
    paper: OnPaper = "a4",
    replace: Replace = False,
    build: BuildCode = None,
    db: Db = None,
) -> None:
    """Print a quotation for a build on one page: parts, labour, consumables, margin and price; what is not in it, too.

    \b
    Example:
      buildbook boards quote --build CURLEW --margin 30% --hours-rate 25 --until 2027-01-31 --out quotation.pdf
    """
    from buildbook.answers.offers import currency_of
    from buildbook.answers.printed import last_day
    from buildbook.answers.quote import quotation, read_margin
    from buildbook.exchange.writing import put_bytes
    from buildbook.publish.quotation import quotation_page, terms_of
    from buildbook.publish.rendered import HTML, PDF, paper_of, render, require_kind
    from buildbook.trade.money import read_money, show_money

    size, share = paper_of(paper), read_margin(margin)
    require_kind(out, PDF, HTML)
    require_free(out, replace=replace)
    with opened(db) as shop:
        rate = None if hours_rate is None else read_money(hours_rate, currency_of(shop))
        terms = terms_of(last_day(shop), until, customer, maker)
        offered = quotation(shop, build, margin_bp=share, rate_micros=rate)
    put_bytes(out, render(quotation_page(offered, terms, paper=size), out))
    price = f"{show_money(offered.price_micros, offered.currency)} {offered.currency}"
    left = f"; {len(offered.unpriced)} without a price not in it" if offered.unpriced else ""
    say(f"{offered.build} is offered for {price}{left}: {named(out)}.")


def labels(
    bins: Annotated[
        list[str] | None,
        typer.Argument(metavar="[BIN]...", show_default=False, help="The bins; all of them if left out."),
    ] = None,
    *,
    out: OutSheet,
    grid: Annotated[str, typer.Option("--grid", metavar="NxM", help="Labels across and down a sheet.")] = "3x8",
    side: Annotated[int, typer.Option("--side", metavar="MM", help="The edge at the left and right, in mm.")] = 8,
    top: Annotated[int, typer.Option("--top", metavar="MM", help="The edge at the top and bottom, in mm.")] = 12,
    skip: Annotated[int, typer.Option("--skip", metavar="N", help="Places of the first sheet that are used up.")] = 0,
    paper: OnPaper = "a4",
    replace: Replace = False,
    db: Db = None,
) -> None:
    """Print labels for bins: the name, a QR code that says it, and what lies there; dotted lines to cut along.

    \b
    Example:
      buildbook stores labels --out labels.pdf
      buildbook stores labels A01 A02 --grid 2x7 --skip 3 --out two.pdf
    """
    from buildbook.answers import printed
    from buildbook.answers.form import count_of
    from buildbook.exchange.writing import put_bytes
    from buildbook.publish.labels import Sheet, read_grid, render_labels
    from buildbook.publish.rendered import PDF, paper_of, require_kind

    sheet = Sheet(*read_grid(grid), paper_of(paper), side, top, skip)
    require_kind(out, PDF)
    require_free(out, replace=replace)
    with opened(db) as shop:
        found = printed.bins(shop, bins or ())
    if not found:
        raise BadInput("No label was written.", "There is no bin yet.", "Make one with `buildbook stores new-bin`.")
    put_bytes(out, render_labels(found, sheet))
    say(f"{count_of(len(found), 'label')}: {named(out)}.")


def require_free(out: Path, *, replace: bool) -> None:
    """Raise BadInput for a file that is there and may not be written over."""
    from buildbook.trade.plain import quote as quoted

    if out.is_file() and not replace:
        what = f"{quoted(out.name, limit=80)} was not written."
        raise BadInput(what, "A file of that name is there.", "Choose another name, or say --replace.")


def named(out: Path) -> str:
    """The file as it is named in a sentence."""
    from buildbook.trade.plain import clean

    return clean(str(out), limit=5000)
