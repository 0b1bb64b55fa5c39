"""What days to come ask for at least: a changeover that nothing, or something, was done about.

In the first objective, at its likelihood. Prepared for, a day still asks for the breaker and the
receptacle that it then has; what is pulled for it now is not counted here.
"""

from models.part_keys import device_key
from solver.catalogue import RATINGS
from solver.circuit import Circuits
from solver.conductors import Conductors


class Days:
    """Changeovers of one shop."""

    def __init__(self, circuits: Circuits) -> None:
        self.circuits = circuits
        self._ready: dict[tuple[object, ...], int | None] = {}

    def least(self, machine: str, yoke: str, panel: str, outlets: int) -> int:
        """The least that a changeover asks for of a circuit with so many outlets; 0 outlets: none
        is prepared.
        """
        undone = self.undone(machine, yoke, panel)
        ready = self.prepared(machine, yoke, panel, outlets)
        return undone if ready is None else min(undone, ready)

    def undone(self, machine: str, yoke: str, panel: str) -> int:
        """What a changeover asks for that nothing is done about; 0 where there is none to be."""
        one = self.circuits.later.again(machine, yoke, panel)
        if one is None:
            return 0
        return one.expected_copper if self.circuits.copper_first else one.expected_cost

    def prepared(
        self,
        machine: str,
        yoke: str,
        panel: str,
        outlets: int,
        amps: int | None = None,
        guarded: bool = False,
    ) -> int | None:
        """Breaker and receptacle on the day, where a circuit with so many outlets is prepared for
        it; None where it cannot be.

        Beside others it may be where multiwire circuits may be; the breaker stays as large as it
        is, `amps`, and a GFCI where one was. The shop file may say that nothing is prepared for.
        """
        if self.circuits.shop.later.prepare == "nothing":
            return None
        if not (outlets == 1 or (outlets and self.circuits.shop.code.multiwire)):
            return None
        ratings = RATINGS if amps is None or outlets == 1 else (amps,)
        key = machine, yoke, panel, outlets == 1, ratings, guarded and outlets > 1
        if key not in self._ready:
            self._ready[key] = self._bought(*key)
        return self._ready[key]

    def _bought(
        self,
        machine: str,
        yoke: str,
        panel: str,
        alone: bool,
        ratings: tuple[int, ...],
        guarded: bool,
    ) -> int | None:
        later, catalogue = self.circuits.later, self.circuits.catalogue
        found = []
        for future in later.futures(machine, yoke):
            device = 0
            if future.configuration is not None:
                device = catalogue.cents(device_key("single", future.configuration)) or 0
            for amps in ratings:
                if alone and future.circuits.rating_unfit(amps, future.alone) is not None:
                    continue
                then = Conductors(future.circuits, future.alone, amps, "12", panel)
                poles = then.poles if alone else 2
                cents = catalogue.breaker(amps, poles, guarded or then.asks_for_gfci)
                if cents is not None:
                    found.append(100 * (cents + device))
        if not found:
            return None
        if self.circuits.copper_first:
            return 0
        return int(later.share(machine) * min(found))
