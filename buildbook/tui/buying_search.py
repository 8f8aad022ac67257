"""The plan of orders behind Buying: the quick one at once, a better one looked for beside all else, until it is proven.

The search ends by itself, when it is stopped, when something written has changed the question, or with the program.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from threading import Event
from time import monotonic
from typing import TYPE_CHECKING, NamedTuple

from buildbook.tui.asking import Option
from buildbook.tui.desk import Desk

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.order_plan import OrderPlanned
    from buildbook.answers.order_wishes import Asking, Wishes
    from buildbook.reckon.ordering.told import OrderPlan
    from buildbook.tui.panel import Panel
    from buildbook.tui.place import Place

# How long a plan is made better at most, in seconds.
MOST_S = 30.0
# How often a better plan is put on the screen at most, in seconds.
TELL_S = 1.0


class Known(NamedTuple):
    """The best plan so far for a question; `over` says that nobody looks for a better one any more."""

    asked: Asking
    plan: OrderPlan
    over: bool


class Search:
    """The question as it was asked last, its best plan so far, and whether a better one is being looked for.

    Asked and told in threads: what is known is put in its place as a whole, so nobody sees half of it.
    """

    def __init__(self) -> None:
        self.wishes: Wishes | None = None
        self._known: Known | None = None
        self._halt = Event()
        self._searching: Asking | None = None

    def plan(self, shop: Workshop, build: str | None) -> OrderPlanned:
        """The best plan known, or the quick one where the question is new. Runs in a thread."""
        from buildbook.answers.order_plan import told

        known = self.known(shop, build)
        return told(known.asked, known.plan)

    def known(self, shop: Workshop, build: str | None) -> Known:
        """The question and its best plan so far. Runs in a thread."""
        from buildbook.answers.order_plan import searched
        from buildbook.answers.order_wishes import NO_WISHES, asking

        asked = asking(shop, replace(self.wishes or NO_WISHES, builds=(build,) if build else ()))
        known = self._known
        if known is None or known.asked != asked:
            quick = searched(asked, seconds=0)
            known = Known(asked, quick, over=reached(quick, asked))
            self._halt.set()
            self._known = known
        return known

    def said(self, plan: OrderPlanned) -> str:
        """What is said below the list: the plan, the savings, and that a better one is being looked for."""
        from buildbook.answers.order_plan import saving_said

        known = self._known
        said = [plan.sentence, *(saving_said(plan, one) for one in plan.naive if one.saved_micros)]
        if known and not known.over:
            said.append("Looking for a better plan; . stops that.")
        return " ".join(said)

    def go_on(self, panel: Panel, place: Place) -> None:
        """Begin to look for a better plan, unless that is under way or over."""
        known = self._known
        if known is None or known.over or known.asked is self._searching:
            return
        self._halt.set()
        self._halt = halt = Event()
        self._searching = known.asked

        def ask_again() -> None:
            panel.stale = True
            if panel.place is place and panel.display:
                panel.renew(panel.build)

        def look() -> None:
            from textual.worker import get_current_worker

            worker = get_current_worker()
            told = [monotonic()]

            def tell() -> None:
                # What is better is shown at once, but not faster than one reads.
                if monotonic() - told[0] > TELL_S and not worker.is_cancelled:
                    told[0] = monotonic()
                    panel.app.call_from_thread(ask_again)

            if self.improve(known, lambda: halt.is_set() or worker.is_cancelled, tell) and not worker.is_cancelled:
                panel.app.call_from_thread(ask_again)

        panel.run_worker(look, thread=True, group="plan", exit_on_error=False)

    def improve(self, known: Known, stop: Callable[[], bool], tell: Callable[[], None]) -> bool:
        """Look for the best plan; whether the question is still the same in the end. Runs in a thread."""
        from buildbook.answers.order_plan import searched

        def better(plan: OrderPlan) -> None:
            if self._is(known.asked):
                self._known = Known(known.asked, plan, over=False)
                tell()

        best = searched(known.asked, seconds=MOST_S, stop=stop, on_better=better)
        if not self._is(known.asked):
            return False
        self._known = Known(known.asked, best, over=True)
        return True

    def _is(self, asked: Asking) -> bool:
        return self._known is not None and self._known.asked is asked

    @property
    def under_way(self) -> bool:
        """Whether a better plan is being looked for."""
        return self._known is not None and not self._known.over

    def stop(self) -> None:
        """Leave it at the best plan found so far."""
        self._halt.set()

    def why(self, shop: Workshop, build: str | None, key: str) -> list[str]:
        """Why a part is ordered where it is. Runs in a thread."""
        from buildbook.answers.order_why import why_in
        from buildbook.answers.stores import part_named

        known = self.known(shop, build)
        return [why_in(known.asked, known.plan, part_named(shop, key).id, key).sentence]


def reached(plan: OrderPlan, asked: Asking) -> bool:
    """Whether the quick plan needs no search: nothing is to be ordered, or it is as cheap as anything can be."""
    from buildbook.reckon.ordering.asked import Goal

    cheapest = asked.asked.wish.goal is Goal.CHEAPEST and plan.worth_micros <= plan.bound_micros
    return plan.proven or not plan.lines or cheapest


def search_of(desk: Desk) -> Search:
    """The search of the place shown."""
    from buildbook.tui.buying import Buying

    place = desk.frame.panel.place
    return place.search if isinstance(place, Buying) else Search()


async def stop_search(desk: Desk) -> None:
    """Leave it at the best plan found so far."""
    search = search_of(desk)
    if search.under_way:
        search.stop()
        desk.say("Stopped: the plan shown is the best found so far.")
    else:
        desk.say("Nothing is being looked for.")


KEEP, STAND_INS = "keep", "stand-ins"


async def choose_goal(desk: Desk) -> None:
    """Switch what the plan is to be, whether it fills up the least stock, and whether it buys stand-ins."""
    from buildbook.answers.order_wishes import NO_WISHES

    search = search_of(desk)
    now = search.wishes or NO_WISHES
    options = [
        Option("cheapest", "cheapest", "all together, postage and tax reckoned in"),
        Option("fewest", "fewest parcels", "and of those the cheapest"),
        Option("soonest", "soonest complete", "and of those the cheapest"),
        Option(KEEP, "the least stock as well" if not now.keep else "without the least stock"),
        Option(STAND_INS, "no stand-ins" if now.stand_ins else "stand-ins where that is better"),
    ]
    chosen = await desk.choose("What is the plan of orders to be?", options, at=now.goal)
    if chosen == KEEP:
        search.wishes = replace(now, keep=not now.keep)
    elif chosen == STAND_INS:
        search.wishes = replace(now, stand_ins=not now.stand_ins)
    else:
        search.wishes = replace(now, goal=chosen)
    desk.frame.renew()
