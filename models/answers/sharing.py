"""What may hang on one circuit, whatever its wiring: a relaxed reading of the limits.

A set that clashes here clashes in every plan: breakers are as large as the receptacles allow
(210.21(B)), conductors carry them, boxes and raceways hold everything. Used to say why circuits do
not join and how many there must be at least. Amperes.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations
from math import inf
from typing import Final, Literal

from models.answers.binding import weighted_amps
from models.formulas.receptacles import (
    largest_cord_load_amps,
    receptacle,
    receptacle_rating_allowed,
)
from models.rules.cord_and_plug import FASTENED_SHARE, LARGEST_SHARED_AMPS
from models.rules.reading import CONTINUOUS, LUMINAIRE_VOLTS, Reading, machine_amps
from models.rules.rule import SAME_AMPS
from models.tables import read_table

Why = Literal["voltage", "lights", "wish", "receptacles", "load", "one machine", "hard-wired"]
LIGHTS: Final = "lights"


@dataclass(frozen=True)
class Hanging:
    """A thing that hangs on one circuit as a whole, with the machines that come with it.

    `rated_amps` is the rating of its receptacle, None for others; `yokes` what the wishes name.
    `seated` is False for a machine whose receptacle is still to be picked.
    """

    id: str
    volts: int
    kind: Literal["receptacle", "hard-wired", "lights"]
    yokes: frozenset[str]
    machines: tuple[str, ...] = ()
    luminaire_watts: float = 0.0
    rated_amps: int | None = None
    receptacles: int = 0
    seated: bool = True


@dataclass(frozen=True)
class Clash:
    """Why things cannot share a circuit; a load with its machines, day, amperes and limit."""

    why: Why
    members: tuple[str, ...]
    machines: tuple[str, ...] = ()
    day: str = ""
    amps: float = 0.0
    limit_amps: float = 0.0


class Sharing:
    """Asks whether things may share a circuit."""

    def __init__(self, reading: Reading) -> None:
        self.reading, self.shop = reading, reading.shop
        self.apart = [frozenset(group) for group in self.shop.apart()]
        self._known: dict[frozenset[str], Clash | None] = {}
        self._naming: dict[str, frozenset[int]] = {}  # by thing: what to keep apart names it

    def clash(self, things: Sequence[Hanging]) -> Clash | None:
        """The first reason why these cannot share a circuit; None when none is found here."""
        key = frozenset(thing.id for thing in things)
        if key not in self._known:
            self._known[key] = self._clash(things)
        return self._known[key]

    def clashes(self, things: Sequence[Hanging]) -> dict[frozenset[str], Clash]:
        """Why two of some things cannot share a circuit, for every two that cannot.

        What is alike in all that is looked at is asked about once where it clashes with nothing.
        """
        found: dict[frozenset[str], Clash] = {}
        together: set[tuple[int, int]] = set()
        numbers: dict[tuple[object, ...], int] = {}
        likes = [numbers.setdefault(self._like(thing), len(numbers)) for thing in things]
        for (first, one), (second, two) in combinations(zip(things, likes, strict=True), 2):
            if (one, two) in together:
                continue
            if clash := self.clash((first, second)):
                found[frozenset((first.id, second.id))] = clash
            else:
                together.add((one, two))
        return found

    def _like(self, thing: Hanging) -> tuple[object, ...]:
        """All that a clash of a thing with another may come from; a name where wishes name it."""
        named = thing.id if self._groups_naming(thing) else ""
        amounts = thing.luminaire_watts, thing.rated_amps, thing.seated
        return named, thing.volts, thing.kind, thing.machines, *amounts

    def kind_of(self, thing: Hanging) -> tuple[int, str]:
        """Voltage, and whether it is light that keeps circuits of its own."""
        lights = thing.kind == LIGHTS and self.shop.code.lights_apart
        return thing.volts, LIGHTS if lights else ""

    def _clash(self, things: Sequence[Hanging]) -> Clash | None:
        ids = tuple(sorted(thing.id for thing in things))
        kinds = {self.kind_of(thing) for thing in things}
        if len({volts for volts, _ in kinds}) > 1:
            return Clash("voltage", ids)
        if len(kinds) > 1:
            return Clash("lights", ids)
        for first, second in combinations(filter(self._groups_naming, things), 2):
            both = self._groups_naming(first) & self._groups_naming(second)
            if any(self._told_apart(self.apart[number], first, second) for number in both):
                return Clash("wish", tuple(sorted((first.id, second.id))))
        most = self.shop.code.receptacles_per_circuit
        yokes = sum(thing.kind == "receptacle" and thing.seated for thing in things)
        if most is not None and yokes > most:
            return Clash("receptacles", ids, amps=yokes, limit_amps=most)
        return self._overload(things, ids) or self._one_machine(things, ids)

    def _groups_naming(self, thing: Hanging) -> frozenset[int]:
        """Which of the groups to keep apart name something of a thing."""
        if thing.id not in self._naming:
            self._naming[thing.id] = frozenset(
                number for number, group in enumerate(self.apart) if group & thing.yokes
            )
        return self._naming[thing.id]

    def _told_apart(self, group: frozenset[str], first: Hanging, second: Hanging) -> bool:
        mine, its = group & first.yokes, group & second.yokes
        return bool(mine and its) and len(mine | its) > 1

    def top_amps(self, things: Iterable[Hanging]) -> float:
        """The largest breaker that the receptacles of a set allow; unbounded without any. [A]"""
        edition = self.shop.code.edition
        tops = [_top_amps(t.rated_amps, edition) for t in things if t.rated_amps is not None]
        return min(tops, default=inf)

    def _overload(self, things: Sequence[Hanging], ids: tuple[str, ...]) -> Clash | None:
        machines = self.reading.machines_of_shop
        loads = {name: weighted_amps(machines[name]) for t in things for name in t.machines}
        lights = CONTINUOUS * sum(thing.luminaire_watts for thing in things) / LUMINAIRE_VOLTS
        top = self.top_amps(things)
        if sum(loads.values()) + lights <= top + SAME_AMPS:
            return None
        worst = self.reading.worst(loads, lights)
        if worst is None or worst.amps <= top + SAME_AMPS:
            return None
        on = tuple(name for name in worst.state if name in loads)
        return Clash("load", ids, on, worst.day, worst.amps, top)

    def _one_machine(self, things: Sequence[Hanging], ids: tuple[str, ...]) -> Clash | None:
        """A machine too large to share (210.23, 210.21(B)(2)), as seated."""
        seated = [thing for thing in things if thing.seated]
        top, machines = self.top_amps(things), self.reading.machines_of_shop
        if len(seated) > 1 and top < inf:
            for thing in seated:
                for name in thing.machines if thing.rated_amps is not None else ():
                    amps = machine_amps(machines[name])
                    most = largest_cord_load_amps(int(top), thing.rated_amps or 0, individual=False)
                    if amps > most + SAME_AMPS:
                        return Clash("one machine", ids, (name,), "", amps, most)
        if len({thing.kind for thing in seated}) > 1 and top <= LARGEST_SHARED_AMPS:
            wired = [n for t in seated if t.kind == "hard-wired" for n in t.machines]
            amps = sum(machine_amps(machines[name]) for name in wired)
            if amps > FASTENED_SHARE * top + SAME_AMPS:
                return Clash("hard-wired", ids, tuple(wired), "", amps, FASTENED_SHARE * top)
        return None


@cache
def _top_amps(rated_amps: int, edition: int) -> float:
    """The largest circuit that may feed a receptacle, alone or among others (210.21(B)). [A]"""
    ratings = {row.number("circuit_amps") for row in read_table("receptacle_ratings")}
    return max(
        amps
        for amps in ratings
        if any(
            receptacle_rating_allowed(int(amps), rated_amps, single=single, edition=edition)
            for single in (True, False)
        )
    )


def rated(configuration: str | None) -> int | None:
    """Rating of a receptacle. [A]"""
    return receptacle(configuration).amps if configuration else None
