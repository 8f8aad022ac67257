"""Lists in and out on the command line: the same flow for parts lists, stock lists and price lists.

`--dry-run` shows every row; what is not clear goes to the file named by `--answers`, to be filled in and given again.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from buildbook.cli.frame import AsJson, AssemblyCode, BuildCode, Db, complete_assemblies, opened
from buildbook.cli.show import Column, print_json, progress, say, table

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.exchange.gathering import Asked, Plan, PlanRow
    from buildbook.exchange.questions import Question

ListFile = Annotated[Path, typer.Argument(metavar="FILE", show_default=False, help="A CSV or XLSX file.")]
Target = Annotated[Path, typer.Argument(metavar="FILE", show_default=False, help="The .csv or .xlsx file to write.")]
ColumnMap = Annotated[
    str | None,
    typer.Option("--columns", metavar="MAP", help='Our word = heading in the file: "value=Bezeichnung,qty=Menge".'),
]
SheetName = Annotated[str | None, typer.Option("--sheet", metavar="NAME", help="The sheet of a workbook.")]
Answers = Annotated[
    Path | None,
    typer.Option(
        "--answers", metavar="FILE", help="Answers to what was not clear; written with the questions if absent."
    ),
]
NewParts = Annotated[bool, typer.Option("--new-parts", help="Make new parts of what is not known.")]
DryRun = Annotated[bool, typer.Option("--dry-run", help="Show row by row what would happen; write nothing.")]
Trust = Annotated[
    str, typer.Option("--trust", metavar="refs|qty", help="What holds where quantity and designators disagree.")
]
Into = Annotated[
    str,
    typer.Option(
        "--into",
        metavar="PROJECT/ASSEMBLY",
        show_default=False,
        help="The section whose list it is.",
        autocompletion=complete_assemblies,
    ),
]
SupplierName = Annotated[str, typer.Option("--supplier", metavar="SUPPLIER", help="Who offers all of it.")]


def boards_import(
    file: ListFile,
    *,
    into: Into,
    columns: ColumnMap = None,
    sheet: SheetName = None,
    answers: Answers = None,
    new_parts: NewParts = False,
    trust: Trust = "",
    dry_run: DryRun = False,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """Take in a parts list, all or nothing; taken in again after a change, only the difference is applied.

    \b
    Example:
      buildbook boards import if-board.csv --into CURLEW/IF --dry-run
    """
    from buildbook.errors import BadInput

    if trust not in ("", "refs", "qty"):
        raise BadInput(f"{trust[:40]!r} cannot be trusted.", "", "Say --trust refs or --trust qty.")

    def prepare(shop: Workshop, asked: Asked) -> Any:
        from buildbook.exchange import boards

        return boards.prepare(shop, file, into, asked)

    def apply(shop: Workshop, prepared: Any) -> str:
        from buildbook.exchange import boards

        return boards.apply(shop, prepared)

    asked = what_was_asked(columns, sheet, answers, new_parts=new_parts, trust=trust)
    run(db, file, asked, answers, prepare, apply, dry_run=dry_run, as_json=as_json)


def stores_import(
    file: ListFile,
    *,
    columns: ColumnMap = None,
    sheet: SheetName = None,
    answers: Answers = None,
    new_parts: NewParts = False,
    dry_run: DryRun = False,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """Take in a stock list as a count of the bins it names, all or nothing.

    \b
    Example:
      buildbook stores import drawers.csv --new-parts
    """

    def prepare(shop: Workshop, asked: Asked) -> Any:
        from buildbook.exchange import stores

        return stores.prepare(shop, file, asked)

    def apply(shop: Workshop, prepared: Any) -> str:
        from buildbook.exchange import stores

        return stores.apply(shop, prepared)

    asked = what_was_asked(columns, sheet, answers, new_parts=new_parts)
    run(db, file, asked, answers, prepare, apply, dry_run=dry_run, as_json=as_json, create=True)


def buying_import(
    file: ListFile,
    *,
    supplier: SupplierName = "",
    columns: ColumnMap = None,
    sheet: SheetName = None,
    answers: Answers = None,
    new_parts: NewParts = False,
    whole: Annotated[
        bool, typer.Option("--whole", help="It is all that the supplier offers: what is not in it is taken away.")
    ] = False,
    dry_run: DryRun = False,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """Take in a supplier's price list, all or nothing; offers met before are brought up to date.

    \b
    Example:
      buildbook buying import-offers quayside.csv --supplier QUAYSIDE
      buildbook buying import-offers quayside-all.xlsx --supplier QUAYSIDE --whole
    """

    def prepare(shop: Workshop, asked: Asked) -> Any:
        from buildbook.exchange import buying

        return buying.prepare_offers(shop, file, supplier, asked, whole=whole)

    def apply(shop: Workshop, prepared: Any) -> str:
        from buildbook.exchange import buying

        return buying.apply_offers(shop, prepared)

    asked = what_was_asked(columns, sheet, answers, new_parts=new_parts)
    run(db, file, asked, answers, prepare, apply, dry_run=dry_run, as_json=as_json)


def what_was_asked(
    columns: str | None, sheet: str | None, answers: Path | None, *, new_parts: bool, trust: str = ""
) -> Asked:
    """The options of an import in one piece, the answers read from their file if it is there."""
    from buildbook.exchange.gathering import Asked
    from buildbook.exchange.questions import read_answers

    given = read_answers(answers) if answers is not None and answers.exists() else {}
    return Asked(columns, sheet, given, new_parts, trust)


def run(
    db: Path | None,
    file: Path,
    asked: Asked,
    answers: Path | None,
    prepare: Callable[[Workshop, Asked], Any],
    apply: Callable[[Workshop, Any], str],
    *,
    dry_run: bool,
    as_json: bool,
    create: bool = False,
) -> None:
    """Understand a list; show what would happen, or write what is not clear to the answers file, or apply it."""
    with opened(db, create=create) as shop:
        with progress(f"Reading {file.name}"):
            prepared = prepare(shop, asked)
        plan: Plan = prepared.plan
        if dry_run and as_json:
            print_json(plan)
        elif dry_run:
            print_plan(plan)
        if answers is not None and plan.questions:
            put_questions(answers, file, plan, asked, dry_run=dry_run, as_json=as_json)
        if dry_run:
            return
        with progress(f"Writing {file.name}"):
            said = apply(shop, prepared)
        if as_json:
            print_json(plan)
        else:
            say(said)


def put_questions(answers: Path, file: Path, plan: Plan, asked: Asked, *, dry_run: bool, as_json: bool) -> None:
    """Write what is not clear to the answers file; raises BadInput when that is all that is in the way."""
    from buildbook.answers.form import count_of
    from buildbook.errors import BadInput
    from buildbook.exchange.questions import NEW, SKIP, write_questions
    from buildbook.trade.plain import quote

    write_questions(answers, plan.questions, asked.answers)
    verb = "was" if len(plan.questions) == 1 else "were"
    written = f"{count_of(len(plan.questions), 'question')} {verb} written to {answers.name}."
    mend = f'Fill in its column `answer` with the key of a part, "{NEW}" or "{SKIP}", and run this again.'
    if not dry_run and not plan.faults:
        raise BadInput(f"{quote(file.name, limit=80)} was not read in.", written, mend)
    if not as_json:
        say(f"{written} {mend}", apart=True)


def print_plan(plan: Plan) -> None:
    """What would happen: which heading was read as what, row by row; what changes, is at fault, is to be settled."""
    say(plan.sentence)
    read = ", ".join(f"{word} = {heading}" for word, heading in plan.columns)
    say(f"Columns: {read}" + (f"; not read: {', '.join(plan.not_read)}." if plan.not_read else "."))
    rows: list[Column[PlanRow]] = [
        Column("row", lambda row: f"{row.row}", right=True),
        Column(MARKS[plan.purpose], lambda row: row.mark, shrink=True),
        Column("qty" if plan.purpose != "price list" else "order code", lambda row: row.qty, right=True),
        Column("says", lambda row: row.text, shrink=True),
        Column("means", lambda row: row.what, shrink=True, tone=tone),
    ]
    table(rows, plan.rows)
    table([Column("", str)], plan.changes, heading="What would change")
    table([Column("", str)], plan.faults, heading="At fault")
    questions: list[Column[Question]] = [
        Column("to be settled", lambda row: row.asked, shrink=True),
        Column("rows", lambda row: row.rows_named),
        Column("candidates", lambda row: row.in_words, shrink=True),
    ]
    table(questions, plan.questions, heading="Not clear")


# What marks a row of each kind of list.
MARKS = {"parts list": "ref", "stock list": "bin", "price list": "supplier"}


def tone(row: PlanRow) -> str:
    """Rows that keep a list from being taken in stand out."""
    return {"at fault": "bad", "choose": "warn", "unknown": "warn"}.get(row.what, "")


def boards_export(
    code: AssemblyCode,
    file: Target,
    *,
    single: Annotated[bool, typer.Option("--single", help="One row a designator instead of one a line.")] = False,
    build: BuildCode = None,
    db: Db = None,
) -> None:
    """Write a parts list as CSV or XLSX; what is written can be taken in again.

    \b
    Example:
      buildbook boards export CURLEW/IF if-board.csv
    """
    from buildbook.answers.board import board
    from buildbook.answers.form import count_of
    from buildbook.exchange.out import LIST_HEADINGS, list_rows, write_list

    with opened(db) as shop:
        answer = board(shop, code, build)
    rows = list_rows(answer, single=single)
    write_list(file, answer.code.rpartition("/")[2][:31], LIST_HEADINGS, rows)
    say(f"Wrote the parts list of {answer.code} to {file}: {count_of(len(rows), 'row')}.")


def stores_export(
    file: Target,
    text: Annotated[str, typer.Argument(metavar="[TEXT]", show_default=False, help="Only what this finds.")] = "",
    *,
    db: Db = None,
) -> None:
    """Write what lies where as CSV or XLSX; what is written can be taken in again.

    \b
    Example:
      buildbook stores export drawers.xlsx
    """
    from buildbook.answers.form import count_of
    from buildbook.answers.stores import stores
    from buildbook.exchange.out import STOCK_HEADINGS, stock_rows, write_list

    with opened(db) as shop:
        rows = stock_rows(stores(shop, text))
    write_list(file, "Stock", STOCK_HEADINGS, rows)
    say(f"Wrote the stock to {file}: {count_of(len(rows), 'row')}.")
