#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""The technician's first sheet in the real window, by mouse and keyboard only.

Drives the window with driver.py, then judges the saved file with the program's own command line.
Run it through under-display.sh --bus.

    journey.py DOORSHEET
"""
import os
import tempfile

import driver


def build(window):
    window.click_node("Place the supply", "push button")
    window.click_node("L1 to L2", "text")
    for value in ("486", "484", "487", "281", "280", "280"):
        window.type(value + "\t")
    window.says(r"^480Y/277 V, 3-phase, grounded wye$")
    window.calibrate()
    window.place("Disconnect", 60, 40, "DISC1")
    window.place("Fuse", 97.5, 40, "FU1")
    window.place("Fuse", 97.5, 60, "FU2")
    window.place("Transformer", 150, 40, "T1")
    window.place("Load", 220, 40, "LD1")
    window.place("Ground lug", 170, 95, "GRD1")
    window.place("Cap", 120, 85, "WC1")
    window.place("Cap", 120, 100, "WC2")


def fill(window, device, values):
    window.select(device)
    window.key("alt+2")
    for title, text in values:
        window.type_into(title, text)


def nameplates(window):
    fill(window, "S1", [("Available fault current", "10 kA")])
    for fuse in ("FU1", "FU2"):
        fill(window, fuse, [("Rating", "0.4"), ("Interrupting rating", "200 kA")])
    fill(window, "LD1", [("Accepts", "22..28 V"), ("Power", "40"), ("Power factor", "0.9")])
    fill(window, "T1", [("Regulation", "8"), ("No-load rise", "6 %")])


def land(window):
    # By mouse, from terminal to terminal, found by hovering.
    at = {}
    for name, x, y in (("S1.L1", 40, 40), ("S1.L2", 40, 50), ("DISC1.L1", 60, 40),
                       ("DISC1.L2", 60, 50), ("DISC1.T1", 80, 40), ("DISC1.T2", 80, 50),
                       ("FU1.1", 97.5, 40), ("FU2.1", 97.5, 60)):
        at[name] = window.terminal(name, x, y)
    for a, b in (("S1.L1", "DISC1.L1"), ("S1.L2", "DISC1.L2"), ("DISC1.T1", "FU1.1"),
                 ("DISC1.T2", "FU2.1")):
        window.drag(at[a], at[b])
    # By keyboard.
    for device, terminal, target in (
            ("FU1", "2", "T1.H4"), ("FU2", "2", "T1.H1"), ("T1", "X2", "LD1.1"),
            ("T1", "X1", "LD1.2"), ("T1", "FRAME", "GRD1.1"),
            ("S1", "GND", "GRD1.1"), ("T1", "H3", "WC1.1"), ("T1", "H2", "WC2.1")):
        window.land_by_keyboard(device, terminal, target)


def splice(window):
    """Grounds the secondary by letting go on its conductor, which puts a splice there."""
    ground = window.terminal("GRD1.1", 170, 95)
    x1 = window.terminal("T1.X1", 200, 47.5)
    window.terminal("LD1.2", 220, 50)
    window.drag(ground, (x1[0] + 7.5, x1[1]))
    window.select("SP1", r"^Selected: SP1, Splice")


def meter_shows(window):
    """What the meter says across the load when energized."""
    window.key("F6", "F5")
    window.says("ENERGIZED$")
    for key, name, x, y in (("1", "LD1.1", 220, 40), ("2", "LD1.2", 220, 50)):
        place = window.terminal(name, x, y)
        window.key("F6", key)
        window.says("probe in hand")
        window.click(*place)
    text = window.says(r"^2\d\.\d+ V$")
    return float(text.split()[0])


def judge(program, path, shown):
    found, status = driver.findings(program, path)
    grave = [f["check"] for f in found if f["signal"] != "NOTICE"]
    assert grave == [], grave
    assert status == 0, status
    expected = driver.readings(program, path)

    def volts(a, b):
        reading = expected[(a, b)]
        assert reading["state"] == "live", reading
        return reading["volts"]

    # The primary gets what the meter read; the unused 240 V lead stands at its share of it (a
    # transformer's taps divide as their turns, within its own drop).
    assert abs(volts("T1.H4", "T1.H1") - 486) < 1.5
    assert abs(volts("T1.H3", "T1.H1") - 486 * 240 / 480) < 0.02 * 243
    at_load = volts("LD1.1", "LD1.2")
    # Between rated volts and open volts of a 24 V winding fed 486 V on its 480 V lead.
    assert 24.0 < at_load < 24 * 486 / 480 * 1.06, at_load
    assert abs(at_load - shown) < 0.01 * at_load, (at_load, shown)


def technician(window):
    path = os.path.join(tempfile.mkdtemp(), "first.doorsheet")
    build(window)
    nameplates(window)
    land(window)
    splice(window)
    window.save(path)
    judge(window.program, path, meter_shows(window))


driver.run(technician)
print("journey: the sheet was built, saved and judged")
