"""The pages Car, New day and Method in a real browser: the main path of each."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.browser.served import Served

CAR = "/car?event=events/teapot-ring-open-day.toml"
DRAWN = ".js-plotly-plot .main-svg"


@pytest.fixture
def own():
    """A server and folder of this test alone."""
    with Served() as served:
        yield served


def test_a_nozzle_changes_the_flow_at_once_and_the_file_when_saved(own, visit) -> None:
    page, file = visit(own).open(CAR, DRAWN), own.folder / "cars" / "teapot.toml"
    before, text = page.inner_text("#car-answer .answer"), file.read_text()
    cell = page.get_by_label("Rated flow, nozzle 1", exact=True)
    cell.fill("7.5 gal/h")
    cell.press("Enter")
    expect(page.locator("#car-answer .answer")).not_to_have_text(before, use_inner_text=True)
    assert file.read_text() == text
    page.reload()
    expect(cell).to_have_value("7.5 gal/h")
    page.click("#car-save")
    expect(page.locator("#toast")).to_contain_text("Saved to teapot.toml")
    assert 'rated_flow = "7.5 gal/h"' in file.read_text()


def test_a_bad_field_is_marked_and_the_page_says_what_to_mend(visit) -> None:
    page = visit().open(CAR, DRAWN)
    field = page.get_by_label("Starts at boost")
    field.fill("5 mm")
    field.press("Enter")
    expect(field).to_have_attribute("aria-invalid", "true")
    expect(page.locator("#car-answer")).to_contain_text("to mend before the flow can be worked out")
    field.fill("5 psi")
    field.press("Enter")
    expect(page.locator("#car-answer .answer")).to_contain_text("injects from")


def test_a_flow_test_corrects_the_cars_factor(visit) -> None:
    page = visit().open(CAR, DRAWN)
    expect(page.locator("#car-test-said")).not_to_be_empty()
    for label, text in (("Collected", "520 mL"), ("In", "60 s")):
        field = page.get_by_label(label, exact=True)
        field.fill(text)
        field.press("Enter")
    expect(page.locator("#car-test-said")).to_contain_text("the car's factor is now")


def test_the_power_gives_the_share_of_the_petrol_and_stays_in_the_browser(visit, demo) -> None:
    page, text = visit().open(CAR, DRAWN), (demo.folder / "cars" / "teapot.toml").read_text()
    page.get_by_label("Engine power at full boost").fill("340 hp")
    page.get_by_label("Engine power at full boost").press("Enter")
    expect(page.locator("#car-picture-part .notice")).to_contain_text("of petrol that 340 hp burn")
    page.reload()
    expect(page.get_by_label("Engine power at full boost")).to_have_value("340 hp")
    assert (demo.folder / "cars" / "teapot.toml").read_text() == text


def test_the_operating_point_shows_under_the_pointer(visit) -> None:
    page = visit().open(CAR, DRAWN)
    box = page.locator("#car-picture .nsewdrag").first.bounding_box()
    assert box
    page.mouse.move(box["x"] + 0.7 * box["width"], box["y"] + 0.5 * box["height"])
    expect(page.locator("#car-picture .hoverlayer")).to_contain_text("before the nozzles")


def test_units_change_on_the_car_and_what_is_typed_stays_as_typed(visit) -> None:
    page = visit().open(CAR, DRAWN)
    typed = page.get_by_label("Rated flow, nozzle 1", exact=True).input_value()
    page.get_by_label("Units shown").select_option("us")
    expect(page.locator("#car-answer .answer")).to_contain_text("gal/h")
    expect(page.get_by_label("Rated flow, nozzle 1", exact=True)).to_have_value(typed)


def test_an_empty_workspace_asks_three_things_and_has_a_plan(visit, empty) -> None:
    page = visit(empty).open("/")
    expect(page.locator("#new-said")).to_be_empty()
    page.get_by_label("Tank, inside").fill("soon")
    page.click("#new-make")
    expect(page.locator("#new-said")).to_contain_text("One answer cannot be read")
    page.get_by_label("Tank, inside").fill("7 L")
    page.get_by_label("Name").fill("Turnip")
    page.get_by_label("Kind of day").select_option("autocross")
    page.reload()
    expect(page.get_by_label("Name")).to_have_value("Turnip")
    page.click("#new-make")
    expect(page.locator("#day-answer .answer")).to_contain_text("Fill to")
    expect(page.locator("#day-answer")).to_contain_text("Rough")
    assert sorted(path.suffix for path in empty.folder.rglob("*.toml")) == [".toml", ".toml"]


def test_method_states_models_limits_and_sources(visit) -> None:
    page = visit().open("/method")
    text = page.inner_text("#method")
    for word in ("Flow", "Floor", "Limits", "Sources", "Spread"):
        assert word in text
    page.get_by_role("link", name="Car").click()
    expect(page.locator("#car-answer .answer")).to_contain_text("injects from")
