"""Steel side of a column base after EN 1993-1-8: numbers for the cases under tests/clauses/en-1993-1-8.

Run it with any Python 3; it needs nothing else and prints one line for each case.
It shares no formula text with the clauses and, where it can, takes another way: lines of weld are cut into many short
pieces, a base under moment is a search over which side lifts, its stiffness a system of two springs, a resistance the
load factor at which the first part is used up. Units are N and mm.
"""

from math import pi, sqrt


def weld_group(pieces, n, m_y, m_z, points):
    """Force on each unit of length at points (y, z, weight), by summing pieces (y0, z0, y1, z1, weight)."""
    steps = 4000
    length = i_y = i_z = 0.0
    for y0, z0, y1, z1, weight in pieces:
        piece = sqrt((y1 - y0) ** 2 + (z1 - z0) ** 2) / steps
        for k in range(steps):
            part = (k + 0.5) / steps
            y, z = y0 + part * (y1 - y0), z0 + part * (z1 - z0)
            length += weight * piece
            i_y += weight * piece * z * z
            i_z += weight * piece * y * y
    forces = [weight * (n / length + m_y * z / i_y + m_z * y / i_z) for y, z, weight in points]
    return length, i_y, i_z, forces


def lines_of_i(h, b, t_w, t_f, r, a_f, a_w, cut):
    """Weld lines of an I section, flanges with weight 1; `cut` throats are taken off at either end."""
    k = a_w / a_f
    lines = []
    for side in (-1, 1):
        half = b / 2 - cut * a_f
        lines.append((-half, side * h / 2, half, side * h / 2, 1.0))
        for hand in (-1, 1):
            lo, hi = t_w / 2 + r + cut * a_f, b / 2 - cut * a_f
            lines.append((hand * lo, side * (h / 2 - t_f), hand * hi, side * (h / 2 - t_f), 1.0))
        end = h / 2 - t_f - r - cut * a_w
        lines.append((side * t_w / 2, -end, side * t_w / 2, end, k))
    half, end = b / 2 - cut * a_f, h / 2 - t_f - r - cut * a_w
    points = [(half, h / 2, 1.0), (-half, h / 2, 1.0), (half, -h / 2, 1.0), (-half, -h / 2, 1.0)]
    points += [(t_w / 2, end, k), (-t_w / 2, end, k), (t_w / 2, -end, k), (-t_w / 2, -end, k)]
    return lines, points


def lines_of_rhs(h, b, r):
    lines = []
    for side in (-1, 1):
        lines.append((-(b / 2 - r), side * h / 2, b / 2 - r, side * h / 2, 1.0))
        lines.append((side * b / 2, -(h / 2 - r), side * b / 2, h / 2 - r, 1.0))
    y, z = b / 2 - r, h / 2 - r
    points = [(y, h / 2, 1.0), (-y, h / 2, 1.0), (y, -h / 2, 1.0), (-y, -h / 2, 1.0)]
    points += [(b / 2, z, 1.0), (-b / 2, z, 1.0), (b / 2, -z, 1.0), (-b / 2, -z, 1.0)]
    return lines, points


def fillet(q_n, q_t, q_l, a):
    """Normal and equivalent stress on a throat at 45 degrees, by the components of the force."""
    normal = (q_n + q_t) / sqrt(2) / a
    across = (q_n - q_t) / sqrt(2) / a
    along = q_l / a
    return normal, sqrt(normal**2 + 3 * across**2 + 3 * along**2)


def base(n, m, f_t, f_c, z_t, z_c):
    """Which sides lift, the forces on them (tension positive) and the ratio, by trying all four.

    Each of f_t, f_c, z_t, z_c is (left, right); m lifts the left side.
    """
    found = []
    for left in (True, False):
        for right in (True, False):
            z_l = z_t[0] if left else z_c[0]
            z_r = z_t[1] if right else z_c[1]
            # Moments about the right force give the left one; the sum gives the right one.
            f_l = (m + n * z_r) / (z_l + z_r)
            f_r = n - f_l
            if (f_l >= 0) == left and (f_r >= 0) == right or abs(f_l) < 1e-9 and (f_r >= 0) == right:
                ratio_l = f_l / f_t[0] if left else -f_l / f_c[0]
                ratio_r = f_r / f_t[1] if right else -f_r / f_c[1]
                found.append((left, right, f_l, f_r, ratio_l, ratio_r))
    return found


def resistance(n, m, *parts):
    """The moment at which the first side is used up when n and m grow together, by halving the load factor."""
    low, high = 0.0, 1000.0
    for _ in range(200):
        middle = (low + high) / 2
        used = min(max(way[4], way[5]) for way in base(middle * n, middle * m, *parts))
        low, high = (middle, high) if used < 1 else (low, middle)
    return low * m


def springs(n, m, k_l, k_r, z_l, z_r, modulus=210000.0):
    """Rotation of two springs: k_l (w + phi z_l) + k_r (w - phi z_r) = n / E, and the moments of both."""
    a11, a12 = k_l + k_r, k_l * z_l - k_r * z_r
    a21, a22 = k_l * z_l - k_r * z_r, k_l * z_l**2 + k_r * z_r**2
    determinant = a11 * a22 - a12 * a21
    return (a11 * m / modulus - a21 * n / modulus) / determinant


def curve(lambda_1, lambda_2):
    """alpha of Figure 6.11 by the formula of its curves."""

    def first(alpha):
        far = 1.25 / (alpha - 2.75)
        reach = alpha * far / 2
        near = max(1 - lambda_2 / reach, 0.0)
        return far + (1 - far) * near ** (0.185 * alpha**1.785)

    if lambda_1 > first(4.45):
        return 2.75 + 1.25 / lambda_1
    if lambda_1 < first(8.0):
        return 8.0
    low, high = 4.45, 8.0
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (middle, high) if first(middle) > lambda_1 else (low, middle)
    return low


def t_stub(l_1, l_2, l_np, m, n, t, f_y, f_t, d_w=0.0):
    """Modes 1, 2, 3 and 1-2 by the work of the yield lines and the balance of moments."""
    m_1, m_2, m_np = (l * t * t / 4 * f_y for l in (l_1, l_2, l_np))
    # A washer spreads the bolt's force over a quarter of its diameter to either side.
    e_w = d_w / 4
    mode_1 = (8 * n - 2 * e_w) * m_1 / (2 * m * n - e_w * (m + n))
    # Both yield lines turn by 1; the bolts go down by n as the weld goes down by m + n.
    mode_2 = (2 * m_2 + 2 * f_t * n) / (m + n)
    return mode_1, mode_2, 2 * f_t, 2 * m_np / m


def main():
    kilo = 1e3
    even = ((406.656e3,) * 2, (816.149e3,) * 2, (150, 150), (92.5, 92.5))
    uneven = ((300e3, 410e3), (800e3, 650e3), (140, 160), (90, 95))
    print("axial-and-moment.md: N, M; forces left and right, ratios left and right; M_j,Rd")
    loads = [(0, 50), (-200, 60), (-300, 80), (-500, 60), (-500, 30), (100, 40), (100, 10), (-400, -60)]
    turned = [(n, sign * m) for n, m in ((0, 40), (-200, 60), (-500, 30), (100, 40), (200, 20)) for sign in (1, -1)]
    for parts, cases in ((even, loads), (uneven, turned)):
        for n, m in cases:
            _, _, f_l, f_r, ratio_l, ratio_r = base(n * kilo, m * 1e6, *parts)[0]
            held = resistance(n * kilo, m * 1e6, *parts) / 1e6
            print(f"  {n} {m}: {f_l / kilo:.6f} {f_r / kilo:.6f}; {ratio_l:.8f} {ratio_r:.8f}; {held:.6f}")

    print("stiffness.md, unequal sides: N, M; S_j,ini in kNm")
    for n, m, k_l, k_r, z_l, z_r in (
        (-200, -60, 15, 3, 90, 160),
        (-500, 30, 15, 22, 90, 95),
        (200, 20, 2, 3, 140, 160),
        (100, 40, 2, 22, 140, 95),
        (0, -40, 15, 3, 90, 160),
    ):
        print(f"  {n} {m}: {m / springs(n * kilo, m * 1e6, k_l, k_r, z_l, z_r):.6f}")

    print("t-stub.md: modes 1, 2, 3 and 1-2 in kN")
    for t, f_t, d_w in ((15, 203.328, 0), (18, 101.664, 0), (40, 101.664, 0), (15, 203.328, 44)):
        modes = t_stub(150, 170, 180, 40, 50, t, 235, f_t * kilo, d_w)
        print(f"  t {t}, d_w {d_w}:", " ".join(f"{mode / kilo:.6f}" for mode in modes))

    print("effective-lengths-inside.md: m, m_2, e; alpha, alpha m, the report's length")
    for m, m_2, e in ((46, 40, 64), (60, 40, 80), (30, 30, 150), (80, 120, 20)):
        alpha = curve(m / (m + e), m_2 / (m + e))
        print(f"  {m} {m_2} {e}: {alpha:.8f} {alpha * m:.6f} {max(2 * alpha * m - 4 * m - 1.25 * e, alpha * m):.6f}")

    print("fillet-weld.md: normal and equivalent stress")
    for q_n, q_t, q_l, a in ((500, 200, 300, 5), (500, -200, 300, 5), (-500, 200, 300, 6)):
        print(f"  {q_n} {q_t} {q_l}, a {a}:", " ".join(f"{stress:.6f}" for stress in fillet(q_n, q_t, q_l, a)))

    print("weld-group-i.md and weld-group-rhs.md: length, second moments, force at each point")
    for a_f, a_w, cut in ((5, 5, 0), (6, 4, 0), (6, 4, 1)):
        lines, points = lines_of_i(200, 200, 9, 15, 18, a_f, a_w, cut)
        length, i_y, i_z, forces = weld_group(lines, -120e3, 15e6, 6e6, points)
        print(f"  I, {a_f} and {a_w}, {cut}: {length:.4f} {i_y:.1f} {i_z:.1f};", " ".join(f"{q:.5f}" for q in forces))
    lines, points = lines_of_rhs(200, 100, 12)
    length, i_y, i_z, forces = weld_group(lines, -60e3, 12e6, 5e6, points)
    print(f"  RHS: {length:.4f} {i_y:.1f} {i_z:.1f};", " ".join(f"{q:.5f}" for q in forces))


if __name__ == "__main__":
    main()
