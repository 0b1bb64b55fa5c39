"""Who works a day: how many people, and which machines each of them may attend.

A day gives one number for the whole shop, or a number for each area or zone; then people keep to
their place. A machine is in every place that holds the point where it stands (a hard-wired one
without a point: the point in front of its box); a portable tool in every place that overlaps one
it is used over, or in all of them. Coordinates in feet.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from models.shop import Day, Machine, Rectangle, Shop


@dataclass(frozen=True)
class Crew:
    """The people of a day in groups: how many, and what they may attend; None is anything."""

    groups: tuple[tuple[int, frozenset[str] | None], ...]

    @classmethod
    def anywhere(cls, people: int) -> "Crew":
        """People who may attend any machine."""
        return cls(((people, None),))

    @classmethod
    def of(cls, shop: Shop, day: Day) -> "Crew":
        """The people of a day of a shop."""
        if isinstance(day.people, int):
            return cls.anywhere(day.people)
        places = {place.id: place for place in (*shop.building.areas, *shop.building.zones)}
        return cls(
            tuple(
                (people, frozenset(m.id for m in shop.machines if _is_in(shop, m, places[name])))
                for name, people in sorted(day.people.items())
            )
        )

    @property
    def size(self) -> int:
        """How many people there are."""
        return sum(people for people, _ in self.groups)

    def attends(self, machines: Iterable[str]) -> bool:
        """Whether these machines can be attended at once, each by a person of its own.

        >>> crew = Crew(((1, frozenset({"saw", "sander"})), (1, frozenset({"sander", "kiln"}))))
        >>> crew.attends(["saw", "sander"]), crew.attends(["saw", "sander", "kiln"])
        (True, False)
        """
        kept: list[list[str]] = [[] for _ in self.groups]
        return all(self._find_person(machine, kept, set()) for machine in machines)

    def _find_person(self, machine: str, kept: list[list[str]], asked: set[int]) -> bool:
        """Give a machine a person, moving others along if need be (augmenting path)."""
        for index, (people, may) in enumerate(self.groups):
            if index in asked or not (may is None or machine in may):
                continue
            asked.add(index)
            busy = kept[index]
            if len(busy) < people:
                busy.append(machine)
                return True
            for other in list(busy):
                if self._find_person(other, kept, asked):
                    busy.remove(other)
                    busy.append(machine)
                    return True
        return False


def _is_in(shop: Shop, machine: Machine, place: Rectangle) -> bool:
    """Whether somebody who keeps to a place may attend a machine."""
    if machine.portable:
        return not machine.over or any(_overlap(place, over) for over in used_over(shop, machine))
    if machine.at is not None:
        return place.holds(*machine.at)
    box = shop.enclosures.get(machine.hard_wired_at or "")
    return box is not None and place.holds(*shop.stands_in(box))


def used_over(shop: Shop, tool: Machine) -> tuple[Rectangle, ...]:
    """The areas and zones that a portable tool is used over."""
    places = (*shop.building.areas, *shop.building.zones)
    return tuple(place for place in places if place.id in tool.over)


def _overlap(one: Rectangle, other: Rectangle) -> bool:
    """Whether two rectangles share more than an edge."""
    return all(
        max(one.low[axis], other.low[axis]) < min(one.high[axis], other.high[axis])
        for axis in (0, 1)
    )
