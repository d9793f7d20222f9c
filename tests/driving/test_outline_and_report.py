"""What a file looks like before it is read, and how it was read, as plain data."""

from __future__ import annotations

import io
import json

import numpy as np
import pytest

from planner.driving.outline import MEANING_NAMES, outline_of
from planner.driving.remembered import header_key
from planner.driving.report import columns_json, gaps_json, recording_json
from planner.errors import BadInput
from planner.event import Reading
from tests.driving.tables import BOOST, TIME, csv, read

TABLE = {
    "Time [s]": np.concatenate((TIME[:400], TIME[400:] + 20)),
    "MAP [kPa]": BOOST + 98,
    "Boost [kPa]": BOOST,
    "CH 7": np.cos(TIME),
}


def outline(reading: Reading = Reading()):  # type: ignore[no-untyped-def] # noqa: B008
    return outline_of(io.BytesIO(csv(TABLE).encode()), reading)


def test_an_outline_has_every_column_with_unit_first_cells_and_meanings() -> None:
    seen = outline()

    assert [column.name for column in seen.columns] == list(TABLE)
    assert [column.unit for column in seen.columns] == ["s", "kPa", "kPa", ""]
    assert seen.columns[0].first_cells == ("0", "0.1", "0.2", "0.3", "0.4")
    assert [column.meanings for column in seen.columns] == [("time",), ("boost",), ("boost",), ()]
    assert dict(seen.taken) == {"time": "Time [s]", "boost": "MAP [kPa]"}
    assert seen.key == header_key(list(TABLE))
    assert set(dict(seen.taken)) <= set(MEANING_NAMES)


def test_an_outline_follows_the_mapping() -> None:
    assert dict(outline(Reading(columns=(("boost", "CH 7"),))).taken)["boost"] == "CH 7"
    with pytest.raises(BadInput, match="no such column"):
        outline(Reading(columns=(("boost", "CH 8"),)))


def test_a_file_that_cannot_be_read_as_a_recording_still_has_an_outline() -> None:
    seen = outline_of(io.BytesIO(csv({"Time [s]": TIME, "Pressure [kPa]": 20 + 0.5 * BOOST}).encode()))
    assert dict(seen.taken)["boost"] == "Pressure [kPa]"


def test_an_outline_of_no_table_is_refused() -> None:
    with pytest.raises(BadInput, match="no table of numbers"):
        outline_of(io.BytesIO(b"the cat sat on the mat\n"))


def test_the_report_is_plain_data_with_units_in_its_keys() -> None:
    recording = read(TABLE, Reading(ambient=98e3))
    said = json.loads(json.dumps(recording_json(recording), allow_nan=False))

    assert said["duration_s"] == pytest.approx(TIME[-1] + 20)
    assert said["recorded_s"] == pytest.approx(TIME[-1] - 0.1)
    assert said["absolute"] is True
    assert said["ambient_kPa"] == pytest.approx(98)
    assert said["ambient_how"] == "stated by the user"
    assert said["boost_known"] is True
    assert said["cornering_known"] is False
    assert said["spikes_removed"] == 0
    assert said["notices"] == list(recording.notices)
    assert said["gaps"] == [pytest.approx(gap) for gap in gaps_json(recording)]
    assert [g["reason"] for g in said["gaps"]] == ["no rows"]
    assert set(said["columns"][0]) == {"name", "meaning", "unit", "refresh_interval_s", "how"}
    assert {c["meaning"]: c["name"] for c in columns_json(recording)} == {"time": "Time [s]", "boost": "MAP [kPa]"}
