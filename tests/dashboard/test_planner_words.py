"""The planner's sentences as the pages say them: the units shown, and places on the pages for options."""

from dashboard.presenters.display import THIN, Display
from dashboard.presenters.planner_words import in_units, warning_words
from tests.dashboard.days import outcome

READ = 'course Loop: "side" was taken as positive to the left; the other way round is --column lateral="-side".'


def plain(text):
    return text.replace(THIN, " ")


def test_temperatures_volumes_and_lengths_are_said_in_the_units_shown():
    said = "It can catch fire from about 27 degC on; -5 degC is too cold. Read 1.5 L (104 mm)."
    metric, us = plain(in_units(said, Display())), plain(in_units(said, Display("us")))
    assert metric == "It can catch fire from about 27 °C on; −5 °C is too cold. Read 1.5 L (104 mm)."
    assert us == "It can catch fire from about 81 °F on; 23 °F is too cold. Read 0.40 gal (4.09 in)."


def test_a_warning_about_a_recording_names_the_page_on_which_it_is_changed():
    said = warning_words({"code": "recording", "text": READ}, Display())
    assert said.endswith('the other way round is "side, sign reversed" under Columns on the page Courses.')


def test_no_warning_of_a_day_names_an_option_of_the_command_line(tmp_path):
    plan = outcome(tmp_path).plan
    assert plan["warnings"]
    told = [warning_words(warning, Display("us")) for warning in plan["warnings"]]
    assert not any("--" in text or "degC" in text for text in told)
    assert (
        warning_words({"code": "siphoning", "text": "about 0.45 L, --rate"}, Display()) == f"about 0.45{THIN}L, --rate"
    )
