"""The page in a browser: what a person sees from the stand, on a tablet either way round."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from handsfree.board import site
from handsfree.board.feed import Feed
from handsfree.board.live import view_as_json
from handsfree.board.site import board_site
from handsfree.board.view import (
    Activity,
    BoardView,
    Inspection,
    failed_view,
    next_view,
    stopped_view,
)
from handsfree.engine.effects import Listen
from handsfree.engine.phrases_now import phrases_now
from handsfree.serving.server import Server, bind
from tests.board.following import (
    TO_INSPECTION,
    FollowedConversation,
    at,
    at_first_step,
    crew_at,
    shipped,
)
from tests.board.sight import AA_TEXT, LONGER_SIDE_MM, Rgb, contrast, height_mm
from tests.engine.conversation import TO_END, TO_PRESSURE, TO_SERIAL, TO_SIDE
from tests.engine.people_task import AGREED, INES, TO_COVER
from tests.page.looking import launched, needs_browser

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

LANDSCAPE, PORTRAIT = (1280, 800), (800, 1280)
NOON = datetime(2031, 5, 4, 12, tzinfo=UTC)

pytestmark = [needs_browser, pytest.mark.slow]  # what is quick is in `tests/test_browsers.py`


@pytest.fixture(scope="module")
def browser() -> "Iterator[Browser]":
    yield from launched()


class Tablet:
    """A tablet on the stand that shows a board."""

    def __init__(
        self, browser: "Browser", size: tuple[int, int], clock_at: datetime | None = None
    ) -> None:
        """With `clock_at`, the clocks of the page stand still there until they are moved."""
        self._feed = Feed()
        bound = bind("127.0.0.1", 0)
        self._url = f"http://127.0.0.1:{bound.getsockname()[1]}/"
        self._server = Server(board_site(self._feed, None), bound, "board")
        self._shown = 0
        width, height = size
        self.errors: list[str] = []
        self.page: Page = browser.new_page(viewport={"width": width, "height": height})
        self.page.on("pageerror", lambda error: self.errors.append(str(error)))
        if clock_at is not None:
            self.page.clock.install(time=clock_at - timedelta(days=1))
            self.page.clock.pause_at(clock_at)
        self.page.goto(self._url)

    def show(self, view: BoardView) -> "Tablet":
        """Returns when the page shows it."""
        self.send(view_as_json(view))
        self.page.wait_for_selector(f'body[data-shown="{self._shown}"]')
        return self

    def send(self, view: str) -> None:
        self._shown += 1
        self._feed.publish(view)

    def text(self, selector: str) -> str:
        """What a person can read there, on one line; hidden text is none."""
        return " ".join(self.page.locator(selector).inner_text().split())

    def lose_the_connection(self) -> "Tablet":
        self._feed.close()
        self._server.close()
        self.page.wait_for_selector('body[data-connection="lost"]')
        return self

    def close(self) -> None:
        self.page.close()
        self._feed.close()
        self._server.close()


@pytest.fixture(scope="module", params=[LANDSCAPE, PORTRAIT], ids=["landscape", "portrait"])
def tablet(browser: "Browser", request: pytest.FixtureRequest) -> Iterator[Tablet]:
    """One for all tests that leave it as it was: each shows what it looks at."""
    made = Tablet(browser, request.param)
    yield made
    made.close()
    assert made.errors == []


@pytest.fixture
def own_tablet(browser: "Browser") -> Iterator[Tablet]:
    made = Tablet(browser, LANDSCAPE)
    yield made
    made.close()


WITH_FINDING = (*TO_COVER, "unable", "it is short", "part", *AGREED, "pin removed")
MOMENTS = {
    "getting ready": FollowedConversation().views[0],
    "stopped with a value": stopped_view(at(*TO_PRESSURE, "three thousand").view),
    "a step with its warning": at().view,
    "a warning being spoken": FollowedConversation().start().views[6],
    "inside limits": at(*TO_PRESSURE, "three thousand").view,
    "outside limits": at(*TO_PRESSURE, "two eight four zero").view,
    "taken back": at(*TO_PRESSURE, "three thousand", "negative").view,
    "another identity": at(*TO_SERIAL, "kilo delta four eight bravo").view,
    "a choice": at(*TO_SIDE).view,
    "a doubtful hearing": at().mumble("pin fitted", 0.5).view,  # type: ignore[attr-defined]
    "before a reading": at(*TO_PRESSURE).view,
    "standing by": at("stand by").view,
    "an inspector is wanted": crew_at(*TO_INSPECTION),
    "an inspection": crew_at(*TO_INSPECTION, INES, "affirm"),
    "rejected": crew_at(*TO_INSPECTION, INES, "affirm", "rejected"),
    "a finding is open": crew_at(*TO_COVER, "unable", "it is short", "part", "go ahead"),
    "finished": at(*TO_END, "pin removed").view,
    "finished with a finding": crew_at(*WITH_FINDING),
    "stopped": stopped_view(at("pin fitted").view),
    "failed": failed_view(at().view),
}


def test_a_step_is_shown_with_its_warning_and_what_can_be_said(tablet: Tablet) -> None:
    tablet.show(at().view)
    assert tablet.text("#activity") == "Listening"
    assert tablet.text("#place") == "Step 1 of 7"
    assert tablet.text("#instruction") == "Fit the safety pin."
    assert tablet.text('[data-kind="warning"]') == "WARNING The door can move."
    assert tablet.text("#answers") == "pin fitted"
    assert tablet.text("#words").startswith("or say again, stand by, unable")
    assert tablet.text("#states") == "safety pin: removed"


def test_while_the_task_waits_the_board_says_which_task_it_is(tablet: Tablet) -> None:
    tablet.show(at("stand by").view)
    assert tablet.text("#activity") == "Standing by"
    assert tablet.text("#task") == "Check a bottle, revision 4"


def test_a_value_outside_its_limits_is_shown_with_limits_and_verdict(tablet: Tablet) -> None:
    tablet.show(at(*TO_PRESSURE, "two eight four zero").view)
    assert tablet.text("#value") == (
        "Pressure, limits 2850 to 3150 psi: not accepted 2840 psi below minimum"
    )
    assert tablet.page.locator("#limits").is_hidden()  # once is enough


def test_before_a_reading_its_limits_are_shown_and_no_older_value(tablet: Tablet) -> None:
    tablet.show(at(*TO_PRESSURE, "three thousand").view).show(at(*TO_PRESSURE).view)
    assert tablet.text("#limits") == "Limits: 2850 to 3150 psi"
    assert tablet.page.locator("#value").is_hidden()
    tablet.show(at(*TO_PRESSURE, "three thousand", "affirm").view)
    assert tablet.page.locator("#value").is_hidden()
    assert "inside limits" not in tablet.text("body")


def test_an_inspection_says_so_with_the_inspector_and_what_they_are_to_look_at(
    tablet: Tablet,
) -> None:
    tablet.show(MOMENTS["an inspection"])
    assert tablet.text("#inspection") == "Inspection by Ines Varga"
    assert tablet.text("#instruction") == "The work was: Tighten the cap."
    assert tablet.text("#value") == (
        "Torque, limits 10 to 20 N·m: waits for the inspector 15 N·m reported"
    )
    assert tablet.text("#answers") == "inspected rejected"
    assert "inside limits" not in tablet.text("body")


def test_before_the_inspector_is_known_nobody_is_named(tablet: Tablet) -> None:
    tablet.show(MOMENTS["an inspector is wanted"])
    assert tablet.text("#inspection") == "Inspection: who inspects?"
    tablet.show(at().view)
    assert tablet.page.locator("#inspection").is_hidden()


def test_an_open_finding_stays_on_the_board(tablet: Tablet) -> None:
    tablet.show(MOMENTS["a finding is open"])
    assert tablet.text("#findings") == "Open: finding 1, part, step 9"


@pytest.mark.parametrize("moment", MOMENTS)
def test_all_text_on_the_page_passes_aa(tablet: Tablet, moment: str) -> None:
    """WCAG 2.2, 1.4.3, on the colours that the browser has computed for each piece of text."""
    seen = tablet.show(MOMENTS[moment]).page.evaluate(TEXT_COLOURS)
    assert len(seen) > 5
    for text, colour, background in seen:
        assert contrast(rgb(colour), rgb(background)) >= AA_TEXT, text


@pytest.mark.parametrize("moment", MOMENTS)
def test_nothing_needs_to_be_scrolled_or_is_cut(tablet: Tablet, moment: str) -> None:
    page = tablet.show(MOMENTS[moment]).page
    assert page.evaluate(
        "[document.documentElement.scrollHeight - innerHeight,"
        " document.documentElement.scrollWidth - innerWidth]"
    ) == [0, 0]
    assert page.locator("#cut").is_hidden()
    outside = page.evaluate(OUTSIDE_THE_SCREEN)
    assert outside == []


@pytest.mark.parametrize("moment", MOMENTS)
def test_what_matters_now_is_read_from_3_m(tablet: Tablet, moment: str) -> None:
    """The height of a capital as the browser draws it, on a tablet of 13 inches."""
    view = MOMENTS[moment]
    page = tablet.show(view).page
    large = ["#activity", "#inspection", '.alert:not([data-kind="note"])', '[data-size="far"]']
    focus = {"step": "#instruction", "value": "#value .figures", "voice": "#voice .text"}
    # At the end what is open, and where the pins are, matters more than what is said each time.
    ended = view.activity in (Activity.FINISHED, Activity.STOPPED)
    large += ["#findings", "#undone"] if ended else [focus.get(view.focus.value, "#activity")]
    for each in large:
        for height in capitals_mm(page, each):
            assert height >= height_mm(NEARLY_16 if moment in FULL else 16), each


# On these there is more than a screen of that height has room for.
FULL = ("an inspector is wanted",)
NEARLY_16 = 15.5


@pytest.mark.parametrize("moment", MOMENTS)
def test_what_stands_beside_is_read_from_3_m_too(tablet: Tablet, moment: str) -> None:
    """ISO 9241-303 allows 10 minutes of arc where a text need not be read at a glance."""
    page = tablet.show(MOMENTS[moment]).page
    for each in ("#instruction", "#limits", "#value .what", "#value .verdict", "#answers li"):
        for height in capitals_mm(page, each):
            assert height >= height_mm(9.5 if moment in FULL else 10), each
    for height in capitals_mm(page, "#findings"):
        assert height >= height_mm(10)


@pytest.mark.parametrize("name", ["door-slide-refit.yaml", "accumulator-nitrogen.yaml"])
def test_the_longest_steps_of_the_shipped_tasks_are_read_from_2_4_m(
    tablet: Tablet, name: str
) -> None:
    """On a tablet of 13 inches; from 3 m they are seen at 12.8 minutes of arc or more."""
    for view in longest_steps(name):
        page = tablet.show(view).page
        for each in ("#instruction", '.alert:not([data-kind="note"])', '[data-size="far"]'):
            for height in capitals_mm(page, each):
                assert height >= height_mm(16, 2400), (each, view.instruction)
        shown_large = page.locator('[data-size="far"]').all_inner_texts()
        assert {*view.foremost} <= {text.split(":")[0] for text in shown_large}


def test_where_not_all_states_have_room_those_of_the_step_are_the_large_ones(
    tablet: Tablet,
) -> None:
    view = shown_step("door-slide-refit.yaml", "lever-to-armed")
    tablet.show(view)
    assert len(view.states) > 10
    assert tablet.page.locator('[data-size="far"]').all_inner_texts() == [
        "arming lever: unknown",
        "girt bar: removed",
    ]


def test_where_there_is_room_every_state_is_large(tablet: Tablet) -> None:
    view = replace(at().view, states=(("safety pin", "removed"), ("valve", "closed")), alerts=())
    tablet.show(view)
    assert tablet.page.locator('.state:not([data-size="far"])').count() == 0


def test_a_finished_task_never_hides_what_was_left_undone(tablet: Tablet) -> None:
    finished = at(*TO_END, "pin removed").view
    tablet.show(replace(finished, left_undone=("step 3, deferred",)))
    assert tablet.text("#activity") == "Finished"
    assert tablet.text("#undone") == "Not done: step 3, deferred"


def test_hostile_text_stays_text(tablet: Tablet) -> None:
    hostile = '<img src=x onerror="document.title=1"><script>document.title=2</script>'
    view = at(*TO_PRESSURE, "two eight four zero").view
    assert view.value is not None
    tablet.show(
        replace(
            view,
            title=hostile,
            instruction=hostile,
            alerts=(replace(at().view.alerts[0], text=hostile),),
            value=replace(view.value, text=hostile, verdict=hostile, name=hostile),
            voice=(hostile,),
            answers=(hostile,),
            states=((hostile, hostile),),
            left_undone=(hostile,),
            findings=(hostile,),
            limits=hostile,
            inspection=Inspection(hostile),
            not_acted_on=hostile,
            other_words=(hostile,),
            trouble=hostile,
        )
    )
    assert tablet.text("#instruction") == f"The work was: {hostile}"
    assert tablet.page.locator("img, script:not([src])").count() == 0
    assert tablet.page.title() == "Step 4 of 7, listening"


def test_a_text_that_fits_at_no_size_says_so(tablet: Tablet) -> None:
    tablet.show(replace(at().view, instruction="Measure it again. " * 2000))
    assert tablet.text("#cut") == "There is more text than fits. Listen to the voice."
    assert tablet.show(at().view).page.locator("#cut").is_hidden()


def test_a_lost_connection_is_shown_with_the_age_of_what_is_shown(own_tablet: Tablet) -> None:
    tablet = own_tablet
    tablet.show(at().view).lose_the_connection()
    assert re.fullmatch(
        r"No connection: listen to the voice\. What is shown is \d+ s old\.",
        tablet.text("#connection"),
    )
    # What is old must not look as if it were now.
    assert tablet.page.locator("#activity").is_hidden()
    assert tablet.page.locator("#say").is_hidden()
    assert tablet.text("#instruction") == "Fit the safety pin."


def test_a_view_that_the_page_cannot_show_never_leaves_the_old_one_looking_live(
    own_tablet: Tablet,
) -> None:
    own_tablet.show(at().view).send("{}")
    own_tablet.page.wait_for_selector('body[data-connection="lost"]')
    own_tablet.show(at("stand by").view)
    assert own_tablet.text("#activity") == "Standing by"


@pytest.fixture
def silent_tablet(browser: "Browser", monkeypatch: pytest.MonkeyPatch) -> Iterator[Tablet]:
    """The way to its server is cut without a word; its clocks are moved by the test."""
    monkeypatch.setattr(site, "BEAT_S", 3600.0)
    made = Tablet(browser, LANDSCAPE, clock_at=NOON).show(at().view)
    made.page.route("**/events", lambda route: route.abort())  # it can connect no more
    yield made
    made.close()


def test_a_server_that_gives_no_sign_of_life_is_lost(silent_tablet: Tablet) -> None:
    page = silent_tablet.page
    page.clock.run_for(4_000)
    assert page.get_attribute("body", "data-connection") == "live"
    page.clock.run_for(3_000)
    assert page.get_attribute("body", "data-connection") == "lost"


def test_a_clock_that_is_set_back_does_not_make_what_is_old_look_live(
    silent_tablet: Tablet,
) -> None:
    """A tablet sets its clock by the network, at any moment."""
    page = silent_tablet.page
    page.clock.set_system_time(NOON - timedelta(hours=1))
    page.clock.run_for(7_000)
    assert page.get_attribute("body", "data-connection") == "lost"
    assert "What is shown is 7 s old." in silent_tablet.text("#connection")


def test_the_age_is_that_of_what_is_shown_and_not_of_what_could_not_be(
    silent_tablet: Tablet,
) -> None:
    page = silent_tablet.page
    page.clock.run_for(3_000)
    silent_tablet.send("{}")
    page.wait_for_selector('body[data-connection="lost"]')
    assert "What is shown is 3 s old." in silent_tablet.text("#connection")


def test_a_finished_task_stays_finished_without_a_connection(own_tablet: Tablet) -> None:
    """Nothing more comes, so nothing is out of date; and nobody is told to listen."""
    own_tablet.show(crew_at(*WITH_FINDING)).lose_the_connection()
    assert own_tablet.text("#activity") == "Finished"
    assert own_tablet.text("#findings") == "Open: finding 1, part, step 9"
    assert own_tablet.text("#undone") == "Not done: step 9, deferred"
    assert own_tablet.text("#lost") == "The run has ended."
    assert "No connection" not in own_tablet.text("body")


def test_a_stopped_run_stays_stopped_without_a_connection(own_tablet: Tablet) -> None:
    own_tablet.show(MOMENTS["stopped"]).lose_the_connection()
    assert own_tablet.text("#activity") == "Stopped"
    assert own_tablet.text("#lost") == "The run has ended."


def test_a_board_without_a_run_says_that_there_is_no_connection(browser: "Browser") -> None:
    """The page as it stands before its first view, with no server behind the stream."""
    page = browser.new_page()
    try:
        page.route("**/events", lambda route: route.abort())
        bound = bind("127.0.0.1", 0)
        server = Server(board_site(Feed(), None), bound, "board")
        page.goto(f"http://127.0.0.1:{bound.getsockname()[1]}/")
        assert page.locator("#connection").inner_text() == "No connection: listen to the voice."
        server.close()
    finally:
        page.close()


def test_with_its_token_a_page_opens_and_the_address_no_longer_shows_it(
    browser: "Browser",
) -> None:
    feed = Feed()
    feed.publish(view_as_json(at().view))
    bound = bind("127.0.0.1", 0)
    url = f"http://127.0.0.1:{bound.getsockname()[1]}/"
    server = Server(board_site(feed, "a-token"), bound, "board")
    page = browser.new_page()
    try:
        page.goto(f"{url}?token=a-token")
        page.wait_for_selector('body[data-shown="1"]')
        assert page.url == url
    finally:
        page.close()
        feed.close()
        server.close()


def test_a_page_that_comes_back_shows_the_present_state_at_once(own_tablet: Tablet) -> None:
    own_tablet.show(at().view).show(at("stand by").view)
    own_tablet.page.reload()
    own_tablet.page.wait_for_selector('body[data-shown="2"]')
    assert own_tablet.text("#activity") == "Standing by"


def longest_steps(name: str) -> list[BoardView]:
    """The steps with the most text, as they are shown while the tool listens for the answer."""
    views = [shown_step(name, step.id) for step in shipped(name).steps]
    return sorted(views, key=lambda view: len(f"{view.alerts}{view.instruction}"))[-5:]


def shown_step(name: str, step_id: str) -> BoardView:
    """A step of a shipped task as it is shown while the tool listens for the answer."""
    task = shipped(name)
    run = at_first_step(task)
    # Limits and states as they are in the first step; what is shown of them follows from the step.
    state = run.state.at_step(task.index_of[step_id])
    return next_view(task, state, Listen(phrases_now(task, state)), run.view)


def capitals_mm(page: "Page", selector: str) -> list[float]:
    """How high a capital letter is in each that is visible, on a tablet of 13 inches."""
    size = page.viewport_size
    assert size is not None
    longer = max(float(size["width"]), float(size["height"]))
    seen = [each for each in page.locator(selector).all() if each.is_visible()]
    return [float(each.evaluate(CAPITAL_PX)) / longer * LONGER_SIDE_MM for each in seen]


def rgb(computed: str) -> Rgb:
    """The colour that a browser gives as "rgb(1, 2, 3)"; one that is partly clear is an error."""
    found = re.fullmatch(r"rgb\((\d+), (\d+), (\d+)\)", computed)
    assert found, computed
    red, green, blue = map(int, found.groups())
    return red, green, blue


# The unit `cap` is the height of a capital of the font in use (CSS Values 4).
CAPITAL_PX = """element => {
  const ruler = document.createElement("div");
  ruler.style.cssText = "position: absolute; height: 1cap; width: 1px";
  element.append(ruler);
  const height = ruler.getBoundingClientRect().height;
  ruler.remove();
  return height;
}"""

# Every visible piece of text, its colour, and the first background below it that is not clear.
TEXT_COLOURS = """() => {
  const seen = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const element = walker.currentNode.parentElement;
    if (!walker.currentNode.data.trim() || !element.checkVisibility()) continue;
    let below = element;
    while (getComputedStyle(below).backgroundColor === "rgba(0, 0, 0, 0)") {
      below = below.parentElement;
    }
    seen.push([walker.currentNode.data, getComputedStyle(element).color,
      getComputedStyle(below).backgroundColor]);
  }
  return seen;
}"""

# Every visible piece of text that is not whole on the screen, or below the one after it.
OUTSIDE_THE_SCREEN = """() => [...document.querySelectorAll("p, li, h2")]
  .filter((each) => each.checkVisibility() && each.textContent.trim())
  .filter((each) => {
    const box = each.getBoundingClientRect();
    return box.top < 0 || box.left < 0 || box.right > innerWidth || box.bottom > innerHeight;
  })
  .map((each) => each.textContent)"""
