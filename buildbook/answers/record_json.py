"""The record of a build as JSON, and back: the same record gives the same text."""

from __future__ import annotations

import json
from dataclasses import fields, is_dataclass
from functools import cache
from types import UnionType
from typing import Any, TypeVar, get_args, get_origin, get_type_hints

from buildbook.answers.form import as_json
from buildbook.errors import StoreFault

Shape = TypeVar("Shape")


def written(record: Any) -> str:
    """The record as JSON text."""
    return json.dumps(as_json(record), ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def read_as(shape: type[Shape], text: str) -> Shape:
    """The record that such a text tells of; StoreFault when it is not one."""
    try:
        return _read(shape, json.loads(text))  # type: ignore[no-any-return]
    except (ValueError, TypeError, KeyError, AttributeError):
        raise StoreFault(
            "The record of a finished build cannot be read.",
            "What is kept of it in the workshop is not as it was written.",
            "Restore a backup, or reopen the build and finish it again.",
        ) from None


@cache
def _hints(shape: Any) -> dict[str, Any]:
    return get_type_hints(shape)


def _read(shape: Any, value: Any) -> Any:
    if is_dataclass(shape):
        return _read_fields(shape, value)
    if get_origin(shape) is tuple:
        return tuple(_read(get_args(shape)[0], one) for one in value)
    kinds = get_args(shape) if isinstance(shape, UnionType) else (shape,)
    if float in kinds and isinstance(value, int) and not isinstance(value, bool):
        return float(value)
    if not isinstance(value, kinds):
        raise TypeError
    return value


def _read_fields(shape: Any, value: Any) -> Any:
    # A field that a later edition added has its default.
    hints = _hints(shape)
    known = {one.name: _read(hints[one.name], value[one.name]) for one in fields(shape) if one.name in value}
    return shape(**known)
