"""The page Pit in real browsers: two phones, network off and on, two taps, and what a gloved thumb needs."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from urllib.parse import quote
from zoneinfo import ZoneInfo

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from dashboard.presenters.pit_words import countdown_text
from planner.files.pit_log import PitLog
from tests.browser.pit_today import EVENT, write_today
from tests.browser.served import LAUNCH, Served

PHONE, DESK = (390, 844), (1366, 768)
NETWORK = ("ERR_INTERNET_DISCONNECTED", "Failed to fetch", "ERR_CONNECTION", "ERR_FAILED")


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    found = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    with sync_playwright() as play:
        running = play.chromium.launch(executable_path=found, args=LAUNCH)
        yield running
        running.close()


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    write_today(tmp_path / "day")
    with Served(tmp_path / "day") as running:
        yield running


class Phone:
    """One device at the board: its page, its network, and what its console complained of."""

    def __init__(self, browser: Browser, served: Served, *, size: tuple[int, int] = PHONE, theme: str = "light",
                 script: str = "", **more: Any) -> None:  # fmt: skip
        self.served = served
        self.context: BrowserContext = browser.new_context(
            viewport={"width": size[0], "height": size[1]}, timezone_id="Pacific/Auckland", **more
        )
        screen = "narrow" if size[0] < 700 else "wide"
        cookie = {"name": "fillmark-settings", "value": f"metric.{theme}.{screen}", "url": served.address}
        self.context.add_cookies([cookie])
        if script:
            self.context.add_init_script(script)
        self.page: Page = self.context.new_page()
        self.faults: list[str] = []
        self.page.on("console", lambda said: self._said(said.type, said.text))
        self.page.on("pageerror", lambda reason: self.faults.append(str(reason)))

    def _said(self, kind: str, text: str) -> None:
        if kind in ("error", "warning") and not any(word in text for word in NETWORK):
            self.faults.append(text)

    def open(self, page: str = "pit", event: str = EVENT) -> Phone:
        self.page.goto(f"{self.served.address}/{page}?event={event}")
        self.page.wait_for_selector(f"#{page}")
        if page == "pit":
            self.wait("() => document.querySelector('#pit-clock').textContent")
        return self

    def offline(self, off: bool = True) -> None:
        self.context.set_offline(off)

    def tap(self, text: str, within: str = "#pit-board") -> None:
        self.page.locator(within).get_by_role("button", name=text, exact=True).click()

    def dip(self, digits: str, unit: str = "mm") -> None:
        """Log a reading, its number typed."""
        self.tap("Dip")
        if unit != "mm":
            self.tap(unit, "#pit-dialog")
        self.page.locator("#pit-number").fill(digits)
        self.page.keyboard.press("Enter")

    def dip_by_keys(self, digits: str) -> None:
        """Log a reading in mm with the big keys alone."""
        self.tap("Dip")
        for digit in digits:
            self.tap("Decimal point" if digit == "." else digit, "#pit-dialog")
        self.tap("Delete the last digit", "#pit-dialog")
        self.tap(digits[-1], "#pit-dialog")
        self.page.locator("#pit-dialog .pit-send").click()

    def wait(self, condition: str, argument: Any = None, timeout: float = 10_000) -> None:
        """Until a condition holds; asked from here, since the page's own policy forbids to evaluate text in it."""
        for _ in range(int(timeout / 50)):
            if self.page.evaluate(condition, argument):
                return
            self.page.wait_for_timeout(50)
        raise AssertionError(f"{condition} {argument} after {timeout:g} ms: {self.page.inner_text('#pit')[:2000]}")

    def shows(self, text: str, where: str = "#pit", timeout: float = 10_000) -> None:
        plain = """([where, text]) => [...document.querySelectorAll(where)]
            .some((node) => node.innerText.replaceAll('\\u202f', ' ').includes(text))"""
        self.wait(plain, [where, text], timeout)

    @property
    def queue(self) -> list[dict[str, Any]]:
        return self.page.evaluate("fillmarkPit.queue.items()")


@pytest.fixture
def phone(browser: Browser, served: Served) -> Iterator[Callable[..., Phone]]:
    made: list[Phone] = []

    def make(**more: Any) -> Phone:
        made.append(Phone(browser, served, **more))
        return made[-1]

    yield make
    for one in made:
        one.context.close()
    assert [fault for one in made for fault in one.faults] == []


def entries(served: Served) -> list[Any]:
    return list(PitLog(served.folder / EVENT).entries())


def kinds(served: Served) -> list[str]:
    return [entry.kind for entry in entries(served)]


def test_an_entry_takes_two_taps_and_the_other_phone_sees_it(phone, served) -> None:
    one, two = phone().open(), phone().open()
    one.tap("Done")
    one.page.locator("#pit-dialog .pit-presets .do").click()
    two.shows("Session 1 done", "#pit-board .pit-entries")
    one.shows("Session 1 done", "#pit-board .pit-entries")
    assert kinds(served) == ["done"]
    assert one.queue == []


def test_without_network_entries_wait_are_sent_in_order_and_once(phone, served) -> None:
    one, two = phone().open(), phone().open()
    one.offline()
    one.shows("No network", "#pit-link")
    one.dip_by_keys("61.5")
    one.shows("1 entry waits to be sent", "#pit-waiting")
    one.shows("Dip 61.5 mm", "#pit-waiting")
    one.shows("Dip 61.5 mm. It waits for the network.", "#pit-said")
    one.tap("Late")
    one.tap("10 min", "#pit-dialog")
    one.tap("Note")
    one.page.locator("#pit-text").fill("Cap was loose")
    one.tap("Log the note", "#pit-dialog")
    one.shows("3 entries wait to be sent", "#pit-waiting")
    assert entries(served) == []
    one.offline(False)
    two.shows("Cap was loose", "#pit-board .pit-entries")
    one.wait("() => !fillmarkPit.queue.items().length")
    assert kinds(served) == ["level", "late", "note"]
    assert entries(served)[0].value["level_mm"] == 61.5
    one.shows("Live", "#pit-link")


def test_an_answer_that_is_lost_doubles_nothing(phone, served) -> None:
    one = phone().open()
    lost = []

    def lose(route: Any) -> None:
        if lost:
            route.continue_()
            return
        lost.append(route.fetch().status)
        route.abort("connectionreset")

    one.page.route("**/pit/entries", lose)
    one.tap("Late")
    one.tap("15 min", "#pit-dialog")
    one.shows("Late by 15 min", "#pit-board .pit-entries")
    one.wait("() => !fillmarkPit.queue.items().length")
    assert lost == [200]
    assert kinds(served) == ["late"]


def test_the_queue_outlives_a_reload(phone, served) -> None:
    one = phone().open()
    one.page.route("**/pit/entries", lambda route: route.abort("connectionreset"))
    one.dip("40", "%")
    one.shows("1 entry waits", "#pit-waiting")
    one.page.reload()
    one.page.wait_for_selector("#pit")
    one.shows("Dip 40 %", "#pit-waiting")
    one.page.unroute_all(behavior="ignoreErrors")
    one.wait("() => !fillmarkPit.queue.items().length")
    assert kinds(served) == ["level"]


def test_a_waiting_entry_is_taken_back_without_a_trace_and_one_that_may_have_gone_by_an_undo(phone, served) -> None:
    one = phone().open()
    one.offline()
    one.shows("No network", "#pit-link")
    one.dip("60")
    one.wait("() => fillmarkPit.queue.items().some((one) => one.tried)")
    one.page.locator("#pit-waiting").get_by_role("button", name="Undo: Dip 60 mm").click()
    assert [item["kind"] for item in one.queue] == ["level", "undo"]
    one.offline(False)
    one.wait("() => !fillmarkPit.queue.items().length")
    assert [(entry.kind, entry.undone) for entry in entries(served)] == [("level", True), ("undo", False)]
    one.shows("taken back", "#pit-board .pit-entries")


def test_every_entry_of_the_list_can_be_taken_back_after_a_question(phone, served) -> None:
    one = phone().open()
    one.dip("60")
    one.page.locator("#pit-board").get_by_role("button", name="Undo: Level").click()
    one.tap("Take it back", "#pit-dialog")
    one.shows("taken back", "#pit-board .pit-entries")
    assert kinds(served) == ["level", "undo"]


def test_a_refused_entry_shows_its_sentence_and_can_be_corrected(phone, served) -> None:
    one = phone().open()
    one.dip("999")
    one.shows("140 mm", "#pit-waiting")
    one.shows("refused", "#pit-waiting")
    one.tap("Correct: Dip 999 mm", "#pit-waiting")
    assert one.page.locator("#pit-number").input_value() == "999"
    one.page.locator("#pit-number").fill("99")
    one.page.keyboard.press("Enter")
    one.shows("99 mm", "#pit-board .pit-entries")
    assert one.queue == []
    assert [entry.value["level_mm"] for entry in entries(served)] == [99.0]


def test_a_refused_entry_can_be_dropped_and_stops_no_other(phone, served) -> None:
    one = phone().open()
    one.offline()
    one.dip("999")
    one.dip("70")
    one.offline(False)
    one.shows("refused", "#pit-waiting")
    one.wait("() => fillmarkPit.queue.items().length === 1")
    one.tap("Drop: Dip 999 mm", "#pit-waiting")
    one.wait("() => !fillmarkPit.queue.items().length")
    assert [entry.value["level_mm"] for entry in entries(served)] == [70.0]


def test_a_fill_to_the_mark_that_waited_keeps_the_mark_that_was_seen(phone, served) -> None:
    one = phone().open()
    one.dip("60")
    one.shows("Refill to", ".pit-todo")
    seen = one.page.evaluate("JSON.parse(document.querySelector('[data-panels]').dataset.panels).fill.presets[0]")
    one.offline()
    one.page.locator(".pit-main").click()
    one.page.locator("#pit-dialog .pit-presets .do").click()
    one.offline(False)
    one.wait("() => !fillmarkPit.queue.items().length")
    assert entries(served)[-1].value == seen["entry"]["value"]


def test_the_board_is_readable_when_the_network_goes_while_another_page_shows(phone, served) -> None:
    one = phone().open()
    one.page.wait_for_timeout(600)
    one.page.locator("#tabs").get_by_text("Car").click()
    one.page.wait_for_selector("#car")
    one.offline()
    one.page.locator("#tabs").get_by_text("Pit").click()
    one.page.wait_for_selector("#pit-kept", timeout=15_000)
    one.shows("No network", "#pit-link")
    one.shows("Session 2", "#pit")
    one.dip("66")
    assert len(one.queue) == 1
    one.offline(False)
    one.page.wait_for_selector("#page #pit", timeout=15_000)
    one.shows("66 mm", "#pit-board .pit-entries")
    assert kinds(served) == ["level"]
    one.faults = [fault for fault in one.faults if "Callback failed" not in fault and "updating" not in fault]


@pytest.mark.parametrize("how", ["full", "off"])
def test_a_storage_that_keeps_nothing_is_said_and_entries_still_go(phone, served, how: str) -> None:
    name = "QuotaExceededError" if how == "full" else "SecurityError"
    error = f"new DOMException('no room', '{name}')"
    script = f"Storage.prototype.setItem = function () {{ throw {error}; }};"
    one = phone(script=script).open()
    one.shows("storage is full" if how == "full" else "keeps nothing", "#pit-waiting")
    one.offline()
    one.dip("62")
    one.shows("1 entry waits", "#pit-waiting")
    one.offline(False)
    one.wait("() => !fillmarkPit.queue.items().length")
    assert kinds(served) == ["level"]


def test_an_entry_made_later_carries_its_own_time_of_the_event_s_clock(phone, served) -> None:
    one = phone().open()
    zone = ZoneInfo(one.page.get_attribute("#pit", "data-zone"))
    earlier = datetime.now(zone) - timedelta(minutes=70)
    one.tap("Fill")
    one.tap("Filled to the mark earlier", "#pit-dialog")
    assert one.page.get_attribute("#pit-when", "aria-invalid") == "true"
    one.page.locator("#pit-when").fill(f"{earlier:%H:%M}")
    one.tap("Filled to the mark earlier", "#pit-dialog")
    one.shows("Filled to 6.", "#pit-board .pit-entries")
    entry = entries(served)[0]
    assert f"{entry.at.astimezone(zone):%Y-%m-%d %H:%M}" == f"{earlier:%Y-%m-%d %H:%M}"
    assert (entry.value["before"], entry.value["to_mark"]) == (1, True)
    assert "not in the log" not in one.page.inner_text("#pit-board")


def test_two_tabs_of_one_phone_send_what_waits_once(phone, served) -> None:
    one = phone().open()
    other = one.context.new_page()
    other.goto(one.page.url)
    other.wait_for_selector("#pit .pit-main")
    one.page.bring_to_front()
    one.offline()
    one.dip("61")
    one.dip("62")
    one.offline(False)
    one.shows("62 mm", "#pit-board .pit-entries")
    one.wait("() => !fillmarkPit.queue.items().length")
    assert [entry.value["level_mm"] for entry in entries(served)] == [61.0, 62.0]


def test_units_change_the_board_at_once_and_stay(phone, served) -> None:
    one = phone(size=DESK).open()
    one.page.locator("#settings-units").select_option("us")
    one.shows("gal", ".pit-levels")
    one.tap("Dip")
    one.tap("in", "#pit-dialog")
    one.page.locator("#pit-number").fill("2.4")
    one.page.keyboard.press("Enter")
    one.shows("2.40 in", "#pit-board .pit-entries")
    assert entries(served)[0].value["level_mm"] == pytest.approx(60.96)


def test_a_file_that_breaks_is_told_and_the_board_stays(phone, served) -> None:
    one = phone().open()
    path = served.folder / EVENT
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("timezone", "timezon"), encoding="utf-8")
    one.shows("timezon", "#pit-link")
    one.shows("Session 2", ".pit-coming")
    path.write_text(text, encoding="utf-8")
    one.shows("Live", "#pit-link")
    one.faults = [fault for fault in one.faults if "422" not in fault]


def test_another_event_chosen_on_the_board_gets_the_entries_from_then_on(phone, served) -> None:
    other = "events/newt.toml"
    text = (served.folder / EVENT).read_text(encoding="utf-8")
    (served.folder / other).write_text(text.replace("Moth Meadow", "Newt Pond"), encoding="utf-8")
    one = phone().open()
    one.page.locator("select", has_text="Newt Pond").select_option(other)
    one.wait("(event) => document.querySelector('#pit')?.dataset.event === event", other)
    one.page.wait_for_timeout(700)
    one.dip("77")
    one.shows("77 mm", "#pit-board .pit-entries")
    assert entries(served) == []
    assert [entry.kind for entry in PitLog(served.folder / other).entries()] == ["level"]


def test_entries_of_an_event_that_is_gone_stop_no_others_and_can_be_dropped(phone, served) -> None:
    one = phone().open()
    note = "{ kind: 'note', words: { text: 'x' } }, { label: 'Note: x' }"
    one.page.evaluate(f"() => {{ fillmarkPit.queue.add('events/gone.toml', {note}); }}")
    one.shows("gone.toml", "#pit-waiting")
    one.dip("72")
    one.shows("72 mm", "#pit-board .pit-entries")
    one.tap("Drop: Note: x", "#pit-waiting")
    one.wait("() => !fillmarkPit.queue.items().length")
    one.wait("() => !document.querySelector('#pit-waiting').childElementCount")
    one.faults = [fault for fault in one.faults if "404" not in fault]


def test_a_log_that_cannot_be_written_keeps_the_entry_and_says_why(phone, served) -> None:
    one = phone().open()
    full = {"status": 503, "json": {"error": "The disk is full.", "accepted": [], "doubled": [], "refused": []}}
    one.page.route("**/pit/entries", lambda route: route.fulfill(**full))
    one.dip("73")
    one.shows("The disk is full.", "#pit-waiting")
    one.page.unroute_all(behavior="ignoreErrors")
    one.shows("73 mm", "#pit-board .pit-entries")
    assert kinds(served) == ["level"]
    one.faults = [fault for fault in one.faults if "503" not in fault]


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_axe_finds_nothing_where_entries_wait_are_refused_and_alarms_stand(phone, served, theme: str) -> None:
    one = phone(theme=theme).open()
    one.dip("20")
    one.page.wait_for_selector(".pit-alarms")
    one.dip("999")
    one.shows("refused", "#pit-waiting")
    one.offline()
    one.tap("Late")
    one.tap("5 min", "#pit-dialog")
    one.shows("1 entry waits", "#pit-waiting")
    one.shows("No network", "#pit-link")
    assert findings(one) == []
    assert one.page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]


def test_a_lost_session_leads_to_sign_in_and_the_queue_is_kept(phone, served) -> None:
    one = phone().open()
    lost = {"status": 401, "json": {"error": "Sign in again.", "sign_in": "/sign-in"}}
    one.page.route("**/pit/entries", lambda route: route.fulfill(**lost))
    one.page.route("**/sign-in**", lambda route: route.fulfill(body="<title>Sign in</title>", content_type="text/html"))
    one.dip("64")
    one.page.wait_for_url(f"**/sign-in?next={quote(f'/pit?event={EVENT}', safe='')}")
    one.page.unroute_all(behavior="ignoreErrors")
    one.open()
    one.shows("64 mm", "#pit-board .pit-entries")
    assert kinds(served) == ["level"]
    one.faults = [fault for fault in one.faults if "401" not in fault]


def test_the_page_catches_up_after_sleep(phone, served) -> None:
    one, two = phone().open(), phone().open()
    hide = """(hidden) => {
        Object.defineProperty(document, 'hidden', { value: hidden, configurable: true });
        document.dispatchEvent(new Event('visibilitychange'));
    }"""
    one.page.evaluate(hide, True)
    two.tap("Late")
    two.tap("30 min", "#pit-dialog")
    two.shows("Late by 30 min", "#pit-board .pit-entries")
    one.page.wait_for_timeout(1_500)
    assert "Late by 30 min" not in one.page.inner_text("#pit")
    one.page.evaluate(hide, False)
    one.shows("Late by 30 min", "#pit-board .pit-entries")


def test_clock_and_countdown_follow_the_server_and_the_events_zone(phone, served) -> None:
    ahead = "const real = Date.now; Date.now = () => real() + 3 * 3600e3;"  # a phone whose clock is three hours wrong
    one = phone(script=ahead).open()
    begins = datetime.fromisoformat(one.page.get_attribute(".pit-count", "data-until"))
    one.wait("() => fillmarkPit.now() !== Date.now()")
    one.page.wait_for_timeout(600)
    shown = one.page.inner_text(".pit-count")
    left = (begins - datetime.now(begins.tzinfo)).total_seconds()
    minutes, seconds = (int(part) for part in shown.split(":"))
    assert abs(60 * minutes + seconds - left) < 3
    assert one.page.inner_text("#pit-clock")[:2] == f"{datetime.now(begins.tzinfo):%H}"
    one.tap("Late")
    one.tap("5 min", "#pit-dialog")
    one.shows("Late by 5 min", "#pit-board .pit-entries")
    entry = entries(served)[0]
    assert abs((entry.at - entry.written).total_seconds()) < 3
    assert entry.at.utcoffset() == datetime.now(ZoneInfo("Pacific/Auckland")).utcoffset()


@pytest.mark.parametrize(
    ("size", "theme"), [(PHONE, "light"), (PHONE, "dark"), (DESK, "light"), (DESK, "dark"), ((360, 740), "light")]
)
def test_it_fits_its_keys_are_large_and_axe_finds_nothing(phone, size: tuple[int, int], theme: str) -> None:
    one = phone(size=size, theme=theme).open()
    assert one.page.evaluate("document.documentElement.scrollWidth") <= size[0]
    assert one.page.evaluate("parseFloat(getComputedStyle(document.querySelector('.pit-count')).fontSize)") == 56
    boxes = "[...document.querySelectorAll('.pit-key')].map((key) => key.getBoundingClientRect())"
    least = f"Math.min(...{boxes}.filter((box) => box.width).flatMap((box) => [box.width, box.height]))"
    assert one.page.evaluate(least) >= 64
    assert findings(one) == []
    one.dip("5")
    one.tap("Dip")
    assert one.page.evaluate(least) >= 64
    assert findings(one) == []
    box = one.page.locator("#pit-dialog").bounding_box()
    assert 0 <= box["x"] <= size[0] - box["width"]
    assert box["height"] <= size[1]


def findings(one: Phone) -> list[str]:
    found = Axe().run(one.page).response["violations"]
    return [f"{v['id']}: {v['nodes'][0]['html'][:160]}" for v in found]


def test_a_keyboard_does_it_all(phone, served) -> None:
    one = phone(size=DESK).open()
    one.page.locator("#pit-board").get_by_role("button", name="Dip", exact=True).focus()
    one.page.keyboard.press("Enter")
    one.page.keyboard.press("Escape")
    assert not one.page.locator("#pit-dialog").is_visible()
    assert one.page.evaluate("document.activeElement.dataset.panel") == "dip"
    one.page.keyboard.press("Enter")
    one.page.keyboard.type("71,5")
    one.page.keyboard.press("Enter")
    assert not one.page.locator("#pit-dialog").is_visible()
    one.shows("Level", "#pit-board .pit-entries")
    assert entries(served)[0].value["level_mm"] == 71.5


def test_the_day_s_result_is_kept_for_the_car_only_when_asked(phone, served) -> None:
    one = phone().open()
    one.dip("81")
    one.shows("81 mm", "#pit-board .pit-entries")
    one.page.locator("#pit-after-part summary").first.click()
    one.shows("Forecast against what happened", "#pit-after")
    assert findings(one) == []
    one.tap("Keep it for the car", "#pit-after")
    one.shows("Keep it only if", "#pit-dialog")
    assert "kept" not in kinds(served)
    one.tap("Keep it", "#pit-dialog")
    one.shows("Kept", "#pit-dialog")
    assert "kept" in kinds(served)
    one.shows("kept for the car", "#pit-after")


def test_a_table_of_the_log_is_read_and_what_it_holds_counts_once(phone, served) -> None:
    one = phone().open()
    one.dip("81")
    one.shows("81 mm", "#pit-board .pit-entries")
    table = one.context.request.get(f"{served.address}/pit/log.csv?event={EVENT}").body()
    more = table.decode().replace(entries(served)[0].id, "another-device-1").encode()
    one.page.locator("#pit > details").last.locator("summary").click()
    with one.page.expect_file_chooser() as chosen:
        one.tap("Add the entries of such a table", "#pit")
    chosen.value.set_files({"name": "log.csv", "mimeType": "text/csv", "buffer": more})
    one.shows("1 entry added; 0 there already", "#pit-dialog")
    assert [entry.id for entry in entries(served)][1:] == ["another-device-1"]


def test_countdown_words_are_the_servers(phone) -> None:
    one = phone().open()
    times = [0, 0.4, 59, 60, 754, 3599.9, 3600, 86399, 86400, 200000, -1, -59, -60, -61, -3600, -4000, -90000]
    assert one.page.evaluate("(times) => times.map(fillmarkPit.countdown)", times) == [countdown_text(t) for t in times]


def test_the_first_content_is_there_before_any_script_asks(phone, served) -> None:
    one = phone()
    one.page.route("**/pit/shown**", lambda route: route.abort())
    one.open()
    assert "Session 2" in one.page.inner_text(".pit-coming")
    assert one.page.locator(".pit-main").is_visible()
