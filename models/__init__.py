"""What is: quantities, the shop, the plan, published tables, formulas and the checks of a plan."""
