"""Telling an episode on the command line: its draft, the builder's own words, and the files that are published."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from buildbook.cli.frame import AsJson, BuildCode, Db, build_meant, opened
from buildbook.cli.printing import OnPaper, Replace, named, require_free
from buildbook.cli.show import say, show
from buildbook.errors import BadInput

Number = Annotated[
    int | None,
    typer.Argument(metavar="EPISODE", show_default=False, help="Its number; the open one or the last if left out."),
]


def add_to(app: typer.Typer) -> None:
    """Hang the verbs into the place."""
    app.command("tell")(tell)
    app.command("words")(words)


def tell(
    number: Number = None,
    *,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FILE", show_default=False, help="A .md, .html, .txt or .pdf file to write."),
    ] = None,
    first_person: Annotated[bool, typer.Option("--first-person", help="The builder speaks: I fitted, I read.")] = False,
    paper: OnPaper = "a4",
    replace: Replace = False,
    build: BuildCode = None,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """Tell an episode: own words, and a draft written from the record of its span; to the screen or into a file.

    \b
    Example:
      buildbook log tell 2 --build CURLEW
      buildbook log tell 2 --build CURLEW --out episode-2.html
    """
    from buildbook.answers.draft import draft as draft_of
    from buildbook.publish.rendered import HTML, MARKDOWN, PDF, TEXT, paper_of, render, require_kind

    size = paper_of(paper)
    if out:
        require_kind(out, MARKDOWN, HTML, TEXT, PDF)
        require_free(out, replace=replace)
        from buildbook.exchange.writing import put_bytes
        from buildbook.publish.episode import episode_of

        with opened(db) as shop:
            told, document = episode_of(shop, number, build, first_person=first_person, paper=size)
        put_bytes(out, render(document, out))
        say(f"Episode {told.number} of {told.build}, {told.title}, is told in {named(out)}.")
        return
    with opened(db) as shop:
        draft = draft_of(shop, number, build, first_person=first_person)
    show(answer=draft, columns=(), as_json=as_json)
    if as_json:
        return
    for text in (draft.recap, draft.words):
        if text:
            say(text, apart=True)
    for section in draft.sections:
        say(f"{section.title}:", apart=True)
        for sentence in section.sentences:
            say(f"  {sentence.text}")


def words(
    text: Annotated[
        str, typer.Argument(metavar="TEXT", show_default=False, help="The words; none takes them away.")
    ] = "",
    *,
    episode: Annotated[
        int | None,
        typer.Option("--episode", metavar="EPISODE", show_default=False, help="Of this one, not the open one."),
    ] = None,
    file: Annotated[
        Path | None, typer.Option("--from", metavar="FILE", show_default=False, help="A text file with the words.")
    ] = None,
    build: BuildCode = None,
    db: Db = None,
) -> None:
    """Put down your own words for an episode, in place of those before; a draft never touches them.

    \b
    Example:
      buildbook log words "This one is about holes in steel." --build CURLEW
    """
    from buildbook.actions import filming as actions

    if file and text:
        raise BadInput("Nothing was put down.", "The words are given twice.", "Give a text or a file.")
    with opened(db) as shop:
        if file:
            from buildbook.exchange.opening import decode, take_bytes

            text = decode(file, take_bytes(file))[0]
        number = actions.write_words(shop, text, build=build_meant(shop, build), episode=episode)
    say(f"Own words for episode {number} are {'put down' if text.strip() else 'taken away'}.")
