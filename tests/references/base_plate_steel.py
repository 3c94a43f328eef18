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


if __name__ == "__main__":
    import base_plate_steel_cases

    base_plate_steel_cases.main()
