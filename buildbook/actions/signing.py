"""Who signs a hold point: a name is asked for once, and remembered for the next."""

from __future__ import annotations

from buildbook.actions.reading import read_text
from buildbook.actions.rows import put, seek
from buildbook.errors import BadInput
from buildbook.store.journal import Work
from buildbook.store.read.workshop import settings
from buildbook.store.tables import Setting
from buildbook.store.workshop import Workshop
from buildbook.trade.cautions import confirmed
from buildbook.trade.plain import clean
from buildbook.trade.workorder_words import work_guessed

SIGNER = "signer"
LONGEST_NAME = 80


def signer(shop: Workshop, step: str, by: str) -> str:
    """The name given, else that of who signed last. Raises BadInput where nobody has signed yet, and for a long one."""
    name = clean(by) or settings(shop.reads).get(SIGNER, "")
    if not name:
        raise BadInput(f"{step} was not signed.", "Nobody is named who checked it.", "Say who signs.")
    if len(name) > LONGEST_NAME:
        raise BadInput(f"{step} was not signed.", f"The name has more than {LONGEST_NAME} letters.", "Shorten it.")
    return name


def keep_signer(work: Work, name: str) -> None:
    """Remember who signed last."""
    row = seek(work, Setting, key=SIGNER)
    if row is None:
        put(work, Setting(key=SIGNER, value=name))
    else:
        row.value = name


def read_checks(text: str) -> str:
    """What a signature confirms, one on each line, without blank lines."""
    lines = (read_text(line, "check") for line in text.splitlines())
    return "\n".join(line for line in lines if line)


# Index: the primary key of step.
CHECKS = "SELECT checks, work, name FROM step WHERE id = ?"


def confirms_of(shop: Workshop, step: int) -> tuple[str, ...]:
    """What a signature at a step confirms: its own checks, else what is usual for its kind of work."""
    checks, work, name = shop.reads.execute(CHECKS, (step,)).fetchone()
    return confirmed(checks, work or work_guessed(name), name)
