"""The page Pack's plain data: the answer, the list in the units shown, the recipe, the calculators, the settings."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from dashboard.presenters.display import Display
from dashboard.presenters.pack import Packed, answer_parts, companions, groups, jugs, packed, weather_notices, whom
from dashboard.presenters.pack_choice import (
    choice_of,
    choice_of_query,
    keep_choice,
    kept_choice,
    refused,
    settings_of,
)
from dashboard.presenters.pack_mix import first_texts, mixed, read_share
from dashboard.presenters.pack_strength import checked, density_table
from dashboard.presenters.pack_tables import limits_table, mixed_loads, profile_figures, profile_words, recipe_table
from dashboard.presenters.table import TableData
from dashboard.presenters.whence import Whence, words
from dashboard.presenters.workspace import Workspace
from planner.errors import UnitError
from planner.files.pack_ticks import set_tick, ticks_path
from planner.planning.packing import pack_json
from tests.dashboard.days import CAR, event_text, write_workspace

EVENT, LATER = "events/moth.toml", "events/newt.toml"
METRIC, US = Display(), Display("us")


@pytest.fixture
def workspace(tmp_path: Path) -> Workspace:
    """Two days; the second one has a car with a weaker blend."""
    write_workspace(tmp_path)
    weak = CAR.replace("Plum hatch", "Beet wagon").replace("alcohol_share = 0.50", "alcohol_share = 0.30")
    (tmp_path / "cars" / "beet.toml").write_text(weak)
    text = event_text(5).replace("Moth Meadow", "Newt Nook").replace("2026-05-16", "2026-05-17")
    (tmp_path / LATER).write_text(text.replace("plum.toml", "beet.toml"))
    return Workspace(tmp_path)


def _made(workspace: Workspace, *events: str, **texts: str) -> Packed:
    return packed(workspace, choice_of(events or (EVENT,), texts))


def _said(parts: object) -> str:
    return words(parts).replace("\u202f", " ")  # type: ignore[arg-type]


def _listed(found: list[dict[str, Any]]) -> str:
    lines = (f"{item['text']} · {item['detail']}" for group in found for item in group["items"])
    return "\n".join(lines).replace("\u202f", " ")


def _cells(table: TableData) -> list[list[str]]:
    return [[_said(cell) for cell in row.cells] for row in table.rows]


def test_the_answer_is_the_lists_own_figures(workspace: Workspace) -> None:
    made = _made(workspace)
    assert made.listed
    (blend,), data = pack_json(made.listed)["blends"], pack_json(made.listed)
    said = _said(answer_parts(made, METRIC))
    assert said.startswith(f"Load {blend['blend_L']:.1f} L of 50 % blend in ")
    assert f": {data['fluid_mass_kg']:.1f} kg; mix " in said
    assert said.endswith(f"{blend['alcohol_L']:.2f} L methanol with {blend['water_L']:.2f} L water.")


def test_every_number_of_the_answer_opens_to_where_it_comes_from(workspace: Workspace) -> None:
    for made in (_made(workspace), _made(workspace, EVENT, LATER), _made(workspace, mix_there="yes")):
        numbers = [part for part in answer_parts(made, METRIC) if isinstance(part, Whence)]
        assert len(numbers) >= 3
        assert all(number.inputs and number.formula and number.source for number in numbers)


def test_two_cars_of_two_strengths_are_one_list_with_two_recipes(workspace: Workspace) -> None:
    made = _made(workspace, EVENT, LATER)
    said = _said(answer_parts(made, METRIC))
    assert "blend of 2 strengths" in said
    assert "for 50 % mix" in said
    assert "for 30 % mix" in said
    assert whom(made) == "Moth Meadow, Plum hatch; Newt Nook, Beet wagon"
    assert len(mixed_loads(made)) == 2


def test_mixed_there_says_what_travels(workspace: Workspace) -> None:
    made = _made(workspace, mix_there="yes")
    (load,) = mixed_loads(made)
    parts = load.parts
    said = _said(answer_parts(made, METRIC))
    assert said.startswith(f"Load {parts.alcohol * 1e3:.1f} L methanol and {parts.water * 1e3:.1f} L water in ")
    assert said.endswith(f"mixed there it is {parts.blend * 1e3:.1f} L of blend.")


def test_a_part_opens_to_its_scale_and_to_what_is_lost_on_mixing(workspace: Workspace) -> None:
    made = _made(workspace)
    (load,) = mixed_loads(made)
    methanol = next(p for p in answer_parts(made, METRIC) if isinstance(p, Whence) and p.title == "Methanol to pour")
    inputs = {name: value.replace("\u202f", " ") for name, value in methanol.inputs}
    assert inputs["By scale"] == f"{load.parts.alcohol_mass:.2f} kg"
    assert inputs["Lost on mixing, both parts"] == f"{load.parts.shrink * 1e3:.2f} L"
    assert inputs["Finished blend"] == f"{load.parts.blend * 1e3:.2f} L"


def test_the_list_shows_its_amounts_in_the_units_chosen(workspace: Workspace) -> None:
    made = _made(workspace, mix_there="yes")
    shown = {display.system: _listed(groups(made, display)) for display in (METRIC, US)}
    assert " L" in shown["metric"]
    assert " mm before 1" in shown["metric"]
    assert "10 L container" in shown["metric"]
    assert " L" not in shown["us"]
    assert " kg" not in shown["us"].replace("kg/m³", "")
    assert " in before 1" in shown["us"]
    assert "68 °F" in shown["us"]
    ids = [[item["id"] for group in groups(made, display) for item in group["items"]] for display in (METRIC, US)]
    assert ids[0] == ids[1]


def test_jugs_are_the_lists_containers(workspace: Workspace) -> None:
    made = _made(workspace)
    assert made.listed
    found = jugs(made, METRIC)
    assert sum(jug.fill for jug in found) == pytest.approx(sum(load.parts.blend for load in made.listed.loads) * 1e3)
    assert all(jug.fill <= 0.95 * jug.size * (1 + 1e-9) for jug in found)
    assert found[0].title.replace("\u202f", " ") == f"{found[0].fill:.2f} L"
    assert found[0].note.replace("\u202f", " ") == "of 10 L"


def test_ticks_are_those_kept_beside_the_event(workspace: Workspace) -> None:
    made = _made(workspace)
    set_tick(ticks_path(*made.paths), made.key, "tool/funnel")
    assert _made(workspace).ticked == {"tool/funnel"}
    assert _made(workspace, EVENT, LATER).ticked == frozenset()


def test_a_day_without_a_plan_is_left_out_and_told(workspace: Workspace) -> None:
    (workspace.folder / LATER).write_text(event_text(400).replace("Moth Meadow", "Newt Nook"))
    made = _made(workspace, EVENT, LATER, "events/gone.toml")
    assert len(made.outings) == 1
    assert made.missing[0].startswith("Newt Nook: no plan exists: ")
    assert made.missing[0].endswith("Its page Day says what mends it.")
    assert made.missing[1] == "events/gone.toml is not in the workspace any more; take it off the list."
    assert made.address == "/pack/ticks?event=events%2Fmoth.toml"
    assert _made(workspace, LATER).listed is None


def test_a_broken_file_is_told_with_its_fault(workspace: Workspace) -> None:
    path = workspace.folder / LATER
    path.write_text(path.read_text().replace('"14 psi"', '"14 gal"'))
    assert "not a unit of pressure" in _made(workspace, LATER).missing[0]


def test_the_recipe_is_that_of_the_load_for_all_and_for_each_jug(workspace: Workspace) -> None:
    made = _made(workspace)
    (load,) = mixed_loads(made)
    table = recipe_table(load, METRIC)
    assert next(row.head for row in table.rows) == "All together"
    assert table.rows[1].head.replace("\u202f", " ") == "Jug 1, 10 L"
    first = _cells(table)[0]
    assert first == [
        f"{load.parts.blend * 1e3:.2f} L", f"{load.parts.alcohol * 1e3:.2f} L", f"{load.parts.water * 1e3:.2f} L",
        f"{load.parts.water_mass:.2f} kg", f"{load.parts.alcohol_mass:.2f} kg",
    ]  # fmt: skip
    for row in table.rows:
        methanol = row.cells[1]
        assert isinstance(methanol, Whence)
        assert float(dict(methanol.inputs)["Density of methanol"].split("\u202f")[0]) == pytest.approx(791.0, abs=0.5)
    jugs_sum = sum(float(row[0].removesuffix(" L")) for row in _cells(table)[1:])
    assert jugs_sum == pytest.approx(load.parts.blend * 1e3, abs=0.02)
    assert "gal" in _cells(recipe_table(load, US))[0][0]


def test_carriage_limits_stand_beside_the_load_and_may_be_typed_over(workspace: Workspace) -> None:
    made = _made(workspace, profile="canada", package_mass="2 kg", vehicles="2")
    rows = _cells(limits_table(made, METRIC))
    assert rows[1][1:] == ["2 kg", "over: see above"]
    assert rows[2][1] == "none"
    assert rows[3][1:] == ["150 kg", "within"]
    assert made.listed
    assert any("figures edited here" in one.text for one in made.listed.warnings)
    assert any("not legal advice" in sentence for sentence in profile_words(made))
    (load,) = mixed_loads(made)
    assert rows[2][0] == f"{load.parts.blend * 1e3 / 2:.1f} L"
    assert rows[3][0] == f"{load.parts.mass / 2:.1f} kg"
    in_us = _cells(limits_table(made, US))
    assert in_us[2][0].endswith(" gal)")
    assert in_us[3][0].endswith(" lb)")


def test_each_profile_tells_its_own_figures() -> None:
    assert profile_figures("europe-private")["package_volume"] == "profile: 60 L"
    assert profile_figures("canada")["package_volume"] == "profile: no limit"


def test_weather_is_told_for_each_blend_in_the_units_shown(workspace: Workspace) -> None:
    texts = {"night_low": "-30 degC", "day_high": "31 degC"}
    found = weather_notices(_made(workspace, EVENT, LATER, **texts), US)
    assert [one["code"] for one in found] == ["frost", "vapour"] * 2
    assert "−22" in found[0]["text"]
    assert "°F" in found[0]["text"]
    assert found[2]["text"].startswith("30")
    (answer,) = weather_notices(_made(workspace, night_low="-30 degC", boot="45 degC"), METRIC)
    assert answer["text"].startswith("No answer: temperature [degC] -30")


def test_a_choice_goes_through_an_address_and_through_the_folder(workspace: Workspace) -> None:
    choice = choice_of(
        [EVENT, LATER, EVENT], {"vehicles": "2", "paper": "a4", "moon": "full", "mixed_on": " 2026-05-15 "}
    )
    assert choice.events == (EVENT, LATER)
    assert dict(choice.texts) == {"vehicles": "2", "mixed_on": "2026-05-15"}
    pairs = [tuple(part.split("=")) for part in choice.query().replace("%2F", "/").split("&")]
    assert choice_of_query(pairs) == choice  # type: ignore[arg-type]
    assert kept_choice(workspace, EVENT) == choice_of([EVENT], {})
    keep_choice(workspace, EVENT, choice)
    assert kept_choice(Workspace(workspace.folder), EVENT) == choice
    assert kept_choice(workspace, "events/gone.toml").events == ("events/gone.toml",)


@pytest.mark.parametrize(
    ("key", "text", "sentence"),
    [
        ("night_low", "9", "no unit"),
        ("boot", "hot", "temperature"),
        ("vehicles", "0", "a whole number of vehicles from 1 on"),
        ("mixed_on", "May", "not a date; write one such as 2026-05-15"),
        ("profile", "moon", "no such one; take one of none, us-trade"),
        ("paper", "a3", "take one of a4, letter"),
        ("package_mass", "0 kg", "a limit is above zero"),
        ("vehicle_volume", "3 kg", "volume"),
    ],
)
def test_a_setting_that_cannot_be_read_is_told_and_counts_as_not_given(key: str, text: str, sentence: str) -> None:
    settings, faults = settings_of(choice_of([EVENT], {key: text}))
    assert list(faults) == [key]
    assert sentence in faults[key]
    assert settings == settings_of(choice_of([EVENT], {}))[0]
    assert refused(faults)[0].startswith(key.replace("_", " "))


def test_a_high_below_the_low_is_told_at_the_high() -> None:
    settings, faults = settings_of(choice_of([EVENT], {"night_low": "9 degC", "day_high": "3 degC"}))
    assert faults == {"day_high": "lies below the night's low; swap them"}
    assert (settings.weather.night_low, settings.weather.day_high) == (9.0, None)


def test_other_events_are_offered_with_their_cars(workspace: Workspace) -> None:
    assert companions(workspace, EVENT) == [(LATER, "Newt Nook · 17 May 2026 · Beet wagon")]


def test_the_calculator_answers_for_what_is_at_hand_and_what_can_be_measured() -> None:
    texts = first_texts(20.0, 0.5, METRIC)
    assert _said(mixed(texts, METRIC).parts) == "Pour 10.36 L water and 10.36 L methanol: 20.00 L of 50 % blend."
    found = mixed({**texts, "have": "6 L", "have_share": "30 %"}, METRIC)
    assert _said(found.parts).startswith("Pour 6.00 L blend at hand, ")
    found = mixed({**texts, "premix_share": "0.7"}, METRIC)
    assert "bought premix" in _said(found.parts)
    assert "methanol" not in _said(found.parts).removesuffix("blend.")
    found = mixed({**texts, "amount": "2 L", "share": "0.4", "round": "500 mL"}, METRIC)
    assert found.notes[0].replace("\u202f", " ") == "Rounded, 50.00 % comes out where 40.0 % was wanted."
    assert _cells(found.table)[0][1] == "1.000 L"  # type: ignore[arg-type]
    by_scale = mixed({**texts, "round": "50 g"}, METRIC)
    assert _cells(by_scale.table)[0][2] == "10.350 kg"  # type: ignore[arg-type]


@pytest.mark.parametrize("display", [METRIC, US], ids=["metric", "us"])
def test_the_calculator_begins_with_the_lists_own_recipe(workspace: Workspace, display: Display) -> None:
    path = workspace.folder / "cars" / "plum.toml"
    path.write_text(path.read_text().replace("alcohol_share = 0.50", 'alcohol_share = 0.50\ntemperature = "35 degC"'))
    (load,) = mixed_loads(_made(workspace))
    texts = first_texts(load.parts.blend * 1e3, 0.5, display, temperature=load.parts.temperature)
    water, methanol = _cells(mixed(texts, METRIC).table)  # type: ignore[arg-type]
    assert float(water[1].removesuffix(" L")) == pytest.approx(load.parts.water * 1e3, rel=1e-3)
    assert float(methanol[1].removesuffix(" L")) == pytest.approx(load.parts.alcohol * 1e3, rel=1e-3)


def test_the_calculator_tells_every_way_to_count_and_a_blend_that_does_not_flash() -> None:
    facts = {name: str(value).replace("\u202f", " ") for name, value in mixed(first_texts(10, 0.5, US), US).facts}
    assert facts["Share of the finished volume"] == "51.8 %"
    assert facts["Share of the mass"] == "44.2 %"
    assert "°F" in facts["First ice at"]
    weak = mixed({**first_texts(10, 0.5, METRIC), "share": "2 %"}, METRIC)
    assert dict(weak.facts)["Flash point"] == "does not flash below boiling"
    assert "from memory" in weak.notes[-1]


@pytest.mark.parametrize(
    ("changed", "key", "sentence"),
    [
        ({"amount": ""}, "amount", "missing; write one such as"),
        ({"amount": "-1 L"}, "amount", "above zero"),
        ({"amount": "5"}, "amount", "no unit"),
        ({"share": "50"}, "share", "write 0.5, or 50 %"),
        ({"share": "wine"}, "share", "not a share"),
        ({"temperature": "80 degC"}, "temperature", "holds from -20 to 50 degC"),
        ({"have": "3 L"}, "have_share", "come together"),
        ({"have_share": "0.3"}, "have", "come together"),
        ({"have": "-3 L", "have_share": "0.3"}, "have", "zero or more"),
        ({"amount": "10 mL", "round": "500 mL"}, "amount", "round to a smaller step"),
    ],
)
def test_a_calculator_field_that_misfits_is_told_where_it_stands(
    changed: dict[str, str], key: str, sentence: str
) -> None:
    found = mixed({**first_texts(None, 0.5, METRIC), **changed}, METRIC)
    assert not found.parts
    assert list(found.faults) == [key]
    assert sentence in found.faults[key]


@pytest.mark.parametrize(("text", "value"), [("0.5", 0.5), ("50 %", 0.5), ("50%", 0.5), (" 0 ", 0.0), ("100 %", 1.0)])
def test_a_share_is_read_as_a_number_or_in_percent(text: str, value: float) -> None:
    assert read_share(text) == value


@pytest.mark.parametrize("text", ["", "-1", "120", "120 %", "nan"])
def test_what_is_no_share_is_refused(text: str) -> None:
    with pytest.raises(UnitError, match="share"):
        read_share(text)


def test_strength_goes_both_ways_with_its_uncertainty() -> None:
    table = density_table(0.5, METRIC)
    at_20 = next(row for row in table.rows if row.head.replace("\u202f", " ") == "20 °C")
    assert at_20.cells[0] == "926.7"
    assert not checked({"density": "926.7 kg/m3", "error": "0 kg/m3"}, METRIC).faults
    found = checked({"density": "926.7 kg/m3"}, METRIC)
    assert _said(found.parts) == "926.7 kg/m³ at 20 °C is 50.0 % methanol, give or take 0.8 %."
    assert _said(checked({"density": "0.9267 g/mL", "temperature": "68 degF"}, US).parts).endswith(
        "give or take 0.8 %."
    )
    assert checked({}, METRIC).parts == ()
    assert "weak" in checked({"density": "975 kg/m3"}, METRIC).notes[0]


def test_the_days_own_temperatures_have_rows_of_their_own() -> None:
    heads = [row.head.replace("\u202f", " ") for row in density_table(0.5, METRIC, (4.0, 31.0)).rows]
    assert [head for head in heads if "the day's" in head] == ["4 °C, the day's", "31 °C, the day's"]
    assert len(density_table(0.5, METRIC, (None, 80.0)).rows) == len(density_table(0.5, METRIC).rows)
    assert len(density_table(0.5, METRIC, (20.0,)).rows) == len(density_table(0.5, METRIC).rows)


def test_no_reading_is_told_for_a_blend_that_is_ice() -> None:
    assert next(row.head.replace("\u202f", " ") for row in density_table(0.05, METRIC).rows) == "0 °C"


@pytest.mark.parametrize(
    ("texts", "key", "sentence"),
    [
        ({"density": "700 kg/m3"}, "density", "is no blend's"),
        ({"density": "927"}, "density", "no unit"),
        ({"density": "927 kg/m3", "temperature": "90 degC"}, "temperature", "holds from -20 to 50 degC"),
        ({"density": "927 kg/m3", "error": "-1 kg/m3"}, "error", "zero or more"),
    ],
)
def test_a_reading_that_cannot_be_is_told_where_it_stands(texts: dict[str, str], key: str, sentence: str) -> None:
    found = checked(texts, METRIC)
    assert list(found.faults) == [key]
    assert sentence in found.faults[key]
