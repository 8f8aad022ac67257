"""Two themes of our own that everybody can read: contrast, 16 colours, no colours, plain signs."""

from __future__ import annotations

from itertools import product
from pathlib import Path
from typing import Any

import pytest
from rich.color import Color, ColorSystem
from rich.terminal_theme import DEFAULT_TERMINAL_THEME

from buildbook.tui.settings import Settings, keep_settings, read_settings
from buildbook.tui.themes import COLOURS, GROUNDS, LEAST_CONTRAST, NAMES, contrast

Run = Any
Sit = Any
TEXTS = ("text", "quiet", "good", "warn", "bad", "key")


@pytest.mark.parametrize(("name", "ground", "text"), list(product(NAMES, GROUNDS, TEXTS)))
def test_every_text_is_readable_on_every_ground(name: str, ground: str, text: str) -> None:
    # WCAG 2.1, success criterion 1.4.3 (level AA).
    assert contrast(COLOURS[name][ground], COLOURS[name][text]) >= LEAST_CONTRAST


def test_contrast_is_that_of_the_standard() -> None:
    # WCAG 2.1, definition of contrast ratio; #767676 on white is the well-known limit, 4.54.
    assert contrast("#ffffff", "#000000") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)
    assert contrast("#777777", "#ffffff") < 4.5


@pytest.mark.parametrize("name", NAMES)
def test_in_16_colours_text_and_ground_stay_apart(name: str) -> None:
    def coarse(colour: str) -> str:
        few = Color.parse(colour).downgrade(ColorSystem.STANDARD)
        return few.get_truecolor(DEFAULT_TERMINAL_THEME).hex

    for ground, text in product(GROUNDS, TEXTS):
        assert contrast(coarse(COLOURS[name][ground]), coarse(COLOURS[name][text])) > 2, (ground, text)


@pytest.mark.parametrize("name", NAMES)
def test_what_is_drawn_is_readable_too(run: Run, sit: Sit, curlew: Path, name: str) -> None:
    async def scene() -> None:
        async with sit(curlew, settings=Settings(name)) as seat:
            for keys in (["1"], ["3", "enter", "down"], ["6"], ["r"], ["question_mark"]):
                await seat.press(*keys)
                for segment in drawn(seat.app.screen):
                    style = segment.style
                    if segment.text.strip(" ─▁▂▃▄▅▆▇█▔") and style and style.color and style.bgcolor:
                        ratio = contrast(hexed(style.color), hexed(style.bgcolor))
                        if style.reverse or style.dim:
                            continue
                        assert ratio >= LEAST_CONTRAST, (segment.text, hexed(style.color), hexed(style.bgcolor))

    run(scene())


def drawn(screen: Any) -> list[Any]:
    return [segment for strip in screen._compositor.render_strips() for segment in strip]


def hexed(colour: Color) -> str:
    return colour.get_truecolor(DEFAULT_TERMINAL_THEME).hex


def test_the_theme_is_changed_by_its_plain_name_and_remembered(
    run: Run, sit: Sit, curlew: Path, tmp_path: Path
) -> None:
    place = tmp_path / "config" / "screen.toml"

    async def scene() -> None:
        async with sit(curlew, settings_at=place) as seat:
            assert seat.app.theme == "dark"
            await seat.press("colon")
            await seat.type("light theme")
            await seat.press("enter")
            assert seat.app.theme == "light"

    run(scene())
    assert read_settings(place) == Settings("light")


def test_settings_that_cannot_be_read_are_the_usual_ones(tmp_path: Path) -> None:
    place = tmp_path / "screen.toml"
    for text in ("", "theme = ", 'theme = "mauve"\nascii = 3\n', "\xff"):
        place.write_text(text, encoding="latin-1")
        assert read_settings(place) == Settings()
    assert read_settings(tmp_path) == Settings()
    assert not keep_settings(tmp_path, Settings())


def test_with_plain_signs_the_program_draws_nothing_but_ascii(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew, settings=Settings("dark", ascii=True), size=(60, 14)) as seat:
            for keys in (["1"], ["2", "enter"], ["3", "enter", "end"], ["4"], ["5"], ["6", "slash", "a"], ["escape"]):
                await seat.press(*keys)
                assert seat.seen().isascii(), seat.seen()
            await seat.press("question_mark")
            assert seat.asked().isascii(), seat.asked()

    run(scene())


def test_without_colours_words_and_the_mark_still_tell_all(
    run: Run, sit: Sit, curlew: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("1")
            seen = seat.seen()
            assert "› ready" in seen
            assert "held" in seen
            for segment in drawn(seat.frame):
                if segment.style and segment.style.color and segment.style.color.triplet:
                    red, green, blue = segment.style.color.triplet
                    assert red == green == blue

    run(scene())
