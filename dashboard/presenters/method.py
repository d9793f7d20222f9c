"""The page Method as plain data: each model, its formulas, its limits, and its sources."""

from __future__ import annotations

from dataclasses import dataclass

from planner.day.slosh import LIMITS


@dataclass(frozen=True, slots=True)
class Topic:
    """A model: what it does, formulas, limits and sources, each a list of sentences."""

    title: str
    says: str
    formulas: tuple[str, ...]
    limits: tuple[str, ...]
    sources: tuple[str, ...]


TOPICS = (
    Topic(
        "Flow",
        "At each boost the flow is where pump, line and nozzles agree. The controller sets the pump's speed.",
        (
            "Nozzle: q = rated flow · √(Δp ÷ rated pressure · ρ water ÷ ρ blend); Δp is the pressure at the "
            "nozzle less what it sprays into: the manifold after the throttle, else the charge pipe, never below "
            "outside air. No flow at or below the opening pressure.",
            "Pump at speed share s: Q(p, s) = max(0, s · Q(0, 1) − (Q(0, 1) − Q(p, 1))); slip depends on pressure "
            "alone.",
            "Line: Darcy and Weisbach, laminar below a Reynolds number of about 2,000.",
            "With the controller off and no shut-off valve, manifold vacuum draws fluid through nozzles after the "
            "throttle; it is counted apart.",
        ),
        (
            "Full-cone tips show an exponent of 0.44 to 0.46 instead of 0.5: under 4 % of flow from 3 to 14 bar.",
            "Supply voltage, a clogged filter and worn nozzles are not known; they are the car's factor, see Spread.",
        ),
        (
            "Lefebvre, Atomization and Sprays (from memory).",
            "Line loss is checked against the open library fluids.",
        ),
    ),
    Topic(
        "Blend",
        "Share means methanol's share by volume of the two liquids before mixing. Mixing shrinks: a litre of each "
        "gives 1.93 L.",
        ("Density from a Redlich–Kister excess volume, fitted to published tables.",),
        (
            "Within 0.11 % of the tables from −20 to 50 °C; weakest from 40 to 50 °C and below 0 °C.",
            "Flash points are computed, good to 5 to 9 K: a warning, never a proof that a blend is safe.",
        ),
        (
            "Density tables of methanol and water named beside the checks; water by Kell, J. Chem. Eng. Data 20 "
            "(1975) 97.",
            "Smith, Van Ness, Introduction to Chemical Engineering Thermodynamics: the mixing example.",
        ),
    ),
    Topic(
        "Use",
        "A recording's boost runs straight from sample to sample, and the flow is integrated exactly along it. "
        "Gaps carry no use and are reported.",
        ("Use of a session = runs × mean use of the course's recordings.",),
        ("A sketched course is as good as the sketch: the plan is rough until a log replaces it.",),
        ("Closed forms for constant and rising boost, in the checks.",),
    ),
    Topic(
        "Spread",
        "Use of session k is mean_k · C · R_k: one unknown factor C for the car all day, one R_k for each session.",
        (
            "C and R_k are lognormal with mean 1; by default they vary by 10 % and 8 %, which are choices of this "
            "program.",
            "A flow test corrects and narrows C (conjugate on the log scale, 3 % error unless you say otherwise).",
            "Two or more logs of a course give R_k from the recordings, shrunk toward the default where they are few.",
        ),
        ("Weather, traffic and another driver change more than the spread says.",),
        ("Bayes' rule for a normal mean; any statistics textbook.",),
    ),
    Topic(
        "Floor",
        "The level that must remain at every moment: the largest of what the pickup cannot reach on level ground, "
        "what it cannot reach while the course throws the fluid about, and the low-level switch; plus the final "
        "reserve.",
        (
            "Surface: a plane tilted by acceleration ÷ g with the right volume beneath it, floor and lid respected.",
            "Motion: the first sloshing mode, ω² = g k tanh(k h), k = π ÷ L, driven by the course's acceleration.",
            "Force on the mounts: resting mass, spring and damper of the first mode; its peak F shown as F to 1.5 F.",
            "Final reserve: a time at the car's largest flow, never planned to be used.",
        ),
        (
            *LIMITS,
            "Read the risk in bands: under 1 %, 1 to 10 %, over 10 % of the time.",
        ),
        (
            "NASA SP-106 (Abramson, ed., 1966), chapters 2 and 6; Dodge, SwRI 2000; Ibrahim, Liquid Sloshing "
            "Dynamics, 2005.",
            "Addington, College of Aeronautics Note 99 (1960): measured frequencies.",
            "Structure of the reserve: 14 CFR 25.959 and 121.647, ICAO Annex 6. Its percentages are not ours.",
        ),
    ),
    Topic(
        "Plan",
        "Refills are the fewest with which, in as many simulated days as the confidence asks, the level stays "
        "above every floor all day, and every leg also holds its expected use and the extra run. The search is "
        "exact.",
        (
            "Among plans with that number of stops the priority decides: lower marks for a light car, marks "
            "outside the washing band for a calm tank.",
            "A refill fits where the gap allows setup and pouring; what cannot be poured in the gap is not planned.",
            "Each fill is planned as made exactly to its mark, so read it on level ground: on simulated days whose "
            "fills were misread by about 2 mm the level fell below a floor on 2.5 to 4 % of the days, not 1 %.",
        ),
        ("Marks move by about 0.02 L if the simulation is drawn anew.",),
        ("Checked against enumeration of all refill sets and an independent simulation.",),
    ),
    Topic(
        "Petrol",
        "Injected volume is compared with the petrol burnt at full boost.",
        ("Petrol = power × 0.60 lb/hp/h ÷ 0.745 kg/L (0.55 to 0.65 lb/hp/h, from memory).",),
        ("Only a check of plausibility: usual is 8 to 30 % by volume (common practice, no source).",),
        ("NACA Memorandum Report E-244 (1944) ran water to petrol by mass of 0.2 to 0.6.",),
    ),
)
