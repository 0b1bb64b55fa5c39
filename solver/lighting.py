"""Lighting circuits: how many new ones the shop asks for, beside those that are there."""

from models.shop import Shop


def new_light_circuits(shop: Shop) -> int:
    """At least so many new circuits have lights on them; 0 when there are no new lights."""
    fed = {name: circuit.id for circuit in shop.existing for name in circuit.feeds}
    lit = [box.id for box in shop.boxes if box.luminaire_watts is not None]
    existing = {fed[name] for name in lit if name in fed}
    return max(0, shop.code.light_circuits - len(existing)) if set(lit) - fed.keys() else 0
