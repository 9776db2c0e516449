"""Draws random rows of numbers and prints each with NumPy's own percentiles and median of it, as JSON."""

import json

import numpy as np

PERCENTS = [0, 0.1, 2.5, 10, 25, 33.3, 50, 66.6, 75, 90, 95, 97.5, 99.9, 100]


def rows():
    random = np.random.default_rng(20)
    for length in [*range(1, 40), 100, 101, 1000, 4097]:
        yield random.normal(-20, 15, length)
        yield random.integers(-3, 4, length).astype(float)


def main():
    print(json.dumps([
        {
            "values": row.tolist(),
            "percents": PERCENTS,
            "percentiles": np.percentile(row, PERCENTS).tolist(),
            "median": float(np.median(row)),
        }
        for row in rows()
    ]))  # fmt: skip


if __name__ == "__main__":
    main()
