"""The real server: killed while devices send, twenty of them at once, and shared with a network."""

from __future__ import annotations

import http.client
import random
import threading
import time
import urllib.error
import urllib.request
from collections import Counter
from concurrent.futures import ThreadPoolExecutor

import pytest

from planner.files.pit_log import PitLog
from tests.browser.served import Served
from tests.dashboard.days import write_workspace
from tests.dashboard.pit_server import EVENT, Server, note

NO_ANSWER = (OSError, http.client.HTTPException)


@pytest.fixture
def folder(tmp_path):
    write_workspace(tmp_path)
    return tmp_path


class Device:
    """Sends its entries in order, a few at a time, again until each is acknowledged."""

    def __init__(self, server, name, count):
        self.server, self.name = server, name
        self.queue = [note(f"{name}-{k:03d}") for k in range(count)]
        self.acknowledged = []

    def run(self):
        """Send until the queue is empty."""
        while self.queue:
            try:
                told = self.server.send(self.queue[:3], timeout=5)
            except NO_ANSWER:
                time.sleep(0.02)
                continue
            done = {*told["accepted"], *told["doubled"]}
            assert not told["refused"]
            self.acknowledged += [entry["id"] for entry in self.queue if entry["id"] in done]
            self.queue = [entry for entry in self.queue if entry["id"] not in done]


def test_killed_again_and_again_the_server_loses_nothing_and_doubles_nothing(folder):
    server, rng = Server(folder), random.Random(6)
    devices = [Device(server, f"d{k}", 100) for k in range(5)]
    threads = [threading.Thread(target=device.run, daemon=True) for device in devices]
    server.start()
    try:
        for thread in threads:
            thread.start()
        for _ in range(3):
            server.wait()
            before = sum(len(device.queue) for device in devices)
            wanted = before - rng.randint(20, 120)
            while sum(len(device.queue) for device in devices) > wanted:
                time.sleep(rng.random() * 0.002)
            server.kill()
            acknowledged = [name for device in devices for name in list(device.acknowledged)]
            assert set(acknowledged) <= {entry.id for entry in PitLog(folder / EVENT).entries()}
            server.start()
        for thread in threads:
            thread.join(timeout=60)
        assert not any(thread.is_alive() for thread in threads)
    finally:
        server.kill()
    stored = [entry.id for entry in PitLog(folder / EVENT).entries()]
    assert max(Counter(stored).values()) == 1
    assert sorted(stored) == sorted(f"d{k}-{n:03d}" for k in range(5) for n in range(100))
    for device in devices:
        assert [name for name in stored if name.startswith(device.name)] == device.acknowledged


def test_twenty_devices_at_once_have_each_entry_stored_once_and_in_order(folder):
    with Served(folder) as served:
        server = Server(served.folder)
        server.port = served.port
        devices = [Device(server, f"d{k:02d}", 50) for k in range(20)]
        twice = [Device(server, f"d{k:02d}", 50) for k in range(0, 20, 5)]  # the same ids sent by a second tab
        with ThreadPoolExecutor(24) as pool:
            for done in [pool.submit(device.run) for device in (*devices, *twice)]:
                done.result()
        stored = [entry.id for entry in PitLog(served.folder / EVENT).entries()]
        shown = server.ask(f"/pit/board?event={EVENT}")[1]["board"]["entries"]
    assert len(stored) == len(set(stored)) == 1000
    assert [entry["id"] for entry in shown] == stored
    for device in devices:
        assert [name for name in stored if name.startswith(device.name)] == [
            f"{device.name}-{n:03d}" for n in range(50)
        ]


def test_an_entry_is_seen_by_another_device_at_its_next_question(folder):
    """Devices ask about once a second, so two seconds hold as soon as the next answer has it."""
    with Served(folder) as served:
        server = Server(served.folder)
        server.port = served.port
        path = f"/pit/board?event={EVENT}"
        version = server.ask(path)[1]["version"]
        sent = server.send([note("here")])
        assert sent["version"] != version
        status, told = server.ask(f"{path}&since={version}")
        assert status == 200
        assert [entry["id"] for entry in told["board"]["entries"]] == ["here"]


def test_shared_it_listens_to_the_network_and_asks_for_the_code(folder, monkeypatch, tmp_path_factory):
    from dashboard.network import own_addresses

    if not own_addresses():
        pytest.skip("this machine is in no network")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path_factory.mktemp("home")))
    server = Server(folder, "--share")
    server.start()
    try:
        server.wait()
        assert server.ask(f"/pit/board?event={EVENT}")[0] == 200
        outside = f"http://{own_addresses()[0]}:{server.port}/pit/board?event={EVENT}"
        with pytest.raises(urllib.error.HTTPError) as refused:
            urllib.request.urlopen(outside, timeout=5)
        assert refused.value.code == 401
        assert refused.value.headers["X-Frame-Options"] == "DENY"
    finally:
        server.kill()


def test_not_shared_it_does_not_listen_to_the_network(folder):
    from dashboard.network import own_addresses

    if not own_addresses():
        pytest.skip("this machine is in no network")
    server = Server(folder)
    server.start()
    try:
        server.wait()
        with pytest.raises(OSError, match="refused"):
            urllib.request.urlopen(f"http://{own_addresses()[0]}:{server.port}/", timeout=5)
    finally:
        server.kill()
