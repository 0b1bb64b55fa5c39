"""What may share a branch circuit: which items, on which breaker, before anything is wired.

Voltages, lights apart, pins apart and counts first; then what the set draws against a rating:
NEC 210.19 to 210.23, 430.52 and 430.53, and the ratings of receptacles. Answers are cached by the
set of items. Currents in A.
"""

from collections.abc import Iterable, Iterator, Sequence
from functools import cache

from models.formulas.motors import motor_breaker_ceiling_amps, small_motors_may_share
from models.formulas.receptacles import largest_cord_load_amps, receptacle_rating_allowed
from solver.catalogue import RATINGS
from solver.load import Load
from solver.nameplates import nameplate_unfit, shares_against_nameplate
from solver.points import UNRATED_HP, Point
from solver.refusal import Refusal
from solver.site import Site

DWELLING_SHARED = frozenset({15, 20, 30})  # several outlets; 40 and 50 A for cooking only
SHARED = DWELLING_SHARED | {40, 50}
LARGEST_LIGHTING_CIRCUIT_AMPS = 20  # 210.23: larger ones light no dwelling; snap switches end there


_rating_allowed = cache(receptacle_rating_allowed)
_largest_cord_load_amps = cache(largest_cord_load_amps)


class Sharing(Site):
    """A site that knows which sets of its items may be on one circuit."""

    def forget(self) -> None:
        """Begin to know sets of items and priced ways, anew where some are known."""
        super().forget()
        self._loaded: dict[frozenset[int], Load | Refusal] = {}

    def points_of(self, items: Iterable[int]) -> tuple[Point, ...]:
        """The points of a set of items, in their order."""
        return tuple(p for item in sorted(items) for p in self.points.items[item].points)

    def loaded(self, items: frozenset[int]) -> Load | Refusal:
        """What a set draws, or why it may not share a circuit whatever its breaker."""
        if items not in self._loaded:
            self._loaded[items] = self._load(self.points_of(items))
        return self._loaded[items]

    def every_load(self, items: frozenset[int]) -> Iterator[Load]:
        """What a set draws for every way to plug its machines in."""
        points = self.points_of(items)
        return (self.loads.of(points, placed) for placed in self.loads.every_seat(points))

    def _load(self, points: tuple[Point, ...]) -> Load | Refusal:
        refusal = self.unfit(points)
        if refusal is not None:
            return refusal
        placed = self.loads.seat(points)
        return placed if isinstance(placed, Refusal) else self.loads.of(points, placed)

    # -- whatever its breaker

    def unfit(self, points: Sequence[Point]) -> Refusal | None:
        """Refuse what may not share a circuit whatever it draws."""
        names = {point.id for point in points}
        for point in points:
            why = self._not_planned(point)
            if why is not None:
                return Refusal("not planned", {"point": point.id, "why": why}, final=True)
        if len({point.volts for point in points}) > 1:
            return Refusal("mixed voltages", {"points": sorted(names)}, final=True)
        lights = sum(point.kind == "lights" for point in points)
        if self.shop.code.lights_apart and 0 < lights < len(points):
            return Refusal("lights apart", {"points": sorted(names)}, final=True)
        for group in self.apart:
            if len(names & group) > 1:
                return Refusal("apart", {"points": sorted(names & group)}, final=True)
        return self.crowded(points)

    def crowded(self, points: Sequence[Point]) -> Refusal | None:
        """Refuse more receptacles on a circuit than are allowed locally."""
        most = self.shop.code.receptacles_per_circuit
        yokes = sum(point.kind == "receptacle" for point in points)
        if most is not None and yokes > most:
            return Refusal("too many receptacles", {"found": yokes, "limit": most}, final=True)
        return None

    def _not_planned(self, point: Point) -> str | None:
        """Receptacles that this version builds no circuit for."""
        if point.configuration is None:
            return None
        found = self.points.configurations[point.configuration]
        if not found.for_new_circuits:
            return f"{point.configuration} is not for new circuits: choose a grounding type"
        if found.hots == 2 and found.neutral:
            return (
                f"{point.configuration} wants two hots and a neutral; two-wire 240 V circuits are"
                " planned so far: choose a 6- or L6- type where the machine allows it"
            )
        return None

    # -- on a breaker

    def fits(self, items: frozenset[int], amps: int) -> bool:
        """Whether a set may be on one breaker of this rating, before it is wired."""
        load = self.loaded(items)
        if isinstance(load, Refusal) or not load.outlets:
            return False
        return self.rating_unfit(amps, load) is None

    def top_rating(self, load: Load) -> int:
        """The largest breaker that the receptacles of the set can ever be on, alone or not. [A]"""
        if any(point.kind == "lights" for point in load.outlets):
            return LARGEST_LIGHTING_CIRCUIT_AMPS
        rated = [
            self.points.configurations[p.configuration].amps
            for p in load.outlets
            if p.configuration
        ]
        return min(
            (_top_circuit_amps(amps, self.ratings_edition) for amps in rated), default=RATINGS[-1]
        )

    def rating_unfit(self, amps: int, load: Load) -> Refusal | None:
        """Whether a breaker rating suits the receptacles and the machines of the set."""
        shared = DWELLING_SHARED if self.shop.building.dwelling else SHARED  # 210.23
        if amps not in shared and sum(p.receptacles or 1 for p in load.outlets) > 1:
            return Refusal("no rating", {"points": load.names, "amps": amps})
        for point in load.outlets:
            if point.configuration is None:
                continue
            rated = self.points.configurations[point.configuration].amps
            if not _rating_allowed(amps, rated, single=load.single, edition=self.ratings_edition):
                return Refusal("no rating", {"points": load.names, "amps": amps})
        if load.weighted_amps > amps + 1e-9:
            return Refusal("overloaded", overload(load, amps))
        if any(point.kind == "lights" for point in load.outlets) and (
            amps > LARGEST_LIGHTING_CIRCUIT_AMPS
        ):
            return Refusal("no rating", {"points": load.names, "amps": amps})
        for name in load.placed:
            refusal = self._machine_unfit(name, amps, load)
            if refusal is not None:
                return refusal
        return None

    def _machine_unfit(self, name: str, amps: int, load: Load) -> Refusal | None:
        """210.23, 210.21(B)(2), and the horsepower rating of the receptacle."""
        machine, current = self.points.machines[name], load.amps[name]
        unfit = shares_against_nameplate(machine, load, self.shop.code.edition) or nameplate_unfit(
            machine, amps, self.top_rating(load), self.shop.code.edition
        )
        if unfit is not None:
            return unfit
        yoke = self.points.yokes.get(load.placed[name])
        facts: dict[str, object] = {"machine": name, "at": load.placed[name], "found": current}
        if yoke is None:
            half = amps / 2
            shared = any(point.kind != "hard-wired" for point in load.outlets)
            wired = (m for m, at in load.placed.items() if at not in self.points.yokes)
            total = sum(load.amps[m] for m in wired)
            if shared and amps <= 20 and total > half:
                return Refusal("fastened load", {**facts, "found": total, "limit": half})
            return self._motor_unfit(name, amps, load)
        rated = self.points.configurations[yoke.configuration or ""]
        limit = _largest_cord_load_amps(amps, rated.amps, individual=load.single)
        if current > limit:
            self.exact &= not self._better_seat(name, rated.amps, load)
            return Refusal("cord load", {**facts, "limit": limit})
        power = machine.motor_hp
        if power is not None and power > max(rated.horsepower, UNRATED_HP):
            facts = {**facts, "found": power, "limit": rated.horsepower}
            return Refusal("receptacle horsepower", facts)
        return None

    def _motor_unfit(self, name: str, amps: int, load: Load) -> Refusal | None:
        """430.52 and 430.53 for a hard-wired motor."""
        most = motor_breaker_ceiling_amps(load.amps[name], self.shop.code.edition)
        if self.points.machines[name].motor_hp is None or amps <= most:
            return None
        placed = (self.points.machines[other] for other in load.placed)
        motors = [(m.motor_hp, load.amps[m.id]) for m in placed if m.motor_hp is not None]
        if len(load.outlets) > 1 and small_motors_may_share(motors, amps, load.volts):
            return None
        return Refusal("motor breaker", {"points": load.names, "found": amps, "limit": most})

    def _better_seat(self, machine: str, amps: int, load: Load) -> bool:
        """Whether the planner could have seated a machine at a larger receptacle of the set."""
        options = {
            name for point in load.points if point.machine == machine for name in point.options
        }
        rated = [
            self.points.configurations[point.configuration].amps
            for point in load.outlets
            if point.id in options and point.configuration
        ]
        return max(rated, default=0) > amps


@cache
def _top_circuit_amps(receptacle_amps: int, edition: int) -> int:
    """Largest circuit that may feed a receptacle of this rating, 210.21(B). [A]"""
    return max(
        amps
        for amps in RATINGS
        for single in (True, False)
        if _rating_allowed(amps, receptacle_amps, single=single, edition=edition)
    )


def overload(load: Load, limit: float) -> dict[str, object]:
    """The facts of an overload."""
    return {
        "state": load.running,
        "lights": sorted(load.lights_amps),
        "points": load.names,
        "found": load.weighted_amps,
        "limit": limit,
    }
