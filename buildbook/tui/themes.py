"""Two themes of our own, paper by day and lamplight by night, and the contrast that every pair of colours must have."""

from __future__ import annotations

from textual.theme import Theme

LIGHT, DARK = "light", "dark"
NAMES = (LIGHT, DARK)
# WCAG 2.1, success criterion 1.4.3 (AA), for text of ordinary size.
LEAST_CONTRAST = 4.5

# What the screen is drawn with. The first four are grounds, the others are text on any of them.
COLOURS: dict[str, dict[str, str]] = {
    LIGHT: {
        "ground": "#f8f6f1",
        "bar": "#ebe6da",
        "selected": "#d9e2e4",
        "selected-blurred": "#ece9e1",
        "text": "#1d1b18",
        "quiet": "#57534b",
        "good": "#22572c",
        "warn": "#714600",
        "bad": "#93201c",
        "key": "#7c3a12",
    },
    DARK: {
        "ground": "#191816",
        "bar": "#26241f",
        "selected": "#2e3a3d",
        "selected-blurred": "#2a2824",
        "text": "#e9e4d9",
        "quiet": "#aba598",
        "good": "#a1cf9c",
        "warn": "#e3ba6d",
        "bad": "#f3a79b",
        "key": "#e2a578",
    },
}
GROUNDS = ("ground", "bar", "selected", "selected-blurred")


def theme(name: str) -> Theme:
    """The theme of that name, for Textual."""
    colours = COLOURS[name]
    ground, text, key = colours["ground"], colours["text"], colours["key"]
    return Theme(
        name=name,
        primary=key,
        secondary=key,
        accent=key,
        warning=colours["warn"],
        error=colours["bad"],
        success=colours["good"],
        foreground=text,
        background=ground,
        surface=ground,
        panel=colours["bar"],
        boost=colours["bar"],
        dark=name == DARK,
        text_alpha=1.0,
        variables={
            **variables(name),
            "input-cursor-background": text,
            "input-cursor-foreground": ground,
            "input-selection-background": colours["selected"],
            "input-selection-foreground": text,
            "text-disabled": colours["quiet"],
            "scrollbar": colours["quiet"],
            "scrollbar-hover": text,
            "scrollbar-active": text,
            "scrollbar-background": colours["bar"],
            "scrollbar-background-hover": colours["bar"],
            "scrollbar-background-active": colours["bar"],
        },
    )


def variables(name: str) -> dict[str, str]:
    """The colours of a theme as the style sheets of the screen name them."""
    colours = COLOURS[name]
    tones = {f"tone-{tone}": colours[tone] for tone in ("quiet", "good", "warn", "bad", "key")}
    return {**tones, **{name: colours[name] for name in ("bar", "selected", "selected-blurred")}}


def contrast(one: str, other: str) -> float:
    """The contrast ratio of two colours, from 1 to 21 (WCAG 2.1, definitions of contrast ratio and luminance).

    >>> contrast("#000000", "#ffffff"), round(contrast("#767676", "#ffffff"), 2)
    (21.0, 4.54)
    """
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def luminance(colour: str) -> float:
    """The relative luminance of a colour written #rrggbb, from 0 to 1."""
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
