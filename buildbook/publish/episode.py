"""An episode as a document: the builder's own words, the draft from the record, and what is for the camera."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from buildbook.publish.document import Block, Boxes, Document, Facts, Heading, Items, Text

if TYPE_CHECKING:
    from buildbook.answers.draft import Draft
    from buildbook.answers.filming import Audience, Captions, Chapters, Shots
    from buildbook.publish.document import Paper
    from buildbook.store.workshop import Workshop

OWN = "In the builder's own words"
FROM_RECORD = "From here on the text was put together from the workshop's record."


def episode_of(
    shop: Workshop,
    number: int | None = None,
    build: str | None = None,
    *,
    first_person: bool = False,
    paper: Paper = "a4",
) -> tuple[Draft, Document]:
    """An episode of the workshop and its document, the open one or else the last without a number.

    Raises BadInput when there is no such episode, or when it is not clear which build is meant.
    """
    from buildbook.answers import filming
    from buildbook.answers.draft import draft

    told = draft(shop, number, build, first_person=first_person)
    here = (told.number, told.build)
    document = episode_document(
        told,
        chapters=filming.chapters_by_take(shop, *here),
        shots=filming.shots(shop, *here),
        captions=filming.captions(shop, *here),
        audience=filming.audience(shop, told.build, episode=told.number),
        paper=paper,
    )
    return told, document


def episode_document(
    draft: Draft,
    *,
    chapters: Sequence[Chapters] = (),
    shots: Shots | None = None,
    captions: Captions | None = None,
    audience: Audience | None = None,
    paper: Paper = "a4",
) -> Document:
    """The episode, with own and generated words told apart; what is empty is left out."""
    until = draft.closed_at[:10] or "still open"
    facts = Facts(
        (("Build", draft.build), ("Episode", f"{draft.number}"), ("From", draft.opened_at[:10]), ("To", until))
    )
    blocks: list[Block] = [facts]
    own = [text for text in (draft.recap, draft.words) if text]
    if own:
        blocks += [Heading(OWN), *(Text(text) for text in own), Text(FROM_RECORD, "quiet")]
    for section in draft.sections:
        blocks += [Heading(section.title), *(Text(sentence.text) for sentence in section.sentences)]
    for one in chapters:
        name = f"Chapters of take {one.take}" if one.take else "Chapters"
        blocks += [Heading(name), Text("\n".join(row.line for row in one.rows))]
    if shots and shots.rows:
        blocks += [Heading("Shots"), Boxes(tuple((row.text, bool(row.done_at)) for row in shots.rows))]
    if captions and captions.rows:
        blocks += [Heading("Captions"), Items(tuple(" / ".join(row.lines) for row in captions.rows))]
    if audience and audience.rows:
        asked = [(f"{row.asked_by or 'Somebody'} asked: {row.text}", row.answer) for row in audience.rows]
        blocks += [Heading("From the audience")]
        blocks += [Text(f"{question}\n{answer or 'Not answered yet.'}") for question, answer in asked]
    day = (draft.closed_at or draft.opened_at)[:10]
    return Document(f"Episode {draft.number}: {draft.title}", draft.build, day, tuple(blocks), paper)
