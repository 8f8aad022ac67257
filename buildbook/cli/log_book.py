"""Log on the command line, the book: the whole record of a build in one file."""

from __future__ import annotations

from functools import partial

import typer

from buildbook.cli.frame import BuildCode, Db, opened
from buildbook.cli.printing import OnPaper, OutPage, Replace, named, require_free
from buildbook.cli.show import say


def add_to(app: typer.Typer) -> None:
    """Add the verb to the place."""
    app.command("book")(book)


def book(
    *,
    out: OutPage,
    paper: OnPaper = "a4",
    replace: Replace = False,
    build: BuildCode = None,
    db: Db = None,
) -> None:
    """Write the book of a build: all of its record, to build it again or to mend it in ten years.

    A finished build is told as it was when it was finished. A file of that name is not written over unasked.

    \b
    Example:
      buildbook log book --build CURLEW --out curlew.pdf
      buildbook log book --build CURLEW --out curlew.html
    """
    from buildbook.answers.attachments import content_by_hash
    from buildbook.answers.record import record
    from buildbook.exchange.writing import put_bytes
    from buildbook.publish.book import book as bind
    from buildbook.publish.rendered import HTML, PDF, paper_of, render, require_kind

    require_kind(out, PDF, HTML)
    sheet = paper_of(paper)
    require_free(out, replace=replace)
    with opened(db) as shop:
        found = record(shop, build)
        bound = bind(found, paper=sheet, photo=partial(content_by_hash, shop))
    content = render(bound, out)
    put_bytes(out, content)
    say(f"The book of {found.build}: {named(out)}.")
