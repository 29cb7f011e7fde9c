"""The pages of a plan in a real browser: with and without JavaScript, by keyboard, without connection, on paper.

Accessibility is judged by axe-core against the Web Content Accessibility Guidelines 2.2.
"""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from tests.api import fakes
from tests.pages.bench import done, rack_plan
from tests.pages.browsing import DESK, PHONE, Bench, serious_findings
from tests.pages.test_plan_pages import compared_by_hand

NASTY = "<img src=x onerror=alert(1)>"


def tick(page: Page, cut: int) -> None:
    page.get_by_role("button", name=re.compile(f"^Cut {cut}:")).click()


def ticked(page: Page, cut: int) -> bool:
    return page.locator(f"#tick-{cut}").get_attribute("aria-pressed") == "true"


TYPED = {
    "project.name": "Ben's wall",
    "sheet.0.name": "birch",
    "sheet.0.length": "8 ft",
    "sheet.0.width": "48",
    "sheet.0.thickness": "23/32",
}
THEN = {
    "part.0.name": "shelf",
    "part.0.length": "30",
    "part.0.width": "5",
    "part.0.thickness": "23/32",
    "saw.kerf": "1/8",
}


class Hand:
    """Fills and presses as somebody with a pointer does."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def fill(self, name: str, text: str) -> None:
        self.page.locator(f'[name="{name}"]').fill(text)

    def press(self, name: str) -> None:
        self.page.get_by_role("button", name=name).click()

    def follow(self, name: str) -> None:
        self.page.get_by_role("link", name=name).first.click()


class Keys(Hand):
    """Uses the keyboard alone: Tab until it is there, then types or presses Enter."""

    def fill(self, name: str, text: str) -> None:
        self._go("one => one.name === sought", name)
        self.page.keyboard.type(text)

    def press(self, name: str) -> None:
        self._go("one => one.tagName === 'BUTTON' && one.innerText.startsWith(sought)", name)
        self.page.keyboard.press("Enter")

    def follow(self, name: str) -> None:
        self._go("one => one.tagName === 'A' && one.innerText.startsWith(sought)", name)
        self.page.keyboard.press("Enter")

    def _go(self, test: str, sought: str) -> None:
        self.page.wait_for_load_state("load")
        here = f"sought => ({test})(document.activeElement)"
        for _ in range(250):
            if self.page.evaluate(here, sought):
                return
            self.page.keyboard.press("Tab")
        raise AssertionError(f"the keyboard does not reach {sought}")


@pytest.mark.parametrize(
    ("hand", "size", "script"),
    [(Hand, PHONE, False), (Keys, DESK, True)],
    ids=["phone without JavaScript", "keyboard alone"],
)
def test_from_the_blank_form_to_the_last_tick(bench: Bench, hand: type[Hand], size, script):
    with bench.looking(size, java_script_enabled=script) as page:
        uses = hand(page)
        page.goto("/")
        uses.press("Begin in inches")
        expect(page.get_by_role("heading", name="A new project")).to_be_visible()
        for name, text in TYPED.items():
            uses.fill(name, text)
        uses.press("Add a part")
        expect(page.locator('[name="part.0.name"]')).to_be_visible()
        for name, text in THEN.items():
            uses.fill(name, text)
        uses.press("Make the plan")
        expect(page.get_by_role("heading", name="Looking for the cheapest plan")).to_be_visible()
        bench.engine.say(bench.running(page.url.rpartition("/")[2]), done(rack_plan()))
        expect(page.get_by_role("heading", name="What to buy")).to_be_visible()
        uses.follow("Begin at the saw")
        for setting, cuts in ((1, (1,)), (2, (2, 3)), (3, (4,))):
            expect(page.get_by_role("heading", name=f"Setting {setting} of 3")).to_be_visible()
            for cut in cuts:
                uses.press(f"Cut {cut}:")
                expect(page.locator(f'#tick-{cut}[aria-pressed="true"]')).to_be_visible()
            if setting < 3:
                uses.follow(f"Setting {setting + 1}")
        expect(page.locator("label", has_text="All 4 cuts are done")).to_be_visible()


def test_a_search_falls_before_ones_eyes_and_its_plan_opens_by_itself(bench: Bench):
    plan = bench.search()
    run = bench.running(plan)
    with bench.looking(DESK) as page:
        page.goto(f"/plans/{plan}")
        expect(page.get_by_role("button", name="Stop: this is good enough")).to_be_disabled()
        bench.engine.say(run, fakes.progress(300.0, 150.0))
        expect(page.get_by_text("300.00 USD").first).to_be_visible()
        bench.engine.say(run, fakes.progress(200.0, 150.0))
        expect(page.locator("dd", has_text="200.00 USD")).to_be_visible()
        expect(page.locator("dd", has_text="25.0 %")).to_be_visible()
        page.get_by_role("button", name="Stop: this is good enough").click()
        expect(page.get_by_text("told to stop")).to_be_visible()
        fakes.until(lambda: run in bench.engine.finished)
        bench.engine.say(run, done(rack_plan()))
        expect(page.get_by_role("heading", name="What to buy")).to_be_visible()


def test_ticks_outlive_a_reload_and_reach_another_phone(bench: Bench):
    plan = bench.planned()
    with bench.looking(PHONE) as one, bench.looking(PHONE) as other:
        other.goto(f"/plans/{plan}/saw?setting=1")
        one.goto(f"/plans/{plan}/saw")
        tick(one, 1)
        expect(one.locator("label", has_text="1 of 4 cuts done")).to_be_visible()
        assert ticked(one, 1)
        one.reload()
        expect(one.get_by_text("Setting 2 of 3")).to_be_visible()  # goes on where the work is
        expect(other.locator("label", has_text="1 of 4 cuts done")).to_be_visible()  # by itself
        assert ticked(other, 1)
        tick(other, 1)  # the way back
        expect(other.locator("label", has_text="0 of 4 cuts done")).to_be_visible()
        one.get_by_role("link", name="Setting 1 before this one").click()
        assert not ticked(one, 1)


def test_a_tick_without_connection_is_not_shown(bench: Bench):
    plan = bench.planned()
    with bench.looking(PHONE, ("ERR_INTERNET_DISCONNECTED", "htmx:sendError", "htmx:afterRequest")) as page:
        page.goto(f"/plans/{plan}/saw")
        page.context.set_offline(True)
        tick(page, 1)
        expect(page.locator("#unreached")).to_contain_text("nothing was ticked")
        assert not ticked(page, 1)
        page.context.set_offline(False)
        tick(page, 1)
        expect(page.locator("label", has_text="1 of 4 cuts done")).to_be_visible()
        expect(page.locator("#unreached")).to_be_hidden()
    assert bench.client.get(f"{bench.address}/v1/plans/{plan}/progress").json()["done"] == [1]


def test_without_javascript_everything_is_there(bench: Bench):
    plan = bench.search()
    with bench.looking(PHONE, java_script_enabled=False) as page:
        page.goto(f"/plans/{plan}")
        expect(page.get_by_role("heading", name="Looking for the cheapest plan")).to_be_visible()
        bench.engine.say(bench.running(plan), done(rack_plan()))
        expect(page.get_by_role("heading", name="What to buy")).to_be_visible()  # the page looks again by itself
        page.get_by_role("link", name="Begin at the saw").click()
        tick(page, 1)
        page.get_by_role("link", name="Setting 2 after this one").click()
        tick(page, 3)
        page.get_by_role("link", name="This cut went wrong").click()
        page.get_by_label("Length", exact=True).first.fill("12")
        page.get_by_label("Width", exact=True).first.fill("2 1/2")
        page.get_by_role("button", name="Note it as spoiled").click()
        expect(page.get_by_text("12 × 2 1/2 in of it is left")).to_be_visible()
        page.get_by_role("button", name="Take back what was told of A1.2.1").click()
        expect(page.get_by_text("of it is left")).to_be_hidden()


def test_a_keyboard_is_enough_and_keeps_its_place(bench: Bench):
    plan = bench.planned()
    with bench.looking(DESK) as page:
        page.goto(f"/plans/{plan}/saw")
        page.keyboard.press("Tab")
        expect(page.get_by_role("link", name="To the page itself")).to_be_focused()
        for _ in range(12):
            page.keyboard.press("Tab")
            if page.evaluate("document.activeElement.id") == "tick-1":
                break
        page.keyboard.press("Enter")
        expect(page.locator("label", has_text="1 of 4 cuts done")).to_be_visible()
        expect(page.locator("#tick-1")).to_be_focused()
        page.keyboard.press("Space")
        expect(page.locator("label", has_text="0 of 4 cuts done")).to_be_visible()


def test_at_the_saw_a_thumb_and_an_eye_at_arms_length_suffice(bench: Bench):
    plan = bench.planned()
    with bench.looking(PHONE) as page:
        page.goto(f"/plans/{plan}/saw")
        size = "parseFloat(getComputedStyle(one).fontSize)"
        assert page.locator("h1 .big").evaluate(f"one => {size}") >= 56
        small = page.locator(".saw :is(p, li, button, label, h2, summary, a, span)").evaluate_all(
            f"all => all.filter(one => one.innerText && {size} < 20).map(one => one.outerHTML)"
        )
        assert small == []
        low = page.locator(".saw :is(button, a.button, summary)").evaluate_all(
            "all => all.map(one => one.getBoundingClientRect()).filter(box => box.height && box.height < 48)"
        )
        assert low == []
        drawn = page.locator(".picture svg text").evaluate_all(
            "all => all.map(one => one.getBoundingClientRect().height)"
        )
        assert min(drawn) >= 18


def test_no_page_has_a_serious_finding_or_runs_over_its_edge(bench: Bench):
    plan, searching, failed, comparison = bench.planned(NASTY), bench.search(), bench.search(), bench.search()
    bench.engine.say(bench.running(searching), fakes.progress(300.0, 150.0))
    problem = {
        "type": "/problems/cannot-be-done",
        "title": "",
        "status": 409,
        "errors": [{"pointer": "", "detail": NASTY}],
    }
    bench.engine.say(bench.running(failed), {"kind": "failed", "problem": problem})
    project = bench.client.get(f"{bench.address}/v1/plans/{comparison}").json()["project"]
    order = {"cleat_height": ["3", "4"], "seconds": 1}
    compared = bench.client.post(f"{bench.address}/v1/projects/{project}/comparisons", json=order).json()["id"]
    bench.engine.say(bench.running(compared), compared_by_hand())
    bench.client.post(f"{bench.address}/v1/rack", json={"length": 31, "width": 9, "thickness": "1/2", "note": NASTY})
    bench.client.put(f"{bench.address}/v1/plans/{plan}/steps/1/done")
    bench.client.post(f"{bench.address}/v1/plans/{plan}/spoiled", json={"piece": "A1.2"})
    fakes.until(lambda: bench.client.get(f"{bench.address}/v1/plans/{compared}").json()["state"] == "done")
    paths = [
        "/", "/sign-in", "/nothing", f"/plans/{searching}", f"/plans/{failed}", f"/plans/{plan}", f"/plans/{plan}/saw",
        f"/plans/{plan}/mishaps", f"/compare/{compared}", "/rack", "/rack/R-1",
    ]  # fmt: skip
    found = {}
    with bench.looking(PHONE, ("404 (Not Found)",)) as page:
        for path in paths:
            page.goto(path)
            page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
            found[path] = serious_findings(page) + over_the_edge(page, PHONE)
    with bench.looking(DESK, ("404 (Not Found)",)) as page:
        for path in paths:
            page.goto(path)
            page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
            found[path] += over_the_edge(page, DESK)
        found[path] += serious_findings(page)
    assert {path: findings for path, findings in found.items() if findings} == {}


def over_the_edge(page: Page, size: dict[str, int]) -> list[str]:
    over = page.evaluate("document.documentElement.scrollWidth") - size["width"]
    return [f"{over} px wider than {size['width']}"] if over > 0 else []


def test_on_paper_the_plan_has_no_buttons_and_the_packet_prints_itself(bench: Bench):
    plan = bench.planned()
    with bench.looking(DESK) as page:
        page.goto(f"/plans/{plan}")
        page.emulate_media(media="print")
        expect(page.get_by_role("heading", name="What to buy")).to_be_visible()
        for name in ("Begin at the saw", "Print the packet", "packet.pdf", "The project"):
            expect(page.get_by_role("link", name=name, exact=True)).to_be_hidden()
        assert page.pdf().startswith(b"%PDF-")
        page.emulate_media(media="screen")
        packet = page.get_by_role("link", name="Print the packet").get_attribute("href")
        answer = page.request.get(packet or "")
        assert answer.headers["content-type"] == "application/pdf"
        assert answer.body().startswith(b"%PDF-")
