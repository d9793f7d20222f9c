import json
import re

import pytest

from dashboard.app import create_app
from dashboard.figure_library import ASSETS, bundle_address
from dashboard.pages import day, page_modules
from dashboard.presenters.display import Display
from dashboard.presenters.outcome import outcome_of_text
from dashboard.presenters.what_if import Trial
from dashboard.security import content_policy, host_of, is_foreign
from tests.dashboard.days import write_workspace


@pytest.fixture
def folder(tmp_path):
    write_workspace(tmp_path)
    return tmp_path


@pytest.fixture
def client(folder):
    return create_app(folder).server.test_client()


def router(client, path, search="", settings=None, **headers):
    """The answer of the router's callback, as a browser asks for it."""
    body = {
        "output": "page.children",
        "outputs": {"id": "page", "property": "children"},
        "inputs": [
            {"id": "url", "property": "pathname", "value": path}, {"id": "url", "property": "search", "value": search},
        ],
        "state": [{"id": "settings", "property": "data", "value": settings}],
        "changedPropIds": ["url.pathname"],
    }  # fmt: skip
    return client.post("/_dash-update-component", json=body, headers=headers)


def test_the_page_loads_nothing_from_another_host(client):
    text = client.get("/").get_data(as_text=True)
    loaded = re.findall(r"(?:src|href)=\"([^\"]+)\"", text)
    assert len(loaded) > 10
    assert all(address.startswith(("/", "#")) and not address.startswith("//") for address in loaded)


def test_every_script_and_style_is_there(client):
    for address in re.findall(r"(?:src|href)=\"(/[^\"]+)\"", client.get("/").get_data(as_text=True)):
        assert client.get(address).status_code == 200, address


def test_every_answer_carries_the_headers(client):
    for path in ("/", "/_dash-layout", "/assets/base.css", "/nowhere/at/all"):
        headers = client.get(path).headers
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["X-Frame-Options"] == "DENY"
        assert "script-src 'self' 'sha256-" in headers["Content-Security-Policy"]
        assert "unsafe-eval" not in headers["Content-Security-Policy"]


def test_the_policy_lets_inline_styles_in_and_inline_scripts_not():
    policy = content_policy(["'sha256-abc'"])
    assert "style-src 'self' 'unsafe-inline'" in policy
    assert "'unsafe-inline'" not in policy.split("style-src")[0]
    assert "frame-ancestors 'none'" in policy


def test_another_host_name_is_refused(client):
    answer = client.get("/", headers={"Host": "paddock.example"})
    assert answer.status_code == 421
    assert "127.0.0.1" in answer.get_json()["error"]


def test_a_shared_app_answers_any_host_name(folder):
    client = create_app(folder, hosts=None).server.test_client()
    assert client.get("/", headers={"Host": "paddock.example"}).status_code == 200


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"Origin": "http://elsewhere.example"}, 403),
        ({"Sec-Fetch-Site": "cross-site"}, 403),
        ({"Origin": "http://localhost", "Sec-Fetch-Site": "same-origin"}, 200),
        ({}, 200),
    ],
)
def test_another_sites_page_cannot_send_anything(client, headers, status):
    assert router(client, "/day", **headers).status_code == status


def test_hosts_and_origins_are_compared_with_their_ports():
    assert host_of("[::1]:8050") == "::1"
    assert host_of("localhost") == "localhost"
    assert is_foreign("127.0.0.1:8050", "http://127.0.0.1:9000", None)
    assert not is_foreign("127.0.0.1:8050", "http://127.0.0.1:8050", "same-origin")


def test_text_is_compressed_with_brotli(client):
    answer = client.get("/assets/parts.css", headers={"Accept-Encoding": "br"})
    assert answer.headers["Content-Encoding"] == "br"
    assert len(answer.data) < 0.4 * (ASSETS / "parts.css").stat().st_size


def test_a_versioned_asset_is_kept_for_long(client):
    assert "immutable" in client.get("/assets/base.css?m=1").headers["Cache-Control"]
    assert client.get("/assets/base.css").headers["Cache-Control"] == "no-cache"


def test_no_stack_trace_reaches_a_client(client):
    answer = client.post("/_dash-update-component", json={"output": "no.such", "inputs": []})
    assert answer.status_code >= 400
    assert "Traceback" not in answer.get_data(as_text=True)
    assert "Error" not in answer.get_data(as_text=True)


def test_a_body_too_large_is_refused(client):
    answer = client.post("/_dash-update-component", data=b"x" * 9_000_000, content_type="application/json")
    assert answer.status_code == 413


@pytest.mark.parametrize("module", page_modules(), ids=lambda module: module.TITLE)
@pytest.mark.parametrize("units", ["metric", "us", "imperial"])
def test_every_page_shows_without_a_failure(client, module, units):
    text = router(client, module.PATH, settings={"units": units, "theme": "dark", "screen": "narrow"}).get_data(
        as_text=True
    )
    assert "could not be worked out" not in text
    assert len(text) > 1000


@pytest.mark.parametrize("module", page_modules(), ids=lambda module: module.TITLE)
def test_every_page_shows_in_an_empty_workspace(tmp_path, module):
    text = router(create_app(tmp_path).server.test_client(), module.PATH).get_data(as_text=True)
    assert "could not be worked out" not in text


def test_an_unknown_page_says_so(client):
    assert "There is no such page" in router(client, "/wheels").get_data(as_text=True)


@pytest.mark.parametrize("key", ["../outside.toml", "/etc/passwd", "events/none.toml", "events/../../x.toml"])
def test_no_address_leads_out_of_the_workspace(client, key):
    text = router(client, "/day", f"?event={key}").get_data(as_text=True)
    assert "cannot be opened" in text


def test_a_broken_event_leaves_its_page_usable(folder):
    path = folder / "events" / "moth.toml"
    path.write_text(path.read_text().replace('"14 psi"', '"14 gal"'))
    text = router(create_app(folder).server.test_client(), "/day").get_data(as_text=True)
    assert "not a unit of pressure" in text
    assert "Edit the sessions" in text


def asked(client, output, changed, **values):
    """A callback's answer, by a part of its output; `values` are its inputs' and states' by id, dots as in Dash."""
    found = next(one for one in client.get("/_dash-dependencies").get_json() if output in one["output"])
    outputs = [part.rsplit(".", 1) for part in found["output"].strip(".").split("...")]
    body = {
        "output": found["output"],
        "outputs": [[] if name.startswith("{") else {"id": name, "property": prop} for name, prop in outputs],
        "changedPropIds": [changed],
    }
    for kind in ("inputs", "state"):
        body[kind] = [
            [] if one["id"].startswith("{") else {**one, "value": values.get(f"{one['id']}.{one['property']}")}
            for one in found[kind]
        ]
    return client.post("/_dash-update-component", json=body)


def test_a_change_is_answered_with_answer_figure_and_tables_and_writes_nothing(client, folder):
    path = folder / "events" / "moth.toml"
    text = path.read_text()
    draft = {"trial": {"laps": -5.0}}
    answer = asked(client, "day-answer.children", "day-draft.data", **{"day-draft.data": draft}).get_json()["response"]
    assert "no refill all day" in json.dumps(answer["day-answer"]["children"])
    assert answer["day-picture"]["figure"]["data"]
    assert answer["day-shown"]["data"] > 0
    behind = asked(client, "day-tables.children", "day-shown.data", **{"day-draft.data": draft}).get_json()["response"]
    plan = outcome_of_text(text, path, Trial(laps=-5.0)).plan
    shown = Display().volume(plan["sessions"][0]["use_p99_L"])
    assert shown in json.dumps(behind["day-tables"]["children"], ensure_ascii=False)
    assert len(behind["day-picture-table"]["rows"]) == len(plan["sessions"])
    assert behind["day-bar"]["className"] == "save-bar"
    assert "runs" in json.dumps(behind["day-changes"]["children"])
    assert path.read_text() == text


def test_a_failing_computation_shows_a_card_and_leaves_the_rest_of_the_page(client, monkeypatch):
    def broken(*_):
        raise ZeroDivisionError("secret details")

    monkeypatch.setattr(day, "drafted_day", broken)
    answer = asked(client, "day-answer.children", "day-draft.data", **{"day-draft.data": {"trial": {"laps": 1.0}}})
    assert answer.status_code == 200
    assert list(answer.get_json()["response"]) == ["day-answer"]
    text = answer.get_data(as_text=True)
    assert "What you typed is kept" in text
    assert "secret details" not in text
    behind = asked(client, "day-tables.children", "day-shown.data", **{"day-draft.data": {"trial": {"laps": 1.0}}})
    assert list(behind.get_json()["response"]) == ["day-tables"]
    assert "What you typed is kept" in behind.get_data(as_text=True)


def test_two_apps_live_in_one_process(folder, tmp_path_factory):
    other = tmp_path_factory.mktemp("other")
    write_workspace(other)
    (other / "events" / "moth.toml").write_text(
        (other / "events" / "moth.toml").read_text().replace("Moth Meadow", "Elsewhere")
    )
    one, two = (create_app(place).server.test_client() for place in (folder, other))
    for client, name in ((one, "Moth Meadow"), (two, "Elsewhere"), (one, "Moth Meadow")):
        assert name in client.get("/_dash-layout").get_data(as_text=True)
        assert router(client, "/day").status_code == 200


def test_the_first_answer_is_in_the_units_and_theme_last_chosen(client):
    client.set_cookie("fillmark-settings", "us.dark.narrow")
    layout = json.dumps(client.get("/_dash-layout").get_json())
    assert '"units": "us"' in layout
    assert '"theme": "dark"' in layout
    assert '"screen": "narrow"' in layout


def test_a_chart_page_loads_the_small_figure_library_of_the_right_version():
    address = bundle_address().split("?")[0].removeprefix("/assets/")
    assert (ASSETS / address).stat().st_size < 1_600_000
    assert bundle_address("0.0.1").startswith("/_dash-component-suites/plotly")


def test_no_page_module_is_missing_what_the_shell_asks_of_it():
    modules = page_modules()
    assert len({module.PATH for module in modules}) == len(modules)
    assert all(callable(module.layout) and callable(module.register) for module in modules)


def on_the_wire(client, address):
    """Bytes of an address as a browser gets them."""
    return len(client.get(address, headers={"Accept-Encoding": "br"}).data)


def test_a_first_visit_of_a_chart_page_stays_under_a_megabyte_and_of_any_other_under_half(client):
    addresses = re.findall(r"(?:src|href)=\"(/[^\"]+)\"", client.get("/").get_data(as_text=True))
    frame = sum(on_the_wire(client, address) for address in {"/", "/_dash-layout", "/_dash-dependencies", *addresses})
    assert frame < 0.5e6
    assert frame + on_the_wire(client, bundle_address()) < 1.0e6


@pytest.mark.parametrize("module", page_modules(), ids=lambda module: module.TITLE)
def test_a_pages_own_answer_is_small_on_the_wire(client, module):
    assert len(router(client, module.PATH, **{"Accept-Encoding": "br"}).data) < 60_000
