"""The load calculation of a shop's feeder, line by line, by the standard method. VA, ft².

Source: NFPA 70 (2017, 2020, 2023) article 220 part III, 215.2(A)(1), 215.3, 430.24, 440.35,
625.42, 630.11(B). The optional methods are for whole dwellings and are not taken. Where the code
leaves a choice the stricter reading is taken:

- every machine with a place of its own counts at its rating (220.14(A)), also one that plugs into
  a general receptacle, whose yoke then counts no 180 VA; portable tools are in the 180 VA;
- in the floor area of a dwelling unit (basement; garage since 2023) lights and general receptacles
  count outlet by outlet, or at 3 VA/ft² where that is more; outside it a floor counts as a workshop
  (since 2020) where that is more than its luminaires;
- a machine marked in amperes counts as a motor when the largest is looked for, unless it heats,
  charges or runs three hours or more (then it counts at 125 % anyway);
- only a listed interlock keeps machines apart (220.60): every set that it lets run is worked out
  and the largest total is taken, in all editions. Where the authority also takes as noncoincident
  what the people there cannot attend at once, the sets are given.
"""

from collections.abc import Collection, Iterator, Sequence
from itertools import combinations, product
from typing import Final, Literal, NamedTuple

from models.formulas.dwelling_load import UNIT_VA_PER_FT2, counts_garage, dwelling_unit_va
from models.formulas.load_calculation import (
    CONTINUOUS_SHARE,
    LARGEST_MOTOR_SHARE,
    YOKE_VA,
    evse_va,
    lighting_va,
    receptacle_demand_va,
    receptacles_va,
    unit_lighting_va,
    welder_shares,
)

Nameplate = Literal["motor", "marked", "power", "mca", "i1eff"]
Floor = Literal["dwelling unit", "workshop"]
WORKSHOP: Final = "Workshop"
LEG_VOLTS: Final = 120
CHARGER: Final = "vehicle charger"
HEAT: Final = "space heat"
HOLD_NO_MOTOR: Final = frozenset({HEAT, "kiln", CHARGER})
CONTINUOUS_EXTRA: Final = CONTINUOUS_SHARE - 1
MOTOR_EXTRA: Final = LARGEST_MOTOR_SHARE - 1
PLACE_OF_WELDER: Final = {85: "third largest", 70: "fourth largest", 60: "one of the rest"}

CONTINUOUS_SECTION: Final = "NEC 215.2(A)(1), 215.3"
INTERLOCK_SECTION: Final = "NEC 220.60"
LUMINAIRES_SECTION: Final = "NEC 220.14(D)"
LIGHTING_SECTION: Final = {2020: "NEC 220.12", 2023: "NEC 220.42(A)"}
DWELLING_SECTION: Final = {2017: "NEC 220.12", 2020: "NEC 220.14(J)", 2023: "NEC 220.41"}
RECEPTACLES_SECTION: Final = "NEC 220.14(I)"
DEMAND_SECTION: Final = {2017: "220.44", 2020: "220.44", 2023: "220.47"}
MOTOR_SECTION: Final = {2017: "NEC 220.50", 2020: "NEC 220.50", 2023: "NEC 220.50(A)"}
EVSE_SECTION: Final = {2017: "NEC 220.14(A)", 2020: "NEC 220.14(A)", 2023: "NEC 220.57"}


class MachineLoad(NamedTuple):
    """A machine with a place of its own, as its nameplate gives it; table amperes for a motor."""

    id: str
    name: str
    kind: str | None
    nameplate: Nameplate
    volts: int
    amps: float
    continuous: bool

    @property
    def va(self) -> int:
        """Its rating. [VA]"""
        return round(self.amps * self.volts)

    @property
    def runs_for_hours(self) -> bool:
        """A continuous load that is no motor of its own (430.24); a charger always (625.42)."""
        rated = self.nameplate in ("marked", "power")
        return self.kind == CHARGER or (self.continuous and rated)

    @property
    def may_be_motor(self) -> bool:
        """Whether 125 % of it may be the largest motor's; an MCA holds its 125 % already."""
        marked = self.nameplate == "marked" and self.kind not in HOLD_NO_MOTOR
        return self.nameplate == "motor" or (marked and not self.continuous)

    def on_one_leg(self, edition: int) -> "MachineLoad":
        """The same on one leg: its current at 120 V; of a charger on two, half of what it counts.

        >>> charger = MachineLoad("car", "", "vehicle charger", "marked", 240, 16, False)
        >>> charger.on_one_leg(2020).amps, charger.on_one_leg(2023).amps
        (16.0, 30.0)
        """
        if self.kind != CHARGER:
            return self._replace(volts=LEG_VOLTS)
        counted = self.va if self.volts == LEG_VOLTS else evse_va(self.va, edition)
        amps = counted / self.volts
        return self._replace(kind=None, volts=LEG_VOLTS, amps=amps, continuous=True)


class Interlock(NamedTuple):
    """Machines of which a listed device lets so many run at once."""

    machines: frozenset[str]
    at_most: int


class ShopFeeder(NamedTuple):
    """What a feeder serves. `yokes`: receptacle yokes where no machine of 180 VA has its place."""

    edition: int
    floor: Floor | None
    area_ft2: float
    luminaires_va: int
    yokes: int
    machines: tuple[MachineLoad, ...]
    interlocks: tuple[Interlock, ...] = ()
    sets: tuple[frozenset[str], ...] = ()  # that may be on, where the authority accepts them

    def counted_va(self) -> dict[str, float]:
        """What each machine adds to the calculation, as a state is looked for. [VA]"""
        return {
            machine.id: _rating_va(machine, self.edition)
            * float(CONTINUOUS_SHARE if machine.runs_for_hours else 1)
            for machine in self.machines
        }

    def largest_motor_va(self) -> dict[str, float]:
        """What each machine adds if it is the largest motor. [VA]"""
        motors = (machine for machine in self.machines if machine.may_be_motor)
        return {motor.id: float(MOTOR_EXTRA * motor.va) for motor in motors}


class Line(NamedTuple):
    """One line of a calculation: words, volt-amperes, section."""

    says: str
    va: int
    source: str


def floor_counted(kind: str, edition: int, *, dwelling: bool) -> Floor | None:
    """As what the floor of a building counts, besides its outlets.

    A basement is in the floor area of its dwelling unit, a garage since 2023 (`counts_garage`);
    before, a dwelling's garage counts by its outlets alone. Anything else is a workshop.
    >>> [floor_counted("garage", edition, dwelling=True) for edition in (2020, 2023)]
    [None, 'dwelling unit']
    >>> floor_counted("accessory building", 2023, dwelling=True)
    'workshop'
    """
    if not dwelling or kind in ("accessory building", "shop"):
        return "workshop"
    return "dwelling unit" if kind == "basement" or counts_garage(edition) else None


def floor_area_ft2(corners: Sequence[tuple[float, float]]) -> float:
    """Area inside an outline, to 0.01 ft²: 220.12 (2020: 220.11, 2023: 220.5(C)). [ft²]

    >>> floor_area_ft2([(0, 0), (46, 0), (46, 30), (30, 30), (30, 18), (0, 18)])
    1020.0
    """
    pairs = zip(corners, (*corners[1:], corners[0]), strict=True)
    return round(abs(sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in pairs)) / 2, 2)


def area_lit_ft2(area_ft2: float, lit_va: int, all_va: int) -> float:
    """The floor that a feeder lights, by its share of the luminaires; all where there are none.

    220.42 asks by floor area served, and no shop says whose luminaires light which floor.
    >>> area_lit_ft2(1000.0, 300, 400)
    750.0
    """
    return round(area_ft2 * lit_va / all_va, 2) if all_va else area_ft2


def sets_on(
    machines: Collection[str], interlocks: Sequence[Interlock]
) -> tuple[frozenset[str], ...]:
    """Every set of machines, as large as can be, that the interlocks let run.

    >>> sets = sets_on(["kiln", "saw", "welder"], [Interlock(frozenset({"kiln", "welder"}), 1)])
    >>> [sorted(on) for on in sets]
    [['kiln', 'saw'], ['saw', 'welder']]
    """
    held = [(sorted(lock.machines & set(machines)), lock.at_most) for lock in interlocks]
    choices = [[(set(g), set(on)) for on in combinations(g, min(n, len(g)))] for g, n in held]
    found = (
        frozenset(machines) - {name for group, on in chosen for name in group - on}
        for chosen in product(*choices)
    )
    return tuple(dict.fromkeys(found))


def shop_feeder_lines(feeder: ShopFeeder) -> tuple[Line, ...]:
    """The calculation of a feeder, line by line; the least breaker and conductor are for its sum.

    >>> saw = MachineLoad("saw", "cabinet saw", None, "motor", 240, 12.0, False)
    >>> kiln = MachineLoad("kiln", "", "kiln", "marked", 240, 24.0, True)
    >>> feeder = ShopFeeder(2023, "workshop", 100, 200, 80, (saw, kiln))
    >>> for line in shop_feeder_lines(feeder):
    ...     print(f"{line.va:6} {line.says}")
       200 luminaires, 200 W
     12200 80 receptacle yokes at 180 VA = 14,400 VA, half of what is over 10 kVA
      2880 cabinet saw: motor, 12 A at 240 V by Table 430.248
      5760 kiln: 24 A at 240 V as marked
       720 25 % of the largest motor: cabinet saw
      1490 25 % for what runs three hours or more: luminaires, kiln
    """
    ids = [machine.id for machine in feeder.machines]
    sets = feeder.sets or sets_on(ids, feeder.interlocks)
    calculations = [_lines(feeder, on) for on in sets]
    return max(calculations, key=total_va)


def total_va(lines: Sequence[Line]) -> int:
    """The sum of a calculation. [VA]"""
    return sum(line.va for line in lines)


def _lines(feeder: ShopFeeder, on: frozenset[str]) -> tuple[Line, ...]:
    """The calculation with these machines on."""
    machines = [machine for machine in feeder.machines if machine.id in on]
    general = _general(feeder)
    lines = [*general, *_machines(machines, feeder.edition)]
    lines += _left_out(feeder, on)
    motors = [machine for machine in machines if machine.may_be_motor]
    if motors:
        largest = max(motors, key=lambda machine: machine.va)
        says = f"25 % of the largest motor: {_name(largest)}"
        lines.append(Line(says, round(MOTOR_EXTRA * largest.va), "NEC 430.24"))
    luminaires = [line for line in general if line.source == LUMINAIRES_SECTION]
    lasting = [machine for machine in machines if machine.runs_for_hours]
    va = sum(line.va for line in luminaires)
    va += sum(_rating_va(machine, feeder.edition) for machine in lasting)
    if va:
        names = ", ".join([*("luminaires" for _ in luminaires), *map(_name, lasting)])
        says = f"25 % for what runs three hours or more: {names}"
        lines.append(Line(says, round(CONTINUOUS_EXTRA * va), CONTINUOUS_SECTION))
    return tuple(lines)


def _left_out(feeder: ShopFeeder, on: frozenset[str]) -> Iterator[Line]:
    """The machines that are not counted, once for each reason."""
    full = [lock.machines for lock in feeder.interlocks if len(lock.machines & on) >= lock.at_most]
    off = [machine for machine in feeder.machines if machine.id not in on]
    kept = [m for m in off if not feeder.sets or any(m.id in machines for machines in full)]
    for why, machines in (
        ("kept off by a listed interlock", kept),
        (
            "with nobody to attend, which the authority takes as noncoincident",
            [machine for machine in off if machine not in kept],
        ),
    ):
        if machines:
            names = ", ".join(map(_name, machines))
            yield Line(f"left out, {why}: {names}", 0, INTERLOCK_SECTION)


def _general(feeder: ShopFeeder) -> list[Line]:
    """Lights and general receptacles: by outlets, or by floor area where that is more."""
    edition, area = feeder.edition, f"{feeder.area_ft2:,.0f} ft²"
    connected = receptacles_va(feeder.yokes)
    says = f"{feeder.yokes} receptacle yokes at {YOKE_VA} VA"
    receptacles = Line(says, connected, RECEPTACLES_SECTION)
    lights = Line(
        f"luminaires, {feeder.luminaires_va:,} W", feeder.luminaires_va, LUMINAIRES_SECTION
    )
    if feeder.floor == "dwelling unit":
        by_area = dwelling_unit_va(feeder.area_ft2)
        if by_area > lighting_va(lights.va) + connected:
            says = f"lights and receptacles of a dwelling, {area} at {UNIT_VA_PER_FT2} VA"
            return [Line(says, round(by_area), DWELLING_SECTION[edition])]
    if feeder.floor == "workshop":
        demand = round(receptacle_demand_va(connected))
        if demand < connected:
            says = f"{says} = {connected:,} VA, half of what is over 10 kVA"
            section = f"{RECEPTACLES_SECTION}, {DEMAND_SECTION[edition]}"
            receptacles = Line(says, demand, section)
        unit_va = unit_lighting_va(WORKSHOP, feeder.area_ft2, edition) or 0.0
        if unit_va > lighting_va(lights.va):
            says = f"lighting of a workshop by its floor, {area}, 125 % included"
            lights = Line(says, round(unit_va), LIGHTING_SECTION[edition])
    return [line for line in (lights, receptacles) if line.va]


def _machines(machines: Sequence[MachineLoad], edition: int) -> list[Line]:
    """Each machine at its rating, welders at their share."""
    welders = [machine for machine in machines if machine.nameplate == "i1eff"]
    shares = welder_shares([welder.amps for welder in welders])
    share_of = {welder.id: share for welder, share in zip(welders, shares, strict=True)}
    return [_machine(machine, share_of.get(machine.id, 100), edition) for machine in machines]


def _machine(machine: MachineLoad, share: int, edition: int) -> Line:
    """One machine at its rating."""
    name, va = _name(machine), _rating_va(machine, edition)
    current = f"{machine.amps:g} A at {machine.volts} V"
    if machine.kind == CHARGER:
        least = f", taken at {va:,} VA" if va > machine.va else ""
        says = f"{name}: vehicle charger of {machine.va:,} VA{least}"
        return Line(says, va, EVSE_SECTION[edition])
    if machine.nameplate == "i1eff":
        place = f", {PLACE_OF_WELDER[share]} of the welders: {share} %" if share < 100 else ""
        says = f"{name}: welder, {current} effective{place}"
        return Line(says, round(va * share / 100), "NEC 630.11")
    if machine.nameplate == "mca":
        return Line(f"{name}: minimum circuit ampacity {current}", va, "NEC 440.35")
    if machine.nameplate == "motor":
        says = f"{name}: motor, {current} by Table 430.248"
        return Line(says, va, f"{MOTOR_SECTION[edition]}, 430.24")
    says = f"{name}: {va:,} W" if machine.nameplate == "power" else f"{name}: {current} as marked"
    return Line(says, va, "NEC 220.51" if machine.kind == HEAT else "NEC 220.14(A)")


def _rating_va(machine: MachineLoad, edition: int) -> int:
    """What a machine counts before shares and extras. [VA]"""
    return round(evse_va(machine.va, edition)) if machine.kind == CHARGER else machine.va


def _name(machine: MachineLoad) -> str:
    return machine.name or machine.id
