"""Bytes of a recording: packed, damaged, locked, too large, or no recording at all."""

from __future__ import annotations

import gzip
import io
import zipfile
from pathlib import Path

import pytest

from planner.driving import source
from planner.driving.recording import read_recording
from planner.errors import BadInput
from tests.driving.tables import BOOST, TIME, csv, read, refusal

PLAIN = csv({"time_s": TIME, "boost_kPa": BOOST})


def zipped(files: dict[str, bytes], method: int = zipfile.ZIP_DEFLATED) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", method) as archive:
        for name, data in files.items():
            archive.writestr(name, data)
    return packed.getvalue()


@pytest.mark.parametrize("method", [zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED, zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_a_zip_with_one_file_whatever_lies_hidden_beside_it(method: int) -> None:
    packed = zipped({"logs/": b"", "logs/drive.csv": PLAIN.encode(), "__MACOSX/logs/._drive.csv": b"x"}, method)
    assert read(packed).trace.boost.size == TIME.size


def test_a_zip_with_several_files_names_them() -> None:
    said = refusal(zipped({"one.csv": PLAIN.encode(), "two.csv": b"x"}))
    assert "holds 2 files (one.csv, two.csv); pack exactly one recording" in said
    assert "holds 0 files" in refusal(zipped({"logs/": b""}))


def test_a_locked_zip_is_told() -> None:
    packed = bytearray(zipped({"one.csv": PLAIN.encode()}))
    for mark, flags in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        packed[packed.index(mark) + flags] |= 1
    assert "without a password" in refusal(bytes(packed))


@pytest.mark.parametrize("pack", [gzip.compress, lambda data: zipped({"drive.csv": data})])
def test_a_bomb_is_refused_without_being_unpacked(pack, monkeypatch: pytest.MonkeyPatch) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.setattr(source, "_UNCHECKED_BYTES", 2**18)
    rows = b"0.1,20\n" * 200_000
    bomb = pack(b"time_s,boost_kPa\n" + rows)
    assert len(rows) > source.LARGEST_RATIO * len(bomb)
    assert "unpacks to more than" in refusal(bomb)


def test_one_endless_line_is_no_table() -> None:
    assert "columns, more than 1,000" in refusal(gzip.compress(b"0," * 2**20))
    assert "no table of numbers" in refusal(gzip.compress(b"\n" * 2**20))


@pytest.mark.parametrize("cut", [10, 200, 1000])
def test_a_file_whose_compression_is_cut_is_told(cut: int) -> None:
    assert "damaged" in refusal(gzip.compress(PLAIN.encode())[:-cut])
    assert "damaged" in refusal(zipped({"one.csv": PLAIN.encode()})[:-cut])


def test_too_many_rows_and_bytes_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("planner.driving.table.MOST_ROWS", 500)
    assert "more than 500 rows; cut it in parts" in refusal(PLAIN)
    monkeypatch.setattr(source, "LARGEST_BYTES", 1000)
    assert "larger than" in refusal(PLAIN)


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"", "the file is empty"),
        (b"\n\n\n", "no table of numbers"),
        (b"time_s,boost_kPa\n", "no table of numbers"),
        (b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 40, "table"),
        (b"\x7fELF" + b"\x00\x01" * 500, "table"),
        (b"%PDF-1.7 and so on\nof course\n", "no table of numbers"),
        (b"<html><table><tr><td>time</td></tr></table></html>", "no table of numbers"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\x00" * 100, "old Excel workbook; save it as .xlsx or CSV"),
        (b"PAR1" + b"\x00" * 100, "the Parquet file is damaged"),
        (b"time_s,boost_kPa\n,\n,\n", "no table of numbers"),
        (b"time_s,boost_kPa\n0,12\n", "no time that goes on"),
    ],
)
def test_what_is_no_recording_is_told_so(data: bytes, sentence: str) -> None:
    assert sentence in refusal(data)


def test_a_path_that_cannot_be_read_is_named(tmp_path: Path) -> None:
    for path in (tmp_path / "missing.csv", tmp_path, Path("bad\0name.csv")):
        with pytest.raises(BadInput, match=r"cannot be read .* give the path of a recording"):
            read_recording(path)
    with pytest.raises(BadInput, match=r"missing\.csv"):
        read_recording(tmp_path / "missing.csv")
