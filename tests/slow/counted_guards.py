"""Breaker, devices and ground-fault protection of a circuit: what they cost, where they may be.

Written for counting out, from the shop as plain data. NEC 210.8; money in cents.
"""

from tests.slow.counted_site import receptacle_amps
from tests.slow.slow_facts import place_of, rows_of

REACHED_FT = 6.6  # readily accessible, common practice, no source


def guard_cents(site, halves, on, amps, home):
    """What breaker and devices cost [cents], for each place where the GFCI may be."""
    yokes = [yoke for half in halves for yoke in half]
    poles = 2 if len(halves) == 2 or yokes[0].volts == 240 else 1
    plain = [site.price(device_key(yoke)) if device_key(yoke) else 0 for yoke in yokes]
    bare, guarding = (breaker_cents(site, halves, amps, poles, gfci) for gfci in (False, True))
    if bare is None or None in plain:
        return []
    if not any(needs_gfci(site, yoke, amps) for yoke in yokes):
        return [bare + sum(plain)]
    at_breaker = [] if guarding is None else [guarding + sum(plain)]
    at_device = in_devices(site, halves, plain, home, amps)
    if at_device is None or site.code.get("gfci_at") == "breaker":
        return at_breaker
    at_device += bare
    return [at_device] if site.code.get("gfci_at") == "device" else [*at_breaker, at_device]


def breaker_cents(site, halves, amps, poles, gfci):
    """A breaker; of a pair by `ties` one of two poles, or two with a tie."""
    key = " GFCI" if gfci else ""
    if len(halves) == 2 and site.code.get("ties") == "handle tie" and not gfci:
        one, tie = site.price(f"breaker {amps} A 1-pole"), site.price("handle tie")
        return None if one is None or tie is None else 2 * one + tie
    return site.price(f"breaker {amps} A {poles}-pole{key}")


def in_devices(site, halves, plain, home, amps):
    """Cents of all devices with the GFCI in the first of the circuit, or in each that needs one of
    a pair: behind a device the neutral is not its own any more.
    """
    yokes = [yoke for half in halves for yoke in half]
    if len(halves) == 2:
        needing = [yoke for yoke in yokes if needs_gfci(site, yoke, amps)]
        if not all(may_guard(site, yoke) for yoke in needing):
            return None
        return sum(plain) + sum(
            site.price(f"GFCI {device_key(yoke)}") - site.price(device_key(yoke))
            for yoke in needing
        )
    here = sorted(yoke for yoke in yokes if yoke.box == home)
    if not here or not may_guard(site, here[0]):
        return None
    more = site.price(f"GFCI {device_key(here[0])}") - site.price(device_key(here[0]))
    return sum(plain) + more


def device_key(yoke):
    """Part of a device; nothing at a blank cover or a luminaire."""
    if yoke.receptacles:
        return f"{yoke.kind} {yoke.configuration}"
    return "switch" if yoke.kind == "switch" else None


def may_guard(site, yoke):
    """Whether a GFCI device may be here: a duplex of 120 V, readily reached, in the book."""
    box = site.boxes[yoke.box]
    return (
        yoke.receptacles == 2
        and yoke.volts == 120
        and "ceiling" not in box
        and place_of(site.shop, box)[2] <= REACHED_FT
        and f"GFCI {device_key(yoke)}" in site.cents
    )


def needs_gfci(site, yoke, amps):
    """NEC 210.8(A), (B) and (F), indoors in garages, accessory buildings and elsewhere."""
    building, edition = site.shop["building"], site.code["edition"]
    low = building.get("floor", "at or below grade") == "at or below grade"
    kind = building["kind"]
    if site.dwelling and kind not in ("garage", "basement"):
        kind = "accessory building"  # a dwelling's workshop in a building of its own
    if yoke.kind == "blank":
        inside = (kind == "garage" and low) or building["kind"] == "accessory building"
        return site.dwelling and edition >= 2023 and inside and amps <= 50
    if not yoke.receptacles:
        return False
    premises = "dwelling" if site.dwelling else "other"
    if kind == "accessory building" and site.dwelling and low:
        kind = "accessory building at or below grade"
    listed = any(
        (row["premises"], row["place"], row[f"edition_{edition}"]) == (premises, kind, "yes")
        for row in rows_of("gfci_places")
    )
    if site.dwelling:
        return listed and (edition >= 2020 or (yoke.volts == 120 and receptacle_amps(yoke) <= 20))
    return listed and receptacle_amps(yoke) <= 50
