"""What no plan of a shop goes below: a relaxation over runs, its cuts, a value in whole numbers.

A plan is a bundle of trees of runs from the panels. The relaxation counts how many circuits lie
along each way, and asks what all plans have in common: every box is entered by as many circuits as
its outlets need, a circuit that leaves a box has come in, no farther from its panel than it keeps
the voltage, and into a set of boxes come at least as many circuits as what is there has to be dealt
to. Boxes hold what enters them, raceways are bought where something goes through. Where a part has
few items every circuit of it is priced, and all runs together cost no less than the circuits that
its items are dealt to. After Gavish 1983, Gouveia et al. (layered graphs) and Uchoa et al. 2008.
"""
