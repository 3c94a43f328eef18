"""Writes random_sample.txt: which anchors a seed draws, by the SHA-256 of Python's hashlib.

    python3 tests/references/random_sample.py

Each line: the seed, how many are drawn, the labels drawn from, a bar, and those that are drawn in the order of the labels.
The rule is that of sheets/LANGUAGE.md: every label is ranked by the SHA-256 of seed, space and label, and the least are
drawn. `sha256sum` gives the same digests: `printf '%s' '20261105 B3 A7' | sha256sum`.
"""

from hashlib import sha256
from pathlib import Path


def draw(seed, labels, n):
    ranked = sorted(labels, key=lambda label: sha256(f"{seed} {label}".encode()).hexdigest())
    chosen = set(ranked[:n])
    return [label for label in labels if label in chosen]


ANCHORS = [f"A{i}" for i in range(1, 13)]
PAIRS = {
    "all": [f"B{b} A{a}" for b in range(1, 9) for a in range(1, 13)],
    "odd": [f"B{b} A{a}" for b in range(1, 9, 2) for a in range(1, 13)],
    "even": [f"B{b} A{a}" for b in range(2, 9, 2) for a in range(1, 13)],
}

lines = []
for seed, labels, n in [
    (1, ANCHORS, 0),
    (1, ANCHORS, 3),
    (1, ANCHORS, 4),
    (0, ANCHORS, 3),
    (9007199254740991, ANCHORS, 3),
    (7, ANCHORS, 12),
    (7, ["Anker-1", "Anker-2", "β3", "4", "5"], 2),
    (20261105, PAIRS["all"], 3),
    (20261105, PAIRS["all"], 6),
    (20261105, PAIRS["odd"], 3),
    (20261105, PAIRS["even"], 3),
]:
    lines.append(f"{seed}; {n}; {', '.join(labels)} | {', '.join(draw(seed, labels, n))}")
Path(__file__).with_suffix(".txt").write_text("\n".join(lines) + "\n")
