"""What the screen remembers of its user, in a small file of the user's config folder: theme and plain signs."""

from __future__ import annotations

import tomllib
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path

from buildbook.tui.themes import DARK, NAMES


@dataclass(frozen=True, slots=True)
class Settings:
    """The theme, and whether the program draws with ASCII signs only."""

    theme: str = DARK
    ascii: bool = False


def settings_place() -> Path:
    """Where they are kept."""
    from platformdirs import user_config_path

    return user_config_path("buildbook", appauthor=False) / "screen.toml"


def read_settings(place: Path) -> Settings:
    """The settings as kept; the usual ones for what is not there or cannot be read."""
    found = Settings()
    with suppress(OSError, tomllib.TOMLDecodeError, UnicodeDecodeError):
        kept = tomllib.loads(place.read_text(encoding="utf-8"))
        if kept.get("theme") in NAMES:
            found = replace(found, theme=kept["theme"])
        if isinstance(kept.get("ascii"), bool):
            found = replace(found, ascii=kept["ascii"])
    return found


def keep_settings(place: Path, settings: Settings) -> bool:
    """Write them down; False where nothing can be written, which harms nobody."""
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        text = f'theme = "{settings.theme}"\nascii = {"true" if settings.ascii else "false"}\n'
        place.write_text(text, encoding="utf-8")
    except OSError:
        return False
    return True
