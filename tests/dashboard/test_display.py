import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboard.presenters.display import SYSTEMS, Display, clock, day_and_clock, minutes, share


def plain(text):
    return text.replace("\u202f", " ")


@pytest.mark.parametrize(
    ("system", "litres", "text"),
    [
        ("metric", 5.2, "5.2 L"),
        ("metric", 0.4, "0.40 L"),
        ("us", 3.785411784, "1.00 gal"),
        ("imperial", 4.54609, "1.00 imp gal"),
    ],
)
def test_volumes_show_in_the_chosen_units(system, litres, text):
    assert plain(Display(system).volume(litres)) == text


@pytest.mark.parametrize(
    ("system", "texts"),
    [
        ("metric", ("25 mm", "1.00 bar", "1000 mL/min", "1.0 kg", "20 °C")),
        ("us", ("1.00 in", "14.5 psi", "15.85 gal/h", "2.2 lb", "68 °F")),
        ("imperial", ("1.00 in", "14.5 psi", "1000 mL/min", "2.2 lb", "20 °C")),
    ],
)
def test_every_dimension_follows_the_system(system, texts):
    shown = Display(system)
    found = (shown.length(25.4), shown.pressure(100.0), shown.flow(1000.0), shown.mass(1.0), shown.temperature(20.0))
    assert tuple(map(plain, found)) == texts


@given(st.floats(0.2, 60), st.floats(0, 5), st.sampled_from(SYSTEMS))
def test_a_printed_mark_holds_what_the_plan_needs_but_never_more_than_the_limit(litres, room, system):
    display, limit = Display(system), litres + room
    number = float(plain(display.mark_volume(litres, limit)).split()[0])
    step = 0.1 if system == "metric" else 0.01
    assert number <= display.number(limit, "volume") + 0.1 * step + 1e-9
    exact = display.number(litres, "volume")
    assert exact - step / 10 - 1e-9 <= number <= exact + step + 1e-9
    if room > 0.5:
        assert number >= exact - 1e-6


@given(st.floats(1, 900))
def test_a_mark_on_the_dipstick_is_given_to_the_millimetre(millimetres):
    assert plain(Display().mark_length(millimetres)) == f"{round(millimetres)} mm"


def test_shares_keep_the_digits_that_matter():
    assert [plain(share(value)) for value in (0.0004, 0.004, 0.5, 0.99, 0.995, 1.0, 0.0)] == [
        "under 0.1 %", "0.4 %", "50 %", "99 %", "99.5 %", "100 %", "0 %",
    ]  # fmt: skip


def test_times_are_the_events_own_wherever_the_reader_is():
    assert clock("2026-06-06T12:05:00+02:00") == "12:05"
    assert day_and_clock("2026-08-16T09:15:00+02:00", True) == "Sun 09:15"
    assert plain(minutes(130)) == "2 h 10 min"
    assert plain(minutes(45)) == "45 min"


def test_minus_is_a_minus_and_nothing_is_a_dash():
    assert plain(Display().length(-5)) == "−5 mm"
    assert Display().volume(None) == "–"
    assert math.isclose(Display("us").number(0.0, "temperature"), 32.0)
