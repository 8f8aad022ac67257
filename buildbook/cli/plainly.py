"""Texts, paths and whole numbers of the command line are read here, so that the program is there at once.

Typer checks every parameter with Pydantic, whose import takes longer than all the rest of a short command. The few
plain kinds that the verbs take need none of it; a parameter of any other kind is left to Typer.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import typer

PLAIN: dict[Any, Callable[[Any], Any]] = {str: str, Path: Path, int: int, bool: bool}
PLAIN_LISTS: dict[Any, Callable[[Any], Any]] = {list[str]: str, list[Path]: Path}


class Plainly:
    """Stands in for Typer's own reader of one parameter, of the kind `read`."""

    def __init__(self, read: Callable[[str], Any], *, many: bool = False) -> None:
        self.read = read
        self.many = many

    def coerce(self, value: Any, param: Any, ctx: Any) -> Any:
        """The value of a parameter from what was typed; raises typer.BadParameter for a number that is none."""
        if value is None:
            return () if param.multiple or param.nargs == -1 else None
        try:
            return [self.read(one) for one in value] if self.many else self.read(value)
        except ValueError as error:
            raise typer.BadParameter(f"{value!r} is not a whole number.", ctx=ctx, param=param) from error


def read_plainly(command: Any) -> Any:
    """Let a command, and all below it, read its plain parameters so; returns the command."""
    for param in command.params:
        descriptor = getattr(param, "type_descriptor", None)
        kind = getattr(descriptor, "annotation", None)
        info = getattr(descriptor, "parameter_info", None)
        if info is None or _has_wishes(info, kind):
            continue
        if kind in PLAIN:
            reader = Plainly(PLAIN[kind])
        elif kind in PLAIN_LISTS:
            reader = Plainly(PLAIN_LISTS[kind], many=True)
        else:
            continue
        param.get_runtime_param = lambda reader=reader: reader
    for below in getattr(command, "commands", {}).values():
        read_plainly(below)
    return command


def _has_wishes(info: Any, kind: Any) -> bool:
    """A limit, a converter, a check of a path, a flag from the environment: these are Typer's business."""
    checks = ("exists", "resolve_path", "writable", "allow_dash")
    return bool(
        info.parser
        or info.min is not None
        or info.max is not None
        or (kind is bool and info.envvar)
        or any(getattr(info, check, False) for check in checks)
    )
