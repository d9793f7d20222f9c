"""A page as a browser holds it: the parts that the router sent, and callbacks asked with what stands in them."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from copy import copy, deepcopy
from typing import Any

from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from tests.dashboard.test_app import router

Props = dict[str, Any]


def name_of(ident: Any) -> str:
    """An id as text, its keys in order: Dash writes an id of several keys so."""
    return ident if isinstance(ident, str) else json.dumps(ident, sort_keys=True, separators=(",", ":"))


def parts_of(node: Any) -> Iterator[Props]:
    """The properties of every part with an id, from the outside in."""
    if isinstance(node, Mapping):
        props = node.get("props")
        if isinstance(props, Mapping) and "id" in props:
            yield dict(props)
        for inner in node.values():
            yield from parts_of(inner)
    elif isinstance(node, list):
        for inner in node:
            yield from parts_of(inner)


class OpenPage:
    """A page at an address; `type` changes a part as a person does, `ask` asks a callback, writing goes nowhere."""

    def __init__(self, client: FlaskClient, path: str, search: str = "", settings: Any = None) -> None:
        self.client = client
        self.first = router(client, path, search, settings)
        self.parts: dict[str, Props] = {name_of(props["id"]): props for props in parts_of(self.first.get_json())}
        self.parts["url"] = {"id": "url", "pathname": path, "search": search}
        self.parts["settings"] = {"id": "settings", "data": settings}
        self.callbacks = client.get("/_dash-dependencies").get_json()

    def again(self) -> OpenPage:
        """The page as it first showed, in another tab."""
        other = copy(self)
        other.parts = deepcopy(self.parts)
        return other

    def type(self, ident: Any, **props: Any) -> None:
        """Change what stands in a part."""
        self.parts.setdefault(name_of(ident), {"id": ident}).update(props)

    def ask(self, output: str, changed: str) -> TestResponse:
        """The answer of the callback with an output, told which input changed ("id.property")."""
        able = [one for one in self.callbacks if output in one["output"]]
        hears = [one for one in able if changed in (f"{put['id']}.{put['property']}" for put in one["inputs"])]
        found = (hears or able)[0]
        parts = [part.rsplit(".", 1) for part in found["output"].strip(".").split("...")]
        outputs = [self._outputs(name, prop.split("@")[0]) for name, prop in parts]
        body = {
            "output": found["output"],
            "outputs": outputs if found["output"].startswith("..") else outputs[0],
            "changedPropIds": [changed],
            **{kind: [self._given(one) for one in found[kind]] for kind in ("inputs", "state")},
        }
        return self.client.post("/_dash-update-component", json=body)

    def _matching(self, name: str) -> list[Props]:
        """The parts that an id with ALL in it stands for."""
        wanted = json.loads(name)
        keys = {key: value for key, value in wanted.items() if value != ["ALL"]}
        return [
            props for props in self.parts.values()
            if isinstance(props["id"], Mapping) and props["id"].keys() == wanted.keys()
            and all(props["id"][key] == value for key, value in keys.items())
        ]  # fmt: skip

    def _outputs(self, name: str, prop: str) -> Any:
        found = self._given({"id": name, "property": prop})
        one = {"id", "property"}
        return {key: found[key] for key in one} if isinstance(found, dict) else [{k: f[k] for k in one} for f in found]

    def _given(self, one: Mapping[str, Any]) -> Any:
        name, prop = one["id"], one["property"]
        if "ALL" in name:
            return [{"id": part["id"], "property": prop, "value": part.get(prop)} for part in self._matching(name)]
        part = self.parts.get(name, {})
        return {"id": part.get("id", name), "property": prop, "value": part.get(prop)}
