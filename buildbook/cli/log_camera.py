"""For the camera on the command line: marks, chapters, shots, captions, and questions from the audience."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Annotated

import typer

from buildbook.cli.frame import AsJson, BuildCode, Db, build_meant, opened
from buildbook.cli.log_telling import Number
from buildbook.cli.show import Column, filled, local_time, say, show

if TYPE_CHECKING:
    from buildbook.answers.filming import AskedRow, CaptionRow, ChapterRow, MarkRow, ShotRow

Take = Annotated[
    str | None, typer.Option("--take", metavar="NAME", show_default=False, help="The take, if there are several.")
]
Of = Annotated[
    int | None, typer.Option("--episode", metavar="EPISODE", show_default=False, help="Of this one, not the open one.")
]
Own = Annotated[int, typer.Argument(metavar="NUMBER", show_default=False, help="Its number in the list.")]


def add_to(app: typer.Typer) -> None:
    """Hang the verbs into the place."""
    verbs: dict[str, Callable[..., None]] = {
        "mark": mark, "marks": marks, "unmark": unmark, "chapters": chapters, "shot": shot, "shots": shots,
        "filmed": filmed, "unshot": unshot, "captions": captions, "asked": asked, "audience": audience,
        "answered": answered,
    }  # fmt: skip
    for name, verb in verbs.items():
        app.command(name)(verb)


def mark(
    text: Annotated[
        str, typer.Argument(metavar="TEXT", show_default=False, help='"12:40 first power"; without a time it is now.')
    ],
    *,
    take: Take = None,
    episode: Of = None,
    build: BuildCode = None,
    db: Db = None,
) -> None:
    """Mark a moment of a take, for the chapters; without a time it is now, as the take's earlier marks count it.

    \b
    Example:
      buildbook log mark "12:40 first power" --build CURLEW
    """
    from buildbook.actions import filming as actions
    from buildbook.trade.takes import show_offset

    with opened(db) as shop:
        at = actions.mark(shop, text, build=build_meant(shop, build), take=take or "", episode=episode)
    say("Marked." if at is None else f"Marked at {show_offset(at)}.")


def marks(number: Number = None, *, build: BuildCode = None, db: Db = None, as_json: AsJson = False) -> None:
    """The marks of an episode, take by take.

    \b
    Example:
      buildbook log marks 2 --build CURLEW
    """
    from buildbook.answers.filming import marks as answer_for
    from buildbook.trade.takes import show_offset

    with opened(db) as shop:
        answer = answer_for(shop, number, build)
    columns: list[Column[MarkRow]] = [
        Column("number", lambda row: f"{row.id}", right=True),
        Column("take", lambda row: row.take),
        Column("at", lambda row: "" if row.offset_s is None else show_offset(row.offset_s), right=True),
        Column("what", lambda row: row.title, shrink=True),
        Column("marked", lambda row: local_time(row.at)),
    ]
    show(answer, filled(columns, answer.rows), as_json=as_json)


def unmark(number: Own, *, db: Db = None) -> None:
    """Take a mark away.

    \b
    Example:
      buildbook log unmark 1
    """
    from buildbook.actions import filming as actions

    with opened(db) as shop:
        title = actions.drop_mark(shop, number)
    say(f"The mark {title} is gone.")


def chapters(
    number: Number = None, *, take: Take = None, build: BuildCode = None, db: Db = None, as_json: AsJson = False
) -> None:
    """The chapters of a take, as `0:00 Title` to be copied, and what common practice would object to.

    \b
    Example:
      buildbook log chapters 2 --build CURLEW --take bench
    """
    from buildbook.answers.filming import chapters as answer_for

    with opened(db) as shop:
        answer = answer_for(shop, number, build, take=take)
    columns: list[Column[ChapterRow]] = [Column("chapter", lambda row: row.line, shrink=True)]
    show(answer, columns, as_json=as_json)
    if not as_json:
        for at, told in enumerate(answer.told):
            say(told, apart=not at)


def shot(
    text: Annotated[str, typer.Argument(metavar="TEXT", show_default=False, help="What to film.")],
    *,
    episode: Of = None,
    build: BuildCode = None,
    db: Db = None,
) -> None:
    """Put something to film on the list of an episode.

    \b
    Example:
      buildbook log shot "The first drop of lacquer" --build CURLEW
    """
    from buildbook.actions import filming as actions

    with opened(db) as shop:
        number = actions.add_shot(shop, text, build=build_meant(shop, build), episode=episode)
    say(f"Shot {number} is on the list.")


def shots(number: Number = None, *, build: BuildCode = None, db: Db = None, as_json: AsJson = False) -> None:
    """What to film for an episode, and what of it is done.

    \b
    Example:
      buildbook log shots --build CURLEW
    """
    from buildbook.answers.filming import shots as answer_for

    with opened(db) as shop:
        answer = answer_for(shop, number, build)
    columns: list[Column[ShotRow]] = [
        Column("number", lambda row: f"{row.id}", right=True),
        Column("filmed", lambda row: local_time(row.done_at) if row.done_at else "to film"),
        Column("what", lambda row: row.text, shrink=True),
    ]
    show(answer, columns, as_json=as_json)


def filmed(
    number: Own,
    *,
    again: Annotated[bool, typer.Option("--again", help="It is to be filmed again: the tick is taken back.")] = False,
    db: Db = None,
) -> None:
    """Tick a shot off.

    \b
    Example:
      buildbook log filmed 1
    """
    from buildbook.actions import filming as actions

    with opened(db) as shop:
        text = actions.tick_shot(shop, number, done=not again)
    say(f"{'To film again' if again else 'Filmed'}: {text}.")


def unshot(number: Own, *, db: Db = None) -> None:
    """Take a shot off the list.

    \b
    Example:
      buildbook log unshot 1
    """
    from buildbook.actions import filming as actions

    with opened(db) as shop:
        text = actions.drop_shot(shop, number)
    say(f"Off the list: {text}.")


def captions(number: Number = None, *, build: BuildCode = None, db: Db = None, as_json: AsJson = False) -> None:
    """Captions to set on the screen: the parts fitted in an episode, and the values measured in it.

    \b
    Example:
      buildbook log captions 2 --build CURLEW
    """
    from buildbook.answers.filming import captions as answer_for

    with opened(db) as shop:
        answer = answer_for(shop, number, build)
    columns: list[Column[CaptionRow]] = [
        Column("of", lambda row: row.kind),
        Column("first line", lambda row: row.lines[0] if row.lines else ""),
        Column("second line", lambda row: row.lines[1] if len(row.lines) > 1 else ""),
    ]
    show(answer, columns, as_json=as_json)


def asked(
    text: Annotated[str, typer.Argument(metavar="TEXT", show_default=False, help="What was asked.")],
    *,
    by: Annotated[str, typer.Option("--by", metavar="NAME", help="Who asked.")] = "",
    episode: Of = None,
    build: BuildCode = None,
    db: Db = None,
) -> None:
    """Keep a question from the audience, open until it is answered.

    \b
    Example:
      buildbook log asked "Why not silicon diodes?" --by Maud --episode 1 --build CURLEW
    """
    from buildbook.actions import filming as actions

    with opened(db) as shop:
        number = actions.ask_from_audience(shop, text, build=build_meant(shop, build), by=by, episode=episode)
    say(f"Question {number} from the audience is open.")


def audience(*, build: BuildCode = None, db: Db = None, as_json: AsJson = False) -> None:
    """The questions from the audience, the open ones first.

    \b
    Example:
      buildbook log audience
    """
    from buildbook.answers.filming import audience as answer_for

    with opened(db) as shop:
        answer = answer_for(shop, build)
    columns: list[Column[AskedRow]] = [
        Column("number", lambda row: f"{row.id}", right=True),
        Column("by", lambda row: row.asked_by),
        Column("question", lambda row: row.text, shrink=True),
        Column("answer", lambda row: row.answer or "open", shrink=True),
    ]
    show(answer, filled(columns, answer.rows), as_json=as_json)


def answered(
    number: Own,
    text: Annotated[str, typer.Argument(metavar="TEXT", show_default=False, help="The answer.")],
    *,
    db: Db = None,
) -> None:
    """Answer a question from the audience.

    \b
    Example:
      buildbook log answered 1 "The winding has 0.09 A to spare with a valve; silicon needs none."
    """
    from buildbook.actions import filming as actions

    with opened(db) as shop:
        question = actions.answer_audience(shop, number, text)
    say(f"Answered: {question}")
