"""A second reading of a finished plan, slow and plain: every number it claims, worked out again.

It knows the plan and the shop inside it as plain dictionaries, and the published tables; nothing of
the program. What it finds wrong it says, one sentence each, by kind.
"""

import copy

from tests.slow import (
    slow_ampacity,
    slow_boxes,
    slow_drops,
    slow_lengths,
    slow_loads,
    slow_raceways,
)
from tests.slow.slow_facts import by_id, place_of

HUNDREDTH, TENTHOUSANDTH = 0.01, 0.0001
AMPERES = 0.01  # each machine is kept in whole mA before sums and the 125 %
SLACK = 1e-6


def objections(plan, prices=None):
    """(kind, what, words) of everything that is not as the plan says; `prices` by part."""
    found = []
    for circuit in plan["circuits"]:
        if circuit["life"] != "removed":
            found += of_loads(plan, circuit)
            found += of_drop(plan, circuit)
            for run in circuit["runs"]:
                found += of_run(plan, circuit, run)
    for panel in plan["panels"]:
        found += of_legs(plan, panel)
    for box in plan["boxes"]:
        found += of_box(plan, box)
    for raceway in plan["raceways"]:
        found += of_raceway(plan, raceway)
    for one in plan.get("later_machines") or []:
        if one.get("held"):
            found += of_held(plan, one)
    found += of_totals(plan)
    found += of_takeoff(plan, prices or {})
    return found


def differs(claimed, found, step):
    """Whether a claim is not what was found, rounded to its step."""
    return claimed is None or abs(claimed - found) > step / 2 + SLACK


def of_loads(plan, circuit):
    """The worst state of a circuit, its amperes and its limit."""
    claim, name = circuit["worst"], circuit["id"]
    worst = slow_loads.circuit_worst_amps(plan, circuit)
    if claim is None:
        if worst > SLACK:
            yield "load", name, f"the worst state is {worst:.3f} A, and none is named"
        return
    amps = slow_loads.claimed_circuit_amps(plan, circuit)
    if amps is None:
        yield "state", name, f"{claim['state']} may not run together on {claim['day']}"
    elif differs(claim["amps"], amps, AMPERES):
        yield "load", name, f"{claim['state']} is {amps:.3f} A, not {claim['amps']} A"
    if differs(claim["amps"], worst, AMPERES):
        yield "load", name, f"the worst state is {worst:.3f} A, not {claim['amps']} A"
    ampacity = slow_ampacity.circuit_amps(plan, circuit)
    breaker = circuit["breaker"]["amps"]
    limit = min(breaker, ampacity)
    if differs(claim["limit_amps"], limit, AMPERES):
        yield "limit", name, f"the limit is {limit:.3f} A, not {claim['limit_amps']} A"
    by = "breaker" if breaker < ampacity else "ampacity"
    if breaker != ampacity and claim["limited_by"] != by:
        yield "limit", name, f"limited by {by}, not by {claim['limited_by']}"
    if worst > limit + AMPERES:
        yield "overload", name, f"{worst:.3f} A of {limit:.3f} A"


def of_held(plan, one):
    """A machine to come that a circuit holds: the circuit with it plugged in."""
    then, held = copy.deepcopy(plan), one["held"]
    shop = then["source"]["shop"]
    machine = by_id(shop["later"]["machines"])[one["machine"]]
    taken = [other["id"] for other in plan["machines"] if other["outlet"] == held["outlet"]]
    if taken:
        yield "held", one["machine"], f"{taken[0]} is plugged in at {held['outlet']}"
    shop["machines"] = [*shop.get("machines", []), machine]
    placed = {"id": one["machine"], "outlet": held["outlet"], "hard_wired_at": None}
    then["machines"].append({**placed, "circuit": held["circuit"], "portable": False})
    circuit = by_id(then["circuits"])[held["circuit"]]
    circuit["machines"].append(one["machine"])
    circuit["worst"] = held["worst"]
    yield from of_loads(then, circuit)
    percent = slow_drops.worst_percent(then, circuit)
    wished = float(shop["code"].get("voltage_drop_percent", 3))
    if circuit["life"] == "new" and percent > wished + HUNDREDTH:
        yield "held", one["machine"], f"{held['circuit']} then loses {percent:.2f} %"


def of_drop(plan, circuit):
    """The voltage drop of a new circuit."""
    if circuit["life"] == "new":
        percent = slow_drops.worst_percent(plan, circuit)
        if differs(circuit["voltage_drop_percent"], percent, HUNDREDTH):
            yield (
                "drop",
                circuit["id"],
                f"{percent:.3f} %, not {circuit['voltage_drop_percent']} %",
            )


def of_run(plan, circuit, run):
    """Way, length, slack, heat and company of a run."""
    shop, name = plan["source"]["shop"], run["id"]
    if not slow_lengths.is_square(run["path"]):
        yield "way", name, "a piece goes aslant"
    if not slow_lengths.ends_at(shop, run["path"], run["start"], run["end"]):
        yield "way", name, f"does not lead from {run['start']} to {run['end']}"
    length = slow_lengths.run_ft(plan, circuit, run)
    if differs(run["length_ft"], length, HUNDREDTH):
        yield "length", name, f"{length:.3f} ft, not {run['length_ft']} ft"
    raceways = [r for r in plan["raceways"] if r["id"] in run["raceways"]]
    through = sum(slow_lengths.path_ft(raceway["path"]) for raceway in raceways)
    if raceways and differs(slow_lengths.path_ft(run["path"]), through, HUNDREDTH):
        yield "way", name, f"its raceways are {through:.2f} ft long together"
    free = slow_lengths.free_ft(plan, run)
    if differs(run["allowance_ft"], free, HUNDREDTH):
        yield "allowance", name, f"{free} ft, not {run['allowance_ft']} ft"
    hottest = slow_ampacity.run_c(plan, run)
    if differs(run["ambient_c"], hottest, 0.1):
        yield "heat", name, f"{hottest} °C, not {run['ambient_c']} °C"
    carrying = slow_ampacity.carrying_around(plan, circuit, run)
    if run["current_carrying"] != carrying:
        yield "carrying", name, f"{carrying} conductors, not {run['current_carrying']}"


def of_legs(plan, panel):
    """The worst states of both legs and of the feeder, on each binding day."""
    shop, name = plan["source"]["shop"], panel["id"]
    given = by_id(shop["supply"]["panels"])[name]
    limit = slow_loads.supply_limit_amps(given)
    claims = [claim for claim in plan["legs"] if claim["panel"] == name]
    demand = []
    for feeder in plan["feeders"]:
        if feeder["to"] == name:
            demand += feeder["demand"]
    for claim in (*claims, *demand):
        yield from of_claimed_state(plan, name, claim)
    for day in slow_loads.binding_days(shop):
        worst = {}
        for leg, key in (("A", "a_amps"), ("B", "b_amps")):
            worst[leg] = slow_loads.greatest_leg_amps(plan, name, leg, day)
            named = [claim[key] for claim in claims if claim["day"] == day["id"]]
            if differs(max(named, default=None), worst[leg], AMPERES):
                yield "leg", name, f"{day['id']}: leg {leg} carries {worst[leg]:.3f} A at worst"
            if worst[leg] > limit + AMPERES:
                yield "overload", name, f"leg {leg} {worst[leg]:.3f} A of {limit} A"
        heavier = max(worst.values())
        named = [max(c["a_amps"], c["b_amps"]) for c in demand if c["day"] == day["id"]]
        if differs(max(named, default=None), heavier, AMPERES):
            yield "feeder", name, f"{day['id']}: {heavier:.3f} A on the heavier leg at worst"


def of_claimed_state(plan, panel_id, claim):
    """A state named for legs or feeder: may it be, and what does it put on each leg?"""
    days = by_id(slow_loads.binding_days(plan["source"]["shop"]))
    state = set(claim["state"])
    if claim["day"] not in days or not slow_loads.is_allowed(
        plan["source"]["shop"], state, days[claim["day"]]
    ):
        yield "state", panel_id, f"{claim['state']} may not run together on {claim['day']}"
    for leg, key in (("A", "a_amps"), ("B", "b_amps")):
        amps = slow_loads.leg_amps(plan, panel_id, leg, state)
        if differs(claim[key], amps, AMPERES):
            yield "leg", panel_id, f"{claim['state']} is {amps:.3f} A on {leg}, not {claim[key]} A"


def of_box(plan, box):
    """Place, contents, fill and volume of a box."""
    shop, name = plan["source"]["shop"], box["id"]
    shop_boxes = by_id([*shop.get("boxes", []), *shop.get("routes", {}).get("junction_boxes", [])])
    if name not in shop_boxes:
        yield "place", name, "is not in the shop"
        return
    wanted = place_of(shop, shop_boxes[name])
    if any(differs(a, b, HUNDREDTH) for a, b in zip(box["place"], wanted, strict=True)):
        yield "place", name, f"stands at {wanted}, not at {box['place']}"
    if sorted(slow_boxes.to_be_listed(plan, box)) != sorted(slow_boxes.listed(box)):
        yield "contents", name, "does not list the conductors that its runs bring"
    fill, volume = slow_boxes.fill_in3(plan, box), slow_boxes.volume_in3(box)
    if differs(box["fill_in3"], fill, HUNDREDTH):
        yield "fill", name, f"{fill} in³, not {box['fill_in3']} in³"
    if (volume is None) != (box["volume_in3"] is None) or (
        volume is not None and differs(box["volume_in3"], volume, HUNDREDTH)
    ):
        yield "volume", name, f"{volume} in³, not {box['volume_in3']} in³"
    if slow_boxes.given_box_words(plan, box) not in (None, box["box"]):
        yield "volume", name, f"the shop has another box there than {box['box']}"
    if volume is not None and fill > volume + SLACK:
        yield "too full", name, f"{fill} in³ in {volume} in³"


def of_raceway(plan, raceway):
    """Way and today's ledger of a raceway."""
    shop, name = plan["source"]["shop"], raceway["id"]
    if not slow_lengths.ends_at(shop, raceway["path"], raceway["start"], raceway["end"]):
        yield "way", name, f"does not lead from {raceway['start']} to {raceway['end']}"
    length = slow_lengths.path_ft(raceway["path"])
    if differs(raceway["length_ft"], length, HUNDREDTH):
        yield "length", name, f"{length:.3f} ft, not {raceway['length_ft']} ft"
    found = slow_raceways.ledger_of(plan, raceway)
    for ledger in raceway["ledgers"]:
        if ledger["stage"] != "now":
            continue
        listed = sorted((content["run"], content["circuit"]) for content in ledger["contents"])
        if listed != found["contents"]:
            yield "contents", name, f"holds {found['contents']}, not {listed}"
        for key in ("fill_percent", "limit_percent", "current_carrying", "adjustment"):
            if differs(ledger[key], found[key], HUNDREDTH):
                yield "ledger", name, f"{key}: {found[key]}, not {ledger[key]}"
        for room in ledger["room_left"]:
            count = slow_raceways.room_left(plan, raceway, room["awg"])
            if room["count"] != count:
                yield "room left", name, f"{count} of {room['awg']} AWG, not {room['count']}"
    if found["fill_percent"] > found["limit_percent"] + SLACK:
        yield "too full", name, f"{found['fill_percent']:.2f} % of {found['limit_percent']} %"
    then, most = slow_raceways.fill_then_percent(plan, raceway)
    if then > most + SLACK:
        yield "too full then", name, f"{then:.2f} % of {most} %"


def of_totals(plan):
    """Sums over the plan."""
    totals = plan["totals"]
    for key, value in slow_lengths.sums(plan).items():
        if differs(totals[key], value, HUNDREDTH):
            yield "total", key, f"{value:.3f}, not {totals[key]}"
    cost = sum(line["cost_usd"] for line in plan["takeoff"])
    if differs(totals["material_cost_usd"], cost, HUNDREDTH):
        yield "total", "material_cost_usd", f"{cost:.4f}, not {totals['material_cost_usd']}"
    goal = plan["objective"]
    value = slow_lengths.sums(plan)["copper_lb"] if goal["minimize"] == "copper" else cost
    value += days_to_come(plan)
    if differs(goal["value"], value, HUNDREDTH):
        yield "total", "objective", f"{value:.4f}, not {goal['value']}"


def days_to_come(plan):
    """What the days of changeovers and machines to come ask for, each at the likelihood that the
    shop says, less its discount for the years. [USD]
    """
    later = plan["source"]["shop"].get("later", {})
    yearly = 1 + float(str(later.get("discount", "0 %")).removesuffix("%")) / 100
    things = {change["machine"]: change for change in later.get("changeovers", [])}
    things |= {machine["id"]: machine for machine in later.get("machines", [])}
    likely = {
        name: float(str(thing["likelihood"]).removesuffix("%"))
        / 100
        / yearly ** float(str(thing["within"]).partition(" ")[0])
        for name, thing in things.items()
    }
    drafts = [*(plan.get("changeovers") or []), *(plan.get("later_machines") or [])]
    assert not drafts or plan["objective"]["minimize"] == "cost"
    return sum(
        likely[draft["machine"]] * line["quantity"] * line["unit_price_usd"]
        for draft in drafts
        for line in draft.get("takeoff") or []
    )


def of_takeoff(plan, prices):
    """Quantities and costs of everything that is to be bought."""
    wanted = slow_lengths.parts_of(plan)
    lines = {}
    for line in plan["takeoff"]:
        if line["key"] in lines:
            yield "takeoff", line["key"], "two lines"
        lines[line["key"]] = line
    for key in sorted({*wanted, *lines}):
        line = lines.get(key)
        if line is None or key not in wanted:
            yield "takeoff", key, f"{wanted.get(key)} wanted, {line and line['quantity']} listed"
            continue
        if differs(line["quantity"], wanted[key], HUNDREDTH):
            yield "takeoff", key, f"{wanted[key]:.3f}, not {line['quantity']}"
        cost = line["quantity"] * line["unit_price_usd"]
        if differs(line["cost_usd"], cost, TENTHOUSANDTH):
            yield "cost", key, f"{cost:.4f} USD, not {line['cost_usd']} USD"
        if key in prices and line["unit_price_usd"] != prices[key]:
            yield "cost", key, f"the book says {prices[key]} USD, not {line['unit_price_usd']} USD"
