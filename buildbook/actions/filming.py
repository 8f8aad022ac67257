"""What is kept of an episode for the camera: own words, marks in takes, shots to film, questions from the audience."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from buildbook.actions.reading import read_text
from buildbook.actions.rows import put, remove, the
from buildbook.errors import BadInput
from buildbook.store.journal import Work, action
from buildbook.store.read import filming as read
from buildbook.store.read.naming import find_build
from buildbook.store.tables import AudienceQuestion, Episode, Mark, Shot
from buildbook.trade.moments import LONGEST_SITTING_MIN
from buildbook.trade.plain import clean, quote
from buildbook.trade.takes import read_mark

if TYPE_CHECKING:
    from buildbook.store.read.filming import EpisodeNamed
    from buildbook.store.workshop import Workshop


def write_words(shop: Workshop, text: str, *, build: str, episode: int | None = None) -> int:
    """Put down the builder's own words for an episode, in place of those before, and return its number.

    The draft is never stored and never takes their place. Raises BadInput without an episode.
    """
    about = find_episode(shop, build, episode)
    said = read_text(text, "text")
    with action(shop, f"Own words for episode {about.number}", build_id=about.build_id) as work:
        the(work, Episode, about.id).words = said
    return about.number


def find_episode(shop: Workshop, build: str, number: int | None) -> EpisodeNamed:
    """The episode of that number; without one the open one, or else the last. Raises BadInput when there is none."""
    home = find_build(shop, build)
    known = read.episodes_of(shop.reads, home.id)
    if number is not None:
        known = [one for one in known if one.number == number]
    found = [one for one in known if not one.closed_at] or known
    if not found:
        which = "episode" if number is None else f"episode {number}"
        raise BadInput(f"There is no {which} of {home.code}.", "", "Start one with `buildbook log episode start`.")
    return found[-1]


def mark(shop: Workshop, text: str, *, build: str, take: str = "", episode: int | None = None) -> int | None:
    """Mark a moment of an episode, "12:40 first power", and return how many seconds into its take it is.

    Without a time it is now, less the start of the take: that of its other marks, or else a new take begins here. The
    marks of no take go by the start of the episode; None where that was longer than a sitting ago.
    """
    about = find_episode(shop, build, episode)
    written, called = read_mark(text), clean(take)
    with action(shop, f"Mark: {quote(written.title, limit=60)[1:-1]}", build_id=about.build_id) as work:
        row = Mark(episode_id=about.id, at=work.at, take=called, title=written.title)
        row.offset_s = written.offset_s if written.offset_s is not None else _since_start(shop, work.at, about, called)
        put(work, row)
        return row.offset_s


def _since_start(shop: Workshop, at: str, episode: EpisodeNamed, take: str) -> int | None:
    """Seconds since the take began; None when nobody can say."""
    here = _seconds(at)
    begun = [
        _seconds(one.at) - one.offset_s
        for one in read.marks(shop.reads, episode.id)
        if one.take == take and one.offset_s is not None
    ]
    start = begun[-1] if begun else here if take else _seconds(episode.opened_at)
    since = here - start
    return since if 0 <= since <= 60 * LONGEST_SITTING_MIN else None


def _seconds(at: str) -> int:
    return int(datetime.fromisoformat(at).timestamp())


def drop_mark(shop: Workshop, number: int) -> str:
    """Take a mark away, and return what it was called."""
    with action(shop, f"Take mark {number} away") as work:
        row = work.get(Mark, number)
        if row is None:
            raise BadInput(f"There is no mark {number}.", "", "See `buildbook log marks`.")
        remove(work, row)
        return row.title


def add_shot(shop: Workshop, text: str, *, build: str, episode: int | None = None) -> int:
    """Put something to film on the list of an episode, and return its number."""
    about = find_episode(shop, build, episode)
    said = read_text(text, "shot")
    if not said:
        raise BadInput("No shot was put down.", "It is not said what to film.", "Say it in a few words.")
    position = 1 + max((one.position for one in read.shots(shop.reads, about.id)), default=0)
    with action(shop, f"Shot to film: {quote(said, limit=60)[1:-1]}", build_id=about.build_id) as work:
        return put(work, Shot(episode_id=about.id, position=position, text=said))


def tick_shot(shop: Workshop, number: int, *, done: bool = True) -> str:
    """Tick a shot off as filmed, or take the tick back, and return what it is. BadInput for an unknown one."""
    with action(shop, f"Shot {number} {'filmed' if done else 'to film again'}") as work:
        row = _shot(work, number)
        row.done_at = (row.done_at or work.at) if done else ""
        return row.text


def drop_shot(shop: Workshop, number: int) -> str:
    """Take a shot off the list, and return what it was."""
    with action(shop, f"Take shot {number} off the list") as work:
        row = _shot(work, number)
        remove(work, row)
        return row.text


def _shot(work: Work, number: int) -> Shot:
    row = work.get(Shot, number)
    if row is None:
        raise BadInput(f"There is no shot {number}.", "", "See `buildbook log shots`.")
    return row


def ask_from_audience(shop: Workshop, text: str, *, build: str, by: str = "", episode: int | None = None) -> int:
    """Keep a question that somebody asked, about an episode or the build as a whole; open until it is answered."""
    home = find_build(shop, build)
    about = find_episode(shop, build, episode) if episode is not None else None
    said = read_text(text, "question")
    if not said:
        raise BadInput("No question was kept.", "It is not said what was asked.", "Say it.")
    with action(shop, f"Asked by the audience: {quote(said, limit=60)[1:-1]}", build_id=home.id) as work:
        row = AudienceQuestion(build_id=home.id, at=work.at, asked_by=clean(by), text=said)
        row.episode_id = about.id if about else None
        return put(work, row)


def answer_audience(shop: Workshop, number: int, answer: str) -> str:
    """Answer a question from the audience, and return it; a second answer takes the place of the first."""
    said = read_text(answer, "answer")
    if not said:
        raise BadInput("Nothing was answered.", "The answer is empty.", "Say it.")
    with action(shop, f"Answer to question {number} from the audience") as work:
        row = work.get(AudienceQuestion, number)
        if row is None:
            raise BadInput(f"There is no question {number} from the audience.", "", "See `buildbook log audience`.")
        row.answer, row.answered_at = said, work.at
        return row.text
