"""Tension in the fasteners of a stiff plate that lifts off, for any layout.

The forces are a plane over the plate. Its three numbers follow from the sum of the forces and the two moments about the
centroid, here by the least-norm solution of numpy, which also holds for fasteners in one line.

Made with numpy 2; prints kN:

    square   [28.65428065 22.48805768 25.04859515 18.80906652]
    triangle [ 6.96428571 12.32142857 10.71428571]
    line     [1.5 4.  6.5]
    pair     [3.5 6.5]
"""

import numpy as np


def forces(places, force, moment_x, moment_y):
    """Places in mm, force in kN, moments in kN·mm: forces in kN."""
    places = np.array(places, float)
    plane = np.column_stack([np.ones(len(places)), places - places.mean(0)])
    numbers, *_ = np.linalg.lstsq(plane.T @ plane, np.array([force, moment_y, moment_x]), rcond=1e-12)
    return plane @ numbers


cos, sin = np.cos(np.pi / 6), np.sin(np.pi / 6)
print("square  ", forces([(-127, -124), (126.5, -126), (-123.5, 126.5), (133, 124.5)], 95, -900, -1600))
print("triangle", forces([(0, 0), (120, 40), (30, 150)], 30, 200, 300))
print("line    ", forces([(-80 * cos, -80 * sin), (0, 0), (80 * cos, 80 * sin)], 12, 400 * sin, 400 * cos))
print("pair    ", forces([(-60, -80), (60, 80)], 10, 240, 180))
