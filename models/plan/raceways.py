"""Raceways and passages, with what is in them."""

from models.plan.circuits import Conductor
from models.plan.part import NOW, Awg, Life, Part, Xyz


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
    """A raceway with its ledger now and, where room is kept in it, with machines to come.

    `trade_size` is the one that is laid: larger than in the shop file only where room is kept.
    """

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
