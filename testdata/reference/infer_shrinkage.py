# Ledoit and Wolf (2004) shrinkage of scikit-learn on the measurements of
# infer_iris.csv and infer_crabs.csv, whole and by class.
# Run in this folder: /usr/bin/python3 infer_shrinkage.py
import csv, json
import numpy, sklearn
from sklearn.covariance import LedoitWolf


def columns(name, first, last):
    with open(name) as f:
        f.readline()
        rows = list(csv.reader(f))
    at = slice(rows[0].index(first), rows[0].index(last) + 1)
    return [r[rows[0].index("class")] for r in rows[1:]], numpy.array([[float(v) for v in r[at]] for r in rows[1:]])


cases = []
for name, first, last, few in (("infer_iris.csv", "Sepal.Length", "Petal.Width", 5), ("infer_crabs.csv", "FL", "BD", 4)):
    g, x = columns(name, first, last)
    for label, sub in [("all", x)] + [(c, x[[k == c for k in g]]) for c in sorted(set(g))] + [("first %d" % few, x[:few])]:
        lw = LedoitWolf().fit(sub)
        cases.append({"file": name, "from": first, "to": last, "cases": label,
                      "shrinkage": lw.shrinkage_, "covariance": lw.covariance_.tolist()})
json.dump({"by": "infer_shrinkage.py", "sklearn": sklearn.__version__, "numpy": numpy.__version__, "cases": cases},
          open("infer_shrinkage.json", "w"), indent=1)
