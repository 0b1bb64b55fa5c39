"""Answers that follow from a finished plan and its shop: what binds a circuit, why not one less."""
