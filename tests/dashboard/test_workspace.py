import pytest

from dashboard.presenters.view import chosen_event, search_values, view_of
from dashboard.presenters.workspace import Workspace
from planner.errors import FillmarkError
from tests.dashboard.days import write_workspace


@pytest.fixture
def workspace(tmp_path):
    write_workspace(tmp_path)
    return Workspace(tmp_path)


def test_events_and_cars_are_found_with_name_and_date(workspace):
    (event,), (car,) = workspace.events(), workspace.cars()
    assert (event.key, event.label) == ("events/moth.toml", "Moth Meadow · 16 May 2026")
    assert (car.key, car.name) == ("cars/plum.toml", "Plum hatch")


def test_a_changed_file_is_read_anew(workspace):
    workspace.events()
    path = workspace.path("events/moth.toml")
    path.write_text(path.read_text().replace("Moth Meadow", "Beetle Bend"))
    assert workspace.events()[0].name == "Beetle Bend"


def test_a_broken_event_is_listed_by_its_file_and_never_comes_first(workspace):
    (workspace.folder / "events" / "aa.toml").write_text("name = ")
    assert [entry.name for entry in workspace.events()] == ["Moth Meadow", "aa"]
    assert workspace.home_event() == "events/moth.toml"


def test_an_empty_folder_has_no_event(tmp_path):
    assert Workspace(tmp_path).home_event() is None


@pytest.mark.parametrize(
    "key", ["../x.toml", "/etc/passwd", "", "events\\moth.toml", ".fillmark/x.toml", "events/no.toml"]
)
def test_no_key_leads_out_of_the_folder(workspace, key):
    with pytest.raises(FillmarkError):
        workspace.path(key)


def test_the_address_chooses_the_event(workspace):
    assert chosen_event(workspace, "?event=events%2Fother.toml") == "events/other.toml"
    assert chosen_event(workspace, "") == "events/moth.toml"
    assert search_values("?car=a.toml&event=b.toml") == {"car": "a.toml", "event": "b.toml"}
    view = view_of(workspace, None, None)
    assert (view.theme, view.narrow, view.display.system) == ("light", False, "metric")
