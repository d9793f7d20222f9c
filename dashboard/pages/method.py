"""Method: the models behind the numbers, their limits and their sources."""

from __future__ import annotations

from dash import Dash, html
from dash.development.base_component import Component

from dashboard.presenters.method import TOPICS, Topic
from dashboard.presenters.view import View
from dashboard.presenters.workspace import Workspace

PATH = "/method"
TITLE = "Method"
LEAD = "Where the numbers come from, how far they can be trusted, and what nobody knows."


def _topic(topic: Topic) -> Component:
    def part(name: str, sentences: tuple[str, ...]) -> list[Component]:
        return [html.Dt(name), html.Dd(html.Ul([html.Li(sentence) for sentence in sentences]))]

    told = [*part("How", topic.formulas), *part("Limits", topic.limits), *part("Sources", topic.sources)]
    return html.Section(
        [html.H2(topic.title), html.P(topic.says), html.Dl(told, className="method")], className="sheet"
    )


def layout(view: View) -> Component:
    """Every topic as a sheet."""
    head = [html.H1("Method", className="unseen"), html.P(LEAD, className="answer answer-alone")]
    return html.Div(
        [*head, html.Div([_topic(topic) for topic in TOPICS], className="columns method-columns")], id="method"
    )


def register(app: Dash, workspace: Workspace) -> None:
    """The page only tells."""
