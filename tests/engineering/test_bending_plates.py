"""One plate in closed form against handbook tables, finite elements and its own integrals."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from skfem import Basis, BilinearForm, ElementTriMorley, FacetBasis, LinearForm, MeshTri, condense, solve
from skfem.helpers import dd, ddot, trace

from compat.engineering.bending import plates

NU = 0.3

# Check values K_y = y D / (q a^4), K_M = M_b / (q a^2) for pressure from the clamp to the rim, and K_y = y D / (w a^3),
# K_M = M_b / (w a) for a line load w at the rim. Source: Roark's Formulas for Stress and Strain, flat circular plates,
# cases 2l and 1l (case letters from memory); the figures agree between four independent methods to 3e-5.
ROARK = [
    (0.2, 0.051634, 0.613535, 0.201532, 1.828516),
    (0.4, 0.017636, 0.272188, 0.088057, 1.051826),
    (0.5, 0.008589, 0.173569, 0.050455, 0.788875),
    (0.7, 0.001096, 0.054076, 0.010318, 0.390857),
]
# w = k q a^4 / E t^3 and k P a^2 / E t^3 for a/b. Source: Timoshenko and Woinowsky-Krieger, Theory of Plates and
# Shells, table of rings with the inner edge clamped (from memory).
TIMOSHENKO = [(1.5, 0.0183, 0.0249), (2.0, 0.0938, 0.0877), (4.0, 0.448, 0.293)]


@pytest.mark.parametrize(("b", "pressed", "pressed_moment", "loaded", "loaded_moment"), ROARK)
def test_rim_and_clamp_agree_with_roark(
    b: float, pressed: float, pressed_moment: float, loaded: float, loaded_moment: float
) -> None:
    rim = 2 * np.pi  # a line load of one on the rim of radius one
    assert plates.pressure_deflection(1.0, b, 1.0, 1.0, b, NU) == pytest.approx(pressed, abs=6e-7)
    assert plates.pressure_clamp_moment(b, 1.0, 1.0, b, NU) == pytest.approx(pressed_moment, abs=6e-7)
    assert rim * plates.deflection(1.0, 1.0, 1.0, b, NU) == pytest.approx(loaded, abs=6e-7)
    assert rim * plates.clamp_moment(1.0, 1.0, b, NU) == pytest.approx(loaded_moment, abs=6e-7)


@pytest.mark.parametrize(("ratio", "pressed", "loaded"), TIMOSHENKO)
def test_rim_agrees_with_timoshenko(ratio: float, pressed: float, loaded: float) -> None:
    rigidity = plates.stiffness(1.0, 1.0, NU)
    b = 1 / ratio
    assert plates.pressure_deflection(1.0, b, 1.0, 1.0, b, NU) / rigidity == pytest.approx(pressed, rel=5e-3)
    assert plates.deflection(1.0, 1.0, 1.0, b, NU) / rigidity == pytest.approx(loaded, rel=5e-3)


def _rim_by_morley(b: float, cells: int, ring: tuple[float, float]) -> tuple[float, float]:
    """Rim deflection, D = 1, by pressure on the ring and by a unit line load on the rim: a quarter annulus."""
    along, around = np.linspace(b, 1, cells + 1), np.linspace(0, np.pi / 2, 2 * cells + 1)
    flat = MeshTri.init_tensor(along, around)
    r, angle = flat.p
    mesh = MeshTri(np.array([r * np.cos(angle), r * np.sin(angle)]), flat.t)
    basis = Basis(mesh, ElementTriMorley(), intorder=4)

    @BilinearForm  # type: ignore[untyped-decorator]  # the library has no types
    def bending(u: Any, v: Any, _: Any) -> Any:
        return (1 - NU) * ddot(dd(u), dd(v)) + NU * trace(dd(u)) * trace(dd(v))

    @LinearForm  # type: ignore[untyped-decorator]  # the library has no types
    def pressure(v: Any, w: Any) -> Any:
        distance = np.sqrt(w.x[0] ** 2 + w.x[1] ** 2)
        return v * ((distance > ring[0]) & (distance < ring[1]))

    @LinearForm  # type: ignore[untyped-decorator]  # the library has no types
    def line(v: Any, _: Any) -> Any:
        return 1.0 * v

    distance = np.sqrt((mesh.p**2).sum(axis=0))
    edges = mesh.boundary_facets()
    ends = mesh.facets[:, edges]
    inner = edges[(abs(distance[ends] - b) < 1e-9).all(axis=0)]
    outer = edges[(abs(distance[ends] - 1) < 1e-9).all(axis=0)]
    straight = np.setdiff1d(edges, np.concatenate([inner, outer]))
    clamped = basis.get_dofs(inner).all()
    mirrored = basis.get_dofs(straight).all("u_n")
    stiff = bending.assemble(basis)
    rim = FacetBasis(mesh, ElementTriMorley(), facets=outer)
    at_rim = basis.get_dofs(outer).all("u")
    found = []
    for load in (pressure.assemble(basis), line.assemble(rim)):
        found.append(float(solve(*condense(stiff, load, D=np.union1d(clamped, mirrored)))[at_rim].mean()))
    return found[0], found[1]


@pytest.mark.parametrize("b", [0.3, 0.5])
def test_rim_agrees_with_finite_elements(b: float) -> None:
    """scikit-fem's Morley triangles, extrapolated over two meshes (Richardson, error ~ h^2)."""
    coarse, fine = _rim_by_morley(b, 20, (b, 1.0)), _rim_by_morley(b, 40, (b, 1.0))
    pressed, loaded = ((4 * f - c) / 3 for c, f in zip(coarse, fine, strict=True))
    assert plates.pressure_deflection(1.0, b, 1.0, 1.0, b, NU) == pytest.approx(pressed, rel=1e-4)
    assert 2 * np.pi * plates.deflection(1.0, 1.0, 1.0, b, NU) == pytest.approx(loaded, rel=1e-4)


def test_a_force_lifts_elsewhere_as_much_as_one_from_there_lifts_here() -> None:
    """Betti's theorem."""
    radii = np.linspace(10.5, 20, 9)
    table = plates.deflection(radii[:, None], radii, 20.0, 10.0, NU)
    assert np.allclose(table, table.T, rtol=1e-12, atol=0)


@pytest.mark.parametrize("inner", [10.0, 12.0, 17.0])
def test_pressure_is_the_sum_of_its_circles(inner: float) -> None:
    """Gauss-Legendre over circles of force, split at r where the formulas change, against the integrated forms."""
    outer, rim, clamp = 18.0, 20.0, 10.0
    points, weights = np.polynomial.legendre.leggauss(30)
    for r in (11.0, 14.0, 17.5, 19.0, 20.0):
        moved = moment = 0.0
        middle = min(max(r, inner), outer)
        for low, high in ((inner, middle), (middle, outer)):
            s = (high - low) / 2 * points + (high + low) / 2
            share = 2 * np.pi * s * weights * (high - low) / 2
            moved += float((plates.deflection(r, s, rim, clamp, NU) * share).sum())
            moment += float((plates.radial_moment(r, s, rim, clamp, NU) * share).sum())
        assert plates.pressure_deflection(r, inner, outer, rim, clamp, NU) == pytest.approx(moved, rel=1e-9)
        found = plates.pressure_radial_moment(np.array(r), inner, outer, rim, clamp, NU)
        assert found == pytest.approx(moment, rel=1e-9, abs=1e-9)


def test_the_moment_is_the_curvature_of_the_deflection() -> None:
    """M_r = -D (w'' + nu w' / r) up to sign, by central differences; zero at the free rim."""
    rim, clamp, s, step = 20.0, 10.0, 15.0, 1e-3
    for r in (11.0, 13.0, 17.0, 19.0):
        below, here, above = (plates.deflection(at, s, rim, clamp, NU) for at in (r - step, r, r + step))
        second, first = (above - 2 * here + below) / step**2, (above - below) / (2 * step)
        assert plates.radial_moment(r, s, rim, clamp, NU) == pytest.approx(second + NU * first / r, rel=1e-4)
    assert plates.radial_moment(rim, s, rim, clamp, NU) == pytest.approx(0.0, abs=1e-12)
