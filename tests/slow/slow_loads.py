"""Loads by brute force: every set of machines that may run together, one after the other. Amperes.

The rules of use, in the words of the design: each person runs at most one attended machine, in
their area where the day says so; always-on, set-and-leave and self-starting machines run beside
them; a follower runs exactly when one of its leaders does; of a group at most so many run.
NEC 210.19(A), 210.20(A): continuous loads at 125 % on a circuit, luminaires among them. Legs and
feeder are demand: plain currents.
"""

from itertools import combinations

from tests.slow.slow_facts import (
    by_id,
    holds,
    is_attended,
    is_continuous,
    machine_amps,
    place_of,
    quantity,
    rectangle,
    wall_ends,
)

CONTINUOUS = 1.25
STEPS = {"north": (0.0, 1.0), "south": (0.0, -1.0), "east": (1.0, 0.0), "west": (-1.0, 0.0)}


def binding_days(shop):
    """Days that bind the plan."""
    return [day for day in shop["use"]["days"] if day.get("binds", "yes") in ("yes", True)]


def leaders_of(shop, machine_id):
    """Machines that a machine follows. Those that come only later lead nothing today."""
    there = by_id(shop.get("machines", []))
    found = []
    for rule in shop["use"].get("followers", []):
        if rule["machine"] == machine_id:
            names = [rule["follows"]] if isinstance(rule["follows"], str) else rule["follows"]
            found += [name for name in names if name in there]
    return found


def following(shop, chosen):
    """Chosen machines with all that follow them, and all that follow those."""
    running = set(chosen)
    grew = True
    while grew:
        grew = False
        for machine in shop.get("machines", []):
            leaders = leaders_of(shop, machine["id"])
            if machine["id"] not in running and any(leader in running for leader in leaders):
                running.add(machine["id"])
                grew = True
    return running


def stands_at(shop, machine):
    """The floor point of a machine; of a hard-wired one without, in front of its box. [ft]"""
    if "at" in machine:
        return tuple(quantity(text) for text in machine["at"])
    box = by_id(shop["boxes"])[machine["hard_wired_at"]]
    x, y, _ = place_of(shop, box)
    if "wall" not in box:
        return x, y
    (x0, y0), (x1, y1) = wall_ends(shop["building"], box["wall"])
    length = abs(x1 - x0) + abs(y1 - y0)
    left = (-(y1 - y0) / length, (x1 - x0) / length)  # the room is at the left of an outer wall
    dx, dy = STEPS[box["faces"]] if "faces" in box else left
    return x + dx / 4, y + dy / 4


def overlap(one, other):
    """Whether two rectangles share more than an edge."""
    west, south, east, north = rectangle(one)
    w, s, e, n = rectangle(other)
    return max(west, w) < min(east, e) and max(south, s) < min(north, n)


def may_attend(shop, place, machine):
    """Whether somebody who keeps to an area or zone may attend a machine."""
    building = shop["building"]
    places = by_id(building.get("areas", []) + building.get("zones", []))
    if machine.get("portable") in ("yes", True):
        over = machine.get("over", [])
        over = [over] if isinstance(over, str) else over
        return not over or any(overlap(places[place], places[name]) for name in over)
    return holds(places[place], *stands_at(shop, machine))


def everybody_finds_a_person(shop, machines, people):
    """Whether each of these machines gets a person of its own, trying one person after another."""
    if isinstance(people, int):
        return len(machines) <= people
    if not machines:
        return True
    for place, count in people.items():
        if count and may_attend(shop, place, machines[0]):
            fewer = {**people, place: count - 1}
            if everybody_finds_a_person(shop, machines[1:], fewer):
                return True
    return False


def is_allowed(shop, running, day):
    """Whether just these machines may be on together on a day, rule by rule."""
    machines = by_id(shop.get("machines", []))
    if any(name not in machines for name in running):
        return False
    attended = []
    for name in sorted(running):
        leaders = leaders_of(shop, name)
        if leaders and not any(leader in running for leader in leaders):
            return False
        if not leaders and is_attended(machines[name]):
            attended.append(machines[name])
    if following(shop, running) != set(running):
        return False
    for group in shop["use"].get("never_together", []):
        if sum(name in running for name in group["machines"]) > group.get("at_most", 1):
            return False
    return everybody_finds_a_person(shop, attended, day["people"])


def that_matter(shop, loads):
    """Machines that can change a load: those with one, and their leaders, and leaders of these."""
    matter, to_ask = set(), [name for name, amps in loads.items() if amps]
    while to_ask:
        name = to_ask.pop()
        if name not in matter:
            matter.add(name)
            to_ask += leaders_of(shop, name)
    return sorted(matter)


def every_state(shop, loads, day):
    """Every allowed set of the machines that matter, with all that follow them."""
    machines = by_id(shop.get("machines", []))
    free = [name for name in that_matter(shop, loads) if not leaders_of(shop, name)]
    attended = [name for name in free if is_attended(machines[name])]
    others = [name for name in free if not is_attended(machines[name])]
    people = day["people"] if isinstance(day["people"], int) else sum(day["people"].values())
    for count in range(min(people, len(attended)) + 1):
        for persons in combinations(attended, count):
            for size in range(len(others) + 1):
                for more in combinations(others, size):
                    running = following(shop, [*persons, *more])
                    if is_allowed(shop, running, day):
                        yield running


def load_of(loads, running):
    """Amperes of the machines that run, of those that have any here."""
    total = 0.0
    for name in running:
        total += loads.get(name, 0.0)
    return total


def greatest(shop, loads, day):
    """The greatest load of a day over all its states. [A]"""
    most = 0.0
    for running in every_state(shop, loads, day):
        most = max(most, load_of(loads, running))
    return most


def circuit_of_machine(plan, machine):
    """The circuit that a machine of the plan takes its current from; None for a portable tool."""
    for outlet in plan["outlets"]:
        wired = outlet["kind"] == "hard-wired" and outlet["box"] == machine["hard_wired_at"]
        if wired or (machine["outlet"] is not None and outlet["id"] == machine["outlet"]):
            return outlet["circuit"]
    return None


def machines_on(plan, circuit_id):
    """Machines of the shop on a circuit, by where the plan puts them."""
    shop_machines = by_id(plan["source"]["shop"].get("machines", []))
    found = []
    for machine in plan["machines"]:
        if circuit_of_machine(plan, machine) == circuit_id:
            found.append(shop_machines[machine["id"]])
    return found


def luminaire_amps(plan, circuit):
    """Current of all luminaires of a circuit, by the watts that the shop gives them. [A]"""
    boxes = by_id(plan["source"]["shop"].get("boxes", []))
    amps = 0.0
    for outlet in plan["outlets"]:
        if outlet["kind"] == "luminaire" and outlet["circuit"] == circuit["id"]:
            amps += quantity(boxes[outlet["box"]]["luminaire"]) / circuit["volts"]
    return amps


def circuit_loads(plan, circuit):
    """Machines of a circuit with their amperes, continuous ones at 125 %."""
    loads = {}
    for machine in machines_on(plan, circuit["id"]):
        share = CONTINUOUS if is_continuous(machine) else 1.0
        loads[machine["id"]] = machine_amps(machine) * share
    return loads


def circuit_worst_amps(plan, circuit):
    """Load of a circuit in the worst state of all binding days. [A]"""
    shop, loads = plan["source"]["shop"], circuit_loads(plan, circuit)
    lights = CONTINUOUS * luminaire_amps(plan, circuit)
    return lights + max(greatest(shop, loads, day) for day in binding_days(shop))


def claimed_circuit_amps(plan, circuit):
    """Load of the state that a circuit claims, or None when that state may not be. [A]"""
    shop, claim = plan["source"]["shop"], circuit["worst"]
    for day in binding_days(shop):
        if day["id"] == claim["day"] and is_allowed(shop, set(claim["state"]), day):
            loads = circuit_loads(plan, circuit)
            return CONTINUOUS * luminaire_amps(plan, circuit) + load_of(loads, claim["state"])
    return None


def leg_of_space(space):
    """Two spaces of a row share a leg and rows alternate: 1 2 = A, 3 4 = B, 5 6 = A."""
    return "A" if (space + 1) // 2 % 2 else "B"


def legs_of(circuit):
    """The legs that a breaker's poles sit on."""
    return {leg_of_space(space) for space in circuit["breaker"]["spaces"]}


def leg_loads(plan, panel_id, leg):
    """(amperes of each machine, amperes of all luminaires) on a leg of a panel."""
    loads, lights = {}, 0.0
    for circuit in plan["circuits"]:
        if circuit["panel"] != panel_id or circuit["life"] == "removed":
            continue
        if leg in legs_of(circuit):
            for machine in machines_on(plan, circuit["id"]):
                loads[machine["id"]] = machine_amps(machine)
            lights += luminaire_amps(plan, circuit)
    return loads, lights


def leg_amps(plan, panel_id, leg, state):
    """Current of a state on a leg, with all luminaires. [A]"""
    loads, lights = leg_loads(plan, panel_id, leg)
    return lights + load_of(loads, state)


def greatest_leg_amps(plan, panel_id, leg, day):
    """Greatest current on a leg over all states of a day. [A]"""
    loads, lights = leg_loads(plan, panel_id, leg)
    return lights + greatest(plan["source"]["shop"], loads, day)


def supply_limit_amps(panel):
    """What a leg may carry: the least of the feeder's breaker, the main breaker and the bus. [A]"""
    limits = [quantity(panel["bus"]), quantity(panel["feeder"]["breaker"])]
    if panel.get("main", "main lug") != "main lug":
        limits.append(quantity(panel["main"]))
    return min(limits)
