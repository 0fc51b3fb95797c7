"""Expanded uncertainties of net masses by drawing (JCGM 101:2008, clause 7).

Nothing here uses a formula for uncertainties. An animal and a bag of random
mass are weighed: the scale is off by its calibration (normal, half the expanded
uncertainty as standard deviation), what it shows moves from weighing to
weighing (normal), and is read to the nearest mark. One bag may stand for many,
whose masses differ (normal). The net that is written is held against the mass
of the animal: twice the standard deviation of the error, and the shortest
distance that holds 95.45 % of the errors.
    python3 accuracy_draws.py > accuracy_draws.csv
"""
import sys

import numpy

draw = numpy.random.default_rng(101)
N = 1_000_000


def read(true, graduation, calibration):
    shown = true + draw.normal(0, calibration / 2, N)
    return numpy.round(shown / graduation) * graduation


print(f"# made by accuracy_draws.py; Python {sys.version.split()[0]}, numpy {numpy.__version__}; {N} draws a row; JCGM 101:2008")
print("first,second,calibration1,calibration2,spread,repeatability,expanded,distance")
for row in [
    (0.5, 0.5, 0, 0, 0, 0), (0.5, 0.5, 0.3, 0.3, 0, 0), (0.1, 0.1, 0.02, 0.02, 0, 0), (1, 0.5, 0, 0, 0, 0),
    (1, 1, 0.3, 0.3, 0, 0), (2, 0.1, 0, 0, 0, 0), (0.5, 0.5, 0, 0, 0, 0.8), (0.1, 0.1, 0, 0, 0.2, 0),
    (0.5, 0.1, 0.02, 0.02, 0.8, 0), (0.01, 0.01, 0.3, 0.02, 0, 0), (2, 2, 0.3, 0.3, 0.8, 0.8), (0.05, 0.5, 0, 0, 0.2, 0.2),
]:
    g1, g2, c1, c2, spread, repeat = row
    animal, bag = draw.uniform(10, 60, N), draw.uniform(3, 8, N)
    gross = read(animal + bag + draw.normal(0, repeat, N), g1, c1)
    tare = read(bag + draw.normal(0, spread, N), g2, c2)
    error = gross - tare - animal
    print(",".join(f"{v:g}" for v in row) + f",{2 * error.std():.4g},{numpy.quantile(abs(error), 0.9545):.4g}")
