"""A table of a file read key by key: what is sound is kept, each fault is noted, and left-out keys are remembered."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, ClassVar, TypeVar, get_args

from pydantic import BaseModel, ConfigDict, ValidationError
from pydantic_core import PydanticCustomError

from planner.errors import BadInput, Fault
from planner.files.fields import near
from planner.files.keys import under, value_at
from planner.files.toml_text import printable, short


class Table(BaseModel):
    """Base of the tables of a file; keys outside it are faults, unless a subclass says what they are about."""

    model_config = ConfigDict(extra="forbid", arbitrary_types_allowed=True)
    elsewhere: ClassVar[Mapping[str, str]] = {}

    @classmethod
    def example(cls, name: str) -> str:
        """What the value of a key may look like, as its reader says."""
        for entry in cls.model_fields[name].metadata:
            shown = getattr(getattr(entry, "func", None), "example", "")
            if shown:
                return str(shown)
        return '"..."'

    @classmethod
    def example_keys(cls) -> list[str]:
        """Each key of the table with an example."""
        return [f"{name} = {cls.example(name)}" for name in cls.model_fields]


TableT = TypeVar("TableT", bound=Table)
ValueT = TypeVar("ValueT")


class Findings:
    """The faults of one file as they are found, and the keys that it left out."""

    def __init__(self, shown: str, document: Mapping[str, Any], homes: Mapping[str, str]) -> None:
        self.shown = shown
        self.document = document
        self.homes = homes
        self.faults: list[Fault] = []
        self.assumed: set[str] = set()

    def add(self, key: str, value: object, remedy: str) -> None:
        """Note a fault; `value` None means that the key is missing."""
        self.faults.append(Fault(self.shown, key, "" if value is None else short(value), printable(remedy)))

    def blame(self, key: str, remedy: str) -> None:
        """Note a fault of a value that can be read but does not fit the others, shown as it is typed."""
        self.add(key, value_at(self.document, key), remedy)

    def raise_any(self) -> None:
        """Raise BadInput with every fault noted, if there is any."""
        if self.faults:
            raise BadInput(self.faults)

    def read(self, model: type[TableT], data: object, key: str) -> TableT | None:
        """The table with its sound keys set (test with `has`), or None where `data` is no table."""
        if not isinstance(data, dict):
            fault = "missing" if data is None else "not a table"
            self.add(key, data, f"{fault}; write [{key}] on a line of its own and its keys below")
            return None
        table = self._sound(model, data, key)
        self.assumed.update(left_out(table, key))
        return table

    def read_or_default(self, model: type[TableT], data: object, key: str) -> TableT | None:
        """As `read`, for a table that may be left out."""
        return self.read(model, {} if data is None else data, key)

    def read_each(self, model: type[TableT], data: object, key: str) -> list[TableT | None]:
        """Each table of an array of tables such as [[nozzle]], of which there must be one at least."""
        if isinstance(data, dict):
            self.add(key, None, f"write [[{key}]] in double brackets, once for each")
            return [self.read(model, data, key)]
        if not isinstance(data, list) or not data:
            fault = "missing" if data is None or data == [] else "not a table"
            self.add(key, data or None, f"{fault}; write [[{key}]] on a line of its own and its keys below")
            return []
        return [self.read(model, entry, f"{key}[{number}]") for number, entry in enumerate(data, 1)]

    def value(self, reader: Callable[[object], ValueT], data: Mapping[str, Any], key: str) -> ValueT | None:
        """One value by its dotted key, or None with its fault noted."""
        value = data.get(key.rpartition(".")[2])
        try:
            return reader(value)
        except PydanticCustomError as reason:
            self.add(key, value, reason.message() if value is not None else f"missing; {reason.message()}")
            return None

    def top_level(self, document: Mapping[str, Any], known: Sequence[str]) -> dict[str, Any]:
        """The file's own keys and tables, a misspelled one under the name that it stands for."""
        found = {key: value for key, value in document.items() if key in known}
        for key in document.keys() - set(known):
            guess = None if key in self.homes else near(key, set(known) - set(found))
            if guess:
                found[guess] = document[key]
                self.add(under("", (key,)), document[key], f"no such key; did you mean {guess}?")
            elif key in self.homes:
                self.add(key, document[key], f"belongs in {self.homes[key]}, below that line")
            else:
                self.add(under("", (key,)), document[key], f"no such key; here are known: {', '.join(known)}")
        return found

    def _sound(self, model: type[TableT], data: dict[str, Any], key: str) -> TableT:
        try:
            return model.model_validate(data)
        except ValidationError as errors:
            self._note(errors, model, data, key)
        table = model.model_construct()
        for name in model.model_fields.keys() & data.keys():
            table.__dict__[name] = _one_key(model, name, data[name])
            if table.__dict__[name] is _BROKEN:
                del table.__dict__[name]
        return table

    def _note(self, errors: ValidationError, model: type[Table], data: dict[str, Any], key: str) -> None:
        meant: set[tuple[str | int, ...]] = set()
        for error in sorted(errors.errors(include_url=False), key=lambda error: error["type"] == "missing"):
            loc, owner = error["loc"], _model_at(model, error["loc"][:-1])
            value, remedy = error["input"], error["msg"]
            if error["type"] == "missing":
                if loc in meant:
                    continue
                value, remedy = None, f"missing; write {loc[-1]} = {owner.example(str(loc[-1]))}"
            elif error["type"] == "extra_forbidden":
                remedy, guess = self._about_unknown(str(loc[-1]), owner, _at(data, loc[:-1]))
                meant.add((*loc[:-1], guess))
            elif error["type"] in ("model_type", "model_attributes_type"):
                remedy = f"not a table; write {{ {', '.join(_model_at(model, loc).example_keys())} }}"
            self.add(under(key, loc), value, remedy)

    def _about_unknown(self, name: str, owner: type[Table], present: Iterable[str]) -> tuple[str, str]:
        """What to do about a key that the table has not, and the key it stands for, if any."""
        if name in owner.elsewhere:
            return owner.elsewhere[name], ""
        if name in self.homes:
            return f"belongs in {self.homes[name]}, not here", ""
        guess = near(name, set(owner.model_fields) - set(present))
        if guess:
            return f"no such key; did you mean {guess}?", guess
        return f"no such key; here are known: {', '.join(owner.model_fields)}", ""


_BROKEN = object()


def has(table: Table | None, *names: str) -> bool:
    """Whether a table came out with all these keys sound or left to their defaults."""
    return table is not None and all(name in table.__dict__ for name in names)


def _one_key(model: type[Table], name: str, value: object) -> Any:
    try:
        checked = model.__pydantic_validator__.validate_assignment(model.model_construct(), name, value)
    except ValidationError:
        return _BROKEN
    return getattr(checked, name)


def _at(data: Any, loc: Iterable[str | int]) -> Any:
    for part in loc:
        data = data[part]
    return data


def _model_at(model: type[Table], loc: Iterable[str | int]) -> type[Table]:
    """The table's model at a place inside another one."""
    for part in loc:
        if isinstance(part, str):
            model = _nested(model.model_fields[part].annotation) or model
    return model


def _nested(annotation: Any) -> type[Table] | None:
    if isinstance(annotation, type) and issubclass(annotation, Table):
        return annotation
    found = (_nested(part) for part in get_args(annotation))
    return next((model for model in found if model), None)


def left_out(table: Table, key: str) -> set[str]:
    """Dotted names of the keys that a table left to a default other than None."""
    names: set[str] = set()
    for name, value in table.__dict__.items():
        if isinstance(value, Table):
            names |= left_out(value, under(key, (name,)))
        elif value not in (None, (), {}) and name not in table.model_fields_set:
            names.add(under(key, (name,)))
    return names


def homes(tables: Mapping[str, type[Table]]) -> dict[str, str]:
    """Which table a key belongs in, for the keys that only one table of a file has."""
    owners: dict[str, set[str]] = {}
    for name, table in tables.items():
        for key in table.model_fields:
            owners.setdefault(key, set()).add(name)
    return {key: next(iter(names)) for key, names in owners.items() if len(names) == 1}
