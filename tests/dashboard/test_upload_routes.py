"""Uploads: taken whole under a safe name, or refused by a sentence with nothing left behind."""

from __future__ import annotations

import gzip
import io
import os
import time
import zipfile
from pathlib import Path

import pandas as pd
import pytest
from dash import Dash, html
from flask.testing import FlaskClient
from hypothesis import given
from hypothesis import strategies as st

from dashboard import upload_routes
from dashboard.app import create_app
from dashboard.presenters.course_upload import BLOCK, Refused, Taken, stem_and_suffix, take_upload
from dashboard.presenters.workspace import Workspace
from dashboard.security import protect

TABLE = b"time_s,boost_kPa\n" + b"".join(b"%d.0,%d.0\n" % (i, i % 90 - 20) for i in range(300))


@pytest.fixture
def client(tmp_path: Path) -> FlaskClient:
    return create_app(tmp_path).server.test_client()


def small(folder: Path, most: int) -> FlaskClient:
    """A bare app whose route takes at most so many bytes."""
    app = Dash("small", assets_folder=str(folder / "none"))
    app.layout = html.Div()
    upload_routes.register(app, Workspace(folder), most)
    protect(app, None)
    return app.server.test_client()


def kept(folder: Path) -> list[str]:
    """Every file of the workspace, hidden ones too."""
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())


def test_a_recording_is_taken_into_the_logs(client: FlaskClient, tmp_path: Path) -> None:
    answer = client.post("/upload?name=Hill Run 3.CSV", data=TABLE)
    assert answer.status_code == 201
    assert answer.get_json()["file"] == "logs/hill-run-3.csv"
    assert "2 columns" in answer.get_json()["said"]
    assert kept(tmp_path) == ["logs/hill-run-3.csv"]
    assert (tmp_path / "logs/hill-run-3.csv").read_bytes() == TABLE


def test_another_recording_of_that_name_gets_a_number_and_the_same_one_is_not_kept_twice(
    client: FlaskClient, tmp_path: Path
) -> None:
    for data in (TABLE, TABLE + b"301.0,4.0\n", TABLE):
        answer = client.post("/upload?name=run.csv", data=data)
    assert kept(tmp_path) == ["logs/run-2.csv", "logs/run.csv"]
    assert answer.status_code == 200
    assert answer.get_json() == {
        "already": True, "file": "logs/run.csv", "said": "run.csv holds the same recording already."
    }  # fmt: skip


def test_a_file_larger_than_the_bound_is_refused_by_name(tmp_path: Path) -> None:
    client = small(tmp_path, 1000)
    answer = client.post("/upload?name=long.csv", data=TABLE)
    assert answer.status_code == 413
    assert answer.get_json()["error"].startswith("long.csv is larger than 0.0 MB, the most that is taken here. Comp")
    assert kept(tmp_path) == []


def test_a_stream_that_tells_no_length_is_bounded_too(tmp_path: Path) -> None:
    with pytest.raises(Refused, match=r"is larger than 2\.1 MB"):
        take_upload(Workspace(tmp_path).files, "x.csv", io.BytesIO(TABLE * 1000), 2 * BLOCK)
    assert kept(tmp_path) == []


class Endless:
    """A stream that counts how much is asked of it at once."""

    def __init__(self, blocks: int) -> None:
        self.left, self.most = blocks, 0

    def read(self, size: int) -> bytes:
        self.most = max(self.most, size)
        self.left -= 1
        return (b"1.0,2.0\n" * (size // 8)) if self.left >= 0 else b""


def test_a_large_file_is_never_in_memory_as_a_whole(tmp_path: Path) -> None:
    stream = Endless(40)
    taken = take_upload(Workspace(tmp_path).files, "big.csv", stream)
    assert (tmp_path / taken.file).stat().st_size == 40 * BLOCK
    assert stream.most <= BLOCK


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("photo.jpg", b"\xff\xd8\xff\xe0" + bytes(4000), "photo.jpg: "),
        ("notes.txt", b"we had soup and it was good\n" * 40, "notes.txt: holds no table of numbers"),
        ("none.csv", b"", "none.csv: the file is empty"),
        ("bad.zip", b"PK\x03\x04" + bytes(200), "bad.zip: "),
    ],
)
def test_what_is_no_table_is_refused_with_a_sentence(
    client: FlaskClient, tmp_path: Path, name: str, data: bytes, said: str
) -> None:
    answer = client.post(f"/upload?name={name}", data=data)
    assert answer.status_code == 422
    assert answer.get_json()["error"].startswith(said)
    assert answer.get_json()["error"].endswith("Nothing was kept.")
    assert str(tmp_path) not in answer.get_json()["error"]
    assert kept(tmp_path) == []


@pytest.mark.parametrize(
    "headers", [{"Origin": "http://elsewhere.example"}, {"Sec-Fetch-Site": "cross-site"}, {"Origin": "null"}]
)
def test_another_sites_page_cannot_upload(client: FlaskClient, tmp_path: Path, headers: dict[str, str]) -> None:
    assert client.post("/upload?name=x.csv", data=TABLE, headers=headers).status_code == 403
    assert kept(tmp_path) == []


@pytest.mark.parametrize(
    "name",
    ["../../outside.csv", "/etc/passwd", "..\\..\\x.csv", "..", ".hidden.csv", "", "a\nb.csv", "CON.csv", "logs/"],
)
def test_no_name_leads_out_of_the_workspace(client: FlaskClient, tmp_path: Path, name: str) -> None:
    answer = client.post("/upload", query_string={"name": name}, data=TABLE)
    path = answer.get_json()["file"]
    assert answer.status_code == 201
    assert kept(tmp_path) == [path]
    assert path.startswith("logs/")
    assert "/" not in path.removeprefix("logs/")


@given(st.text(max_size=60))
def test_every_name_has_a_suffix_that_the_workspace_lists(name: str) -> None:
    _, suffix = stem_and_suffix(name)
    assert suffix in (".csv", ".tsv", ".txt", ".log", ".parquet", ".xlsx") or suffix.endswith((".gz", ".zip"))


def packed(kind: str) -> bytes:
    if kind == "run.csv.gz":
        return gzip.compress(TABLE)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("run.csv", TABLE)
    return out.getvalue()


@pytest.mark.parametrize("name", ["run.csv.gz", "run.zip"])
def test_packed_recordings_are_kept_packed(client: FlaskClient, tmp_path: Path, name: str) -> None:
    assert client.post(f"/upload?name={name}", data=packed(name)).get_json()["file"] == f"logs/{name}"
    assert Workspace(tmp_path).logs() == (f"logs/{name}",)


def test_an_upload_that_was_cut_off_long_ago_is_swept_away(tmp_path: Path) -> None:
    old, new = tmp_path / "logs/.upload-old.part", tmp_path / "logs/.upload-new.part"
    old.parent.mkdir()
    for part in (old, new):
        part.write_bytes(b"x")
    os.utime(old, (time.time() - 7200,) * 2)
    assert take_upload(Workspace(tmp_path).files, "x.csv", io.BytesIO(TABLE)) == Taken(
        "logs/x.csv", "x.csv is in the workspace: 2 columns, 0.0 MB."
    )
    assert kept(tmp_path) == ["logs/.upload-new.part", "logs/x.csv"]


def test_a_stream_that_breaks_leaves_nothing(tmp_path: Path) -> None:
    class Broken:
        def read(self, size: int) -> bytes:
            raise OSError(28, "No space left on device")

    with pytest.raises(Refused, match=r"could not be written \(No space left on device\); make room"):
        take_upload(Workspace(tmp_path).files, "x.csv", Broken())
    assert kept(tmp_path) == []


def test_a_logs_folder_that_is_a_link_out_of_the_workspace_takes_nothing(tmp_path: Path) -> None:
    inside, outside = tmp_path / "inside", tmp_path / "outside"
    inside.mkdir()
    outside.mkdir()
    (inside / "logs").symlink_to(outside)
    answer = create_app(inside).server.test_client().post("/upload?name=x.csv", data=TABLE)
    assert answer.status_code == 409
    assert "leads out of the workspace through a link" in answer.get_json()["error"]
    assert kept(outside) == []


@pytest.mark.parametrize("name", ["run.parquet", "run.xlsx"])
def test_tables_that_are_no_text_are_taken(client: FlaskClient, tmp_path: Path, name: str) -> None:
    table = pd.DataFrame({"time_s": [0.1 * i for i in range(60)], "boost_kPa": [float(i % 40) for i in range(60)]})
    if name.endswith("xlsx"):
        table.to_excel(tmp_path / "sent", index=False, engine="openpyxl")
    else:
        table.to_parquet(tmp_path / "sent")
    answer = client.post(f"/upload?name={name}", data=(tmp_path / "sent").read_bytes())
    assert answer.status_code == 201
    assert answer.get_json()["file"] == f"logs/{name}"
    assert "2 columns" in answer.get_json()["said"]
