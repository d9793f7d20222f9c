"""Words by which the trade and everyday language name the signals of a recording, in several languages.

Patterns are searched in a name folded to lower case without accents, its words parted by blanks.
"""

from __future__ import annotations

import re
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Meaning:
    """How a signal is recognised: dimension of its unit, words that name it (best first), words that rule it out."""

    name: str
    dimension: str
    words: tuple[re.Pattern[str], ...]
    not_words: re.Pattern[str]


def _meaning(name: str, dimension: str, words: tuple[str, ...], not_words: str) -> Meaning:
    patterns = tuple(re.compile(rf"(?:^|\b)(?:{word})(?:\b|$)") for word in words)
    return Meaning(name, dimension, patterns, re.compile(rf"\b(?:{not_words})"))


_WANTED = (
    r"target|tgt|set ?point|setpt|request|req\b|desired|command|cmd|specified|demand|soll|sollwert|consigne|obiettivo|"
    r"objetivo|zadan|gewenst|onskad|tavoite|limit|max\b|maximum|min\b|minimum|peak|error|deviation|abweichung|regel|"
    r"correction|corr\b|trim|duty|solenoid|ventil|valve|control|adapt|status|state|flag|fault|warn|sensor v|volt|"
    r"raw\b|learn|offset|threshold|delta"
)
_OTHER_PRESSURE = (
    r"fuel|oil|ol\b|oel|brake|brems|frein|rail|exhaust|abgas|back ?pressure|tyre|tire|reifen|coolant|water|crank|evap|"
    r"vapou?r|clutch|gear|transmission|wastegate|temp|air flow|mass|maf|carburant|kraftstoff|huile|olio|aceite|echappement|"
    r"egr|dpf|particul|diff|cyl|egt|pump|nozzle|freno|freni|meth|inject|ratio"
)

MEANINGS: tuple[Meaning, ...] = (
    _meaning(
        "time",
        "time",
        (
            r"time ?stamp|time|zeit|zeitstempel|elapsed( time)?|temps|tiempo|tempo|tijd|tid|czas|cas|aika|ido|date ?time",
            r"engine run ?time|seconds|sekunden|secondes|segundos|secondi|uhrzeit|heure|horodatage|hora|ora|clock|t|sec|ms|"
            r"epoch|utc|millis",
        ),
        r"lap|runde|sector|split|delta|diff|best|since|mil\b|codes|inject|einspritz|ignit|spark|dwell|response|react|gap|"
        r"predict|remain|opening|coil|pulse|zone|timing|fuel|valve|cam\b|duration|warm|on time|since|to\b",
    ),
    _meaning(
        "boost",
        "pressure",
        (
            r"boost( pressure)?|intake manifold( absolute)? pressure|manifold( absolute| air| gauge)? pressure|map|"
            r"ladedruck|saugrohr ?druck|turbo (boost )?pressure|charge(d| air)? pressure|inlet manifold pressure|"
            r"pression (de )?(suralimentation|turbo|collecteur|d admission|admission|tubulure)|"
            r"presion (de |del )?(turbo|sobrealimentacion|admision|colector|soplado|multiple)( de admision)?|"
            r"pressione (di |del )?(sovralimentazione|turbo|collettore|aspirazione)|laadruk|laaddruk|turbodruk|laddtryck|"
            r"ladetrykk|ladetryk|ahtopaine|cisnienie (doladowania|w kolektorze|kolektora)|plnici tlak|toltonyomas|"
            r"pressao (do |de )?(turbo|coletor|admissao)",
            r"(intake|inlet|plenum|manifold|compressor outlet|throttle)( air)?( absolute)? (pressure|press|pres)|"
            r"(manifold|intake|plenum|inlet) p|ansaugdruck|saugrohrdruck|boost.*|map .*|.* map|.*manifold.*press.*|"
            r".*ladedruck.*|man press(ure)?|pman|p boost|p map|p manifold|p intake|p2",
            r"pressure|druck|pression|presion|pressione|press|p",
        ),
        rf"{_WANTED}|{_OTHER_PRESSURE}|baro|ambient|atmos|umgebung|aussen|luftdruck|outside|temperature",
    ),
    _meaning(
        "barometer",
        "pressure",
        (
            r".*baro.*|.*atmos.*|ambient (air )?press(ure)?|luftdruck|umgebungs ?druck|outside (air )?pressure|p amb(ient)?|"
            r"pression (ambiante|exterieure)|presion (ambiente|exterior)|pressione (ambiente|esterna)|ilmanpaine|lufttryck",
        ),
        r"target|temp|volt|altitude|height|hohe|corr|offset",
    ),
    _meaning(
        "rpm",
        "rotation",
        (
            r".*rpm|.*engine (speed|rpm|revs)|.*drehzahl.*|regime( moteur)?|regimen( del? motor)?|giri( motore)?|toerental|"
            r"varvtal|obroty.*|otacky|n ?mot(or)?|revs|moottorin kierrosluku|motorvarvtal|turtall",
        ),
        r"target|limit|turbo|wheel|shaft|max|min\b|desired|idle|fan|pump|gradient|input|output|turbine",
    ),
    _meaning(
        "speed",
        "speed",
        (
            r"(vehicle|gps|ground|car|road) ?(speed|velocity)( sensor)?|speed|velocity|geschwindigkeit|"
            r"fahrzeuggeschwindigkeit|vitesse( vehicule| gps)?|velocidad|velocita|snelheid|hastighet|hastighed|nopeus|"
            r"predkosc|rychlost|velocidade|v ?gps|vspeed|speed .*|.* speed|v ?car|.*geschwindigkeit|.*velocity.*",
            r"v",
        ),
        r"engine|turbo|fan|wind|pump|target|shaft|limit|motor\b|wheel|rad\b|turbine|input|output|idle|max|error|accuracy|"
        r"vertical|shift|cruise|set",
    ),
    _meaning(
        "lateral",
        "acceleration",
        (
            r"(g )?lat(eral)?( g| acc(el(eration)?)?| force| ?g ?force| beschleunigung)?( g)?|.*lateral.*|"
            r"quer ?beschleunigung.*|(acc(el(eration)?)?|g) lat.*|.*transvers.*|a ?y|a lat|zijdelingse.*|g ?lat|lat ?g",
            r"(acc(el(eration|erometer)?)?|g( force)?|beschleunigung) y|y ?acc.*|y g|gy|.*laterale?.*",
        ),
        r"latitude|gyro|offset|raw|tyre|tire|slip|wheel|degree|rate|velocity|position|gps lat$|lat deg",
    ),
    _meaning(
        "longitudinal",
        "acceleration",
        (
            r"(g )?long(itudinal)?( g| acc(el(eration)?)?| force| ?g ?force)?( g)?|.*longitudinal.*|langs ?beschleunigung.*|"
            r"laengsbeschleunigung.*|(acc(el(eration)?)?|g) (long|lon).*|a ?x|a long?|g ?long|lon(g)? ?g|inline (g|acc).*",
            r"(acc(el(eration|erometer)?)?|g( force)?|beschleunigung) x|x ?acc.*|x g|gx",
        ),
        r"longitude|gyro|offset|raw|tyre|tire|slip|wheel|degree|rate|velocity|position|long deg",
    ),
    _meaning(
        "yaw rate",
        "turn rate",
        (r"yaw( rate)?.*|gier ?rate.*|gier.*|.*lacet.*|.*guinada.*|.*imbardata.*|gyro z|w ?z|z gyro|rotation z|.*yaw.*",),
        r"angle|acc|offset|target|moment|slip|raw",
    ),
    _meaning(
        "heading",
        "angle",
        (r"(gps )?(heading|course|bearing|track angle|cog|direction)( over ground)?( deg)?|kurs|cap|rumbo|richtung|rotta",),
        r"accuracy|error|wind|rate|magnetic var",
    ),
    _meaning(
        "lap",
        "count",
        (r"lap( number| no| nr| count(er)?| index)?|laps|runde(n| nr| nummer)?|tour|vuelta|giro|ronde|varv|kierros|run( number| no)?",),
        r"time|distance|dist|best|delta|speed|zeit|gas|length|engine|fuel|remaining",
    ),
)  # fmt: skip
BY_NAME = {meaning.name: meaning for meaning in MEANINGS}
ABSOLUTE_WORDS = re.compile(r"\b(absolute?|absolut|absolu|absoluta|assoluta|abs|map|psia|bara|kpaa)\b")
GAUGE_WORDS = re.compile(
    r"\b(gauge|gage|relative?|relativ|rel|psig|barg|kpag|overpressure|uberdruck|ueberdruck|atmospheric offset)\b"
)
BOOST_WORDS = re.compile(
    r"\b(boost|suralimentation|sobrealimentacion|sovralimentazione|laadruk|laaddruk|laddtryck|ahtopaine)\b"
)
