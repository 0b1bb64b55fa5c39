"""Why a plan is as it is: on the terminal, and as one document for programs."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from rich.console import Console
from rich.markup import escape
from rich.padding import Padding

from branchwright import cautions
from branchwright.findings_report import verdict_line
from branchwright.sheets.sheet import shop_name
from branchwright.why_words import circuit_lines, least_words, pair_lines, thing_names
from branchwright.words import clean, dollars
from models.answers.binding import Binding, Bindings
from models.answers.fewer import Least, Neighbour, least_circuits, neighbours
from models.plan import Finding, Plan
from models.price_book import PriceBook
from models.rules.reading import Reading
from models.shop import Shop
from solver.why import Joined, joined_costs


@dataclass(frozen=True)
class Answers:
    """What binds each circuit asked about, its neighbour, the cost of joining, the least counts."""

    bindings: tuple[Binding, ...]
    neighbours: Mapping[str, Neighbour]
    joined: Mapping[tuple[str, str], Joined]
    least: tuple[Least, ...]

    @classmethod
    def of(cls, plan: Plan, circuit: str | None, book: PriceBook) -> "Answers":
        """The answers about one circuit, or about all."""
        shop = Shop.model_validate(plan.source.shop)
        reading = Reading(plan, shop)
        bindings = Bindings(reading)
        asked = [one for one in plan.circuits if circuit in (None, one.id)]
        beside = neighbours(reading)
        pairs = [
            (one.id, beside[one.id].circuit)
            for one in asked
            if one.id in beside and beside[one.id].clash is None
        ]
        return cls(
            tuple(bindings.of(one) for one in asked),
            {one.id: beside[one.id] for one in asked if one.id in beside},
            joined_costs(plan, shop, book, pairs),
            least_circuits(reading) if circuit is None else (),
        )


def why_report(out: Console, plan: Plan, answers: Answers, findings: Sequence[Finding]) -> None:
    """The answers on the terminal."""
    names = thing_names(plan)
    says = {circuit.id: circuit.says for circuit in plan.circuits}
    out.print(f"[bold]{escape(shop_name(plan))}[/bold]  NEC {plan.made_by.edition}")
    verdict_line(out, findings)
    for binding in answers.bindings:
        name = binding.circuit
        out.print(f"\n[bold]{escape(clean(name))}[/bold]: {escape(clean(says[name]))}")
        neighbour = answers.neighbours.get(name)
        for key, words in circuit_lines(binding, neighbour, names):
            out.print(Padding(f"[dim]{key}:[/dim] {escape(words)}", (0, 0, 0, 2)))
        if neighbour and (joined := answers.joined.get((name, neighbour.circuit))):
            out.print(Padding(escape(joined_words(joined)), (0, 0, 0, 2)))
    if answers.least:
        out.print("\n[bold]Why not one circuit less[/bold]")
    for least in answers.least:
        out.print(escape(least_words(least, plan, names)))
        for line in pair_lines(least, names):
            out.print(Padding(f"• {escape(line)}", (0, 0, 0, 2)))
    out.print(f"[dim]{escape(cautions.PLANNING_AID)}[/dim]")


def joined_words(joined: Joined) -> str:
    """What joining two circuits would cost.

    >>> joined_words(Joined(12.5))
    'as one circuit they would cost $12.50 more, boxes left out'
    >>> joined_words(Joined(None, "voltage drop"))
    'as one circuit they cannot be built: voltage drop'
    """
    if joined.more_usd is None:
        return f"as one circuit they cannot be built: {joined.refused}"
    more = "more" if joined.more_usd >= 0 else "less"
    return f"as one circuit they would cost {dollars(abs(joined.more_usd))} {more}, boxes left out"


def why_document(plan: Plan, answers: Answers) -> dict[str, Any]:
    """The answers as one document."""
    names = thing_names(plan)
    circuits = []
    for binding in answers.bindings:
        neighbour = answers.neighbours.get(binding.circuit)
        joined = neighbour and answers.joined.get((binding.circuit, neighbour.circuit))
        circuits.append(
            {
                "circuit": binding.circuit,
                "says": dict(circuit_lines(binding, neighbour, names)),
                "nearest": asdict(binding.nearest) if binding.nearest else None,
                "limits": [asdict(limit) for limit in binding.limits],
                "breaks": asdict(binding.breaks) if binding.breaks else None,
                "neighbour": asdict(neighbour) if neighbour else None,
                "joined": asdict(joined) if joined else None,
            }
        )
    least = [{"says": least_words(one, plan, names), **asdict(one)} for one in answers.least]
    return {"circuits": circuits, "least_circuits": least}
