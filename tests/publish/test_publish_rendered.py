"""Documents as HTML, Markdown and plain text: valid, whole, and deaf to markup in what a builder wrote."""

from __future__ import annotations

import re

import html5lib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from buildbook.publish.document import (
    Block,
    Boxes,
    Document,
    Facts,
    Heading,
    Items,
    PageBreak,
    Picture,
    Table,
    Text,
)
from buildbook.publish.html import render_html
from buildbook.publish.markdown import render_markdown
from buildbook.publish.plaintext import WIDTH, render_text

HOSTILE = (
    "</title></style><script>alert(1)</script>",
    "\"><img src=x onerror='alert(1)'>",
    "--><svg/onload=alert(1)>",
    "[here](javascript:alert(1)) ![x](http://elsewhere.example/x.png)",
    "# not a heading\n- no list\n1. no list\n```\nno code\n```\n| a | b |\n|---|---|",
    "<http://elsewhere.example> &lt;script&gt; `x` *y* __z__ ~~q~~ www.elsewhere.example",
    "\x1b[31m\x00\x07\u202eabc\ufdd0\ud800",
    "    four spaces\n\n\n===\n---\n> said",
)
SVG = b'<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><rect width="9" height="9"/></svg>'


def whole(text: str, *, contents: bool = True) -> Document:
    blocks: tuple[Block, ...] = (
        Heading(text, 2, text),
        Heading(text, 1, "same"),
        Heading(text, 2, "same"),
        Text(text),
        Text(text, "warning"),
        Text(text, "quiet"),
        Facts(((text, text), (text, text), ("b", text))),
        Table((text, "", "n"), ((text, text, text), (text,), (text,) * 4), (2,), (1, 2, 3, 4), text),
        Boxes(((text, True), (text, False))),
        Items((text, text)),
        Items((text,), numbered=True),
        PageBreak(),
        Heading(text, 3),
        Picture(SVG, "image/svg+xml", text, text, 50),
        Items(()),
        Boxes(()),
        Facts(()),
        Table((), ()),
    )
    return Document(text, text, text, blocks, contents=contents)


def parsed(page: str) -> list[tuple[str, dict[str, str]]]:
    """Every element of a page that a strict parser of HTML5 takes without a fault."""
    parser = html5lib.HTMLParser(strict=True, tree=html5lib.getTreeBuilder("etree"), namespaceHTMLElements=False)
    return [(one.tag, dict(one.attrib)) for one in parser.parse(page).iter() if isinstance(one.tag, str)]


@pytest.mark.parametrize("text", [*HOSTILE, "", "plain"])
def test_the_page_is_html5_with_the_same_elements_whatever_was_written(text: str) -> None:
    found = parsed(render_html(whole(text)))
    assert [tag for tag, _ in found] == [tag for tag, _ in parsed(render_html(whole("plain")))] or not text
    assert {name for _, attributes in found for name in attributes} <= {
        *("lang", "charset", "name", "content", "http-equiv", "class", "id", "href", "scope", "src", "alt", "style"),
        "aria-labelledby",
    }
    names = [attributes["id"] for _, attributes in found if "id" in attributes]
    assert len(names) == len(set(names))
    assert {a["href"][1:] for _, a in found if "href" in a} <= set(names)
    assert all(a["src"].startswith("data:image/svg+xml;base64,") for _, a in found if "src" in a)


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=40))
def test_no_text_breaks_the_page(text: str) -> None:
    page = render_html(whole(text))
    assert parsed(page)
    assert "<script" not in page.lower()
    assert page.encode("utf-8").decode("utf-8") == page == render_html(whole(text))


def test_a_page_without_contents_has_no_list_of_them() -> None:
    assert "<nav" in render_html(whole("plain"))
    assert "<nav" not in render_html(whole("plain", contents=False))
    assert "<nav" not in render_html(Document("a", "", "", (Text("b"),), contents=True))


@pytest.mark.parametrize("levels", [(1, 2, 2, 1), (2, 2, 1), (1, 2, 3, 1), (2, 1, 2), (3,), (1, 1), (2,), (2, 2)])
def test_the_contents_are_whole_lists_for_any_order_of_headings(levels: tuple[int, ...]) -> None:
    blocks = tuple(Heading(f"h{at}", level) for at, level in enumerate(levels))
    found = parsed(render_html(Document("t", "", "", blocks, contents=True)))
    assert sum(tag == "a" for tag, _ in found) == sum(level <= 2 for level in levels)


def test_a_table_says_which_column_each_heading_heads() -> None:
    table = Table(("Part", "Amount"), (("R1", "1"),), (1,), caption="Parts")
    page = render_html(Document("t", "", "", (table,)))
    assert "<caption>Parts</caption>" in page
    assert '<th scope="col">Part</th><th scope="col" class="right">Amount</th>' in page


def tokens(text: str) -> set[str]:
    """Every kind of markup that a CommonMark reader with tables finds."""
    reader = MarkdownIt("commonmark").enable(["table", "strikethrough"])
    return {
        inner.type for token in reader.parse(text) for inner in (token, *(token.children or ())) if inner.type != "text"
    }


@pytest.mark.parametrize("text", HOSTILE)
def test_markdown_has_the_same_markup_whatever_was_written(text: str) -> None:
    found = tokens(render_markdown(whole(text)))
    assert found - {"hardbreak", "softbreak"} <= tokens(render_markdown(whole("plain")))
    assert not found & {"html_inline", "html_block", "link_open", "image", "code_inline", "fence", "code_block", "hr"}


@settings(max_examples=80, deadline=None)
@given(st.text(alphabet="ab *_`<>[]()#-+1.|\\&!~=\n:", max_size=30))
def test_a_paragraph_reads_back_as_it_was_written(text: str) -> None:
    words = "".join(re.sub(r"\s+", "", text))
    html = (
        MarkdownIt("commonmark")
        .enable(["table", "strikethrough"])
        .render(render_markdown(Document("t", "", "", (Text(text),))))
    )
    body = html5lib.parse(html, namespaceHTMLElements=False).find("body")
    assert body is not None
    assert re.sub(r"\s+", "", "".join(body.itertext())) == "t" + words
    assert {one.tag for one in body.iter()} <= {"body", "h1", "p", "br"}


@pytest.mark.parametrize("text", HOSTILE)
def test_plain_text_steers_no_terminal_and_keeps_its_width(text: str) -> None:
    said = render_text(whole(text))
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e]", said)
    assert max(map(len, said.splitlines())) <= max(WIDTH, len(text) + 40)


def test_plain_text_sets_a_table_that_fits_side_by_side() -> None:
    table = Table(("Part", "Pieces"), (("R1", "2"), ("C14", "12")), (1,))
    assert render_text(Document("Kit", "", "", (table,))).endswith(
        "Part  Pieces\n----  ------\nR1         2\nC14       12\n"
    )
