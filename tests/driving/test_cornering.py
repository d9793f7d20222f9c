"""Accelerations: units, signs found from speed and turning, cornering without accelerometers."""

from __future__ import annotations

import numpy as np
import pytest

from planner.driving.cornering import G
from planner.driving.recording import Recording
from planner.event import Reading
from tests.driving.tables import read, told

TIME = np.arange(0, 120, 0.02)
SPEED = 25 + 8 * np.sin(TIME / 5)  # [m/s]
TURN = 0.25 * np.sin(TIME / 3) + 0.05  # [rad/s], to the left
LATERAL = SPEED * TURN
LONGITUDINAL = 8 / 5 * np.cos(TIME / 5)
COURSE = np.degrees(1.0 - np.concatenate(([0], np.cumsum((TURN[1:] + TURN[:-1]) / 2 * 0.02)))) % 360  # to the right


def drive(columns: dict[str, np.ndarray], reading: Reading = Reading()) -> Recording:  # noqa: B008
    return read({"time_s": TIME, **columns}, reading)


def follows(recording: Recording, lateral: np.ndarray = LATERAL, within: float = 0.3) -> bool:
    assert recording.trace.lateral is not None
    return bool(np.max(np.abs(recording.trace.lateral - lateral)[50:-50]) < within)


@pytest.mark.parametrize(
    ("unit", "scale"), [("g", 1 / G), ("m/s2", 1), ("m/s²", 1), ("ft/s2", 1 / 0.3048), ("mg", 1e3 / G), ("m/s^2", 1)]
)
def test_units_of_acceleration(unit: str, scale: float) -> None:
    recording = drive({f"Lateral acc [{unit}]": scale * LATERAL, f"Longitudinal acc [{unit}]": scale * LONGITUDINAL})

    assert follows(recording, within=0.02)
    assert recording.trace.longitudinal == pytest.approx(LONGITUDINAL, abs=0.02)
    assert not recording.boost_known
    assert "tells of cornering, not of use" in told(recording)


def test_without_a_unit_the_size_tells_g_from_metres() -> None:
    for scale, unit in ((1 / G, "g"), (1.0, "m/s2")):
        recording = drive({"ay": scale * LATERAL, "ax": scale * LONGITUDINAL})
        assert follows(recording, within=0.02)
        assert f"--unit lateral={unit} confirms it" in told(recording)


@pytest.mark.parametrize("sign", [1, -1])
@pytest.mark.parametrize("by", ["yaw rate [rad/s]", "yaw rate [deg/s]", "gyro z", "GPS course [deg]"])
def test_the_sign_of_cornering_is_found_from_speed_and_turning(sign: int, by: str) -> None:
    turning = {"yaw rate [rad/s]": TURN, "yaw rate [deg/s]": np.degrees(TURN), "gyro z": np.degrees(TURN)}
    recording = drive({"Lateral [g]": sign * LATERAL / G, "speed [km/h]": 3.6 * SPEED, by: turning.get(by, COURSE)})

    assert follows(recording)
    how = next(column.how for column in recording.columns if column.meaning == "lateral")
    assert ("sign confirmed by speed and" if sign == 1 else "sign turned, as speed and") in how
    assert ("its sign was turned" in told(recording)) == (sign == -1)
    assert "below 8 Hz" in how


@pytest.mark.parametrize("sign", [1, -1])
def test_the_sign_of_braking_is_found_from_speed(sign: int) -> None:
    recording = drive({"Longitudinal [g]": sign * LONGITUDINAL / G, "speed [mph]": SPEED / 0.44704})
    assert recording.trace.longitudinal == pytest.approx(LONGITUDINAL, abs=0.05)


def test_where_nothing_tells_the_sign_the_other_way_is_offered() -> None:
    recording = drive({"Lateral [g]": LATERAL / G})
    assert 'positive in left-hand corners; the other way round is --column lateral="-Lateral [g]"' in told(recording)
    turned = drive({"Lateral [g]": LATERAL / G}, Reading(columns=(("lateral", "-Lateral [g]"),)))
    assert follows(turned, -LATERAL, 0.02)
    assert "given by the user, sign reversed" in next(c.how for c in turned.columns if c.meaning == "lateral")
    kept = drive({"Lateral [g]": LATERAL / G}, Reading(columns=(("lateral", "Lateral [g]"),)))
    assert "reversed" not in next(c.how for c in kept.columns if c.meaning == "lateral")


@pytest.mark.parametrize("by", ["yaw rate [deg/s]", "heading [deg]"])
def test_without_accelerometers_cornering_comes_from_speed_and_turning(by: str) -> None:
    turning = np.degrees(TURN) if "yaw" in by else COURSE
    recording = drive({"speed [km/h]": 3.6 * SPEED, by: turning})

    assert follows(recording)
    assert recording.trace.longitudinal == pytest.approx(LONGITUDINAL, abs=0.1)
    assert "cornering was computed from speed and" in told(recording)
    assert ("positive to the left" in told(recording)) == ("yaw" in by)


def test_a_yaw_rate_can_be_turned_round() -> None:
    mapped = Reading(columns=(("yaw rate", "-yaw rate [deg/s]"),))
    assert follows(drive({"speed [km/h]": 3.6 * SPEED, "yaw rate [deg/s]": -np.degrees(TURN)}, mapped))


def test_a_receiver_of_one_value_a_second_gives_cornering_too() -> None:
    each = np.arange(0, TIME.size, 50)
    recording = read({"time_s": TIME[each], "speed [km/h]": 3.6 * SPEED[each], "heading [deg]": COURSE[each]})
    assert recording.trace.lateral is not None
    assert np.max(np.abs(recording.trace.lateral - LATERAL[each])[2:-2]) < 1.0


def test_vibration_is_taken_out_and_cornering_is_not_delayed() -> None:
    shaken = LATERAL + 6 * np.sin(2 * np.pi * 23 * TIME)
    assert follows(drive({"Lateral [m/s2]": shaken}), within=0.3)


@pytest.mark.parametrize("names", [("Lat", "Long"), ("lat", "lon"), ("LAT", "LNG"), ("latitude", "longitude")])
def test_latitude_and_longitude_are_no_accelerations(names: tuple[str, str]) -> None:
    places = dict.fromkeys(names, 51 + TIME / 1e5)
    recording = drive({"speed [km/h]": 3.6 * SPEED, "heading [deg]": COURSE, **places})
    assert follows(recording)
    assert follows(drive({"Lat [g]": LATERAL / G, "Long [g]": LONGITUDINAL / G}), within=0.02)


def test_an_axis_that_follows_neither_way_is_doubted() -> None:
    columns = {"accel y": LONGITUDINAL / G, "speed [km/h]": 3.6 * SPEED, "yaw rate [deg/s]": np.degrees(TURN)}
    assert "may be another axis (--column lateral=NAME)" in told(drive(columns))


def test_an_axis_that_holds_gravity_is_left_out() -> None:
    recording = drive({"acc x [m/s2]": LONGITUDINAL + G, "acc y [m/s2]": LATERAL})
    assert recording.trace.longitudinal is None
    assert follows(recording, within=0.02)
    assert "rests at 1.0 g, which no car keeps up" in told(recording)


def test_a_speed_without_a_unit_is_asked_for_it() -> None:
    columns = {"speed": SPEED, "yaw rate [deg/s]": np.degrees(TURN), "Boost [kPa]": 50 + 20 * np.sin(TIME)}
    recording = drive(columns)
    assert not recording.trace.cornering_known
    assert "--unit speed=km/h" in told(recording)
    assert follows(drive(columns, Reading(units=(("speed", "m/s"),))))


def test_what_no_car_does_is_left_out_with_what_to_type() -> None:
    recording = drive({"Lateral [g]": LATERAL, "Longitudinal [g]": LONGITUDINAL / G})
    assert recording.trace.lateral is None
    assert recording.trace.longitudinal is not None
    assert "--unit lateral=m/s2" in told(recording)


def test_boost_and_cornering_of_one_file_share_one_clock() -> None:
    boost = np.where(np.arange(TIME.size) % 50 < 25, 80.0, 81.0) + 20 * np.sin(TIME)
    recording = drive({"Boost [kPa]": boost, "Lateral [g]": LATERAL / G, "Longitudinal [g]": LONGITUDINAL / G})
    assert recording.boost_known
    assert recording.trace.time.size == recording.trace.boost.size == TIME.size
    assert follows(recording, within=0.02)
