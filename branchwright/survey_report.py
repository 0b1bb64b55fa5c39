"""How a shop is understood, on the terminal and as JSON."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

from rich.console import Console
from rich.markup import escape
from rich.padding import Padding

from branchwright import cautions
from branchwright.findings_report import findings_lines
from branchwright.sheets.table import Column, Table
from branchwright.terminal import print_table
from branchwright.words import clean, fahrenheit, joined, plain
from models.quantities import feet_inches
from models.shop import Shop
from solver.survey import Reached, Remark, Survey

COLOURS: Final = {"violation": "bold red", "warning": "yellow", "note": "bold"}
WAYS_NARROW: Final = (0, 2, 3)


def survey_report(out: Console, file: Path, shop: Shop, found: Survey, routes: Path | None) -> None:
    """What is there, what is odd or missing, what is taken for granted, and the next step."""
    out.print(f"[bold]{escape(clean(shop.name))}[/bold]  {escape(str(file))}", soft_wrap=True)
    for line in shop_lines(shop):
        out.print(escape(line))
    out.print()
    if routes is not None:
        print_table(out, ways_table(found), WAYS_NARROW)
    odd = [remark for remark in found.remarks if remark.weight != "note"]
    _remarks(out, "Odd or missing", odd)
    _remarks(out, "Good to know", [r for r in found.remarks if r.weight == "note"])
    if found.as_built is not None:
        out.print("[bold]Everything is wired already: the circuits as they are, checked[/bold]")
        findings_lines(out, found.as_built)
    out.print("[bold]Taken for granted[/bold]")
    for says in found.assumptions:
        out.print(Padding(escape(says), (0, 0, 0, 2)))
    out.print()
    if routes is not None:
        out.print(f"Drawing: {escape(str(routes))}", soft_wrap=True)
    out.print(f"[dim]{escape(cautions.PLANNING_AID)}[/dim]")


def _remarks(out: Console, title: str, remarks: list[Remark]) -> None:
    """Remarks of one kind, each with its next step."""
    if not remarks:
        return
    out.print(f"[bold]{title}[/bold]")
    for remark in remarks:
        says = escape(clean(remark.says))
        colour = COLOURS[remark.weight]
        out.print(Padding(f"[{colour}]{remark.weight}[/{colour}]  {says}", (0, 0, 0, 2)))
        out.print(Padding(f"next: {escape(clean(remark.fix))}", (0, 0, 0, 4)))
    out.print()


def shop_lines(shop: Shop) -> Iterator[str]:
    """What is there, in a few lines."""
    building = shop.building
    xs, ys = zip(*building.corners, strict=True)
    size = f"{feet_inches(max(xs) - min(xs))} by {feet_inches(max(ys) - min(ys))}"
    premises = "dwelling premises" if building.dwelling else "not a dwelling"
    yield f"{building.kind}, {premises}, {size}, {len(building.all_walls)} walls"
    if building.areas:
        yield "areas: " + "; ".join(_area_words(shop, area.id) for area in building.areas)
    for panel in shop.supply.panels:
        taken = {s for c in shop.existing if c.panel == panel.id for s in c.spaces}
        words = f"panel {panel.id}: {plain(panel.bus_amps)} A bus, fed by"
        words += f" {plain(panel.feeder.breaker_amps)} A from {clean(panel.feeder.source)},"
        yield f"{words} {panel.spaces - len(taken)} of {panel.spaces} spaces free"
    receptacles = sum(1 for _ in shop.receptacles())
    lights = sum(box.luminaire_watts is not None for box in shop.boxes)
    junctions = len(shop.routes.junction_boxes)
    yield (
        f"{len(shop.boxes)} boxes ({receptacles} receptacle yokes, {lights} luminaires),"
        f" {junctions} junction boxes, {len(shop.routes.raceways)} raceways,"
        f" {len(shop.machines)} machines"
    )
    if shop.existing:
        fed = len({name for circuit in shop.existing for name in circuit.feeds})
        yield f"{len(shop.existing)} existing circuits, {fed} boxes on them"
    days = (f"{clean(d.id)} ({_people(d.people)})" for d in shop.use.days)
    yield "days: " + ", ".join(days)


def _people(people: int | dict[str, int]) -> str:
    """How many work, in words."""
    if isinstance(people, int):
        return str(people)
    return " + ".join(f"{count} {clean(name)}" for name, count in people.items())


def _area_words(shop: Shop, area_id: str) -> str:
    """An area with its ceiling and its heat."""
    area = next(area for area in shop.building.areas if area.id == area_id)
    x, y = ((area.low[i] + area.high[i]) / 2 for i in (0, 1))
    climate = shop.building.climate_at(x, y)
    words = f"{clean(area_id)} {feet_inches(climate.ceiling_ft)} high, {fahrenheit(climate.room_c)}"
    if climate.ceiling_runs == "attic":
        words += f" (attic {fahrenheit(climate.attic_c)})"
    return words


def ways_table(found: Survey) -> Table:
    """The shortest way from a panel to every box."""
    columns = (
        Column("box"),
        Column("from"),
        Column("length", right=True),
        Column("lies"),
        Column("through"),
        Column("hottest", right=True),
    )
    return Table("Shortest ways from a panel", columns, tuple(map(_way_row, found.reached)))


def _way_row(one: Reached) -> tuple[str, ...]:
    """One row of the ways."""
    if one.way is None:
        return clean(one.enclosure), "", "", "no way", "", ""
    lies = ", ".join(f"{feet_inches(length)} {kind}" for kind, length in one.lies)
    through = joined((*one.way.raceways, *one.way.passages))
    length = feet_inches(one.way.length_cft / 100)
    heat = fahrenheit(one.way.ambient_c)
    return clean(one.enclosure), clean(one.panel), length, lies or "same place", through, heat


def survey_document(file: Path, shop: Shop, found: Survey) -> dict[str, Any]:
    """The same as JSON. Feet and °C."""
    return {
        "shop": str(file),
        "name": shop.name,
        "boxes": len(shop.boxes),
        "machines": len(shop.machines),
        "remarks": [remark._asdict() for remark in found.remarks],
        "ways": [
            {
                "from": one.panel,
                "to": one.enclosure,
                "method": one.way.method if one.way else None,
                "length_ft": one.way.length_cft / 100 if one.way else None,
                "path": [[value / 100 for value in point] for point in one.way.path]
                if one.way
                else [],
                "lies_ft": dict(one.lies),
                "raceways": list(one.way.raceways) if one.way else [],
                "passages": list(one.way.passages) if one.way else [],
                "ambient_c": one.way.ambient_c if one.way else None,
            }
            for one in found.reached
        ],
        "assumptions": list(found.assumptions),
        "as_built": None
        if found.as_built is None
        else [finding.model_dump(mode="json") for finding in found.as_built],
    }
