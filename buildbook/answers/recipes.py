"""The recipes that a checklist can take its steps from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from buildbook.answers.form import Answer, join_words
from buildbook.trade.recipes import RECIPES, Recipe


@dataclass(frozen=True, slots=True)
class Recipes(Answer):
    """Every recipe with its steps; `{it}` in a name stands for what the recipe is taken for. Minutes are whole."""

    SCHEMA: ClassVar[str] = "buildbook.recipes/1"
    rows: tuple[Recipe, ...]


def recipes() -> Recipes:
    """The recipes there are.

    >>> recipes().rows[0].name
    'Mark out, cut, drill and deburr a case'
    """
    rows = tuple(RECIPES.values())
    return Recipes(f"There are recipes for {join_words([row.code for row in rows])}.", rows)
