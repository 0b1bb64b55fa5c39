"""Selection: which candidate circuits to build, by CP-SAT over a pool that is already checked.

Every item on exactly one circuit; couplings between circuits as linear rows: panel spaces, raceway
area and heat, box volume with the box size as a choice. Costs first, copper (or cost) breaks ties.
What is done for machines that may come is chosen with them (`solver.later_machines`).
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from ortools.sat.python import cp_model

from models.box_sizes import shorter_side_in
from models.shop import Panel, Shop
from solver.candidate import BRACKETS, Candidate, WayShare
from solver.catalogue import Catalogue
from solver.enclosures import UNUSED, BoxChoice, box_choices, fixed_cost, raceway_cost
from solver.feeder_rows import FeederRow
from solver.garage import garage_needs
from solver.later_rows import define_choices, define_seats
from solver.lighting import new_light_circuits
from solver.panel import free_pairs, free_spaces
from solver.passages import FEW_CABLES
from solver.raceway_rows import AreaRows, Linear, TradeSize
from solver.routes import Ways
from solver.solve import DEFAULT_EFFORT, Answer, Control
from solver.staying import staying
from solver.tandems import Kind, Ratings, kinds, may_be_half, tandem_places
from solver.there import all_there, together

MOST_OPENED: Final = 1_000  # boxes and branches of all circuits are fewer
KEEPING: Final = 10**16  # outweighs any sum that breaks a tie
TIE_SHARE: Final = 0.25  # of the effort, to break ties among least-cost choices


@dataclass(frozen=True)
class Selected:
    """A choice of circuits and box sizes; value and bound in the objective's whole unit."""

    candidates: tuple[Candidate, ...]
    box_sizes: Mapping[str, str]
    raceways: tuple[str, ...]
    value: int
    bound: int
    optimal: bool
    tandems: Mapping[str, tuple[Ratings, ...]] = field(default_factory=dict)
    later: tuple[Candidate, ...] = ()  # for machines that may come

    @property
    def everything(self) -> tuple[Candidate, ...]:
        """The circuits, and what is done for machines that may come."""
        return *self.candidates, *self.later


@dataclass(frozen=True)
class Shortage:
    """What is missing, row by row, and in all as rows are weighed."""

    weight: int
    rows: Mapping[tuple[str, str], int]


class Selection:
    """x[c]: candidate c is built.  z[b, s]: box b has size s.  u[r]: raceway r is used."""

    def __init__(
        self,
        shop: Shop,
        ways: Ways,
        catalogue: Catalogue,
        pool: Sequence[Candidate],
        *,
        elastic: bool = False,
        contents: bool = True,
        alike: Mapping[int, int] | None = None,
        later: Sequence[Sequence[Candidate]] = (),
    ) -> None:
        self.shop, self.ways, self.catalogue = shop, ways, catalogue
        self.pool = [*pool, *(made for choices in later for made in choices)]
        self.contents = contents
        self.alike = alike or {}
        self.model = cp_model.CpModel()
        self.elastic: dict[tuple[str, str], cp_model.IntVar] | None = {} if elastic else None
        self.built = [self.model.new_bool_var(f"x[{n}]") for n in range(len(self.pool))]
        self.choices = box_choices(shop, catalogue)
        self.size = {
            (choice.box, name): self.model.new_bool_var(f"z[{choice.box},{name}]")
            for choice in self.choices
            for name, _, _ in choice.sizes
        }
        self.tandems: dict[tuple[str, Kind], cp_model.IntVar] = {}
        self.larger: dict[tuple[str, TradeSize], cp_model.IntVar] = {}
        self.infeasible = False
        found = all_there(ways)
        self.used = {r: self.model.new_bool_var(f"u[{r}]") for r in sorted(ways.raceways)}
        self.there = [found[circuit.id] for circuit in staying(shop)]
        self._define_every_item_once()
        define_choices(self.model, self.built, later)
        self._define_spaces()
        self._define_light_circuits()
        self._define_garage()
        self._define_raceways(contents)
        if contents:
            define_seats(self.model, self.pool, self.built)
            self._define_passages()
        self._define_boxes(contents)

    # -- rows

    def _short(self, row: str, thing: str) -> Linear:
        """Slack of a row, when asking what is missing."""
        if self.elastic is None:
            return 0
        slack = self.model.new_int_var(0, 10**7, f"short[{row},{thing}]")
        self.elastic[row, thing] = slack
        return slack

    def _define_every_item_once(self) -> None:
        """Σ x over the candidates with item i = 1, for every item; items alike are counted."""
        holding: dict[int, list[cp_model.IntVar]] = {}
        wanted: dict[int, set[int]] = {}
        for candidate, built in zip(self.pool, self.built, strict=True):
            for item in candidate.items:
                first = self.alike.get(item, item)
                holding.setdefault(first, []).append(built)
                wanted.setdefault(first, {first}).add(item)
        for first, second in ((first, item) for item, first in self.alike.items()):
            wanted.setdefault(first, set()).add(second)
        for item in sorted(holding):
            if len(wanted[item]) == 1:
                self.model.add_exactly_one(holding[item])
            else:
                self.model.add(sum(holding[item]) == len(wanted[item]))

    def _define_spaces(self) -> None:
        """Poles and spare spaces fit into each panel; two poles need neighbours.

        What is kept for a machine that may come is among the spare.
        """
        later = ((c, x) for c, x in zip(self.pool, self.built, strict=True) if c.for_later)
        left: Linear = sum(made.places * built for made, built in later)
        for panel in self.shop.supply.panels:
            free = free_spaces(self.shop, panel)
            here = [
                (candidate, built)
                for candidate, built in zip(self.pool, self.built, strict=True)
                if candidate.panel == panel.id
            ]
            room = len(free) + self._short("spaces", panel.id)
            room += self._define_tandems(panel, here)
            taken = sum(candidate.places * built for candidate, built in here)
            self.model.add(taken <= room)
            left += room - taken
            self._define_neighbours(panel, free, here)
        self.model.add(left >= self.shop.later.spare_spaces)

    def _define_tandems(
        self, panel: Panel, here: Sequence[tuple[Candidate, cp_model.IntVar]]
    ) -> Linear:
        """n[k]: tandems of kind k, each for two circuits of its ratings; how many in all."""
        places = tandem_places(self.shop, panel)
        mine = [
            (kind, self.model.new_int_var(0, len(places), f"n[{panel.id},{kind.ratings}]"))
            for kind in (kinds(self.catalogue) if places else ())
        ]
        for kind, count in mine:
            self.tandems[panel.id, kind] = count
        for amps in sorted({amps for kind, _ in mine for amps in kind.ratings}):
            able = [x for made, x in here if may_be_half(made) and made.breaker_amps == amps]
            halves = sum(kind.ratings.count(amps) * count for kind, count in mine)
            self.model.add(halves <= sum(able))
        return sum(count for _, count in mine)

    def _define_neighbours(
        self, panel: Panel, free: Sequence[int], here: Sequence[tuple[Candidate, cp_model.IntVar]]
    ) -> None:
        """Two poles need neighbours; tandems and breakers with spaces of their own are in the way.

        d[s]: a two-pole breaker with a place to choose takes s and the space below. t[s]: a tandem
        is in s.
        """
        name = panel.id
        counts = [count for (at, _), count in self.tandems.items() if at == name]
        doubles = sum(built for made, built in here if made.places == 2 and not made.spaces)
        short = self._short("pairs", name)
        if not counts and not any(made.spaces for made, _ in here):
            self.model.add(doubles <= free_pairs(free) + short)
            return
        double = {s: self.model.new_bool_var(f"d[{name},{s}]") for s in free if s + 2 in free}
        self.model.add(doubles <= sum(double.values()) + short)
        clash = self._short("pinned spaces", name) if any(m.spaces for m, _ in here) else 0
        tandem: dict[int, cp_model.IntVar] = {}
        if counts:
            places = tandem_places(self.shop, panel)
            tandem = {s: self.model.new_bool_var(f"t[{name},{s}]") for s in places}
            self.model.add(sum(tandem.values()) == sum(counts))
        for space in free:
            own = sum(built for made, built in here if space in made.spaces)
            both = sum(double[start] for start in (space - 2, space) if start in double)
            self.model.add(own + both + tandem.get(space, 0) <= 1 + clash)

    def _define_light_circuits(self) -> None:
        """At least as many circuits with lights as the shop asks for."""
        wanted = new_light_circuits(self.shop)
        if wanted > 1:
            pairs = zip(self.pool, self.built, strict=True)
            lit = sum(built for candidate, built in pairs if candidate.lights)
            self.model.add(lit + self._short("light circuits", "lights") >= wanted)

    def _define_garage(self) -> None:
        """A dwelling's garage has its receptacle circuit, where any of the pool could be it."""
        for need in garage_needs(self.shop):
            serving = [
                built
                for candidate, built in zip(self.pool, self.built, strict=True)
                if need.met_by(candidate, any_halves=not self.contents)
            ]
            if serving:
                short = self._short("garage circuit", need.name)
                self.model.add(sum(serving) + short >= 1)

    def _define_raceways(self, contents: bool) -> None:
        """Area within the fill limit; the count within the bracket that every circuit survives.

        Without `contents` only that a raceway with something in it is used.
        """
        for name, route in sorted(self.ways.raceways.items()):
            inside = [
                (candidate.raceways[name], built)
                for candidate, built in zip(self.pool, self.built, strict=True)
                if name in candidate.raceways
            ]
            for _, built in inside:
                self.model.add_implication(built, self.used[name])
            if not contents:
                continue
            old = together(share.raceways.get(name) for share in self.there)
            if old:
                self.model.add(self.used[name] == 1)
            short, pairs = (
                self._short("raceway area", name),
                zip(self.pool, self.built, strict=True),
            )
            rows = AreaRows(self.model, self.catalogue, route, old.room if old else 0, short)
            self.larger |= rows.define(list(pairs))
            self._define_heat("raceway heat", name, inside, old)

    def _define_passages(self) -> None:
        """No more cables than a passage takes; more than two of them count as one bundle."""
        for passage in self.shop.routes.passages:
            inside = [
                (candidate.passages[passage.id], built)
                for candidate, built in zip(self.pool, self.built, strict=True)
                if passage.id in candidate.passages
            ]
            old = together(share.passages.get(passage.id) for share in self.there)
            cables = sum(share.room * built for share, built in inside)
            there = old.room if old else 0
            room = max(0, passage.takes - there)
            self.model.add(cables <= room + self._short("passage", passage.id))
            few = self.model.new_bool_var(f"few[{passage.id}]")
            self.model.add(there + cables <= FEW_CABLES).only_enforce_if(few)
            self._define_heat("passage heat", passage.id, inside, old, few)

    def _define_heat(
        self,
        row: str,
        name: str,
        inside: Sequence[tuple[WayShare, cp_model.IntVar]],
        old: WayShare | None,
        few: cp_model.IntVar | None = None,
    ) -> None:
        """y[r, k]: r holds at most k counted conductors; x[c] needs a k it survives.

        `few`: so few cables that they need not be counted together.
        """
        bracket = {k: self.model.new_bool_var(f"y[{name},{k}]") for k in BRACKETS}
        self.model.add_exactly_one([*bracket.values(), *([] if few is None else [few])])
        there = old.current_carrying if old else 0
        counts = ((share.current_carrying + share.later) * built for share, built in inside)
        counted = there + sum(counts)
        most = sum(k * y for k, y in bracket.items()) + (0 if few is None else BRACKETS[-1] * few)
        self.model.add(counted <= most + self._short(row, name))
        for share, built in inside:
            for k, y in bracket.items():
                if k > share.survives:
                    self.model.add_at_most_one(built, y)
        for k, y in bracket.items():
            if old and k > old.survives:
                self.model.add(y == 0)

    def _define_boxes(self, contents: bool) -> None:
        """One size a box; what is in it within the volume of that size (314.16)."""
        for choice in self.choices:
            sizes = [self.size[choice.box, name] for name, _, _ in choice.sizes]
            if not sizes:
                continue
            self.model.add_exactly_one(sizes)
            if not contents:
                continue
            self._define_pulls(choice)
            volume = sum(volume * self.size[choice.box, name] for name, volume, _ in choice.sizes)
            inside = self._contents(choice.box)
            self.model.add(inside <= volume + self._short("box volume", choice.box))

    def _define_pulls(self, choice: BoxChoice) -> None:
        """No size that is too short for a circuit with conductors of 4 AWG and larger (314.28)."""
        for candidate, built in zip(self.pool, self.built, strict=True):
            share = candidate.boxes.get(choice.box)
            for name, _, _ in choice.sizes if share and share.least_side_in else ():
                if name and share and shorter_side_in(name) < share.least_side_in:
                    self.model.add_at_most_one(built, self.size[choice.box, name])

    def _contents(self, box: str) -> Linear:
        """Conductors and devices add up, those that are there too.

        Grounds together count one of the largest, and since 2020 a quarter more for each past
        four: max(1, n/4) of it.
        """
        shares = [
            (candidate.boxes[box], built)
            for candidate, built in zip(self.pool, self.built, strict=True)
            if box in candidate.boxes
        ]
        old = [share.boxes[box] for share in self.there if box in share.boxes]
        if old:
            always = self.model.new_constant(1)
            shares += [(share, always) for share in old]
        grounds = sum(share.grounds * built for share, built in shares)
        most = sum(sorted((share.grounds for share, _ in shares), reverse=True)[: 8 + len(old)])
        ground = self.model.new_int_var(0, 10**6, f"ground[{box}]")
        for size in sorted({share.ground_volume for share, _ in shares}):
            present = self.model.new_bool_var(f"ground[{box},{size}]")
            for share, built in shares:
                if share.ground_volume == size:
                    self.model.add_implication(built, present)
            self.model.add(ground >= size).only_enforce_if(present)
            if self.shop.code.edition >= 2020 and most > 4:
                self.model.add(4 * ground >= size * grounds).only_enforce_if(present)
        return sum(share.volume * built for share, built in shares) + ground

    # -- objective and answer

    def cost(self) -> Linear:
        """Money: circuits, boxes, raceways that are used [0.0001 USD]."""
        total: Linear = sum(
            self._least(candidate, candidate.cost) * built
            for candidate, built in zip(self.pool, self.built, strict=True)
        )
        for choice in self.choices:
            total += sum(cents * self.size[choice.box, name] for name, _, cents in choice.sizes)
        for name, route in sorted(self.ways.raceways.items()):
            total += raceway_cost(self.catalogue, route) * self.used[name]
        total += sum(kind.more * count for (_, kind), count in self.tandems.items())
        total += sum(size.more * laid for (_, size), laid in self.larger.items())
        return total + fixed_cost(self.shop, self.catalogue)

    def copper(self) -> Linear:
        """Copper of all circuits [1e-8 lb]."""
        return sum(
            self._least(candidate, candidate.copper) * built
            for candidate, built in zip(self.pool, self.built, strict=True)
        )

    def _least(self, candidate: Candidate, counted: int) -> int:
        """What a candidate counts; without `contents` what it could not go below, where known.

        That is known of the first objective alone, and only the first counts without `contents`.
        """
        floor = None if self.contents else candidate.floor
        return counted if floor is None else floor

    def hint(self, selected: Selected) -> None:
        """Tell CP-SAT a whole choice to start from."""
        self.model.clear_hints()  # type: ignore[no-untyped-call]
        chosen = set(map(id, selected.everything))
        for candidate, built in zip(self.pool, self.built, strict=True):
            self.model.add_hint(built, id(candidate) in chosen)
        for (box, name), size in self.size.items():
            self.model.add_hint(size, selected.box_sizes.get(box, UNUSED) == name)
        for name, used in self.used.items():
            self.model.add_hint(used, name in selected.raceways)

    def limit(self, row: FeederRow) -> None:
        """Circuits of some panels take no more together than a feeder gives."""
        taken = (
            (row.takes(candidate), x) for candidate, x in zip(self.pool, self.built, strict=True)
        )
        self.model.add(sum(amount * x for amount, x in taken if amount) <= row.most)

    def forbid(
        self,
        candidates: Sequence[Candidate],
        seen: Callable[[Candidate], object] = lambda candidate: candidate.drawn,
        later: Sequence[Candidate] = (),
    ) -> None:
        """Never again a choice that is `seen` as this one is: a later step refused it.

        At first as what it draws where, by whatever runs; a circuit seen as None does not matter.
        Nor does what is done for machines that may come, but where it is `later`, by the spaces it
        keeps: the circuits may then do beside another of these.
        """
        chosen = {what for one in candidates if (what := seen(one)) is not None}
        keeping = {one.kept for one in later}
        pairs = zip(self.pool, self.built, strict=True)
        built = [
            x
            for c, x in pairs
            if (c.kept in keeping if c.for_later is not None else seen(c) in chosen)
        ]
        self.model.add(sum(built) <= len(chosen) + len(keeping) - 1)

    def solve(self, control: Control, share: float = 1.0) -> "Selected | None":
        """The best choice for the shop's objective; the other one breaks ties, then fewest boxes
        to open and branches to tell apart when a fault is looked for.

        None: no choice was found; `infeasible` then says whether there is proved to be none.
        """
        first, second = self.cost(), self.copper()
        if self.shop.prices.minimize == "copper":
            first, second = second, first
        self.model.minimize(first)
        answer = control.run(self.model, share)
        self.infeasible = answer.infeasible
        if not answer.found:
            return None
        value = round(answer.solver.objective_value)
        bound = round(answer.solver.best_objective_bound)
        best = answer
        if answer.optimal:
            kept = self._keep(answer, first == value)
            self.model.minimize(MOST_OPENED * second + self._opened() - KEEPING * kept)
            tie = control.run(self.model, TIE_SHARE * share)
            best = tie if tie.found and tie.solver.value(kept) else answer
        return self._selected(best, value, bound, answer.optimal)

    def _opened(self) -> Linear:
        """Boxes to open and branches to tell apart when a fault is looked for."""
        pairs = zip(self.pool, self.built, strict=True)
        return sum(candidate.opened * built for candidate, built in pairs)

    def _keep(self, answer: Answer, row: cp_model.BoundedLinearExpression) -> cp_model.IntVar:
        """Hold the first objective while the tie is broken, and start again from the answer.

        Held by a variable, so that a later choice, with this one forbidden, may cost more.
        """
        kept = self.model.new_bool_var("kept")
        self.model.add(row).only_enforce_if(kept)
        self.model.clear_objective()  # type: ignore[no-untyped-call]
        self.model.clear_hints()  # type: ignore[no-untyped-call]
        counts = (*self.tandems.values(), *self.larger.values())
        for choice in (*self.built, *self.size.values(), *self.used.values(), *counts):
            self.model.add_hint(choice, answer.solver.value(choice))
        self.model.add_hint(kept, True)
        return kept

    def _selected(self, answer: Answer, value: int, bound: int, optimal: bool) -> "Selected":
        solver = answer.solver
        chosen = [c for c, x in zip(self.pool, self.built, strict=True) if solver.value(x)]
        sizes = {box: name for (box, name), z in self.size.items() if solver.value(z)}
        used = tuple(sorted({raceway for c in chosen for raceway in c.raceways}))
        boxes = {box: name for box, name in sizes.items() if name != UNUSED}
        tandems: dict[str, tuple[Ratings, ...]] = {}
        for (panel, kind), count in self.tandems.items():
            tandems[panel] = (*tandems.get(panel, ()), *[kind.ratings] * solver.value(count))
        circuits = tuple(made for made in chosen if made.for_later is None)
        later = tuple(made for made in chosen if made.for_later is not None)
        return Selected(circuits, boxes, used, value, bound, optimal, tandems, later)

    def _missing(self) -> Linear:
        """With elastic rows: what is missing, weighed row by row."""
        assert self.elastic is not None
        weights = {"spaces": 1000, "pairs": 1000, "pinned spaces": 1000, "passage": 1000}
        weights |= {"raceway heat": 100, "passage heat": 100, "garage circuit": 10_000}
        return sum(weights.get(key[0], 1) * x for key, x in self.elastic.items())

    def mended(self, first: Sequence[Candidate], control: Control) -> "Selected | None":
        """With elastic rows: a choice near a first one, in which nothing is missing."""
        self.hint(Selected(tuple(first), {}, (), 0, 0, optimal=False))
        self.model.minimize(self._missing())
        answer = control.run(self.model, least=DEFAULT_EFFORT)
        if not answer.found or answer.solver.value(self._missing()):
            return None
        return self._selected(answer, round(answer.solver.value(self.cost())), 0, optimal=False)

    def shortages(self, control: Control) -> Shortage | None:
        """With elastic rows: the least found that is missing; None when nothing was found."""
        assert self.elastic is not None
        self.model.minimize(self._missing())
        answer = control.run(self.model)
        if not answer.found:
            return None
        values = {key: answer.solver.value(slack) for key, slack in self.elastic.items()}
        rows = {key: value for key, value in values.items() if value}
        return Shortage(answer.solver.value(self._missing()), rows)
