"""Design questions: asked with candidate answers, settled or put off with a reason, opened again."""

from __future__ import annotations

from collections.abc import Mapping

from sqlmodel import col, select

from buildbook.actions.reading import need_reason, read_code
from buildbook.actions.rows import put
from buildbook.errors import BadInput
from buildbook.store.journal import Work, action
from buildbook.store.read.naming import find_option, find_project, unknown
from buildbook.store.tables import Choice, Option
from buildbook.store.workshop import Workshop
from buildbook.trade.plain import clean


def ask(shop: Workshop, project: str, code: str, question: str, options: Mapping[str, str]) -> str:
    """Ask a design question with two or more candidate answers (code to name), none chosen yet; return its code."""
    home = find_project(shop, project)
    named = read_code(code, "question")
    answers = {read_code(option, "option"): clean(name) for option, name in options.items()}
    if len(answers) < 2 or len(answers) < len(options):
        raise BadInput(
            f"{named} was not asked.", "A question needs two answers or more, each of its own code.", "Name them."
        )
    with action(shop, f"Ask {home.code} {named}: {clean(question)}") as work:
        if _choice(work, home.id, named):
            raise BadInput(f"{named} was not asked.", "There is a question of that code.", "Choose another code.")
        asked = put(work, Choice(project_id=home.id, code=named, question=clean(question)))
        work.insert_many(
            Option, [{"choice_id": asked, "code": option, "name": name} for option, name in answers.items()]
        )
    return named


def settle(shop: Workshop, project: str, code: str, option: str, reason: str) -> str:
    """Choose one answer, for a reason; only its lines, assemblies, steps and loads count. Returns QUESTION:ANSWER."""
    home = find_project(shop, project)
    why = need_reason(reason, "A choice")
    named = read_code(code, "question")
    chosen = find_option(shop, home.id, f"{_known_code(shop, home.id, named)}:{clean(option)}")
    with action(shop, f"Choose {chosen.code} for {home.code}") as work:
        _set(work, home.id, named, "chosen", why, chosen.id)
    return chosen.code


def shelve(shop: Workshop, project: str, code: str, reason: str) -> str:
    """Put a question off on purpose, for a reason; none of its answers counts. Returns its code."""
    home = find_project(shop, project)
    why = need_reason(reason, "Putting a question off")
    named = _known_code(shop, home.id, read_code(code, "question"))
    with action(shop, f"Shelve {home.code} {named}") as work:
        _set(work, home.id, named, "shelved", why, None)
    return named


def reopen(shop: Workshop, project: str, code: str, reason: str) -> str:
    """Open a question again, for a reason; none of its answers counts until one is chosen. Returns its code."""
    home = find_project(shop, project)
    why = need_reason(reason, "Opening a question again")
    named = _known_code(shop, home.id, read_code(code, "question"))
    with action(shop, f"Reopen {home.code} {named}") as work:
        _set(work, home.id, named, "open", why, None)
    return named


def _set(work: Work, project: int, code: str, state: str, reason: str, chosen: int | None) -> None:
    choice = _choice(work, project, code)
    if choice is None:
        raise unknown("question", code, ())
    choice.state, choice.reason = state, reason
    options = work.exec(select(Option).where(col(Option.choice_id) == choice.id)).all()
    # At most one is chosen at any moment, so the former one goes first.
    for option in options:
        if option.chosen and option.id != chosen:
            option.chosen = 0
    work.flush()
    for option in options:
        if option.id == chosen:
            option.chosen = 1


def _choice(work: Work, project: int, code: str) -> Choice | None:
    return work.exec(select(Choice).where(col(Choice.project_id) == project, col(Choice.code) == code)).first()


def _known_code(shop: Workshop, project: int, code: str) -> str:
    """The code of a question of the project; BadInput with the nearest when there is none of it."""
    known = [one for (one,) in shop.reads.execute("SELECT code FROM choice WHERE project_id = ?", (project,))]
    if code not in known:
        raise unknown("question", code, known)
    return code
