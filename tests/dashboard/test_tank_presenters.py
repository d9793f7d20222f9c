import json
from dataclasses import replace

import numpy as np
import pytest

import events_demo
from dashboard.presenters import tank_risk_moment as moment
from dashboard.presenters.display import Display
from dashboard.presenters.tank_risk import (
    answer_note,
    answer_parts,
    course_choices,
    resonance_note,
    tank_risk,
    why_words,
)
from dashboard.presenters.tank_risk_changes import changes_table, gain_words, pickup_words
from dashboard.presenters.tank_risk_choice import SURFACES, Choice
from dashboard.presenters.tank_risk_levels import levels_table, risk_levels, starving_sentence
from dashboard.presenters.tank_risk_washing import (
    excitation_words,
    force_range,
    moment_text,
    risk_force,
    risk_spectrum,
    spectrum_table,
    washing_table,
    washing_words,
)
from dashboard.presenters.whence import words
from planner.cli.main import main
from planner.day.slosh_picture import tank_changes_json
from planner.errors import BadInput
from tests.dashboard.days import event_text, write_workspace

METRIC, US = Display(), Display("us")


@pytest.fixture(scope="module")
def demo():
    return tank_risk(events_demo.FOLDER / "events" / "teapot-ring-open-day.toml")


@pytest.fixture(scope="module")
def drawn(tmp_path_factory):
    """A sketched course: a long left-hand corner without boost, driving off with it."""
    return tank_risk(write_workspace(tmp_path_factory.mktemp("drawn")))


@pytest.fixture(scope="module")
def unknown(tmp_path_factory):
    path = write_workspace(tmp_path_factory.mktemp("unknown"))
    text = path.read_text().replace(', longitudinal = "0.3 g"', "").replace(', lateral = "0.5 g"', "")
    path.write_text(text)
    return tank_risk(path)


def test_its_figures_are_those_of_the_command_line(demo, capsys):
    logs = [word for path in demo.course.logs for word in ("--log", str(path))]
    assert main(["slosh", str(events_demo.FOLDER / "cars" / "teapot.toml"), *logs, "--json"]) == 0
    printed = json.loads(capsys.readouterr().out)
    for key in ("unusable_slosh_L", "washing_band_L", "borderline_L", "levels"):
        assert demo.slosh[key] == printed[key]


def test_the_answer_names_level_reason_and_both_risks(demo):
    said = words(answer_parts(demo, METRIC))
    assert said.startswith(
        "On Teapot Ring, starving threatens below 4.0\u202fL (43\u202f% full): the sloshing fluid bares"
    )
    assert "tilted as by a right-hand corner at" in said
    assert "Washing is hardest from 2.8\u202fL to 6.4\u202fL." in said
    assert "1.05\u202fgal" in words(answer_parts(demo, US))
    assert "borderline" in answer_note(demo, METRIC)
    assert "Near resonance with this course the fluid sloshes" in answer_note(demo, METRIC)


def test_every_cause_has_its_own_words(demo, drawn):
    slosh = {**demo.slosh, "driving": "slowing at 0.30 g"}
    assert "tilted by slowing at 0.30 g" in why_words({**slosh, "cause": "tilted surface"})
    assert "level ground" in why_words({**slosh, "cause": "level ground"})
    none = replace(drawn, slosh={**drawn.slosh, "cause": "no flow"})
    assert "no fluid flows, so nothing starves" in words(answer_parts(none, METRIC))
    full = replace(drawn, slosh={**drawn.slosh, "unusable_slosh_L": drawn.slosh["tank_capacity_L"]})
    assert "at every fill" in words(answer_parts(full, METRIC))
    calm = replace(drawn, slosh={**drawn.slosh, "levels": [{**row, "resonant": False} for row in drawn.rows]})
    assert resonance_note(calm, METRIC) == "No fill sloshes near resonance with this course."


def test_the_course_is_chosen_among_the_events(tmp_path):
    path = write_workspace(tmp_path)
    second = (
        '\n[[course]]\nname = "short"\nper = "lap"\npieces = [{ time = "9 s", boost = "14 psi", lateral = "0.9 g" }]\n'
    )
    path.write_text(event_text() + second)
    assert tank_risk(path).course.name == "loop"
    short = tank_risk(path, "short")
    assert short.course.name == "short"
    with pytest.raises(BadInput, match='course = "elsewhere": no course of that name; the event has: loop, short'):
        tank_risk(path, "elsewhere")
    assert [one["value"] for one in course_choices(path)] == ["loop", "short"]


def test_a_recording_that_is_gone_is_named(tmp_path):
    path = write_workspace(tmp_path)
    text = path.read_text()
    start, end = text.index("pieces = ["), text.index("]\n", text.index("pieces = [")) + 2
    path.write_text(text[:start] + 'logs = ["../logs/gone.csv"]\n' + text[end:])
    with pytest.raises(BadInput, match=r"gone\.csv"):
        tank_risk(path)


def test_stretches_of_the_picture_cover_the_tank_and_agree_with_the_levels(demo):
    data = risk_levels(demo, METRIC)
    assert data.starving[0].start == 0
    assert data.starving[-1].end == pytest.approx(data.capacity)
    assert [a.end for a in data.starving[:-1]] == [b.start for b in data.starving[1:]]
    for fill, row in zip(data.fill, demo.rows, strict=True):
        (held,) = [one.word for one in data.starving if one.start < fill < one.end]
        assert held == row["starving"]
        assert any(one.start < fill < one.end for one in data.resonance) == row["resonant"]
        assert (data.washing[0].start <= fill <= data.washing[0].end) == row["washing"]
    assert risk_levels(demo, US).floor == pytest.approx(data.floor / 3.785411784)
    assert all("starving" in text for text in data.texts)


def test_tables_say_what_the_pictures_show(demo):
    rows = levels_table(demo, METRIC).rows
    assert len(rows) == len(demo.rows) // 2
    assert {row.cells[1] for row in rows} == {"over 10 %", "1 to 10 %", "under 1 %"}
    assert [row.look for row in rows if row.cells[1] == "over 10 %"] == ["broken"] * sum(
        row.cells[1] == "over 10 %" for row in rows
    )
    shares = [row.cells[0] for row in washing_table(demo, METRIC).rows]
    assert shares == [f"{k}0\u202f%" for k in range(1, 10)]


def test_starving_and_washing_sentences_of_a_level(demo):
    low, high = demo.rows[2], demo.rows[-1]
    assert "for over 10 % of the time in which fluid flows" in starving_sentence(low, METRIC)
    assert "stays covered while fluid flows" in starving_sentence(high, METRIC)
    bridged = {**low, "starving_spells": 2, "bridged_spells": 2}
    assert "draws less than the hose holds" in starving_sentence(bridged, METRIC)
    said = washing_words(low, METRIC)
    assert force_range(low, METRIC) in said
    assert "Near resonance" in washing_words({**low, "resonant": True}, METRIC)
    assert "frozen" not in washing_words({**low, "frozen_force_N": 0.0}, METRIC)


def test_forces_are_a_range_from_f_to_one_and_a_half_f_in_either_unit(demo):
    data, us = risk_force(demo, METRIC), risk_force(demo, US)
    np.testing.assert_allclose(data.high, 1.5 * np.array(data.low), rtol=0.01, atol=0.1)
    np.testing.assert_allclose(us.low, np.array(data.low) / 4.4482216, atol=0.006)
    assert (data.force_unit, us.force_unit) == ("N", "lbf")
    assert moment_text(1.3558179483, US) == "1.0 lbf·ft"
    assert np.all(np.diff(data.frozen) > 0)


def test_the_strongest_swaying_in_words_is_the_pictures_peak(demo):
    data = risk_spectrum(demo)
    peak = data.frequency[int(np.argmax(data.lateral))]
    assert f"{peak:.2f} Hz left to right" in excitation_words(demo)
    assert max(*data.lateral, *data.longitudinal) == 100
    assert all(low < high for low, high in data.modes)
    assert len(spectrum_table(data).rows) <= 40
    still = {**demo.slosh["excitation"], "strongest_lateral_Hz": None, "strongest_longitudinal_Hz": None}
    assert "nothing sways" in excitation_words(replace(demo, slosh={**demo.slosh, "excitation": still}))


def test_changes_are_sentences_with_the_gain_of_the_model(demo):
    found = tank_changes_json(demo.car, demo.traces, demo.course.per)["changes"]
    rows = changes_table(demo, METRIC).rows
    assert [row.head.lower() for row in rows] == [change["name"] for change in found]
    assert {row.head for row in rows} == {"Pickup moved", "Tank turned", "Baffles", "Low sump"}
    assert rows[0].cells[0].startswith(f"Gains {METRIC.volume(found[0]['gain_L'], more=1)}: ")
    assert rows[0].look == "chosen"
    assert gain_words({**found[0], "gain_L": 0.001}, METRIC).startswith("Gains nothing: ")
    assert gain_words({**found[0], "gain_L": -0.5}, METRIC).startswith("Costs 0.50\u202fL: ")
    place = {"pickup_ahead_mm": -60.0, "pickup_left_mm": 5.0, "pickup_height_mm": 8.0}
    assert pickup_words(place, METRIC) == "60\u202fmm behind, 5\u202fmm to the left, 8\u202fmm up"
    assert pickup_words({**place, "pickup_ahead_mm": 0, "pickup_left_mm": 0}, METRIC).startswith("in the middle, ")


def test_the_page_opens_at_a_moment_that_starves_and_looks_where_the_tilt_shows(demo):
    choice = moment.opening_choice(demo)
    assert demo.rows[choice.level]["level_L"] <= 0.9 * demo.slosh["unusable_slosh_L"]
    shown = moment.moment_view(demo, choice, METRIC)
    assert shown.verdict[0] == "warning"
    assert shown.verdict[1].startswith("Starving: the surface passes")
    assert choice.view == "from the rear"
    assert "right-hand corner" in shown.happening
    assert "flowing" in shown.happening


def test_moments_agree_with_the_depths_in_time(demo):
    choice = moment.opening_choice(demo)
    rows = moment.time_rows(demo, choice)
    for k in moment.stop_places(rows)[::60]:
        for surface in SURFACES:
            shown = moment.moment_view(demo, replace(choice, time=k, surface=surface), METRIC)
            # Accelerations are kept to a thousandth of a g, which is a fraction of a millimetre at the pickup.
            assert shown.picture["depth_mm"] == pytest.approx(rows[f"{surface}_mm"][k], abs=0.8)


def test_the_worst_moment_is_the_least_depth_while_fluid_flows(demo):
    rows = moment.time_rows(demo, moment.opening_choice(demo))
    places = moment.stop_places(rows)
    worst = moment.worst_place(rows, "still")
    assert rows["flow_mL_min"][worst] > 0
    assert all(rows["still_mm"][k] >= rows["still_mm"][worst] for k in places if rows["flow_mL_min"][k])
    dry = {**rows, "flow_mL_min": [0.0] * len(rows["flow_mL_min"])}
    assert rows["still_mm"][moment.worst_place(dry, "still")] == min(rows["still_mm"][k] for k in places)
    assert moment.nearest_place(rows, rows["time_s"][worst] + 1e-3) == worst


def test_stops_leave_gaps_out_and_stay_few():
    depth = [5.0] * 3000
    depth[10:20] = [None] * 10
    rows = {"moving_mm": depth, "time_s": [0.02 * k for k in range(3000)]}
    places = moment.stop_places(rows)
    assert len(places) <= moment.MOST_STOPS
    assert not set(places) & set(range(10, 20))
    assert moment.time_stops(rows)[0] == {"value": 0, "text": "0.0 s"}


def test_own_accelerations_tilt_both_surfaces_alike(demo):
    choice = Choice(level=19, mode="own", lateral=0.5, view="from the rear")
    moving, still = (moment.moment_view(demo, replace(choice, surface=surface), METRIC) for surface in SURFACES)
    assert moving.picture == still.picture
    assert moving.picture["lateral_g"] == 0.5
    assert "a left-hand corner at 0.50 g" in moving.happening
    (u1, z1), (u2, z2) = moving.picture["surface_mm"]
    assert (z2 - z1) / (u2 - u1) == pytest.approx(-0.5, abs=1e-3)


@pytest.mark.parametrize(
    ("depth", "asked", "flowing", "level", "word"),
    [
        (-30.0, 10.0, True, "warning", "passes 30\u202fmm below the pickup while fluid flows."),
        (-4.0, 10.0, True, "warning", "Borderline: the model is no better"),
        (4.0, 10.0, True, "caution", "Borderline: 4\u202fmm over the pickup"),
        (4.0, 10.0, None, "caution", "if fluid flows then"),
        (-30.0, 10.0, False, "notice", "but nothing flows: no harm"),
        (40.0, 10.0, True, "done", "Covered: 40\u202fmm of fluid"),
        (4.0, 0.0, True, "done", "Covered"),
    ],
)
def test_verdicts(depth, asked, flowing, level, word):
    found = moment._verdict({"depth_mm": depth, "asked_mm": asked}, flowing, METRIC)
    assert found[0] == level
    assert word in found[1]


def test_starving_stretches_of_the_picture_are_where_the_depth_is_short_while_fluid_flows(demo):
    choice = moment.opening_choice(demo)
    rows, data = moment.time_rows(demo, choice), moment.time_view(demo, choice, METRIC)
    assert data.starving
    for k, seconds in enumerate(rows["time_s"]):
        short = rows["moving_mm"][k] is not None and rows["moving_mm"][k] < 10 and rows["flow_mL_min"][k] > 0
        assert any(start <= seconds < end for start, end in data.starving) == short
    assert len(moment.time_table(demo, choice, METRIC).rows) <= 2 * moment.TABLE_ROWS


def test_recordings_have_names_and_the_hardest_is_shown_first(demo, drawn):
    names = [one["label"] for one in moment.recording_choices(demo)]
    assert names == [f"teapot-ring-{k}.csv" for k in range(1, 5)]
    floors = [tank_risk_floor(demo, k) for k in range(4)]
    assert floors[moment.hardest_recording(demo)] == max(floors)
    assert len(moment.recording_choices(drawn)) == 1


def tank_risk_floor(risk, k):
    from planner.use.starving import starving_floor  # the model's own, for comparison

    return starving_floor(risk.car, [risk.shown[k]], risk.course.per).volume


def test_a_course_without_accelerations_shows_the_pattern_that_stands_in(unknown):
    assert unknown.slosh["assumed"]
    assert [one["label"] for one in moment.recording_choices(unknown)] == ["assumed pattern"]
    choice = moment.opening_choice(unknown)
    rows = moment.time_rows(unknown, choice)
    assert min(rows["flow_mL_min"]) > 0
    assert max(rows["lateral_g"]) == pytest.approx(1.1, abs=0.01)
    assert any("assumed" in text for text in unknown.slosh["notices"])
    assert moment.moment_view(unknown, choice, METRIC).verdict[0] in ("warning", "caution")


def test_the_large_drawings_words_say_view_pull_and_depth(demo):
    choice = moment.opening_choice(demo)
    rear = moment.side_words(moment.moment_view(demo, choice, METRIC), METRIC)
    assert rear["left_end"] == "left of car"
    assert rear["pull"] < 0
    assert rear["pull_text"].startswith("fluid thrown to the left")
    assert rear["label"].startswith("Side view of the tank from the rear: At ")
    left = moment.side_words(moment.moment_view(demo, replace(choice, view="from the left"), US), US)
    assert left["left_end"] == "front of car"
    assert left["scale"] == (101.6, "4 in")
    calm = moment.moment_view(demo, Choice(level=20, mode="own", lateral=0.0), METRIC)
    assert moment.side_words(calm, METRIC)["pull_text"] == "nothing throws the fluid this way"
