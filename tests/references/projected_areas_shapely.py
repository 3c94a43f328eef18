"""Reference values for the projected area of anchor groups.

Needs the package shapely; run `python projected_areas_shapely.py > projected_areas_shapely.txt` in this folder.
The areas come from general polygon union and intersection, a method independent of the slabs used in Soleplate.
One line a case: name; half side; x; y; active; normals; distances; area (m, rad, m2).
"""

import math
import random

from shapely import unary_union
from shapely.geometry import Polygon, box

REACH = 50.0  # m, far beyond every square


def half_plane(normal, distance):
    c, s = math.cos(normal), math.sin(normal)
    at = lambda u, t: (u * c - t * s, u * s + t * c)
    return Polygon([at(distance, -REACH), at(distance, REACH), at(distance - 2 * REACH, REACH), at(distance - 2 * REACH, -REACH)])


def area(half_side, x, y, active, normals, distances):
    squares = [box(a - half_side, b - half_side, a + half_side, b + half_side) for a, b, on in zip(x, y, active) if on]
    shape = unary_union(squares)
    for normal, distance in zip(normals, distances):
        shape = shape.intersection(half_plane(normal, distance))
    return shape.area


def grid(columns, rows, spacing_x, spacing_y):
    points = [(i * spacing_x, j * spacing_y) for j in range(rows) for i in range(columns)]
    return [p[0] for p in points], [p[1] for p in points]


def write(name, half_side, x, y, active, normals, distances):
    value = area(half_side, x, y, active, normals, distances)
    if value < 0.02 * half_side**2:  # a sliver says nothing about relative agreement
        return False
    numbers = lambda values: " ".join(repr(float(v)) for v in values)
    flags = " ".join("1" if on else "0" for on in active)
    print("; ".join([name, repr(half_side), numbers(x), numbers(y), flags, numbers(normals), numbers(distances), repr(value)]))
    return True


def layout(draw, kind):
    if kind == "grid":
        return grid(3, 3, draw.uniform(0.05, 0.4), draw.uniform(0.05, 0.4))
    if kind == "pair":
        return grid(2, 1, draw.uniform(0.05, 0.5), 1.0)
    if kind == "single":
        return [draw.uniform(-0.2, 0.2)], [draw.uniform(-0.2, 0.2)]
    number = draw.randint(3, 9)
    return [draw.uniform(-0.4, 0.4) for _ in range(number)], [draw.uniform(-0.4, 0.4) for _ in range(number)]


def outline(draw, kind):
    right, half, turn = math.pi / 2, math.pi, 2 * math.pi
    near = lambda: draw.uniform(0.05, 0.7)
    if kind == "open":
        return [], []
    if kind == "corner":
        return [half, -right], [draw.uniform(0.05, 0.2), draw.uniform(0.05, 0.2)]
    if kind == "skew":
        return [draw.uniform(0.0, turn)], [near()]
    if kind == "corner cut":
        return [half, -right, half + right / 2], [near() / 2, near() / 2, draw.uniform(0.05, 0.3)]
    if kind == "turned":
        start = draw.uniform(0.0, right)
        return [start + i * right for i in range(4)], [near() for _ in range(4)]
    if kind == "nearly parallel":
        return [draw.choice([0.0, right, half, -right]) + draw.uniform(-1e-3, 1e-3) for _ in range(3)], [near() for _ in range(3)]
    number = draw.randint(5, 8)
    start = draw.uniform(0.0, 1.0)
    return [start + i * turn / number for i in range(number)], [near() for _ in range(number)]


def main():
    draw = random.Random(19924)
    layouts = ["single", "pair", "grid", "irregular"]
    outlines = ["open", "corner", "skew", "corner cut", "turned", "nearly parallel", "many-sided"]
    for shape in layouts:
        for edge in outlines:
            written = 0
            while written < 4:
                x, y = layout(draw, shape)
                active = [draw.random() < 0.85 for _ in x]
                if not any(active):
                    continue
                normals, distances = outline(draw, edge)
                half_side = draw.uniform(0.06, 0.35)
                written += write(f"{shape}, {edge} {written + 1}", half_side, x, y, active, normals, distances)


main()
