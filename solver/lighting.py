"""Lighting circuits: how many new ones the shop asks for, beside those that stay."""

from models.shop import Shop
from solver.staying import staying


def new_light_circuits(shop: Shop) -> int:
    """At least so many circuits beside those have lights; 0 when there are no new lights."""
    wired = {name for circuit in shop.existing for name in circuit.feeds}
    fed = {name: circuit.id for circuit in staying(shop) for name in circuit.feeds}
    lit = [box.id for box in shop.boxes if box.luminaire_watts is not None]
    existing = {fed[name] for name in lit if name in fed}
    return max(0, shop.code.light_circuits - len(existing)) if set(lit) - wired else 0
