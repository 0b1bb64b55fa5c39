"""The plan: the contract between solver, checks, sheets and anyone's script, version 1.

A plan stores claims; `models.rules` recomputes every one of them. Keys name their unit. Lengths
are multiples of 0.01 ft, currents of 0.001 A, money of 0.01 USD. What was not computed is null or
absent, never empty. Keys that a reader does not know are kept. Coordinates are [x, y, z] in feet.

A multiwire pair is two circuits that name each other by `multiwire_with`. Runs that carry both
hots (roles hot, hot2, neutral, ground) are listed once, all on the same one of the two: its hot is
`hot` everywhere, its partner's is `hot2`. Where only one of them goes on, the run has two wires and
is listed on that circuit. One two-pole breaker is stated by both alike, and `pole` says which of
its poles feeds each; two tied breakers have one pole each, side by side.
"""

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, SerializerFunctionWrapHandler, model_serializer

PLAN_FORMAT = "branchwright-plan/1"

Xyz = tuple[float, float, float]
Awg = Annotated[str, Field(pattern=r"^(14|12|10|8|6|4|3|2|1|[1-4]/0)$")]
Life = Literal["existing", "new", "removed"]
Known = Literal["verified", "believed", "unknown"]
Role = Literal["hot", "hot2", "neutral", "ground", "switched", "traveller", "traveller2", "spare"]
Severity = Literal["violation", "warning", "note", "not-checked"]
Basis = Literal["code", "maker", "habit", "plan"]
NOW = "now"


class Part(BaseModel):
    """A part of the plan; keys it does not know are kept."""

    model_config = ConfigDict(frozen=True, extra="allow", allow_inf_nan=False, defer_build=True)


class PriceBookMark(Part):
    """Which prices were used."""

    name: str
    dated: str
    sha256: str
    invented: bool


class MadeBy(Part):
    """How the plan came about: enough to make it again."""

    tool: str
    versions: dict[str, str]
    tables_sha256: str
    price_book: PriceBookMark
    edition: Literal[2017, 2020, 2023]
    local_answers: dict[str, str]
    assumptions: tuple[str, ...]
    seed: int
    effort: int
    repeatable: bool
    status: Literal["complete", "stopped"]


class Source(Part):
    """The shop the plan is for, in canonical order, and its hash."""

    shop: dict[str, Any]
    sha256: str


class Objective(Part):
    """What was minimized. `global` covers every plan on these routes, boxes and builds."""

    minimize: Literal["cost", "copper"]
    unit: str
    value: float
    lower_bound: float | None
    gap: float | None = Field(description="(value - lower_bound) / value; null without a bound")
    proved: Literal["none", "pool", "global"]
    expected_later: float | None = Field(
        None, description="What the value holds of changeovers, each at its likelihood"
    )

    @model_serializer(mode="wrap")
    def _written(self, write: SerializerFunctionWrapHandler) -> dict[str, Any]:
        """Without `expected_later` where no changeover is counted."""
        left_out = ("expected_later", None)
        return {key: value for key, value in write(self).items() if (key, value) != left_out}


class Space(Part):
    """One place in a panel. A tandem puts two circuits, halves a and b, in one space."""

    space: int = Field(ge=1)
    leg: Literal["A", "B"]
    pole: int | None = None
    circuit: str | None = None
    tandem: Literal["a", "b"] | None = None
    reserved_for: str | None = None


class Main(Part):
    """Main breaker, lugs only, or a main to be added: fed backwards, in two of the spaces."""

    kind: Literal["breaker", "lug", "back-fed"]
    amps: float | None


class PanelPlan(Part):
    """A panel with all its spaces in order."""

    id: str
    place: Xyz
    bus_amps: float
    main: Main
    terminals_c: Literal[60, 75]
    spaces: tuple[Space, ...]


class Demand(Part):
    """The worst state of a day at a panel or feeder, by leg."""

    day: str
    state: tuple[str, ...]
    a_amps: float
    b_amps: float


class LoadLine(Part):
    """One line of a load calculation."""

    says: str
    va: int
    source: str


class FeederPlan(Part):
    """What feeds a panel."""

    id: str
    source: str
    to: str
    breaker_amps: float
    length_ft: float
    conductors: dict[str, str]
    load_calculation: tuple[LoadLine, ...] | None
    demand: tuple[Demand, ...]


class Conductor(Part):
    """One conductor of a run; `colour` as pulled, `marked` when it is re-marked at its ends."""

    role: Role
    awg: Awg
    insulated: bool = True
    colour: str | None = None
    marked: str | None = None


class MakeUp(Part):
    """One conductor in a box: from which run, in which role, and how it ends."""

    run: str
    role: Role
    awg: Awg
    circuit: str
    ends: Literal["spliced", "on device", "passes", "capped"]


class Splice(Part):
    """Conductors joined in a box, as `run.role`; with pigtails to yokes."""

    joins: tuple[str, ...]
    pigtails: tuple[str, ...] = ()


class YokePlan(Part):
    """A strap with its device."""

    id: str
    device: Literal["duplex", "single", "switch", "blank"]
    configuration: str | None = Field(description="Of a switch: null, `3-way` or `4-way`")
    gfci: bool = False
    circuit: str | None
    largest_awg: Awg | None


class BoxPlan(Part):
    """A box with its make-up."""

    id: str
    kind: Literal["device", "luminaire", "junction", "pull"]
    place: Xyz
    wall: str | None
    gangs: int = Field(ge=1)
    box: str
    volume_in3: float | None = Field(description="null: an existing box nobody measured")
    fill_in3: float | None
    internal_clamps: bool
    yokes: tuple[YokePlan, ...]
    conductors: tuple[MakeUp, ...]
    splices: tuple[Splice, ...]
    location: Literal["dry", "damp", "wet"]
    reachable_from_floor: bool
    life: Life
    known: Known


class OutletPlan(Part):
    """A point where current is taken. `protected_by`: `breaker`, or the yoke with the GFCI."""

    id: str
    box: str
    yoke: str | None
    position: Literal["top", "bottom"] | None
    kind: Literal["receptacle", "luminaire", "hard-wired"]
    configuration: str | None
    volts: int = Field(gt=0)
    watts: int | None
    circuit: str
    switched_by: str | None = Field(description="Of several switches, the first by name")
    protected_by: str | None
    life: Life
    known: Known


class MachinePlan(Part):
    """A machine and where it takes its current; a portable tool has no place of its own."""

    id: str
    name: str
    volts: int = Field(gt=0)
    outlet: str | None
    hard_wired_at: str | None
    amps_table: float | None
    amps_nameplate: float | None
    circuit: str | None
    portable: bool
    why_there: str | None = Field(None, description="How the place was chosen")


class SwitchPlan(Part):
    """A switch and what it switches."""

    id: str
    box: str
    kind: Literal["single-pole", "3-way", "4-way"]
    controls: tuple[str, ...]
    circuit: str
    pair_with: str | None = Field(
        None,
        description="The next switch of its group, from the supply outward; of the last, the first",
    )


class BreakerPlan(Part):
    """A breaker in its spaces; a handle tie opens both poles together but does not trip them."""

    amps: float
    poles: Literal[1, 2]
    spaces: tuple[int, ...] = Field(min_length=1)
    kind: Literal["plain", "gfci", "tandem"]
    gfci: bool
    handle_tie: bool = False
    exchanged: bool = Field(False, description="Bought for an existing circuit that is extended")


class CircuitConductor(Part):
    """Size and count of a circuit's conductors."""

    awg: Awg
    material: Literal["copper", "aluminum"]
    insulation: str
    count: int
    ground_awg: Awg
    spares: int


class Run(Part):
    """One cable, or one set of conductors, from enclosure to enclosure."""

    id: str
    start: str
    end: str
    via: tuple[str, ...] = Field((), description="Boxes where the conductors only pass")
    raceways: tuple[str, ...] = ()
    path: tuple[Xyz, ...]
    length_ft: float
    allowance_ft: float = Field(description="Slack at both ends, in the cut length")
    make: str
    method: Literal["cable", "raceway", "unknown"]
    conductors: tuple[Conductor, ...]
    ambient_c: float
    current_carrying: int
    wet: bool = False
    stage: str = NOW
    life: Life = "new"
    known: Known = "verified"


class Worst(Part):
    """The allowed working state that loads the circuit most."""

    day: str
    state: tuple[str, ...]
    amps: float = Field(description="Continuous loads at 125 %")
    limit_amps: float
    limited_by: Literal["breaker", "ampacity"]


class CircuitPlan(Part):
    """A branch circuit: a rooted tree of runs from one breaker."""

    id: str
    says: str = Field(description="What the circuit directory prints")
    panel: str
    volts: int = Field(gt=0)
    breaker: BreakerPlan
    multiwire_with: str | None = Field(None, description="The circuit that shares its neutral")
    pole: Literal[1, 2] | None = Field(
        None, description="Of a breaker that a multiwire pair shares: the pole that feeds this one"
    )
    conductor: CircuitConductor
    outlets: tuple[str, ...]
    machines: tuple[str, ...]
    runs: tuple[Run, ...]
    gfci_at: tuple[str, ...] = Field(description="`breaker` or the yokes that hold a GFCI")
    worst: Worst | None
    voltage_drop_percent: float | None
    life: Life
    known: Known
    pinned: bool = False

    @model_serializer(mode="wrap")
    def _written(self, write: SerializerFunctionWrapHandler) -> dict[str, Any]:
        """Without `pole` where no pair shares the breaker, as in plans older than it."""
        return {key: value for key, value in write(self).items() if (key, value) != ("pole", None)}

    @property
    def fed_from(self) -> tuple[int, ...]:
        """The spaces whose poles feed this circuit: one of two where a pair shares the breaker."""
        spaces = self.breaker.spaces
        return spaces if self.pole is None else spaces[self.pole - 1 : self.pole]


class Content(Part):
    """One run inside a raceway or passage."""

    run: str
    circuit: str
    conductors: tuple[Conductor, ...]


class RoomLeft(Part):
    """How many more conductors of one size still fit."""

    awg: Awg
    count: int


class Ledger(Part):
    """What is in a raceway or passage at one stage."""

    stage: str = NOW
    contents: tuple[Content, ...]
    fill_percent: float
    limit_percent: float
    current_carrying: int
    adjustment: float
    room_left: tuple[RoomLeft, ...]


class RacewayPlan(Part):
    """A raceway with its ledger now and after each changeover."""

    id: str
    kind: str
    trade_size: str
    start: str
    end: str
    path: tuple[Xyz, ...]
    length_ft: float
    life: Life
    ledgers: tuple[Ledger, ...]


class PassagePlan(Part):
    """A hole or stud bay where cables bundle."""

    id: str
    place: Xyz
    ledgers: tuple[Ledger, ...]


class LegDemand(Demand):
    """The worst state of a day on the legs of one panel."""

    panel: str


class Alternative(Part):
    """One way to prepare for a changeover."""

    says: str
    cost_now_usd: float = Field(description="More than the least circuit that prepares nothing")
    cost_later_usd: float = Field(description="On the day")
    expected_usd: float | None = Field(None, description="Now, and the day at its likelihood")


class TakeoffLine(Part):
    """One counted material, at its per-unit price."""

    key: str
    item: str
    quantity: float
    unit: str
    unit_price_usd: float
    cost_usd: float


class ChangeoverPlan(Part):
    """The day a machine changes voltage, amperes or place; `chosen` is one of the alternatives."""

    machine: str
    chosen: str
    alternatives: tuple[Alternative, ...]
    spare_runs: tuple[str, ...] = Field(description="Runs with a spare that the day puts to use")
    panel_spaces: tuple[int, ...] = Field(description="Of the breaker then, with the one kept")
    parts: tuple[str, ...]
    steps: tuple[str, ...]
    prepared: bool | None = Field(None, description="Whether the circuit is changed where it lies")
    circuit: str | None = Field(None, description="The circuit that serves the machine now")
    volts: int | None = Field(None, description="Of the machine then")
    likelihood: float | None = None
    breaker_amps: float | None = Field(None, description="Of the breaker then")
    breaker_gfci: bool | None = None
    configuration: str | None = Field(None, description="Of the receptacle then; null: hard-wired")
    takeoff: tuple[TakeoffLine, ...] | None = Field(None, description="What the day asks to buy")
    why: str | None = Field(None, description="Why nothing can be prepared, where nothing can")


class PurchaseLine(Part):
    """Whole rolls and sticks to buy."""

    key: str
    item: str
    packages: int
    package: str
    cost_usd: float


class Totals(Part):
    """Sums over new work; circuits and spaces with those that are there already."""

    cable_ft: float
    conductor_ft: float
    copper_lb: float
    material_cost_usd: float
    labour_cost_usd: float | None
    circuits: int
    spaces_used: int


class Finding(Part):
    """What a check found. `limit` and `found` are in `unit`."""

    key: str
    rule: str
    severity: Severity
    where: str
    says: str
    found: float | str | None = None
    limit: float | str | None = None
    unit: str | None = None
    source: str
    edition: int | None
    basis: Basis
    rests_on_memory: bool = False
    fix: str = ""


class PinPlan(Part):
    """A choice the owner made, and whether the plan keeps it."""

    kind: Literal["together", "apart", "circuit"]
    members: tuple[str, ...]


class Stage(Part):
    """A moment the plan describes: now, and after each changeover."""

    id: str
    after: str | None = None


class Plan(Part):
    """A whole plan."""

    format: Literal["branchwright-plan/1"]
    made_by: MadeBy
    source: Source
    objective: Objective
    stages: tuple[Stage, ...]
    panels: tuple[PanelPlan, ...]
    feeders: tuple[FeederPlan, ...]
    boxes: tuple[BoxPlan, ...]
    outlets: tuple[OutletPlan, ...]
    machines: tuple[MachinePlan, ...]
    switches: tuple[SwitchPlan, ...]
    circuits: tuple[CircuitPlan, ...]
    removed: tuple[CircuitPlan, ...] | None = Field(
        None, description="Existing circuits that are taken apart; their boxes are on others"
    )
    raceways: tuple[RacewayPlan, ...]
    passages: tuple[PassagePlan, ...] | None = None
    legs: tuple[LegDemand, ...]
    changeovers: tuple[ChangeoverPlan, ...] | None = None
    pins: tuple[PinPlan, ...] = ()
    takeoff: tuple[TakeoffLine, ...]
    purchase: tuple[PurchaseLine, ...] | None = None
    totals: Totals
    findings: tuple[Finding, ...]
