"""The process of `solver.bound.beside`: shop, prices and effort in, the certificate out."""

import pickle
import sys

from solver.bound.least import least
from solver.catalogue import Catalogue
from solver.circuit import Circuits
from solver.points import Points
from solver.routes import Ways
from solver.solve import Control

shop, book, effort = pickle.load(sys.stdin.buffer)
circuits = Circuits(shop, Points(shop), Ways(shop), Catalogue(shop, book))
pickle.dump(least(circuits, Control(effort)), sys.stdout.buffer)
