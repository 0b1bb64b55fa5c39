"""The raceway ledger: what is in each raceway, how full it is, and what may still go in."""

from branchwright.measures import exact_length, size_words
from branchwright.sheets.table import Table, columns
from branchwright.words import clean, joined, plain
from models.naming import natural
from models.plan import THEN, Ledger, Plan, RacewayPlan

COLUMNS = columns(
    "Raceway", "Kind", "From", "To", ">Length", "Runs inside", ">Fill", ">Limit",
    ">Current-carrying", ">Adjustment", "Room left",
)  # fmt: skip


def ledgers(plan: Plan) -> list[tuple[RacewayPlan, Ledger]]:
    """Each raceway with its ledger of each stage, in the order in which people count."""
    ways = sorted(plan.raceways, key=lambda way: natural(way.id))
    return [(way, ledger) for way in ways for ledger in way.ledgers]


def room_words(ledger: Ledger, most: int | None = None) -> str:
    """What may still go in, of at most so many sizes."""
    fitting = [left for left in ledger.room_left if left.count > 0][:most]
    room = [f"{left.count}\u00a0×\u00a0{size_words(left.awg)}" for left in fitting]
    return f"{joined(room, ' or ')} AWG" if room else "none"


def raceway_ledger(plan: Plan) -> Table:
    """A row for each raceway and stage."""
    pairs = ledgers(plan)
    return Table(
        "Raceway ledger",
        COLUMNS,
        tuple(_row(*pair) for pair in pairs),
        note=ledger_note(plan),
        shares=tuple(ledger.fill_percent / ledger.limit_percent for _, ledger in pairs),
    )


def ledger_note(plan: Plan) -> str:
    """By what fill and adjustment go; where room is kept, what the room left is beside."""
    kept = " Room left is beside what room is kept for; a pull string lies there." * bool(
        plan.rooms
    )
    return f"Fill by NEC chapter 9 tables 1, 4 and 5; adjustment by 310.15(C)(1).{kept}"


def _row(raceway: RacewayPlan, ledger: Ledger) -> tuple[str, ...]:
    """One raceway."""
    return (
        clean(raceway.id) + (f", {THEN}" if ledger.stage == THEN else ""),
        f"{clean(raceway.kind)} {clean(raceway.trade_size)} in",
        clean(raceway.start),
        clean(raceway.end),
        exact_length(raceway.length_ft),
        joined((content.run for content in ledger.contents), none="empty"),
        f"{plain(ledger.fill_percent, 1)} %",
        f"{plain(ledger.limit_percent, 1)} %",
        str(ledger.current_carrying),
        f"{plain(100 * ledger.adjustment)} %",
        room_words(ledger, 3),
    )
