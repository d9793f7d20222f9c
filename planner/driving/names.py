"""A column's name as its header cell spells it: the bare words, and the unit that it holds."""

from __future__ import annotations

import re
import unicodedata

from planner.driving.spelling import Unit, unit_of
from planner.driving.vocabulary import MEANINGS

_BRACKETED = re.compile(r"[\[({<]\s*([^\])}>]*?)\s*[\])}>]")
_PARTING = re.compile(r"\s*[/,_:.;|-]\s*|\s+")
_MOJIBAKE = {"Â°": "°", "Â²": "²", "Âµ": "µ"}


def folded(name: str) -> str:
    """A name in lower case, without accents or brackets, its words parted by single blanks."""
    plain = unicodedata.normalize("NFKD", _mended(name).replace("ß", "ss").replace("ł", "l"))
    plain = "".join(ch for ch in plain if not unicodedata.combining(ch))
    return re.sub(r"[^a-z0-9°%]+", " ", _words_apart(plain).lower()).strip()


def _mended(name: str) -> str:
    for wrong, right in _MOJIBAKE.items():
        name = name.replace(wrong, right)
    return name


def _words_apart(name: str) -> str:
    """BoostPressure and engineRPM as words; kPa, mBar and the like stay whole."""
    return re.sub(r"(?<=[a-z]{3})(?=[A-Z])|(?<=[a-z][a-z])(?=[A-Z][a-z]{2})|(?<=[A-Z]{3})(?=[A-Z][a-z]{2})", " ", name)


def unit_in(name: str) -> tuple[str, Unit | None]:
    """The bare name and the unit that a header cell such as "Boost [kPa]", "boost_kPa" or "boost / kPa" holds."""
    name = _mended(name)
    for match in reversed(list(_BRACKETED.finditer(name))):
        for part in (match[1], *re.split(r"[,;]\s*", match[1])):
            if unit_of(part):
                return (name[: match.start()] + " " + name[match.end() :]).strip(), unit_of(part)
    for text in dict.fromkeys((name, _words_apart(name))):
        for match in _PARTING.finditer(text):
            unit = _bare_unit(text[match.end() :])
            if unit and match.start() > 0:
                return text[: match.start()].strip(), unit
    return name, None


def _bare_unit(text: str) -> Unit | None:
    """The unit that the end of a name spells without brackets; of single letters only g and s."""
    plain = text.replace("_", " ").strip()
    return unit_of(plain) if len(plain) > 1 or plain in ("g", "G", "s") else None


def is_name(cell: str) -> bool:
    """Whether a header cell holds a unit, or words that name a signal."""
    bare, unit = unit_in(cell)
    words = folded(bare)
    return unit is not None or any(pattern.fullmatch(words) for meaning in MEANINGS for pattern in meaning.words)
