"""The parts of the page Pack, from presenters to layout."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from dash import html
from dash.development.base_component import Component

from dashboard.components.answer import answer, facts
from dashboard.components.draft import part_id
from dashboard.components.native import Drawing, Field, Tick
from dashboard.components.notice import notice, notices
from dashboard.components.pack_list import TickList
from dashboard.components.table import table
from dashboard.figures.pack_jugs import jug_drawing
from dashboard.presenters import pack, pack_mix, pack_strength, pack_tables
from dashboard.presenters.display import Display
from dashboard.presenters.pack import Jug, Packed
from dashboard.presenters.pack_choice import LIMITS, WEATHER, PackChoice

PROFILES = (
    ("none", "none checked"),
    ("us-trade", "US, in trade"),
    ("canada", "Canada"),
    ("europe-private", "Europe, private"),
)
SHEETS = (
    ("a4-2", "A4, 2 labels"),
    ("a4-4", "A4, 4 labels"),
    ("a4-8", "A4, 8 labels"),
    ("letter-2", "Letter, 2 labels"),
    ("letter-6", "Letter, 6 labels"),
    ("letter-10", "Letter, 10 labels"),
)
PAPERS = (("a4", "A4"), ("letter", "Letter"))
STRIPS = (("L", "litres"), ("gal", "US gallons"))
DOWNLOADS = (
    ("papers.html", "All papers", "each day's sheet, the list, the recipe, labels and dipsticks, to print"),
    ("sheet.html", "Day's sheet", "one page for each day: sessions, marks, times, emergency lines"),
    ("labels.html", "Jug labels", "one for each jug, on the label sheet chosen"),
    ("dipstick.html", "Dipstick", "a strip true to size for each tank, with the marks; print at 100 %"),
    ("calendar.ics", "Calendar", "sessions and fills with alarms, for a phone"),
    ("list.csv", "List as CSV", "for a spreadsheet"),
)


def _options(pairs: Sequence[tuple[str, str]]) -> list[dict[str, str]]:
    return [{"value": value, "label": label} for value, label in pairs]


def pack_answer(made: Packed, display: Display) -> list[Component]:
    """The answer with the jugs beside it, and what must be said before anything else."""
    listed = made.listed
    first = [notice("warning", sentence) for sentence in made.missing]
    if listed is None:
        words = html.P("No list yet: none of these events has a plan.", className="answer")
        return [html.Div(words, className="answer-alone", role="status"), html.Div(first, className="notices")]
    grave = [one for one in pack.weather_notices(made, display) if one["level"] in ("danger", "warning")]
    first += [notice(one.level, one.text) for one in listed.warnings]
    first += [notice(one["level"], one["text"]) for one in grave]
    note = f"For {pack.whom(made)}. {pack.NOT_COUNTED}"
    top = [answer(pack.answer_parts(made, display), note=note), _jugs(pack.jugs(made, display))]
    title = html.P(pack.whom(made), className="paper-only paper-title")
    return [title, html.Div(top, className="pack-answer"), html.Div(first, className="notices")]


def _jugs(found: Sequence[Jug]) -> Component:
    """The jugs as they are filled, each with its words below it."""
    largest = max((jug.size for jug in found), default=1.0)
    items = [
        html.Li(
            [
                Drawing(
                    tree=jug_drawing(jug.size, jug.fill, largest, label=f"A jug {jug.note}, filled to {jug.title}")
                ),
                html.Strong(jug.title),
                html.Span(jug.note, className="small"),
            ]
        )
        for jug in found
    ]
    return html.Ul(items, className="jugs")


def pack_body(made: Packed, display: Display) -> list[Component]:
    """The list to tick off, the recipe with its cautions, the weather and the carriage limits."""
    if made.listed is None:
        return []
    return [_list_sheet(made, display), _recipe_sheet(made, display), _weather_sheet(made, display),
            _carriage_sheet(made, display)]  # fmt: skip


def _list_sheet(made: Packed, display: Display) -> Component:
    ticks = TickList(
        id="pack-ticks",
        groups=pack.groups(made, display),
        ticked=sorted(made.ticked),
        address=made.address,
    )
    to_settings = html.A("Other events, weather, limits", href="#pack-choice", className="to-settings no-print")
    return html.Section([html.H2("For the trailer"), to_settings, ticks], className="sheet pack-list")


def _recipe_sheet(made: Packed, display: Display) -> Component:
    loads = pack_tables.mixed_loads(made)
    if not loads:
        return html.Div()
    tables = [table(pack_tables.recipe_table(load, display)) for load in loads]
    words = [html.P(pack_tables.CONVENTION, className="small"), html.P(pack_tables.BY_SCALE, className="small")]
    return html.Section(
        [html.H2("Before you mix"), _cautions(pack.MIXING), html.H2("Recipe"), *tables, *words],
        className="sheet recipe",
    )


def _cautions(found: Sequence[Mapping[str, str]]) -> Component:
    return html.Div([notices(found), html.P(pack.DEFERS, className="small")], className="cautions")


def _weather_sheet(made: Packed, display: Display) -> Component:
    found = pack.weather_notices(made, display)
    if not found:
        return html.Div()
    return html.Section([html.H2("Weather and the blend"), notices(found)], className="sheet weather")


def _carriage_sheet(made: Packed, display: Display) -> Component:
    assert made.listed is not None
    words = [html.P(sentence, className="small") for sentence in pack_tables.profile_words(made)]
    if made.listed.limits.name == "none":
        return html.Section([html.H2("Carriage limits"), *words], className="sheet carriage")
    limits = table(pack_tables.limits_table(made, display))
    return html.Section([html.H2("Carriage limits"), limits, *words], className="sheet carriage")


def before_refilling() -> Component:
    """The cautions of the day itself."""
    return html.Section([html.H2("Before you refill"), _cautions(pack.REFILLING)], className="sheet refilling")


def choosing(choice: PackChoice, others: Sequence[tuple[str, str]], faults: Mapping[str, str]) -> Component:
    """What the list is for: further events, how it travels, the weather, the limits."""
    ticks = [Tick(id=part_id("pack", "with", key), label=label, value=key in choice.events) for key, label in others]
    hints = pack_tables.profile_figures(choice.text("profile"))
    limits = [_setting(choice, key, name, faults=faults, hint=hints[key]) for key, name in pack_tables.LIMIT_FIELDS]
    weather = zip(WEATHER, ("Night's low", "Day's high", "Hot boot"), strict=True)
    inside = [
        html.H2("This list is for"),
        html.P("The event chosen above" + (", and:" if ticks else "."), className="small"),
        html.Div(ticks, className="pack-events"),
        _choice(choice, "mix_there", "Mixed", (("no", "at home"), ("yes", "there, in a can"))),
        html.H3("Weather"),
        html.P("Such as 2 degC or 36 degF.", className="small"),
        html.Div([_setting(choice, key, name, faults=faults) for key, name in weather], className="fields"),
        html.H3("Carriage"),
        _choice(choice, "profile", "Limits", PROFILES),
        _setting(choice, "vehicles", "Vehicles", faults=faults),
        html.Details([html.Summary("Figures of your own"), html.Div(limits, className="fields")],
                     open=any(choice.text(key) for key in LIMITS)),
        html.P("Kept beside the event, for every device.", className="small"),
    ]  # fmt: skip
    return html.Section(inside, className="sheet side no-print pack-choice", id="pack-choice")


def _setting(choice: PackChoice, key: str, label: str, *, faults: Mapping[str, str], hint: str = "") -> Component:
    return Field(
        id=part_id("pack", "set", key), label=label, value=choice.text(key), hint=hint or None, fault=faults.get(key),
    )  # fmt: skip


def _choice(choice: PackChoice, key: str, label: str, pairs: Sequence[tuple[str, str]]) -> Component:
    name = part_id("pack", "set", key)
    return Field(id=name, label=label, kind="choice", options=_options(pairs), value=choice.text(key))


def hints(choice: PackChoice, names: Sequence[Mapping[str, str]], before: Sequence[str | None]) -> list[str | None]:
    """The hints beside the settings: a limit's is the chosen profile's own figure."""
    figures = pack_tables.profile_figures(choice.text("profile"))
    return [figures.get(one["key"], old) for one, old in zip(names, before, strict=True)]


def papers(choice: PackChoice, faults: Mapping[str, str]) -> Component:
    """What can be taken along on paper and on the phone."""
    fields = [
        _choice(choice, "paper", "Paper", PAPERS),
        _choice(choice, "label_sheet", "Label sheet", SHEETS),
        _choice(choice, "strip", "Dipstick in", STRIPS),
        _setting(choice, "mixed_on", "Mixed on", faults=faults, hint="such as 2026-05-15"),
    ]
    return html.Section(
        [
            html.H2("On paper and on the phone"),
            html.Div(downloads(choice), id="pack-downloads"),
            html.Div(fields, className="fields"),
            html.P(
                "Label sheets' measures are from memory: print one page on plain paper first. A dipstick carries a "
                "line of 100 mm to measure.",
                className="small",
            ),
        ],
        className="sheet no-print",
    )


def downloads(choice: PackChoice) -> Component:
    """A link for each paper of a choice."""
    rows = [
        html.Li(
            [
                html.A(name, href=f"/pack/{file}?{choice.query()}", target="_blank", className="download"),
                html.Span(says),
            ]
        )
        for file, name, says in DOWNLOADS
    ]
    return html.Ul(rows, className="downloads")


def calculator(texts: Mapping[str, str], place: str, display: Display, *, opened: bool) -> Component:
    """The recipe calculator with its first answer; `place` is where the browser keeps what is typed."""
    fields = [_mix_field(key, texts[key], place) for key in pack_mix.LABELS]
    inside = [
        html.Div(calculated(texts, display), id="pack-mixed"),
        html.Div(fields, className="fields"),
        html.P(pack_tables.CONVENTION, className="small"),
    ]
    return html.Details([html.Summary("Mix any amount"), *inside], className="sheet no-print pack-mix", open=opened)


def _mix_field(key: str, value: str, place: str) -> Component:
    name, label = part_id("pack", "mix", key), pack_mix.LABELS[key]
    kept = f"pack-mix:{place}:{key}"
    if key == "round":
        return Field(id=name, label=label, kind="choice", options=_options(pack_mix.ROUNDINGS), value=value, keep=kept)
    return Field(id=name, label=label, value=value, hint=pack_mix.HINTS.get(key), keep=kept)


def calculated(texts: Mapping[str, str], display: Display) -> list[Component]:
    """The calculator's answer: what to pour, as a table, and what comes out."""
    found = pack_mix.mixed(texts, display)
    if not found.parts or found.table is None:
        return [html.P("Mend the fields below for a recipe.", className="answer-note", role="status")]
    return [
        answer(found.parts),
        *[notice("notice", note) for note in found.notes],
        table(found.table),
        html.Details([html.Summary("What comes out"), facts(found.facts)]),
    ]


def strength(made: Packed | None, place: str, display: Display, *, opened: bool) -> Component:
    """The strength check, both ways."""
    fields = [
        Field(
            id=part_id("pack", "check", key), label=label, value=pack_strength.FIRST[key],
            hint=pack_strength.HINTS[key], keep=f"pack-check:{place}:{key}",
        )
        for key, label in pack_strength.LABELS.items()
    ]  # fmt: skip
    both = [
        html.Div(densities(made, display), id="pack-densities"),
        html.Div(
            [
                html.H3("You measured"),
                html.Div(fields, className="fields"),
                html.Div(strength_said({}, display), id="pack-checked"),
            ]
        ),
    ]
    head = html.Summary("Is it strong enough? By the hydrometer")
    return html.Details([head, html.Div(both, className="pack-strength")], className="sheet no-print", open=opened)


def densities(made: Packed | None, display: Display) -> list[Component]:
    """What a hydrometer reads in each blend of the list, at the day's own temperatures too."""
    weather = (made.settings.weather.night_low, made.settings.weather.day_high) if made else ()
    shares = [load.alcohol_share for load in pack_tables.mixed_loads(made)] if made else []
    return [table(pack_strength.density_table(one, display, weather)) for one in shares or [pack_strength.USUAL_SHARE]]


def strength_said(texts: Mapping[str, str], display: Display) -> list[Component]:
    """The strength of what was measured, with how sure it is and where it says little."""
    found = pack_strength.checked(texts, display)
    said = [answer(found.parts)] if found.parts else []
    return [*said, *[notice("notice", note) for note in found.notes],
            html.P(pack_strength.ONE_ANSWER, className="small")]  # fmt: skip
