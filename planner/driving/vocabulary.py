"""Words by which the trade and everyday language name the signals of a recording, in several languages.

A pattern must match the whole of a name that was folded to lower case without accents, its words parted by blanks.
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
    patterns = tuple(re.compile(rf"(?:{word})(?: \d)?") for word in words)
    return Meaning(name, dimension, patterns, re.compile(rf"\b(?:{not_words})"))


_WANTED = (
    r"target|tgt|set ?point|setpt|request|req\b|desired|command|cmd|specified|demand|soll|consigne|obiettivo|"
    r"objetivo|"
    r"zadan|gewenst|onskad|tavoite|limit|max\b|maximum|min\b|minimum|peak|error|deviation|abweichung|regel|"
    r"correction|"
    r"corr\b|trim|duty|solenoid|ventil|valve|control|adapt|status|state|flag|fault|warn|sensor v|volt|raw\b|learn|"
    r"offset|threshold|delta|predict|theor|model"
)
_OTHER_PRESSURE = (
    r"fuel|oil|ol\b|oel|brake|brems|frein|rail|exhaust|abgas|back ?pressure|tyre|tire|reifen|coolant|water|crank|"
    r"evap|"
    r"vapou?r|clutch|gear|transmission|wastegate|temp|air ?flow|mass|maf|carburant|kraftstoff|huile|olio|aceite|"
    r"echappement|escape|scarico|egr|dpf|particul|diff|cyl|egt|pump|nozzle|freno|freni|meth|inject|ratio|intercooler"
)
_BAROMETRIC = r"baro|ambient|ambiant|atmos|umgebung|aussen|luftdruck|outside|exterior|exterieur|esterna"

MEANINGS: tuple[Meaning, ...] = (
    _meaning(
        "time",
        "time",
        (
            r"time|time ?stamp|zeit|zeitstempel|elapsed( time)?|(log|recording|session|logger|device|"
            r"relative) time|temps|"
            r"tiempo|tempo|tijd|tid|czas|cas|aika|ido|date ?time|time of day|local time|seconds|t|uhrzeit",
            r"sekunden|secondes|segundos|secondi|heure|horodatage|hora|ora|clock|sec|secs|ms|epoch|utc( time)?|"
            r"millis|"
            r"gps time|engine run ?time|timestamp.*|.* timestamp|time .*|.* time|s|.*zeit",
        ),
        r"lap|runde|sector|split|delta|diff|best|since|mil\b|codes|inject|einspritz|ignit|spark|dwell|response|"
        r"react|gap|"
        r"predict|remain|opening|coil|pulse|zone|timing|fuel|valve|cam\b|duration|warm|on time|to\b|interval|week|"
        r"lag\b",
    ),
    _meaning(
        "boost",
        "pressure",
        (
            r"(turbo )?boost( pressure)?( gauge| relative| rel)?|(measured |actual )?boost( pressure)?( actual|"
            r" ist)?|"
            r"(intake |inlet )?manifold( absolute| air| gauge| relative)?( pressure| press| pres)( absolute| abs|"
            r" gauge| sensor)?|"
            r"map( sensor| pressure)?|m a p|(intake|inlet)( manifold)?( absolute)? pressure( absolute| abs| gauge)?|"
            r"ladedruck( ist| istwert)?|saugrohr ?(absolut)?druck|ansaugdruck|"
            r"pression (de )?(suralimentation|turbo|collecteur|d admission|admission|tubulure)( d admission|"
            r" admission)?|"
            r"presion (de |del )?(turbo|sobrealimentacion|admision|colector|soplado|multiple)( de admision)?|"
            r"pressione (di |del )?(sovralimentazione|turbo|collettore|aspirazione)|laadruk|laaddruk|turbodruk|"
            r"laddtryck|"
            r"ladetrykk|ladetryk|ahtopaine|cisnienie (doladowania|w kolektorze( dolotowym)?|kolektora)|plnici tlak|"
            r"toltonyomas|pressao (do |de )?(turbo|coletor|admissao)|((ue?ber)?druck )?ladeluft(druck)?",
            r"turbo ?pressure|charge(d| air)? ?pressure|(charge|plenum|compressor outlet|"
            r"throttle inlet)( air)? (pressure|press)|"
            r"(manifold|intake|plenum|inlet) p|man ?press(ure)?|p ?man|p ?boost|p ?map|p manifold|p intake|p2|"
            r"boost .*|"
            r"map .*|.* map|.*manifold.*press.*|.*ladedruck.*|.*boost pressure.*|(abs |absolute )?pressure manifold|"
            r"manifold|intake manifold|.* boost|absolute pressure|gauge pressure",
            r"(air )?pressure|druck|pression|presion|pressione|press|p",
        ),
        rf"{_WANTED}|{_OTHER_PRESSURE}|{_BAROMETRIC}",
    ),
    _meaning(
        "barometer",
        "pressure",
        (
            r".*\b(baro|atmos).*|ambient( air)?( press(ure)?)?|luftdruck|umgebungs ?druck|outside (air )?pressure|"
            r"p amb(ient)?|"
            r"pression (ambiante|exterieure)|presion (ambiente|exterior)|pressione (ambiente|esterna)|ilmanpaine|"
            r"lufttryck",
        ),
        r"target|temp|volt|altitude|height|hohe|corr|offset",
    ),
    _meaning(
        "rpm",
        "rotation",
        (
            r".*rpm|.*engine (speed|rpm|revs?|revolutions).*|.*drehzahl.*|regime( moteur)?|regimen( del? motor)?|"
            r"giri( motore| al minuto)?|toerental|varvtal|.*obroty.*|otacky|n ?mot(or)?|revs|revolutions|"
            r".*kierrosluku|"
            r"motorvarvtal|turtall|rev( counter)?|revoluciones.*|nmot",
        ),
        r"target|limit|turbo|wheel|shaft|max\b|min\b|desired|idle|fan|pump|gradient|input|output|turbine|leerlauf",
    ),
    _meaning(
        "speed",
        "speed",
        (
            r"(vehicle|gps|ground|car|road) ?(speed|velocity)( sensor)?|speed|velocity|.*geschwindigkeit.*|"
            r"vitesse( vehicule| gps| du vehicule)?|velocidad( del vehiculo)?|velocita( veicolo)?|snelheid|"
            r"hastighet|hastighed|"
            r"nopeus|predkosc|rychlost|velocidade|v ?gps|vspeed|speed .*|.* speed|v ?car|.*velocity.*|vss|geschw",
            r"v",
        ),
        r"engine|turbo|fan|wind|pump|target|shaft|limit|motor\b|wheel|rad\b|turbine|input|output|idle|max|error|"
        r"accuracy|"
        r"vertical|shift|cruise|set|yaw|rotation",
    ),
    _meaning(
        "lateral",
        "acceleration",
        (
            r"(g )?lat(eral)?( g| acc(el(eration)?)?| g? ?force| g ?forces?)?( g)?|.*\blateral.*|.*quer ?beschl.*|"
            r"(acc(el(eration)?)?|g) lat.*|.*\btransvers.*|a ?y|a lat|zijdelingse.*|g ?lat|lat ?g|latacc|latg|"
            r"glat|latac|"
            r"(acc(el(eration|erometer)?)?|g( force)?|beschl(eunigung)?) y|y ?acc.*|y g|g ?y|accy|accely|"
            r"querbeschleunigung",
        ),
        r"latitude|gyro|offset|raw|tyre|tire|slip|wheel|degree|rate|velocity|position|jerk",
    ),
    _meaning(
        "longitudinal",
        "acceleration",
        (
            r"(g )?long(itudinal)?( g| acc(el(eration)?)?| g? ?force| g ?forces?)?( g)?|.*\blongitudinal.*|"
            r".*la?e?ngs ?beschl.*|"
            r"(acc(el(eration)?)?|g) (long|lon).*|a ?x|a long?|g ?long|lon(g)? ?g|inline (g|acc).*|longacc|longg|"
            r"glong|lonac|"
            r"(acc(el(eration|erometer)?)?|g( force)?|beschl(eunigung)?) x|x ?acc.*|x g|g ?x|accx|accelx",
        ),
        r"longitude|gyro|offset|raw|tyre|tire|slip|wheel|degree|rate|velocity|position|jerk",
    ),
    _meaning(
        "yaw rate",
        "turn rate",
        (
            r"yaw( rate)?.*|gier ?rate.*|gier.*|.*lacet.*|.*guinada.*|.*imbardata.*|gyro z|w ?z|z gyro|rotation z|"
            r".*yaw.*",
        ),
        r"angle|acc|offset|target|moment|slip|raw",
    ),
    _meaning(
        "heading",
        "angle",
        (r"(gps )?(heading|course|bearing|track angle|cog|direction)( over ground)?|kurs|cap|rumbo|richtung|rotta",),
        r"accuracy|error|wind|rate|magnetic var",
    ),
    _meaning(
        "lap",
        "count",
        (
            r"(lap|run)( number| no| nr| num| count(er)?| index| id)?|laps|runde(n| nr|n ?nummer)?|tour|vuelta|"
            r"giro|ronde|"
            r"varv|kierros",
        ),
        r"time|distance|dist|best|delta|speed|zeit|gas|length|engine|fuel|remaining",
    ),
)
BY_NAME = {meaning.name: meaning for meaning in MEANINGS}
PLACES = frozenset(("lat", "lon", "long", "lng"))
"""Names that say latitude and longitude, unless a unit says acceleration."""

KIND_AT_END = re.compile(r"(?: (?:absolut\w*|absolue?|assolut[ao]|abs|gauge|gage|relativ\w*|rel))+$")
"""Marks of gauge and absolute behind a pressure's name."""

ABSOLUTE_WORDS = re.compile(
    r"\b(absolute?|absolut\w*|absolu|absoluta|assoluta|abs|map|psia|bara|kpaa|saugrohrabsolutdruck)\b"
)
GAUGE_WORDS = re.compile(r"\b(gauge|gage|relative?|relativ\w*|rel|psig|barg|kpag|overpressure|uberdruck|ueberdruck)\b")
BOOST_WORDS = re.compile(r"\b(boost|suralimentation|sobrealimentacion|sovralimentazione|ahtopaine|doladowania)\b")
