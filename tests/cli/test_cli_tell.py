"""An episode goes out as Markdown, HTML, text and PDF; what is hostile in it stays text; twice it is the same."""

from __future__ import annotations

from collections.abc import Callable
from html import unescape
from pathlib import Path

import html5lib
import pytest
from pypdf import PdfReader
from typer.testing import Result

from buildbook.actions import filming, log
from buildbook.actions.workshop import Workshop
from buildbook.answers.draft import draft
from buildbook.publish.episode import FROM_RECORD, OWN, episode_document
from buildbook.publish.rendered import render

HOSTILE = "<script>alert(1)</script> **bold** #set page() $x$ [link](http://x) \u202e| `code`"


@pytest.mark.parametrize("ending", ["md", "html", "txt", "pdf"])
def test_it_is_told_in_a_file_by_one_command(
    ending: str, say: Callable[..., Result], at_demo: object, tmp_path: Path
) -> None:
    files = [tmp_path / f"{number}.{ending}" for number in (1, 2)]
    for file in files:
        result = say("log", "tell", "2", "--build", "CURLEW", "--out", str(file))
        assert result.stdout.startswith("Episode 2 of CURLEW, Small boards first, is told in ")
    assert files[0].read_bytes() == files[1].read_bytes()
    assert (
        "A file of that name is there."
        in say("log", "tell", "2", "--build", "CURLEW", "--out", str(files[0]), code=2).stderr
    )
    if ending == "pdf":
        text = "".join(page.extract_text() for page in PdfReader(files[0]).pages)
    else:
        text = unescape(files[0].read_text(encoding="utf-8"))
    for words in (OWN, "Small boards are a good way", "2:15 Fuse board, first joint", "What went wrong", "312 k"):
        assert words in text
    assert text.index("Small boards are a good way") < text.index(FROM_RECORD[:20]) < text.index("What was done")


def test_hostile_text_stays_text(curlew: Workshop) -> None:
    log.open_episode(curlew, "CURLEW", HOSTILE)
    log.note(curlew, HOSTILE, build="CURLEW")
    filming.write_words(curlew, HOSTILE, build="CURLEW")
    document = episode_document(draft(curlew, 1, "CURLEW"))
    page = render(document, Path("x.html")).decode()
    tree = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(page)
    assert not list(tree.iter("script"))
    assert "<script>" in "".join(tree.itertext())
    markdown = render(document, Path("x.md")).decode()
    assert "<script>" not in markdown
    assert "**bold**" not in markdown
    assert b"%PDF" in render(document, Path("x.pdf"))[:8]
