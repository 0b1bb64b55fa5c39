"""What to choose for a shop: routes, candidate circuits, selection, placement."""
