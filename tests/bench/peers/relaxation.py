# a + b exp(-t / tau) by scipy, with and without derivatives. Reads t, y and the start; see outsidePeer.ts.
import sys
import time

import numpy as np
from scipy.optimize import curve_fit, least_squares

t, y, start = (np.array(line.split(), dtype=float) for line in sys.stdin)


def model(t, a, b, tau):
    return a + b * np.exp(-t / tau)


def jacobian(t, a, b, tau):
    decay = np.exp(-t / tau)
    return np.column_stack([np.ones_like(t), decay, b * decay * t / tau**2])


WAYS = {
    "scipy curve_fit (MINPACK lmdif)": lambda: curve_fit(model, t, y, start)[0],
    "scipy curve_fit (MINPACK lmder), Jacobian": lambda: curve_fit(model, t, y, start, jac=jacobian)[0],
    "scipy least_squares (trf)": lambda: least_squares(lambda p: model(t, *p) - y, start).x,
    "scipy least_squares (trf), Jacobian": lambda: least_squares(
        lambda p: model(t, *p) - y, start, jac=lambda p: jacobian(t, *p)
    ).x,
}

for name, fit in WAYS.items():
    fit()
    samples = []
    for _ in range(7):
        before = time.process_time()
        for _ in range(100):
            found = fit()
        samples.append((time.process_time() - before) * 10)
    print(name, "|", *samples, "|", *(repr(float(value)) for value in found))
