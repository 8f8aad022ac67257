"""What the screen remembers of its user, in a small file of the user's config folder: theme and plain signs."""

from __future__ import annotations

import tomllib
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path

from buildbook.tui.themes import DARK, NAMES


@dataclass(frozen=True, slots=True)
class Settings:
    """The theme, whether the program draws with ASCII signs only, and whether the bell rings when a wait is over."""

    theme: str = DARK
    ascii: bool = False
    bell: bool = False


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
        for name in ("ascii", "bell"):
            if isinstance(kept.get(name), bool):
                found = replace(found, **{name: kept[name]})
    return found


def keep_settings(place: Path, settings: Settings) -> bool:
    """Write them down; False where nothing can be written, which harms nobody."""
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        flags = {"ascii": settings.ascii, "bell": settings.bell}
        lines = [f'theme = "{settings.theme}"', *(f"{name} = {str(flag).lower()}" for name, flag in flags.items())]
        text = "".join(f"{line}\n" for line in lines)
        place.write_text(text, encoding="utf-8")
    except OSError:
        return False
    return True
