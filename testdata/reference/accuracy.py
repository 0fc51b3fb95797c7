"""Expanded uncertainties (k = 2) of masses and lengths, by JCGM 100:2008.

Parts: graduations as rectangular distributions (4.3.7), calibration and
repeatability as standard uncertainties, all independent (5.1.2), expanded
(6.2.1). Columns are in one unit: graduations and expanded uncertainties of the
calibration of both readings, spread between bags, repeatability.
    python3 accuracy.py > accuracy.csv
"""
import math
import random
import sys

random.seed(11)
print(f"# made by accuracy.py; Python {sys.version.split()[0]}; JCGM 100:2008")
print("first,second,calibration1,calibration2,spread,repeatability,expanded")
for _ in range(40):
    row = [random.choice([0.01, 0.05, 0.1, 0.5, 1, 2]) for _ in range(2)]
    row += [random.choice([0, 0.02, 0.3]) for _ in range(2)]
    row += [random.choice([0, 0, 0.2, 0.8]) for _ in range(2)]
    us = [row[0] / math.sqrt(12), row[1] / math.sqrt(12), row[2] / 2, row[3] / 2, row[4], row[5]]
    print(",".join(f"{v:g}" for v in row) + f",{2 * math.sqrt(math.fsum(u * u for u in us)):.15g}")
