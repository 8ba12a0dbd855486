"""Reference values for host/src/intervals/water.rs: `python water.py` (iapws 1.5.5, IAPWS-IF97 at 0.101325 MPa)."""
from iapws import IAPWS97

for t in list(range(0, 100, 10)) + [99]:
    w = IAPWS97(T=t + 273.15, P=0.101325)
    print(f"({t}, {w.rho:.3f}, {w.cp * 1000:.1f}),")
print("check:")
for t in (4, 15, 25, 37, 49, 65, 88):
    w = IAPWS97(T=t + 273.15, P=0.101325)
    print(f"({t}.0, {w.rho:.3f}, {w.cp * 1000:.1f}),")
