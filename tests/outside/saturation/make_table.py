"""Makes library/tables/saturation.yaml with CoolProp: `python -m tests.outside.saturation.make_table`.

A table, because importing CoolProp takes seconds and a verdict is wanted in a moment. CoolProp stays the
check on it: test_saturation.py compares every row and what is read between the rows.
"""

from __future__ import annotations

from pathlib import Path

PSI = 6894.757293168
FIRST, LAST, STEP = -40, 160, 5  # degF
FILE = Path(__file__).parents[3] / "wirecheck" / "library" / "tables" / "saturation.yaml"

# Name -> what CoolProp calls it. R454B: 68.9 / 31.1 % by mass as mole fractions (facts of the trade, 8.0.0).
FLUIDS = {
    "R12": "R12",
    "R22": "R22",
    "R32": "R32",
    "R123": "R123",
    "R134a": "R134a",
    "R290": "R290",
    "R404A": "R404A",
    "R407A": "R407A.mix",
    "R407C": "R407C",
    "R407F": "R407F.mix",
    "R410A": "R410A",
    "R422D": "R422D.mix",
    "R448A": "R448A.mix",
    "R449A": "R449A.mix",
    "R452B": "R452B.mix",
    "R454B": "HEOS::R32[0.82925]&R1234yf[0.17075]",
    "R502": "R502.mix",
    "R507A": "R507A",
    "R513A": "R513A.mix",
    "R600a": "R600a",
    "R717": "R717",
    "R744": "R744",
    "R1234yf": "R1234yf",
    "R1234ze(E)": "R1234ze(E)",
}
ALSO = {
    "R290": ["propane"],
    "R600a": ["isobutane"],
    "R717": ["ammonia"],
    "R744": ["CO2"],
    "R1234ze(E)": ["R1234ze"],
}
HEAD = """\
# Saturation pressures, psia, at every {step} degF from {first} degF on: bubble, and dew where it differs.
# Computed with CoolProp {version} (Bell and others, Ind. Eng. Chem. Res. 53 (2014) 2498) by
# tests/outside/saturation/make_table.py; a row ends where CoolProp finds no equilibrium.
# Compared with published tables in tests/outside/saturation. R454B: 68.9 / 31.1 % R32 / R1234yf by mass,
# within 2 %.
source: CoolProp {version}
first_degf: {first}
step_degf: {step}
refrigerants:
"""


def kelvin(degf: float) -> float:
    return (degf + 459.67) * 5 / 9


def psia(fluid: str, degf: float, quality: int) -> float | None:
    """Saturation pressure by CoolProp; None where there is none. quality: 0 bubble, 1 dew."""
    from CoolProp.CoolProp import PropsSI

    try:
        return float(PropsSI("P", "T", kelvin(degf), "Q", quality, fluid)) / PSI
    except ValueError:
        return None


def row(fluid: str, quality: int) -> list[str]:
    """The pressures from the first temperature to the last that has one."""
    found = []
    for degf in range(FIRST, LAST + 1, STEP):
        p = psia(fluid, degf, quality)
        if p is None:
            break
        found.append(f"{p:.3f}")
    return found


def table() -> str:
    """The whole file."""
    from CoolProp import __version__

    text = HEAD.format(version=__version__, first=FIRST, step=STEP)
    for name, fluid in FLUIDS.items():
        bubble, dew = row(fluid, 0), row(fluid, 1)
        count = min(len(bubble), len(dew))
        also = f"    also: [{', '.join(ALSO[name])}]\n" if name in ALSO else ""
        text += f"  {name}:\n{also}{listed('bubble', bubble[:count])}"
        if bubble[:count] != dew[:count]:
            text += listed("dew", dew[:count])
    return text


def listed(key: str, figures: list[str]) -> str:
    """One list, eleven figures to a line."""
    lines = [", ".join(figures[k : k + 11]) for k in range(0, len(figures), 11)]
    return f"    {key}:\n      [{(',' + chr(10) + '       ').join(lines)}]\n"


if __name__ == "__main__":
    FILE.write_text(table(), encoding="utf-8")
