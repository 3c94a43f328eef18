"""Areas under column bases in compression, by other means than the clauses take.

Run as `python3 tests/references/base_plate_compression.py`; needs nothing but Python.
It prints what the cases of tests/clauses/en-1993-1-8/compression-*.md compare with, in mm and mm².

- I, H and rectangular hollow sections: each plate of the section is widened by c on all sides, the rectangles are cut out
  of the base plate, and the cells of the grid of all their sides that lie in any of them are added up.
- Circular hollow sections: a polygon of 400 000 sides is cut out of the base plate and measured by the shoelace formula.

`even` stands for the same on a plate that is cut off alike on opposite sides of the column's axis.
"""

import math


def plate_about_column(size_x, size_y, x_c, y_c):
    """Limits of the plate, seen from the column's axis."""
    return (-size_x / 2 - x_c, size_x / 2 - x_c, -size_y / 2 - y_c, size_y / 2 - y_c)


def cut_evenly(plate):
    x, y = min(-plate[0], plate[1]), min(-plate[2], plate[3])
    return (-x, x, -y, y)


def i_section(h, b, t_w, t_f):
    """Two flanges and a web; the web along y."""
    return [
        (-b / 2, b / 2, h / 2 - t_f, h / 2),
        (-b / 2, b / 2, -h / 2, -h / 2 + t_f),
        (-t_w / 2, t_w / 2, -h / 2 + t_f, h / 2 - t_f),
    ]


def hollow_section(x, y, t):
    """Four walls of a section x by y."""
    return [
        (-x / 2, x / 2, y / 2 - t, y / 2),
        (-x / 2, x / 2, -y / 2, -y / 2 + t),
        (-x / 2, -x / 2 + t, -y / 2, y / 2),
        (x / 2 - t, x / 2, -y / 2, y / 2),
    ]


def union(plates, c, base):
    """Area and centroid of the union of the widened plates within the base plate."""
    cut = []
    for left, right, low, high in plates:
        left, right = max(left - c, base[0]), min(right + c, base[1])
        low, high = max(low - c, base[2]), min(high + c, base[3])
        if left < right and low < high:
            cut.append((left, right, low, high))
    xs = sorted({x for one in cut for x in one[:2]})
    ys = sorted({y for one in cut for y in one[2:]})
    area = about_y = about_x = 0.0
    for x_0, x_1 in zip(xs, xs[1:]):
        for y_0, y_1 in zip(ys, ys[1:]):
            if any(a <= x_0 and x_1 <= b and d <= y_0 and y_1 <= e for a, b, d, e in cut):
                cell = (x_1 - x_0) * (y_1 - y_0)
                area += cell
                about_y += cell * (x_0 + x_1) / 2
                about_x += cell * (y_0 + y_1) / 2
    return area, about_y / area, about_x / area


def clip(polygon, axis, limit, sign):
    """The part of a polygon on one side of a line along an axis."""
    out = []
    for i, point in enumerate(polygon):
        before = polygon[i - 1]
        inside, was_inside = (sign * (p[axis] - limit) <= 0 for p in (point, before))
        if inside != was_inside:
            share = (limit - before[axis]) / (point[axis] - before[axis])
            out.append(tuple(p + (q - p) * share for p, q in zip(before, point)))
        if inside:
            out.append(point)
    return out


def ring(diameter, t, c, base, sides=400_000):
    """Area of the ring about a circular wall within the base plate."""
    radius = diameter / 2 + c
    turn = 2 * math.pi / sides
    polygon = [(radius * math.cos(i * turn), radius * math.sin(i * turn)) for i in range(sides)]
    for axis, limit, sign in ((0, base[0], -1), (0, base[1], 1), (1, base[2], -1), (1, base[3], 1)):
        polygon = clip(polygon, axis, limit, sign)
    twice = sum(polygon[i - 1][0] * q[1] - q[0] * polygon[i - 1][1] for i, q in enumerate(polygon))
    return twice / 2 - math.pi / 4 * max(0.0, diameter - 2 * t - 2 * c) ** 2


def width(t_p, f_y, f_jd):
    return t_p * math.sqrt(f_y / (3 * f_jd))


HEB_100, HEB_200, HEB_240 = (100, 100, 6, 10), (200, 200, 9, 15), (240, 240, 10, 17)
IPE_300, HD_320X127 = (300, 150, 7.1, 10.7), (320, 300, 11.5, 20.5)

# Section, plate along the flanges and along the web, column's axis likewise, c.
I_SECTIONS = [
    ("HEB 200, nothing cut off", HEB_200, (340, 340), (0, 0), width(20, 235, 100 / 3)),
    ("HEB 200, yield strength of the product standard", HEB_200, (340, 340), (0, 0), width(20, 225, 100 / 3)),
    ("HEB 200, 0.85 for long-term effects", HEB_200, (340, 340), (0, 0), width(20, 235, 85 / 3)),
    ("HEB 100, strips that overlap", HEB_100, (220, 220), (0, 0), width(30, 235, 800 / 33)),
    ("HEB 240, the plate ends before the strips", HEB_240, (280, 280), (0, 0), width(25, 345, 40)),
    ("HEB 240 off the centre", HEB_240, (400, 400), (30, -40), width(25, 345, 50 / 3)),
    ("IPE 300 in a long plate", IPE_300, (220, 420), (0, 0), 40),
    ("IPE 300 near a side of the flanges", IPE_300, (260, 420), (50, 0), 40),
    ("IPE 300 near an end", IPE_300, (260, 420), (0, -55), 40),
    ("IPE 300, the web's strip cut too", IPE_300, (300, 500), (-75, 0), 80),
    ("IPE 300, plate narrower than the web's strip", IPE_300, (160, 700), (2, 0), 90),
    ("HEB 200, flange flush with the edge", HEB_200, (340, 340), (70, 0), 30),
    ("HD 320x127, published guide", HD_320X127, (600, 600), (0, 0), 92.829),
]

# Sizes in x and y, thickness, plate, column's axis, c.
HOLLOW = [
    ("200x100x8, nothing cut off", (200, 100, 8), (320, 220), (0, 0), width(20, 235, 50 / 3)),
    ("200x100x8, a hole remains", (200, 100, 8), (320, 220), (0, 0), 20),
    ("200x100x8, near an edge in x", (200, 100, 8), (320, 220), (45, 0), 30),
    ("200x100x8, near an edge in y", (200, 100, 8), (320, 220), (0, -45), 30),
    ("100x200x8, near a corner", (100, 200, 8), (220, 320), (-50, 50), 30),
    ("150x150x6, a plate hardly larger", (150, 150, 6), (170, 170), (0, 0), 30),
    ("200x100x8, the hole just closes", (200, 100, 8), (400, 300), (0, 0), 42),
]

# Diameter, thickness, plate, column's axis, c.
CIRCULAR = [
    ("168.3x8, nothing cut off", (168.3, 8), (300, 300), (0, 0), width(20, 235, 50 / 3)),
    ("88.9x5, the hole closes", (88.9, 5), (220, 220), (0, 0), width(25, 235, 40 / 3)),
    ("88.9x5, segments cut off", (88.9, 5), (200, 200), (0, 0), width(25, 235, 40 / 3)),
    ("168.3x8, near an edge in x", (168.3, 8), (300, 300), (60, 0), 43),
    ("168.3x8, near an edge in y", (168.3, 8), (300, 300), (0, -60), 43),
    ("168.3x8, near a corner inside the ring", (168.3, 8), (300, 300), (-60, 60), 43),
    ("168.3x8, near a corner outside the ring", (168.3, 8), (300, 300), (30, 30), 43),
    ("168.3x8, a plate hardly larger", (168.3, 8), (180, 170), (0, 0), 60),
    ("168.3x8, a plate narrow in y", (168.3, 8), (300, 200), (0, 0), 43),
]

if __name__ == "__main__":
    for make, cases in ((i_section, I_SECTIONS), (hollow_section, HOLLOW)):
        for title, section, size, axis, c in cases:
            base = plate_about_column(*size, *axis)
            area, x, y = union(make(*section), c, base)
            even, _, _ = union(make(*section), c, cut_evenly(base))
            print(f"{title}: c {c:.4f}, area {area:.2f}, centroid ({x:.3f}, {y:.3f}), even {even:.2f}")
    for title, section, size, axis, c in CIRCULAR:
        base = plate_about_column(*size, *axis)
        print(f"{title}: c {c:.4f}, area {ring(*section, c, base):.6f}, even {ring(*section, c, cut_evenly(base)):.6f}")
