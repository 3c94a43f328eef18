"""Ratios of every failure mode of whole groups, from the formulas of EN 1992-4 alone.

It shares nothing with the sheets: areas are counted on a grid of all corner coordinates, forces follow from statics.
For each case it prints the ratios that `tests/clauses/en-1992-4/*-group.md` expect, and the mode that governs.
Units: N, mm, N/mm².
"""

from math import atan2, cos, hypot, pi, sin, sqrt

FAR = 5000.0


def union(points, half, limits):
    """Area of squares about points, cut at (west, east, south, north)."""
    west, east, south, north = limits
    xs = sorted({min(max(x + s * half, west), east) for x, _ in points for s in (-1, 1)})
    ys = sorted({min(max(y + s * half, south), north) for _, y in points for s in (-1, 1)})
    area = 0.0
    for x0, x1 in zip(xs, xs[1:]):
        for y0, y1 in zip(ys, ys[1:]):
            x, y = (x0 + x1) / 2, (y0 + y1) / 2
            if any(abs(x - a) < half and abs(y - b) < half for a, b in points):
                area += (x1 - x0) * (y1 - y0)
    return area


class Group:
    def __init__(self, **values):
        self.__dict__.update(values)
        self.points = [(-self.s_x / 2, -self.s_y / 2), (self.s_x / 2, -self.s_y / 2),
                       (-self.s_x / 2, self.s_y / 2), (self.s_x / 2, self.s_y / 2)]
        self.c_1 = self.east - self.s_x / 2
        self.limits = (-1e9, self.east, -1e9, 1e9)

    def factors(self, half, e_x, e_y):
        """A/A0 · psi_s · psi_ec, bars far apart."""
        area = union(self.points, half, self.limits) / (2 * half) ** 2
        psi_s = min(1.0, 0.7 + 0.3 * self.c_1 / half)
        return area * psi_s / (1 + e_x / half) / (1 + e_y / half)

    def cone(self, e_x=0.0, e_y=0.0):
        single = self.k_cr * sqrt(self.f_ck) * self.h_ef**1.5
        return single, single * self.factors(1.5 * self.h_ef, e_x, e_y)

    def bond(self, e_x=0.0, e_y=0.0):
        single = self.tau * pi * self.d * self.h_ef
        s_cr = min(7.3 * self.d * sqrt(self.tau_ucr), 3 * self.h_ef)
        tau_c = 7.7 / (pi * self.d) * sqrt(self.h_ef * self.f_ck)
        psi_0 = max(1.0, 2.0 - (self.tau / tau_c) ** 1.5)
        s = max(self.s_x, self.s_y)
        psi_g = max(1.0, psi_0 - sqrt(s / s_cr) * (psi_0 - 1.0))
        return single, single * psi_g * self.factors(s_cr / 2, e_x, e_y), s_cr / 2

    def tension(self, found):
        n = [self.N / 4 + self.M_y * x / (4 * (self.s_x / 2) ** 2) for x, _ in self.points]
        self.n = n
        if self.N <= 0:
            return []
        total, most = sum(n), max(n)
        e_x = abs(sum(f * x for f, (x, _) in zip(n, self.points)) / total)
        gamma = 1.5
        single, group = self.cone(e_x)
        found["steel in tension"] = most / (self.N_Rk_s / 1.5)
        found["concrete cone"] = total / (group / gamma)
        ratios = [found["concrete cone"]]
        if self.kind == "mechanical":
            pull_out = self.N_Rk_p * 1.12
            found["pull-out"] = most / (pull_out / gamma)
            ratios.append(found["pull-out"])
        elif self.kind == "bonded":
            pull_out, resistance, _ = self.bond(e_x)
            found["combined pull-out and concrete"] = total / (resistance / gamma)
            ratios.append(found["combined pull-out and concrete"])
        else:
            d_h = min(self.d_h, 6 * self.t_h + self.d)
            area = pi / 4 * (d_h**2 - self.d**2)
            pull_out = 7.5 * area * self.f_ck
            found["pull-out of a head"] = most / (pull_out / gamma)
            ratios.append(found["pull-out of a head"])
            if self.c_1 <= 0.5 * self.h_ef:
                row = [f for f, (x, _) in zip(n, self.points) if x > 0]
                single_b = 8.7 * self.c_1 * sqrt(area) * sqrt(self.f_ck)
                s_2 = min(self.s_y, 4 * self.c_1)
                face = (4 * self.c_1 + s_2) * (2 * self.c_1 + min(self.f, 2 * self.c_1)) / (4 * self.c_1) ** 2
                psi_g = max(1.0, sqrt(2) + (1 - sqrt(2)) * s_2 / (4 * self.c_1))
                found["blow-out"] = sum(row) / (single_b * face * psi_g / gamma)
                ratios.append(found["blow-out"])
        if self.c_1 < 1.2 * self.c_cr_sp and not self.cracks_limited:
            psi_h = min((self.h / self.h_min) ** (2 / 3), min((2 * self.h_ef / self.h_min) ** (2 / 3), 2.0))
            resistance = min(single, pull_out) * self.factors(self.c_cr_sp, e_x, 0.0) * psi_h
            found["splitting"] = total / (resistance / gamma)
            ratios.append(found["splitting"])
        return ratios

    def shear(self, found):
        polar = sum(x * x + y * y for x, y in self.points)
        v = [(self.V_x / 4 - self.T * y / polar, self.V_y / 4 + self.T * x / polar) for x, y in self.points]
        most = max(hypot(*one) for one in v)
        self.v = [hypot(*one) for one in v]
        if most == 0:
            return []
        if self.t_stand > 0:
            arm = 0.5 * self.d + self.t_stand + self.t_fix / 2
            left = [1 - max(f, 0) / (self.N_Rk_s / 1.5) for f in self.n]
            found["steel in shear with lever arm"] = max(
                one / (self.M0 * k / arm / 1.25) for one, k in zip(self.v, left))
        else:
            found["steel in shear"] = most / (self.V0 / 1.25)
        ratios = []
        v_x, v_y = sum(x for x, _ in v), sum(y for _, y in v)
        total = hypot(v_x, v_y)
        if self.T == 0:
            resistance = self.cone()[1]
            if self.kind == "bonded":
                resistance = min(resistance, self.bond()[1])
            found["pry-out"] = total / (self.k_8 * resistance / 1.5)
            ratios.append(found["pry-out"])
        else:
            assert total < 1e-6, "only pure twisting here"

            def alone(single, half):
                x, y = min(half, self.s_x / 2), min(half, self.s_y / 2)
                c = min(self.c_1, half, self.s_x / 2, self.s_y / 2)
                return single * (half + x) * (half + y) / (2 * half) ** 2 * min(1.0, 0.7 + 0.3 * c / half)

            resistance = alone(self.cone()[0], 1.5 * self.h_ef)
            if self.kind == "bonded":
                single, _, half = self.bond()
                resistance = min(resistance, alone(single, half))
            found["pry-out of a single fastener"] = most / (self.k_8 * resistance / 1.5)
            ratios.append(found["pry-out of a single fastener"])
        if self.c_1 < max(10 * self.h_ef, 60 * self.d):
            # The front row takes the whole shear.
            l_f = min(self.h_ef, 12 * self.d)
            single = (1.7 * self.d ** (0.1 * sqrt(l_f / self.c_1)) * l_f ** (0.1 * (self.d / self.c_1) ** 0.2)
                      * sqrt(self.f_ck) * self.c_1**1.5)
            depth = min(1.5 * self.c_1, self.h)
            area = (min(self.s_y, 3 * self.c_1) + 3 * self.c_1) * depth / (4.5 * self.c_1**2)
            psi_h = max(1.0, sqrt(1.5 * self.c_1 / self.h))
            alpha = atan2(abs(self.V_y), self.V_x)
            psi_alpha = sqrt(1 / (cos(alpha) ** 2 + (0.5 * sin(alpha)) ** 2))
            found["concrete edge"] = hypot(self.V_x, self.V_y) / (single * area * psi_h * psi_alpha / 1.5)
            ratios.append(found["concrete edge"])
        return ratios

    def ratios(self):
        found = {}
        beta_n = self.tension(found)
        beta_v = self.shear(found)
        if beta_n and beta_v:
            if self.t_stand == 0:
                found["tension and shear, steel"] = max(
                    (max(f, 0) / (self.N_Rk_s / 1.5)) ** 2 + (v / (self.V0 / 1.25)) ** 2
                    for f, v in zip(self.n, self.v))
            found["tension and shear, other than steel"] = max(beta_n) ** 1.5 + max(beta_v) ** 1.5
        return found


BASE = dict(s_x=150.0, s_y=150.0, east=195.0, N=18e3, M_y=0.0, V_x=0.0, V_y=0.0, T=0.0, f_ck=25.0, h=200.0, h_ef=70.0,
            h_min=120.0, c_min=75.0, c_cr_sp=125.0, cracks_limited=False, d=12.0, N_Rk_s=44e3, V0=26e3, M0=66e3, k_cr=7.7,
            k_8=2.0, t_fix=15.0, t_stand=0.0, N_Rk_p=12e3, tau=6.0, tau_ucr=11.0, d_h=24.0, t_h=8.0, f=130.0)

DEEP = dict(east=FAR, h_ef=200.0, h=400.0, f=200.0)
PULLED = dict(mechanical=dict(DEEP, N_Rk_p=60e3), bonded=dict(DEEP, tau=15.0), headed=dict(DEEP, d_h=40.0))


def cases(kind):
    deep = PULLED[kind]
    yield "steel in tension", dict(deep, N=40e3, N_Rk_s=20e3)
    if kind == "mechanical":
        yield "pull-out", dict(east=FAR, h_ef=120.0, N=16e3, N_Rk_p=8e3)
        yield "concrete cone", dict(east=FAR, s_x=80.0, s_y=90.0, N=20e3, N_Rk_p=30e3)
    elif kind == "bonded":
        yield "combined pull-out and concrete", dict(east=FAR, h_ef=140.0, N=40e3)
        yield "concrete cone", dict(east=FAR, s_x=80.0, s_y=90.0, N=20e3, tau=18.0, tau_ucr=20.0)
    else:
        yield "pull-out of a head", dict(east=FAR, h_ef=120.0, f=80.0, N=24e3, d_h=16.0)
        yield "concrete cone", dict(east=FAR, s_x=80.0, s_y=90.0, N=20e3)
        yield "blow-out", dict(east=115.0, h_ef=400.0, h=600.0, f=200.0, c_min=40.0, N=60e3, cracks_limited=True)
    yield "splitting", dict(M_y=180e3)
    yield "steel in shear", dict(deep, N=0.0, V_x=40e3, V_y=20e3)
    yield "steel in shear with lever arm", dict(deep, N=0.0, V_x=2e3, t_stand=40.0)
    yield "concrete edge", dict(N=0.0, V_x=12e3, V_y=4e3)
    yield "pry-out", dict(east=FAR, N=0.0, V_x=20e3, h_ef=50.0, f=150.0, k_8=1.0)
    yield "pry-out of a single fastener", dict(east=FAR, N=0.0, T=3e6, h_ef=50.0, f=150.0, k_8=1.0)
    yield "tension and shear, steel", dict(deep, N=84e3, V_x=56e3)
    yield "tension and shear, other than steel", dict(M_y=180e3, V_x=6.5e3)


if __name__ == "__main__":
    for kind in ("mechanical", "bonded", "headed"):
        for mode, changes in cases(kind):
            found = Group(kind=kind, **dict(BASE, **changes)).ratios()
            first = max(found, key=found.get)
            assert first == mode, (kind, mode, found)
            print(f"{kind} group: {mode}")
            for name, ratio in found.items():
                print(f"    {name}  {ratio:.9f}")
