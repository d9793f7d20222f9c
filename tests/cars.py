"""Cars and events that tests share, in SI; and hypothesis strategies that draw random ones."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import strategies as st

from planner.car import Blend, Car, Controller, Line, Nozzle, Pickup, Pump, Tank
from planner.physics.tank import Box

BAR = 1e5
ML_MIN = 1e-6 / 60
PSI = 6894.757293168

PUMP = Pump((0.0, 6 * BAR, 11 * BAR, 14 * BAR), (1900 * ML_MIN, 1400 * ML_MIN, 800 * ML_MIN, 0.0))
CAR = Car(
    name="Plum hatch",
    blend=Blend(0.5, 20.0),
    tank=Tank(Box(0.32, 0.18, 0.14), pickup=Pickup(-0.12, 0.0, 0.008)),
    pump=PUMP,
    nozzles=(Nozzle(250 * ML_MIN, 100 * PSI, count=2),),
    controller=Controller("ramp", start=5 * PSI, full=14 * PSI, minimum_speed=0.3),
    line=Line(4.6, 0.0043, 0.5 * BAR),
)
SWITCHED = replace(CAR, controller=Controller("switch", start=5 * PSI))


@st.composite
def cars(draw: st.DrawFn) -> Car:
    """Random cars: any pump curve, one to three stages in both places, the three controllers, any hose."""
    count = draw(st.integers(2, 5))
    steps = draw(st.lists(st.floats(0.5, 6), min_size=count - 1, max_size=count - 1))
    drops = draw(st.lists(st.floats(0.05, 1), min_size=count - 1, max_size=count - 1))
    pressure = [0.0]
    for step in steps:
        pressure.append(pressure[-1] + step * BAR)
    most = draw(st.floats(500, 4000)) * ML_MIN
    flow = [most]
    for drop in drops:
        flow.append(flow[-1] - drop / sum(drops) * most * draw(st.floats(0.5, 1)))
    stages = draw(
        st.lists(
            st.builds(
                Nozzle,
                rated_flow=st.floats(60, 900).map(lambda q: q * ML_MIN),
                rated_pressure=st.just(100 * PSI),
                count=st.integers(1, 3),
                place=st.sampled_from(["before throttle", "after throttle"]),
                opens_at=st.none() | st.floats(0, 20).map(lambda p: p * PSI),
            ),
            min_size=1,
            max_size=3,
        )
    )
    start = draw(st.floats(0, 12)) * PSI
    full = start + draw(st.floats(1, 15)) * PSI
    controller = draw(
        st.sampled_from(
            [
                Controller("ramp", start=start, full=full, minimum_speed=draw(st.floats(0, 1))),
                Controller("switch", start=start),
                Controller("table", points=((start, 0.3), (full, 0.7), (full + PSI, 1.0))),
            ]
        )
    )
    line = Line(draw(st.floats(0, 8)), draw(st.floats(0.002, 0.008)), draw(st.floats(0, 2)) * BAR, draw(st.booleans()))
    blend = Blend(draw(st.floats(0, 1)), draw(st.floats(0, 40)))
    return Car("any", blend, CAR.tank, Pump(tuple(pressure), tuple(flow)), tuple(stages), controller, line)
