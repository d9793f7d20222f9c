import json

import pytest

from dashboard.app import create_app
from dashboard.pages import tank
from dashboard.presenters.tank_risk import tank_risk
from dashboard.presenters.tank_risk_moment import opening_choice, time_rows
from dashboard.presenters.view import view_of
from dashboard.presenters.workspace import Workspace
from tests.dashboard.days import write_workspace


@pytest.fixture
def event(tmp_path):
    return write_workspace(tmp_path)


@pytest.fixture
def client(event):
    return create_app(event.parents[1]).server.test_client()


def ask(client, output, values, changed, states=()):
    """The answer of a callback whose outputs, inputs and states are given by id and value."""
    outputs = [dict(zip(("id", "property"), one.split("."), strict=True)) for one in output]
    name = "..{}..".format("...".join(output)) if len(output) > 1 else output[0]

    def slots(pairs):
        return [{"id": key.split(".")[0], "property": key.split(".")[1], "value": value} for key, value in pairs]

    body = {
        "output": name,
        "outputs": outputs if len(outputs) > 1 else outputs[0],
        "inputs": slots(values),
        "state": slots(states),
        "changedPropIds": [changed],
    }
    answer = client.post("/_dash-update-component", json=body)
    assert answer.status_code in (200, 204), answer.get_data(as_text=True)
    return json.loads(answer.get_data(as_text=True))["response"] if answer.status_code == 200 else {}


def chosen(**more):
    values = {
        "recording": "0", "level": 3, "surface": "moving", "view": "from the left", "mode": "recorded", "time": 40,
        "lateral": 0.8, "longitudinal": 0.0,
    } | more  # fmt: skip
    return [(f"tank-{name}.value", values[name]) for name in tank.CHOSEN]


URL = ("url.search", "?event=events/moth.toml")
PLACE = (URL, ("settings.data", {}))


def test_the_whole_page_opens(client):
    found = ask(client, ["page.children"], [("url.pathname", "/tank"), URL], "url.pathname", [("settings.data", None)])
    text = json.dumps(found)
    for part in (
        "starving threatens below",
        "The tank at one moment",
        "What a change would gain",
        "Linear theory",
        "Which tank to buy",
    ):
        assert part in text, part
    assert "tank-course" not in text  # one course needs no choice


def test_a_moved_slider_redraws_the_tank_and_says_what_happens(client):
    outputs = ["tank-drawing.tree", "tank-said.children", "tank-moment.className"]
    found = ask(client, outputs, chosen(), "tank-time.value", PLACE)
    assert found["tank-drawing"]["tree"]["tag"] == "svg"
    assert "Starving. " in json.dumps(found["tank-said"])
    assert found["tank-moment"]["className"] == "sheet tank-moment from-recorded"
    own = ask(client, outputs, chosen(mode="own", lateral=-0.5), "tank-lateral.value", PLACE)
    assert "Held steady: a right-hand corner at 0.50 g" in json.dumps(own["tank-said"])
    assert own["tank-moment"]["className"].endswith("from-own")


def test_what_fails_becomes_a_card_and_the_drawing_stays(client):
    outputs = ["tank-drawing.tree", "tank-said.children", "tank-moment.className"]
    found = ask(client, outputs, chosen(recording="7"), "tank-time.value", PLACE)
    assert "recording = 7: the course does not offer it, or not any more" in json.dumps(found["tank-said"])
    assert "tank-drawing" not in found


def test_the_worst_moment_and_a_click_move_the_slider(client, event):
    outputs = ["tank-time.stops", "tank-time.value"]

    def inputs(click=None, worst=None):
        return [("tank-recording.value", "0"), ("tank-worst.n_clicks", worst), ("tank-depth.clickData", click)]

    states = [*chosen(), URL]
    clicked = ask(client, outputs, inputs({"points": [{"x": 30.0}]}), "tank-depth.clickData", states)
    risk = tank_risk(event)
    rows = time_rows(risk, opening_choice(risk))
    assert rows["time_s"][clicked["tank-time"]["value"]] == pytest.approx(30.0, abs=0.2)
    worst = ask(client, outputs, inputs(worst=1), "tank-worst.n_clicks", states)
    assert rows["flow_mL_min"][worst["tank-time"]["value"]] > 0
    anew = ask(client, outputs, inputs(), "tank-recording.value", states)
    assert len(anew["tank-time"]["stops"]) > 100


def test_another_level_redraws_the_picture_in_time_and_its_table(client):
    outputs = ["tank-depth.figure", "tank-depth-rows.children"]
    inputs = [("tank-recording.value", "0"), ("tank-level.value", 9), ("tank-surface.value", "still")]
    found = ask(client, outputs, inputs, "tank-level.value", [*chosen(level=9, surface="still"), *PLACE])
    assert len(found["tank-depth"]["figure"]["data"]) == 4
    assert "Depth over the pickup in time" in json.dumps(found["tank-depth-rows"])
    late = ask(client, outputs, inputs, "tank-recording.value", [*chosen(time=99_999), *PLACE])
    assert late["tank-depth"]["figure"]["layout"]["shapes"][0]["x0"] > 70


def test_where_the_files_went_bad_the_picture_stays(client, event):
    event.write_text(event.read_text().replace('"14 psi"', '"14"'))
    outputs = ["tank-depth.figure", "tank-depth-rows.children"]
    inputs = [("tank-recording.value", "0"), ("tank-level.value", 9), ("tank-surface.value", "still")]
    assert ask(client, outputs, inputs, "tank-level.value", [*chosen(), *PLACE]) == {}


def test_the_line_in_the_picture_follows_the_slider(client):
    listed = [one["output"] for one in client.get("/_dash-dependencies").get_json()]
    (line,) = [name for name in listed if name.startswith("tank-depth.figure@")]
    found = ask(client, [line], [("tank-time.value", 40)], "tank-time.value", [*chosen(), *PLACE])
    places = [step["location"] for step in found["tank-depth"]["figure"]["operations"]]
    assert places == [["layout", "shapes", 0, "x0"], ["layout", "shapes", 0, "x1"]]
    phone = (URL, ("settings.data", {"screen": "narrow"}))
    found = ask(client, [line], [("tank-time.value", 40)], "tank-time.value", [*chosen(), *phone])
    assert ["layout", "xaxis", "range"] in [step["location"] for step in found["tank-depth"]["figure"]["operations"]]


def test_other_units_redraw_the_page_and_keep_what_is_chosen(client):
    settings = [("settings.data", {"units": "us"})]
    found = ask(client, ["tank-body.children"], settings, "settings.data", [URL, *chosen(level=5, mode="own")])
    text = json.dumps(found)
    assert "gal" in text
    assert "from-own" in text


def test_changes_are_worked_out_after_the_page_shows(client):
    found = ask(client, ["tank-changes.children"], [("settings.data", {})], "settings.data", [URL])
    assert "Gains" in json.dumps(found)


def test_without_events_and_with_broken_ones_the_page_says_what_to_do(tmp_path):
    view = view_of(Workspace(tmp_path), "", {})
    assert "No event yet" in str(tank.layout(view))
    path = write_workspace(tmp_path)
    path.write_text(path.read_text().replace('"14 psi"', '"14"'))
    view = view_of(Workspace(tmp_path), "", {})
    assert "The tank cannot be judged" in str(tank.layout(view))
