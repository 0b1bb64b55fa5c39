"""Which existing circuits stay, which may change, and which boxes nothing new passes."""

from models.shop import ExistingCircuit, Shop


def staying(shop: Shop) -> list[ExistingCircuit]:
    """Existing circuits that nothing may be changed on."""
    changing = {circuit.id for circuit in changeable(shop)}
    return [circuit for circuit in shop.existing if circuit.id not in changing]


def changeable(shop: Shop) -> list[ExistingCircuit]:
    """Existing circuits that may change and have something on them.

    Half a tandem stays, as its place is no whole space.
    """
    held = [(c.panel, space) for c in shop.existing for space in c.spaces]
    used = {box.id for box in shop.boxes if box.luminaire_watts or set(box.yokes) - {"blank"}}
    used |= {machine.hard_wired_at for machine in shop.machines if machine.hard_wired_at}
    return [
        circuit
        for circuit in shop.existing
        if circuit.may_change
        and used & set(circuit.feeds)
        and all(held.count((circuit.panel, space)) == 1 for space in circuit.spaces)
    ]


def closed_boxes(shop: Shop) -> frozenset[str]:
    """Boxes with devices of existing circuits: nobody measured them, so nothing new passes them."""
    return frozenset(name for circuit in shop.existing for name in circuit.feeds)
