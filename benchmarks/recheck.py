"""Rechecking a result and its certificate, with code that shares only the reading of instances.

    python -m benchmarks recheck FILE CERTIFICATE

FILE is the instance, CERTIFICATE what `capacitated-tree --certificate` wrote: nodes are numbered
from 0, prices are in 1/scale of a unit of cost. Checked are

- the plan: a tree to the root, no subtree over the capacity, and its cost;
- the prices: all trees together pay every node's price once, and the price of a set for each
  subtree that its demand makes enter it at least. An edge costs its own cost less the price of the
  node it leads to and of the sets it enters. If no tree within the capacity costs less than r per
  unit of its demand (r ≤ 0), no plan costs less than all prices and r times all demand;
- what is claimed beyond the prices: all groups that a plan below the claimed bound could hold are
  listed anew, and HiGHS (by SciPy) says that no choice of them is one; `recheck_trees.py`.

Of chains (FILE ends in .vrp) likewise, with what `recheck_chains.py` says; costs of those are kept
in millionths.
"""

import argparse
import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

from benchmarks.instances import Instance, InstanceError, read_chains, read_tree
from benchmarks.recheck_chains import PricedChains, check_chains, no_chains_below
from benchmarks.recheck_trees import Priced, WrongError, excluded, tree_cost


def plan_cost(instance: Instance, capacity: int, parents: Sequence[int | None]) -> int:
    """What a plan costs; raises where it is none."""
    if len(parents) != len(instance.weights) or parents[instance.root] is not None:
        raise WrongError("every node but the root has a parent")
    load: dict[int, int] = {}
    cost = 0
    for node, parent in enumerate(parents):
        if parent is None:
            if node != instance.root:
                raise WrongError(f"node {node} has no parent")
            continue
        cost += int(instance.distances[node, parent])
        top, steps = node, 0
        while (up := parents[top]) != instance.root:
            if up is None or steps > len(parents):
                raise WrongError(f"node {node} does not lead to the root")
            top, steps = up, steps + 1
        load[top] = load.get(top, 0) + int(instance.weights[node])
    worst = max(load.values())
    if worst > capacity:
        raise WrongError(f"a subtree demands {worst}, more than {capacity}")
    return cost


def recheck(instance: Instance, found: dict[str, Any]) -> list[str]:
    """What was checked, in sentences; raises at the first claim that does not hold."""
    capacity, root = int(found["capacity"]), instance.root
    cost = plan_cost(instance, capacity, found["parents"])
    if cost / instance.scale != found["value"]:
        raise WrongError(f"the plan costs {cost / instance.scale:.12g}, not {found['value']:.12g}")
    chains = found.get("chains")
    if chains is not None:
        check_chains(found["parents"], root, chains)
    parts = "subtrees" if chains is None else f"{chains} chains or fewer"
    told = [f"the plan costs {found['value']}, and each of its {parts} demands {capacity} at most"]
    place = {node: node - (node > root) for node in range(len(instance.weights)) if node != root}
    prices = np.array([found["prices"][node] for node in place], np.int64)
    sets = [([place[node] for node in one["nodes"]], one["price"]) for one in found["sets"]]
    priced = Priced(instance, capacity, found["scale"], prices, sets)
    if chains is not None:
        memories = [[place[other] for other in found["memories"][node]] for node in place]
        priced = PricedChains(
            instance, capacity, found["scale"], prices, sets, found["opening"], chains, memories
        )
    proved = max(priced.bound(), tree_cost(priced, range(len(prices))))
    told.append(
        "prices and the plain spanning tree prove that no plan costs less than "
        f"{proved / instance.scale:.12g}"
    )
    bound = round(found["bound"] * instance.scale)
    if bound > proved:
        if isinstance(priced, PricedChains):
            holds = no_chains_below(priced, bound)
        else:
            holds = excluded(priced, bound)
        if not holds:
            raise WrongError(f"that no plan costs less than {found['bound']} does not follow")
        told.append(
            f"of all groups that would be needed no choice costs less than {found['bound']}"
        )
    if found["proved"] == "global" and bound < cost:
        raise WrongError("said to be proved, with a bound below its cost")
    return told


def main(arguments: Sequence[str]) -> None:
    """Recheck a certificate; ends with status 1 where a claim does not hold."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks recheck")
    parser.add_argument("file", type=Path)
    parser.add_argument("certificate", type=Path)
    options = parser.parse_args(arguments)
    try:
        found = json.loads(options.certificate.read_text(encoding="utf-8"))
        read = read_chains if options.file.suffix == ".vrp" else read_tree
        for sentence in recheck(read(options.file), found):
            print(sentence)
    except (InstanceError, OSError, KeyError, ValueError, WrongError) as error:
        sys.exit(f"not confirmed: {error}")
