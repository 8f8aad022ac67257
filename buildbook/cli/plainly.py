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
    """Let a command, and all below it, read their plain parameters so; returns the command."""
    every = command.get_params
    command.get_params = lambda ctx: plain(every(ctx))
    for below in getattr(command, "commands", {}).values():
        read_plainly(below)
    return command


def plain(params: list[Any]) -> list[Any]:
    """The same parameters, of which those of a plain kind are read here."""
    for param in params:
        reader = _reader(param)
        if reader is not None:
            param.get_runtime_param = lambda reader=reader: reader
    return params


def _reader(param: Any) -> Plainly | None:
    descriptor = getattr(param, "type_descriptor", None)
    if descriptor is None or _has_wishes(descriptor.parameter_info, descriptor.annotation):
        return None
    kind = descriptor.annotation
    if isinstance(kind, type) and kind in PLAIN:
        return Plainly(PLAIN[kind])
    if kind in (list[str], list[Path]):
        return Plainly(PLAIN[kind.__args__[0]], many=True)
    return None


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
