"""A candidate circuit: a set of items with its tree, build and cost, all rules checked exactly.

Whole numbers throughout, so that sums are exact and plans repeat: money in 0.0001 USD (a hundredth
of a foot times a cent), copper in 1e-8 lb, box volume in 1/400 in³, raceway area in 0.0001 in².
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Final, Literal, NamedTuple

from models.plan import Role
from solver.load import Load
from solver.routes import Way

MONEY: Final = 10_000  # per USD
COPPER: Final = 100_000_000  # per lb
VOLUME: Final = 400  # per in³; a quarter allowance (314.16(B)(5)) stays whole
AREA: Final = 10_000  # per in²
HEAT: Final = 100  # for each current-carrying conductor
GROUNDS_AS_ONE: Final = 4  # 314.16(B)(5)
Choice = Literal["nothing", "space", "spare"]  # about a machine that may change
LaterChoice = Literal[  # for a machine that may come
    "nothing", "space", "raceway", "room", "run", "held", "none"
]
KEEPS_NO_SPACE: Final = frozenset({"nothing", "held", "none"})
HOTS: Final[tuple[Role, Role]] = ("hot", "hot2")  # of the two halves of a multiwire pair
BRACKETS: Final = (3, 6, 9, 20, 30, 40)  # counts that are adjusted alike, 310.15(C)(1)


@dataclass(frozen=True)
class Edge:
    """One run of a circuit: from, to, the way it takes, and its insulated conductors by role."""

    start: str
    end: str
    way: Way
    roles: tuple[Role, ...]

    @property
    def wires(self) -> int:
        """How many insulated conductors it has."""
        return len(self.roles)

    @property
    def shared(self) -> bool:
        """Whether both hots of a multiwire pair are in it."""
        return {"hot", "hot2", "neutral"} <= set(self.roles)

    @property
    def carrying(self) -> int:
        """Conductors that count for its heat: a neutral that two hots share does not, 310.15(E)."""
        return self.wires - self.shared - self.roles.count("spare")


@dataclass(frozen=True)
class BoxShare:
    """What a circuit puts into one box: conductors and devices, and its grounds apart."""

    volume: int
    grounds: int
    ground_volume: int  # one allowance of its largest ground
    least_side_in: float = 0.0  # 314.28(A), for conductors of 4 AWG and larger

    @property
    def in_volume(self) -> int:
        """All of it, where four grounds or more are in the box: each is a quarter allowance."""
        return self.volume + self.grounds * self.ground_volume // GROUNDS_AS_ONE


@dataclass(frozen=True)
class WayShare:
    """What a circuit puts into one raceway or passage, and the count its conductors survive there.

    `room`: area of a raceway, cables through a passage.
    """

    room: int
    current_carrying: int
    survives: int
    later: int = 0  # counted more once what is prepared has changed

    def beside(self, other: "WayShare | None") -> "WayShare":
        """Both together; they survive what the weaker one does."""
        if other is None:
            return self
        return WayShare(
            self.room + other.room,
            self.current_carrying + other.current_carrying,
            min(self.survives, other.survives),
            self.later + other.later,
        )

    def no_hotter(self, counted: int) -> "WayShare":
        """The same, and it survives at least the bracket that so many conductors are in."""
        bracket = min(k for k in BRACKETS if k >= counted)
        return replace(self, survives=max(self.survives, bracket))


def raceway_takes(name: str, share: WayShare) -> dict[str, int]:
    """Area and heat of a raceway as amounts of things, by names that no box has."""
    return {area_of(name): share.room, heat_of(name): HEAT * share.current_carrying}


def area_of(raceway: str) -> str:
    """The area of a raceway, as a thing."""
    return f"area of {raceway}"


def heat_of(raceway: str) -> str:
    """The heat in a raceway, as a thing."""
    return f"heat in {raceway}"


@dataclass(frozen=True)
class Prepared:
    """What a circuit does about a machine on it that may change, and what the day then asks for.

    `later_cost` and `later_copper` on that day; `expected_cost` and `expected_copper` are their
    share by likelihood, which the candidate's own counts hold. `parts`: hundredths by key.
    """

    machine: str
    choice: Choice
    later_cost: int
    later_copper: int
    expected_cost: int
    expected_copper: int
    parts: tuple[tuple[str, int], ...]
    breaker_amps: int
    gfci: bool
    configuration: str | None
    keeps_space: bool = False


class Seat(NamedTuple):
    """A machine to come at a receptacle yoke: held by the circuit there, or the yoke freed for it.

    A circuit allows some of these (`solver.plugs`).
    """

    machine: str
    yoke: str
    how: Literal["held", "freed"]


@dataclass(frozen=True)
class ForLater:
    """What is done now for a machine that may come, and what its day then asks for.

    `now` and `parts` of the day: hundredths by key. `expected_cost` and `expected_copper` are what
    the day counts today, which the candidate's own counts hold beside `now_cost`. With a plug it
    gets a receptacle of `configuration`, or has a `seat` that a circuit has to allow, or both;
    `stays` names an existing circuit that always does.
    """

    machine: str
    choice: LaterChoice
    now: tuple[tuple[str, int], ...]
    parts: tuple[tuple[str, int], ...]
    now_cost: int
    later_cost: int
    expected_cost: int
    expected_copper: int
    configuration: str | None = None
    seat: Seat | None = None
    stays: str | None = None


@dataclass(frozen=True)
class Half:
    """One of the two circuits of a multiwire pair; `gfci_at` names its yokes that hold a GFCI."""

    items: tuple[int, ...]
    load: Load
    gfci_at: tuple[str, ...]
    drop_percent: float


@dataclass(frozen=True)
class Candidate:
    """A circuit that may exist; `gfci` is `breaker`, the yoke that holds it, or None.

    A multiwire pair is one candidate with two halves, the one on `hot` first. `floor`, where it is
    not None: nothing that could be built for these items costs less in the first objective.
    `spaces` where its breaker has to sit, if anywhere; `extends` an existing circuit that is kept,
    and then only what is added has edges and costs anything. `cost` and `copper` hold what the days
    of `prepared` are expected to ask for. With `for_later` it is no circuit, but a choice of what
    is done now for the one of a machine that may come. `allows`: seats of machines to come.
    """

    items: tuple[int, ...]
    panel: str
    volts: int
    breaker_amps: int
    poles: Literal[1, 2]
    gfci: str | None
    awg: str
    edges: tuple[Edge, ...]
    load: Load
    ground: Mapping[str, str]  # by method
    drop_percent: float
    cost: int
    copper: int
    boxes: Mapping[str, BoxShare]
    raceways: Mapping[str, WayShare]
    halves: tuple[()] | tuple[Half, Half] = ()
    tied: bool = False  # two breakers with a handle tie, not one of two poles
    floor: int | None = None
    passages: Mapping[str, WayShare] = field(default_factory=dict)
    spaces: tuple[int, ...] = ()
    extends: str | None = None
    prepared: tuple[Prepared, ...] = ()
    for_later: ForLater | None = None
    allows: frozenset[Seat] = frozenset()

    @property
    def takes(self) -> dict[str, int]:
        """What it takes of things that circuits share: boxes, area and heat of raceways."""
        found = {name: share.in_volume for name, share in self.boxes.items()}
        for name, share in self.raceways.items():
            found |= raceway_takes(name, share)
        return found

    @property
    def choices(self) -> tuple[tuple[str, str], ...]:
        """What it does about each machine on it that may change."""
        return tuple((one.machine, one.choice) for one in self.prepared)

    @property
    def keeps_space(self) -> bool:
        """Whether the space beside its one-pole breaker is kept for a second pole."""
        return any(one.keeps_space for one in self.prepared)

    @property
    def places(self) -> int:
        """Spaces that it takes: one for each pole, and the one that is kept."""
        if self.for_later is not None and self.for_later.choice in KEEPS_NO_SPACE:
            return 0
        return self.poles + self.keeps_space

    @property
    def kept(self) -> tuple[str, str, int] | None:
        """The machine to come that it keeps spaces for, the panel, and how many; None of any other.

        None kept counts as 0.
        """
        if self.for_later is None:
            return None
        return self.for_later.machine, self.panel, self.places

    @property
    def is_told_later(self) -> bool:
        """Whether it is something that is done, or need not be, for a machine that may come."""
        return self.for_later is not None and self.for_later.choice != "none"

    @property
    def expected_cost(self) -> int:
        """What its cost holds of days to come."""
        later = self.for_later.expected_cost if self.for_later else 0
        return later + sum(one.expected_cost for one in self.prepared)

    @property
    def expected_copper(self) -> int:
        """What its copper holds of days to come."""
        later = self.for_later.expected_copper if self.for_later else 0
        return later + sum(one.expected_copper for one in self.prepared)

    @cached_property
    def survives(self) -> int:
        """The least count that it survives in any of its raceways and passages."""
        counts = [share.survives for share in self.raceways.values()]
        counts += [share.survives for share in self.passages.values()]
        return min(counts, default=BRACKETS[-1])

    @cached_property
    def drawn(self) -> tuple[object, ...]:
        """What it is to panel and people, however its runs go: what hangs on which breaker."""
        halves = tuple(half.items for half in self.halves)
        placed = tuple(sorted(self.load.placed.items()))
        return self.items, halves, placed, self.panel, self.breaker_amps, self.spaces, self.extends

    @property
    def opened(self) -> int:
        """Boxes to open to find a fault on it, and branches that have to be told apart there."""
        starts = [edge.start for edge in self.edges]
        return len(self.boxes) + len(starts) - len(set(starts))

    @cached_property
    def lights(self) -> bool:
        """Whether it feeds luminaires."""
        return any(point.kind == "lights" for point in self.load.points)
