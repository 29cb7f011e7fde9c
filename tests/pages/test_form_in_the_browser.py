"""From a blank form to an ordered plan in a real browser: with and without JavaScript, by keyboard, on both sizes.

Accessibility is judged by axe-core against the Web Content Accessibility Guidelines 2.2.
"""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from tests.pages.browsing import DESK, PHONE, Bench, serious_findings

HOLDER = {"holder-0-name": "glaze rack", "holder-0-width": "16", "holder-0-height": "8", "holder-0-depth": "4"}
FIELDS = {
    "project-name": "Pottery studio",
    "wall-width": "8 ft",
    "wall-height": "4'",
    "wall-studs-first": "8",
    "sheet-0-name": "birch",
    "sheet-0-length": "8 ft",
    "sheet-0-width": "48",
    "sheet-0-thickness": "23/32",
    "saw-kerf": "thin",
}
WIDER = "document.documentElement.scrollWidth > document.documentElement.clientWidth"


def begin(page: Page) -> None:
    page.goto("/")
    page.get_by_role("button", name="Begin in inches").click()
    page.wait_for_url("**/projects/*")


def fill(page: Page, fields: dict[str, str]) -> None:
    for name, text in fields.items():
        page.locator(f"#{name}").fill(text)


@pytest.mark.parametrize(("size", "script"), [(PHONE, True), (DESK, False)])
def test_from_a_blank_form_to_an_ordered_plan(bench: Bench, size, script):
    with bench.looking(size, java_script_enabled=script) as page:
        begin(page)
        fill(page, FIELDS)
        page.get_by_role("button", name="Add a holder").click()
        expect(page.locator("#holder-0-name")).to_be_visible()
        if script:
            expect(page.locator("#holder-0-name")).to_be_focused()
        fill(page, HOLDER)
        page.locator("#holder-0-style").select_option("rack")
        if not script:
            page.get_by_role("button", name="Draw again").click()
        expect(page.locator("#holder-0-holes-diameter")).to_be_visible()
        fill(page, {"holder-0-holes-diameter": "5/8", "holder-0-holes-count": "6"})
        page.get_by_role("button", name="Make the plan").click()
        expect(page.get_by_role("heading", name="1 fault to mend")).to_be_visible()
        expect(page.locator("#saw-kerf-fault")).to_contain_text("'thin' is not a length")
        for name, text in (FIELDS | HOLDER).items():
            assert page.locator(f"#{name}").input_value() == text
        expect(page.locator("#wall-drawing svg")).to_be_visible()
        expect(page.locator("#wall-drawing")).to_contain_text("glaze rack")
        page.get_by_role("link", name="Saw, kerf").click()
        expect(page.locator("#saw-kerf")).to_be_focused()
        page.keyboard.press("Control+A")
        page.keyboard.type("1/8")
        page.get_by_role("button", name="Make the plan").click()
        page.wait_for_url("**/plans/*")
        page.go_back()
        expect(page.locator("#saw-kerf")).to_have_value("1/8")


def test_by_keyboard_alone(bench: Bench):
    with bench.looking(DESK) as page:
        page.goto("/")
        _tab_to(page, "Begin in inches")
        page.keyboard.press("Enter")
        page.wait_for_url("**/projects/*")
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.className") == "skip"
        page.keyboard.press("Enter")
        for name, text in (FIELDS | {"saw-kerf": "1/8"}).items():
            _tab_to_field(page, name)
            page.keyboard.type(text)
        _tab_to(page, "Make the plan")
        page.keyboard.press("Enter")
        page.wait_for_url("**/plans/*")


def test_the_drawing_follows_and_faults_come_and_go_while_typing(bench: Bench):
    with bench.looking(DESK) as page:
        begin(page)
        expect(page.locator("#wall-drawing")).to_contain_text("No wall yet")
        fill(page, {"wall-width": "96", "wall-height": "48"})
        page.locator("#wall-floor_gap").focus()
        expect(page.locator("#wall-drawing svg")).to_be_visible()
        fill(page, {"wall-width": "wide"})
        page.locator("#wall-height").focus()
        expect(page.locator("#wall-width-fault")).to_contain_text("'wide' is not a length")
        expect(page.locator("#wall-width")).to_have_attribute("aria-invalid", "true")
        expect(page.locator("#wall-drawing")).to_contain_text("cannot be drawn yet")
        fill(page, {"wall-width": "10"})
        page.locator("#wall-height").focus()
        expect(page.locator("#wall-width-fault")).to_be_hidden()
        expect(page.locator("#wall-width")).not_to_have_attribute("aria-invalid", "true")
        expect(page.locator("#wall-drawing")).to_contain_text("This wall cannot be done")
        address = page.url
        page.goto("/")  # left without a word: everything was kept
        page.goto(address)
        expect(page.locator("#wall-width")).to_have_value("10")


def test_another_unit_and_a_row_less_in_place(bench: Bench):
    with bench.looking(PHONE) as page:
        begin(page)
        fill(page, {"sheet-0-name": "one"})
        page.get_by_role("button", name="Add a sheet").click()
        expect(page.locator("#sheet-1-name")).to_be_focused()
        page.keyboard.type("two")
        page.get_by_role("button", name=re.compile("Remove Sheet 1")).click()
        expect(page.locator("#sheet-0-name")).to_have_value("two")
        expect(page.locator("#add-sheet")).to_be_focused()
        page.locator("#project-unit").select_option("mm")
        expect(page.locator("#saw-rip_capacity")).to_have_attribute("placeholder", "760")
        expect(page.locator("#sheet-0-name")).to_have_value("two")


def test_two_windows(bench: Bench):
    with bench.looking(DESK) as one:
        begin(one)
        other = one.context.new_page()
        other.goto(one.url)
        fill(other, {"project-name": "other"})
        other.locator("#wall-width").focus()
        expect(other.locator("#mark")).not_to_have_value(one.locator("#mark").input_value())
        fill(one, {"project-name": "one"})
        one.locator("#wall-width").focus()
        expect(one.get_by_text("changed elsewhere")).to_be_visible()
        one.get_by_role("button", name="Keep what stands on this page").click()
        expect(one.get_by_role("heading", name="one")).to_be_visible()


def test_what_is_too_much_is_told_and_stays_where_it_was_typed(bench: Bench):
    with bench.looking(DESK, ("413", "Response Status Error", "htmx")) as page:
        begin(page)
        page.evaluate(
            "const more = document.createElement('input'); more.type = 'hidden'; more.name = 'more'; more.id = 'more';"
            "more.value = 'x'.repeat(2100000); document.getElementById('form').append(more)"
        )
        fill(page, {"project-name": "Bay"})
        page.locator("#wall-width").focus()
        expect(page.locator("#trouble")).to_contain_text("That is too much at once")
        expect(page.locator("#project-name")).to_have_value("Bay")
        page.evaluate("document.getElementById('more').remove()")
        fill(page, {"project-name": "short"})
        page.locator("#wall-width").focus()
        expect(page.locator("#trouble")).to_be_empty()


def test_a_service_out_of_reach_is_told(bench: Bench):
    with bench.looking(PHONE, ("ERR_INTERNET_DISCONNECTED", "htmx:sendError", "htmx:afterRequest")) as page:
        begin(page)
        page.context.set_offline(True)
        fill(page, {"project-name": "Bay"})
        page.locator("#wall-width").focus()
        expect(page.locator("#offline")).to_be_visible()
        page.context.set_offline(False)
        fill(page, {"wall-width": "96"})
        page.locator("#wall-height").focus()
        expect(page.locator("#offline")).to_be_hidden()
        page.reload()
        expect(page.locator("#project-name")).to_have_value("Bay")


@pytest.mark.parametrize("size", [PHONE])
def test_no_page_shuts_anybody_out_or_runs_off_the_screen(bench: Bench, size):
    with bench.looking(size) as page:
        page.goto("/")
        assert serious_findings(page) == []
        assert not page.evaluate(WIDER)
        page.get_by_role("button", name="A wall with its holders").click()
        page.wait_for_url("**/projects/*")
        assert serious_findings(page) == []
        assert not page.evaluate(WIDER)
        small = page.evaluate(
            "[...document.querySelectorAll('main button, main input:not([type=hidden]), main select')]"
            ".filter(one => one.offsetParent && !one.matches('.unseen') && one.offsetHeight < 48).map(one => one.id)"
        )
        assert small == []
        fill(page, {"saw-kerf": "thin", "project-name": '<img src=x onerror="document.title=1">'})
        page.get_by_role("button", name="Make the plan").click()
        expect(page.get_by_role("heading", name="1 fault to mend")).to_be_visible()
        assert serious_findings(page) == []
        assert not page.evaluate(WIDER)
    with bench.looking(size, ("404",)) as page:
        page.goto("/nothing")
        assert serious_findings(page) == []


def _tab_to(page: Page, words: str) -> None:
    _tab_until(page, f"document.activeElement.textContent.trim() === {words!r}")


def _tab_to_field(page: Page, name: str) -> None:
    _tab_until(page, f"document.activeElement.id === {name!r}")


def _tab_until(page: Page, test: str) -> None:
    for _ in range(80):
        if page.evaluate(test):
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"the keyboard does not lead there: {test}")
