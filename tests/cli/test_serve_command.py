import socket
import subprocess
import sys
import time
import urllib.request

import pytest

import events_demo
from planner.cli.main import main
from planner.cli.serve_command import demo_copy


@pytest.fixture
def home(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    return tmp_path


def test_without_a_folder_a_private_copy_of_the_demo_is_served(home):
    folder = demo_copy()
    assert home in folder.parents
    assert events_demo.FOLDER not in [folder, *folder.parents]
    assert (folder / "events").is_dir()
    assert not list(folder.rglob("*.py"))


def test_the_private_copy_keeps_what_was_changed_in_it(home):
    path = next((demo_copy() / "events").glob("*.toml"))
    path.write_text("# mine\n")
    assert (demo_copy() / "events" / path.name).read_text() == "# mine\n"


def test_a_missing_folder_is_refused_with_what_to_do(capsys):
    assert main(["serve", "/no/such/folder", "--no-browser"]) == 2
    assert "no such folder" in capsys.readouterr().err


def test_a_port_in_use_is_refused_with_what_to_do(tmp_path, capsys):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        assert main(["serve", str(tmp_path), "--no-browser", "--port", port]) == 2
    assert "name a free port" in capsys.readouterr().err


@pytest.mark.parametrize("port", ["70000", "-5"])
def test_an_impossible_port_is_refused(tmp_path, capsys, port):
    assert main(["serve", str(tmp_path), "--no-browser", f"--port={port}"]) == 2
    assert "from 1 to 65535" in capsys.readouterr().err


def test_it_serves_on_this_machine_alone_until_it_is_interrupted(tmp_path):
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "-m", "planner.cli.main", "serve", str(tmp_path), "--no-browser", "--port", str(port)]
    with subprocess.Popen(command, stderr=subprocess.PIPE, text=True) as server:
        try:
            assert "on this machine only" in server.stderr.readline()
            for _ in range(100):
                try:
                    answer = urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=5)
                    break
                except OSError:
                    time.sleep(0.1)
            assert answer.status == 200
        finally:
            server.terminate()


def test_sharing_prints_the_address_the_codes_and_a_picture_to_scan(tmp_path, capsys, monkeypatch):
    from dashboard.access_codes import new_access, spoken
    from planner.cli.serve_command import _invite

    monkeypatch.setattr("dashboard.network.own_addresses", lambda: ("10.1.2.1",))
    access = new_access()
    _invite(access, tmp_path, 8050)
    told = capsys.readouterr().err
    assert "http://10.1.2.1:8050/" in told
    assert spoken(access.crew) in told
    assert spoken(access.look) in told
    assert told.count("█") > 100
    assert "Share it on a network you trust" in told
    monkeypatch.setattr("dashboard.network.own_addresses", lambda: ())
    _invite(access, tmp_path, 8050)
    assert "join a network" in capsys.readouterr().err
