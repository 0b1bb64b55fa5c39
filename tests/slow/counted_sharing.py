"""What a set of yokes draws, and whether it may be one circuit: NEC 210.19 to 210.23.

Written for counting out, from the shop as plain data. Currents in A.
"""

from tests.slow import slow_loads
from tests.slow.counted_site import SLACK, is_light, receptacle_amps
from tests.slow.slow_facts import is_continuous, machine_amps, quantity, rows_of, yes

SHARED_RATINGS = {
    True: (15, 20, 30),
    False: (15, 20, 30, 40, 50),
}  # NEC 210.23, of a dwelling or not


def may_share(site, yokes):
    """Whether yokes may hang on one circuit whatever it is built of."""
    names = {yoke.id for yoke in yokes}
    if len({yoke.volts for yoke in yokes}) > 1:
        return False
    lit = [yoke for yoke in yokes if is_light(yoke)]
    if yes(site.code, "lights_apart", "yes") and 0 < len(lit) < len(yokes):
        return False
    if any(one in names and other in names for one, other in site.apart()):
        return False
    most = site.code.get("receptacles_per_circuit")
    return most is None or sum(yoke.receptacles > 0 for yoke in yokes) <= most


def lights_at(site, yokes):
    """Amperes of each luminaire."""
    return {
        name: quantity(site.boxes[name]["luminaire"]) / 120
        for yoke in yokes
        for name in yoke.luminaires
    }


def worst(site, yokes, placed):
    """(amperes with continuous loads at 125 %, every set of machines that may run here at once;
    of those that are in one another only the larger).
    """
    loads = {
        name: machine_amps(site.machines[name])
        * (1.25 if is_continuous(site.machines[name]) else 1.0)
        for name in placed
    }
    key = tuple(sorted(loads))
    if key not in site.known:
        most, states = 0.0, {frozenset[str]()}
        for day in slow_loads.binding_days(site.shop):
            for running in slow_loads.every_state(site.shop, loads, day):
                most = max(most, slow_loads.load_of(loads, running))
                states.add(frozenset(running) & set(loads))
        largest = [one for one in states if not any(one < other for other in states)]
        site.known[key] = most, sorted(map(sorted, largest))
    amps, states = site.known[key]
    return amps + 1.25 * sum(lights_at(site, yokes).values()), states


def suits(site, yokes, placed, amps):
    """Whether a breaker of this rating suits receptacles and machines: NEC 210.21(B), 210.23."""
    outlets = sum(yoke.receptacles or 1 for yoke in yokes)
    alone = outlets == 1 and yokes[0].receptacles == 1
    if outlets > 1 and amps not in SHARED_RATINGS[site.dwelling]:
        return False
    if any(is_light(yoke) for yoke in yokes) and amps > 20:
        return False
    for yoke in yokes:
        if yoke.receptacles:
            rated = receptacle_amps(yoke)
            listed = [
                int(row["receptacle_amps"])
                for row in rows_of("receptacle_ratings")
                if int(row["circuit_amps"]) == amps
            ]
            if not (rated >= amps if alone else rated in listed):
                return False
    if worst(site, yokes, placed)[0] > amps + SLACK:
        return False
    shared = any(yoke.kind != "blank" for yoke in yokes)
    fastened = 0.0
    for name, at in placed.items():
        drawn = machine_amps(site.machines[name])
        if site.yokes[at].receptacles:
            if drawn > cord_limit(amps, receptacle_amps(site.yokes[at]), alone):
                return False
        else:
            fastened += drawn
    return not (shared and amps <= 20 and fastened > amps / 2)


def cord_limit(amps, rated, alone):
    """Table 210.21(B)(2) by the lesser rating, the row below where it has none; above it: all."""
    lesser = min(amps, rated)
    rows = [(int(r["receptacle_amps"]), int(r["load_amps"])) for r in rows_of("receptacle_loads")]
    if alone or lesser > max(rows)[0]:
        return lesser
    return max(load for receptacle, load in rows if receptacle <= lesser)
