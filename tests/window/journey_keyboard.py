#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""The technician's sheet from the start page to the door, without touching the pointer once.

Keys alone: readings, parts, conductors, caps, nameplates, a finding's remedy, the meter's probes,
energizing, as-found readings, export and saving. The saved file is compared in content.

    journey_keyboard.py DOORSHEET
"""
import os
import re
import subprocess
import tempfile
import xml.etree.ElementTree as tree

import driver
import pyatspi

SPACE = "{urn:doorsheet:1}"


def no_pointer(*words):
    """Takes the place of driver.xdo: whatever touches the pointer fails the test."""
    assert not any(str(word).startswith(("mouse", "click")) for word in words), words
    subprocess.run(["xdotool", *[str(word) for word in words]], check=True)


def tab_to(window, name, role=None, key="Tab", most=150):
    """Tabs until what has this name has the focus."""
    node = window.find(name, role)
    for _ in range(most):
        if driver.has(node, pyatspi.STATE_FOCUSED):
            return
        window.key(key)
    driver.until(f"{key} to come to {name!r}", lambda: driver.has(node, pyatspi.STATE_FOCUSED), 2)


def measure(window):
    tab_to(window, "Place the supply")
    window.key("Return")
    tab_to(window, "L1 to L2", "text")
    for value in ("486", "484", "487", "281", "280", "280"):
        window.type(value + "\t")
    window.says(r"^480Y/277 V, 3-phase, grounded wye$")


def place(window, title, right, down, placed):
    """A part from the shelf; it comes in hand on the sheet and goes by arrows from there."""
    window.key("F3")
    tab_to(window, title, "push button", "Down")
    window.key("Return")
    window.says(rf"^{title} in hand")
    for steps, plus, minus in ((right, "Right", "Left"), (down, "Down", "Up")):
        key = plus if steps > 0 else minus
        far, near = divmod(abs(steps), 4)
        window.key(*["shift+" + key] * far, *[key] * near)
    window.key("Return")
    window.says(rf"placed as {placed}\.$|^Selected: {placed},")
    window.key("Escape")


def parts(window):
    for title, right, down, placed in (
            ("Disconnect", -24, -12, "DISC1"), ("Fuse", -10, -12, "FU1"), ("Fuse", -10, -4, "FU2"),
            ("Transformer", 6, -12, "T1"), ("Lamp", 28, -12, "LT1"), ("Ground lug", 14, 12, "GRD1"),
            ("Cap", -6, 10, "WC1"), ("Cap", -6, 16, "WC2")):
        place(window, title, right, down, placed)


def fill(window, device, *values):
    """Nameplate entries of a device, gone to by Tab."""
    window.select(device)
    window.key("alt+2", "F2")
    for title, text in values:
        tab_to(window, title, "text")
        window.key("ctrl+a")
        window.type(text)
        window.key("Return")


LANDINGS = (
    ("S1", "L1", "DISC1.L1"), ("S1", "L2", "DISC1.L2"), ("DISC1", "T1", "FU1.1"),
    ("DISC1", "T2", "FU2.1"), ("FU1", "2", "T1.H4"), ("FU2", "2", "T1.H1"),
    ("T1", "X2", "LT1.1"), ("T1", "X1", "LT1.2"), ("T1", "FRAME", "GRD1.1"),
    ("S1", "GND", "GRD1.1"), ("T1", "H3", "WC1.1"), ("T1", "H2", "WC2.1"))


def land(window):
    for device, terminal, target in LANDINGS:
        window.land_by_keyboard(device, terminal, target)


def splice(window):
    """Grounds the secondary: a conductor landed on another one, which puts a splice there."""
    window.select("GRD1")
    window.key("F6", "l")
    window.says(r"^Land from GRD1\.1,")
    window.key("Return")
    for _ in range(20):
        window.key("Page_Down")
        if re.search(r"T1\.X1.*LT1\.2", window.says(r"(?i)splice onto")):
            break
    window.key("Return")
    window.select("SP1", r"^Selected: SP1, Splice")


def number(window):
    """The lamp's conductor gets a wire number."""
    window.select("LT1")
    window.key("F6", "w")
    window.says(r"^Selected: .*T1\.X2 to LT1\.1")
    window.key("F2")
    tab_to(window, "Wire number", "text")
    window.key("ctrl+a")
    window.type("24A")
    window.key("Return")
    window.says(r"^Conductor 24A$")


def remedy(window):
    """The lamp's fuse is far too large: the finding's own button, by key."""
    fill(window, "FU1", ("Rating", "30"))
    window.key("alt+3")
    window.says(r"^\d+ (DANGER|WARNING|CAUTION)")
    window.key("F8")
    chosen = driver.until("a finding to be chosen", lambda: next(
        (node for node in window.walk() if node.getRoleName() == "list item" and driver.shown(node)
         and driver.has(node, pyatspi.STATE_FOCUSED)), None))
    assert re.match(r"^(DANGER|WARNING|CAUTION|NOTICE)\. ", chosen.name), chosen.name
    assert chosen.description, "a finding says nothing"
    for _ in range(12):
        if re.search("protection", driver.until("the focus", window.focused).name, re.I):
            break
        window.key("F8")
    window.key("ctrl+Return")
    window.says(r"Ctrl\+Z takes it back\.$")


def probe(window, key, name):
    window.key("F6", "Escape", key)
    window.says("probe in hand")
    window.key("Right")
    window.says("^Probe on ")
    window.type(name)
    window.says(rf"^Probe on {re.escape(name)},")
    window.key("Return")


def read(window):
    """Energizes, meters the lamp and types what was found beside what was expected."""
    window.key("F6", "F5")
    window.says("ENERGIZED$")
    probe(window, "1", "LT1.1")
    probe(window, "2", "LT1.2")
    shown = window.says(r"^2\d\.\d+ V$")
    window.key("alt+4", "F2")
    tab_to(window, "As measured, LT1.1 to LT1.2", "text")
    window.type(shown)
    window.key("Return")
    window.says(r"^1 of \d+ measured, 0 differ")
    return float(shown.split()[0])


def post(window, folder):
    window.key("alt+5", "F2")
    tab_to(window, "Equipment tag", "text")
    window.key("ctrl+a")
    window.type("GH-2")
    window.key("Return")
    window.key("ctrl+e")
    path = os.path.join(folder, "door.pdf")
    window.file_dialog(path)
    driver.until("the PDF", lambda: os.path.exists(path) and os.path.getsize(path) > 1000)
    with open(path, "rb") as file:
        assert file.read(5) == b"%PDF-"


def judge(program, path, shown):
    """The file holds what was typed, landed and found; the program finds nothing grave in it."""
    sheet = tree.parse(path).getroot()
    devices = {d.get("id"): d for d in sheet.iter(SPACE + "device")}
    assert sorted(devices) == sorted(["S1", "DISC1", "FU1", "FU2", "T1", "LT1", "GRD1", "SP1",
                                      "WC1", "WC2"]), sorted(devices)
    volts = {r.get("between"): r.get("value") for r in devices["S1"].iter(SPACE + "reading")}
    assert volts == {"L1 L2": "486 V", "L2 L3": "484 V", "L3 L1": "487 V", "L1 GND": "281 V",
                     "L2 GND": "280 V", "L3 GND": "280 V"}, volts
    landed = {(c.get("from"), c.get("to")) for c in sheet.iter(SPACE + "conductor")}
    wanted = {(f"{d}.{t}", target) for d, t, target in LANDINGS} - {("T1.X1", "LT1.2")}
    assert wanted < landed, wanted - landed
    # What the splice joins: the lead, the lamp and the ground.
    spliced = {end for pair in landed - wanted for end in pair if not end.startswith("SP1.")}
    assert len(landed - wanted) == 3 and spliced == {"T1.X1", "LT1.2", "GRD1.1"}, landed
    numbers = [c.get("number") for c in sheet.iter(SPACE + "conductor")
               if (c.get("from"), c.get("to")) == ("T1.X2", "LT1.1")]
    assert numbers == ["24A"], numbers
    assert devices["FU1"].get("rating") != "30 A", "the remedy has not reached the file"
    assert sheet.find(SPACE + "equipment").get("tag") == "GH-2"
    found = [(m.get("between"), m.get("value")) for m in sheet.iter(SPACE + "as-measured")]
    assert found == [("LT1.1 LT1.2", f"{shown:g} V")], found
    grave = [f["check"] for f in driver.findings(program, path)[0] if f["signal"] != "NOTICE"]
    assert grave == [], grave
    lamp = driver.readings(program, path)[("LT1.1", "LT1.2")]
    assert lamp["low"] <= shown <= lamp["high"], (lamp, shown)


def technician(window):
    folder = tempfile.mkdtemp()
    path = os.path.join(folder, "lamp.doorsheet")
    driver.xdo = no_pointer
    measure(window)
    parts(window)
    fill(window, "S1", ("Available fault current", "10 kA"))
    for fuse in ("FU1", "FU2"):
        fill(window, fuse, ("Rating", "0.4"), ("Interrupting rating", "200 kA"))
    fill(window, "T1", ("Regulation", "8"), ("No-load rise", "6 %"))
    fill(window, "LT1", ("Accepts", "22..28 V"), ("Power", "40"))
    land(window)
    splice(window)
    number(window)
    remedy(window)
    shown = read(window)
    post(window, folder)
    window.save(path)
    judge(window.program, path, shown)


driver.run(technician)
print("journey by keyboard: the sheet was built, proved, saved and judged; no pointer event")
