import tomllib

import pytest

from dashboard.presenters.car_draft import CAR_FILE, drafted_car
from dashboard.presenters.car_form import car_form
from dashboard.presenters.day_draft import DAY_FILE, day_base, drafted_day, said_changes, short_faults, to_save
from dashboard.presenters.display import Display
from dashboard.presenters.event_form import course_names, session_columns
from dashboard.presenters.form import filed, reason_text, shown
from dashboard.presenters.merge import has_edits
from dashboard.presenters.what_if import Trial, sliders, trial_of, tried
from planner.errors import FillmarkError
from planner.files.event_file import read_day
from tests.dashboard.days import write_workspace


@pytest.fixture
def path(tmp_path):
    return write_workspace(tmp_path)


def rows_of(path):
    return day_base(path)["grids"]["session"]


def test_a_form_shows_the_file_as_typed_and_defaults_as_assumed(path):
    base = day_base(path)
    assert base["values"]["refill.stop_at"] == "paddock, lunch"
    assert base["values"]["reserve.final"] == "45 s"
    assert "reserve.final" in base["assumed"]
    assert "refill.stop_at" not in base["assumed"]
    assert base["grids"]["session"][2] == {
        "name": "Session 3", "date": "", "start": "13:00", "length": "20 min", "course": "loop", "runs": "10",
        "driver": "", "gap": "lunch", "refill": "",
    }  # fmt: skip


def test_no_draft_is_the_file_itself(path):
    assert drafted_day(path, {}).outcome.plan == drafted_day(path, None).outcome.plan


def test_a_draft_changes_the_plan_and_not_the_file(path):
    text, rows = path.read_text(), rows_of(path)
    rows[0]["runs"] = "2"
    made = drafted_day(path, {"grids": {"session": rows}})
    assert made.outcome.plan["sessions"][0]["runs"] == 2
    assert path.read_text() == text


def test_a_bad_cell_is_marked_with_its_sentence(path):
    rows = rows_of(path)
    rows[1]["start"] = "half past"
    rows[3]["runs"] = "many"
    made = drafted_day(path, {"grids": {"session": rows}, "values": {"reserve.final": "45 psi"}})
    assert set(made.cells["session"]) == {"1.start", "3.runs"}
    assert "reserve.final" in made.fields
    assert len(short_faults(made.outcome, path)) == 3
    assert not any(str(path.parent) in sentence for sentence in short_faults(made.outcome, path))


def test_saving_keeps_comments_and_takes_back(path):
    text, base = path.read_text(), day_base(path)
    rows = rows_of(path)
    rows[0]["runs"] = "4"
    done = DAY_FILE.save(path, {"grids": {"session": rows}, "fingerprint": base["fingerprint"]}, base)
    assert not has_edits(done.draft)
    assert done.says == "Saved to moth.toml."
    assert path.read_text() == text.replace("runs = 10", "runs = 4", 1)
    DAY_FILE.take_back(path, done.draft, done.form)
    assert path.read_text() == text


def test_saving_refuses_a_file_that_changed_outside(path):
    base = day_base(path)
    path.write_text(path.read_text() + "\n# changed by hand\n")
    draft = {"values": {"name": "Other"}, "fingerprint": base["fingerprint"]}
    with pytest.raises(FillmarkError) as reason:
        DAY_FILE.save(path, draft, base)
    assert "changed outside" in reason_text(reason.value)[0]
    assert "Other" not in path.read_text()


def test_saving_what_was_tried_writes_what_an_event_can_hold(path):
    base = day_base(path)
    draft = {"trial": {"confidence": 0.9, "extra": 0, "laps": 2.0, "allow": [4], "tank": 1.5, "boost": 0.1}}
    done = DAY_FILE.save(path, {**draft, "fingerprint": base["fingerprint"]}, base)
    data = tomllib.loads(path.read_text())
    assert data["reserve"] == {"confidence": 0.9, "extra": 0}
    assert [row["runs"] for row in data["session"]] == [12] * 4
    assert [row.get("refill") for row in data["session"]] == [None, None, None, True]
    assert done.draft["trial"] == {"tank": 1.5, "boost": 0.1}
    assert "stay tried" in done.says


def test_saving_a_refused_draft_writes_nothing(path):
    text, base = path.read_text(), day_base(path)
    with pytest.raises(FillmarkError):
        DAY_FILE.save(path, {"values": {"reserve.final": "soon"}}, base)
    assert path.read_text() == text


def test_what_is_tried_changes_day_and_car(path):
    event, car = read_day(path)
    day, other = tried(event, car, Trial(confidence=0.8, boost=0.1, laps=-20, hotter=10, tank=2.0, allow=(4,)))
    assert day.reserve.confidence == 0.8
    assert [session.runs for session in day.sessions] == [1] * 4
    assert day.sessions[3].refill is True
    assert day.courses[0].boost_factor == pytest.approx(1.1)
    assert other.blend.temperature == 30
    assert other.tank.capacity == pytest.approx(2 * car.tank.capacity)


def test_nothing_tried_is_the_same_day(path):
    event, car = read_day(path)
    assert tried(event, car, trial_of({})) == (event, car)
    assert not trial_of({"boost": 0.0, "tank": 1.0}).changes


@pytest.mark.parametrize("data", [None, {}, {"boost": "x", "unknown": 3, "allow": ["a"], "priority": "fastest"}])
def test_a_browsers_data_is_never_trusted(data):
    assert trial_of(data) == Trial()


def test_below_full_speed_more_boost_means_more_use(path):
    use = [drafted_day(path, {"trial": {"boost": boost}}).outcome.plan["mean_use_L"] for boost in (-0.3, -0.2, -0.1, 0)]
    assert use == sorted(use)
    assert use[0] < 0.95 * use[-1]


def test_sliders_stand_at_what_is_tried_even_between_their_stops(path):
    event, car = read_day(path)
    found = {one["key"]: one for one in sliders(event, car, Trial(tank=1.37), Display())}
    assert found["tank"]["value"] == 1.37
    assert any(stop["value"] == 1.37 for stop in found["tank"]["stops"])
    assert found["confidence"]["value"] == found["confidence"]["home"] == 0.99


def test_changes_are_said():
    assert said_changes({}) == []
    assert said_changes({"values": {"name": "x"}, "trial": {"boost": 0.1}}) == [
        "edited, not saved",
        "tried only: boost",
    ]


def test_a_session_that_the_grid_does_not_show_in_full_keeps_its_other_keys(path):
    path.write_text(path.read_text().replace('gap = "lunch"', 'gap = "lunch"\ndriver = "Wren"'))
    rows = rows_of(path)
    rows.append({**rows[-1], "name": "Session 5", "start": "16:00"})
    made = drafted_day(path, {"grids": {"session": rows}})
    assert [session.driver for session in made.outcome.event.sessions] == [None, None, "Wren", None, None]


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("3", "number", 3),
        ("0,5", "number", 0.5),
        ("x", "number", "x"),
        ("", "text", None),
        ("10 L; 5 L", "list", ["10 L", "5 L"]),
        ("yes", "flag", True),
        ("no", "flag", False),
    ],
)
def test_fields_become_values_of_the_file(text, kind, value):
    assert filed(text, kind) == value


@pytest.mark.parametrize("value", ["14 psi", 3, 0.25, True, False, ["10 L", "5 L"]])
def test_values_shown_are_filed_again(value):
    kind = (
        "flag"
        if isinstance(value, bool)
        else "list"
        if isinstance(value, list)
        else "text"
        if isinstance(value, str)
        else "number"
    )
    assert filed(shown(value), kind) == value


def test_an_empty_list_is_a_word_and_an_empty_field_leaves_the_key_out(path):
    path.write_text(path.read_text().replace('["paddock", "lunch"]', "[]"))
    base = day_base(path)
    assert base["values"]["refill.stop_at"] == "none"
    assert filed("none", "list") == []
    assert filed("", "list") is None


def test_the_grid_offers_the_events_courses_and_its_dates_early_where_there_are_any(path):
    base = day_base(path)
    columns = session_columns(base["grids"]["session"], course_names(base, path))
    assert [column["key"] for column in columns][:3] == ["name", "start", "length"]
    dated = [{**row, "date": "2026-05-17"} for row in base["grids"]["session"]]
    assert [column["key"] for column in session_columns(dated, ["loop"])][1] == "date"
    assert columns[-1]["key"] == "date"


def car_path(path):
    return path.parent.parent / "cars" / "plum.toml"


def test_a_car_can_change_its_tanks_shape(path):
    form = car_form(car_path(path))
    draft = {"values": {"tank.shape": "lying cylinder"}}
    assert "tank.diameter" in drafted_car(car_path(path), draft, form).fields
    draft["values"]["tank.diameter"] = "180 mm"
    made = drafted_car(car_path(path), draft, form)
    assert type(made.car.tank.shape).__name__ == "LyingCylinder"
    CAR_FILE.save(car_path(path), {**draft, "fingerprint": form["fingerprint"]}, form)
    text = car_path(path).read_text()
    assert "width" not in text
    assert "# beside the spare wheel" in text


def test_a_car_can_change_its_controllers_kind(path):
    form = car_form(car_path(path))
    points = [{"boost": "5 psi", "speed": "0.3"}, {"boost": "14 psi", "speed": "1"}]
    made = drafted_car(
        car_path(path), {"values": {"controller.kind": "table"}, "grids": {"controller.points": points}}, form
    )
    assert made.car.controller.kind == "table"
    assert len(made.car.controller.points) == 2
    switched = drafted_car(car_path(path), {"values": {"controller.kind": "switch"}}, form)
    assert switched.car.controller.kind == "switch"


def test_faults_of_a_cars_lists_find_their_cells(path):
    form = car_form(car_path(path))
    nozzles = [{**form["grids"]["nozzle"][0], "rated_flow": "250 psi"}]
    curve = [*form["grids"]["pump.curve"], {"flow": "2 L/min", "pressure": "15 bar"}]
    made = drafted_car(car_path(path), {"grids": {"nozzle": nozzles, "pump.curve": curve}}, form)
    assert set(made.cells["nozzle"]) == {"0.rated_flow"}
    assert set(made.cells["pump.curve"]) == {"4.flow"}


def test_a_value_marked_as_assumed_is_the_users_once_edited(path):
    car = car_path(path)
    car.write_text(car.read_text().replace('full = "14 psi"', 'full = "14 psi"  # assumed'))
    form = car_form(car)
    assert "controller.full" in form["assumed"]
    CAR_FILE.save(car, {"values": {"controller.full": "1 bar"}, "fingerprint": form["fingerprint"]}, form)
    assert 'full = "1 bar"\n' in car.read_text()
    assert "controller.full" not in car_form(car)["assumed"]


def test_to_save_leaves_a_draft_without_a_trial_as_it_is(path):
    whole, rest = to_save({"values": {"name": "x"}}, day_base(path))
    assert whole["values"] == {"name": "x"}
    assert rest == {}


SUMP = {
    "tank.sump.length": "60 mm",
    "tank.sump.width": "70 mm",
    "tank.sump.height": "30 mm",
    "tank.sump.ahead": "-120 mm",
}


def test_a_sump_is_typed_into_a_cars_form_and_taken_out_again(path):
    file = path.parents[1] / "cars" / "plum.toml"
    plain = file.read_text()
    form = car_form(file)
    made = drafted_car(file, {"values": SUMP}, form)
    assert made.car.tank.shape.sump.height == pytest.approx(0.03)
    assert "tank.sump.left" in made.car.assumed
    part = drafted_car(file, {"values": {"tank.sump.length": "60 mm"}}, form)
    assert set(part.fields) == {"tank.sump.width", "tank.sump.height"}
    file.write_text(
        plain + "\n[tank.sump]\n" + "".join(f'{key.rpartition(".")[2]} = "{v}"\n' for key, v in SUMP.items())
    )
    round_ = {"tank.shape": "lying cylinder", "tank.diameter": "120 mm", "tank.pickup.ahead": "0 mm"}
    assert drafted_car(file, {"values": round_}, car_form(file)).faults == ()
    emptied = drafted_car(file, {"values": dict.fromkeys(SUMP, "")}, car_form(file))
    assert emptied.car == drafted_car_of(plain, path)


def drafted_car_of(text, path):
    file = path.parents[1] / "cars" / "other.toml"
    file.write_text(text)
    return drafted_car(file, None, car_form(file)).car
