#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""The designer's add-on in the real window, by mouse and keyboard only: a nameplate is kept from a
sample and placed on a new sheet of another run of the program, a tap is landed anew, wires are
numbered by rule, an enclosure is drawn, a load is duplicated, the sheet is exported; then a fleet is
made of the saved file on the command line, and the file is compared in content.

    journey_designer.py DOORSHEET
"""
import csv
import os
import re
import shutil
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as tree

import driver
from driver import until

SOURCE = os.environ.get("DOORSHEET_SOURCE",
                        os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__)))))
FOLDER = tempfile.mkdtemp(prefix="doorsheet-designer-")
SAMPLE = os.path.join(SOURCE, "samples", "damper-480.doorsheet")
SHEET = os.path.join(FOLDER, "two-dampers.doorsheet")
PLATE = "Damper transformer"
TITLE = "Two dampers on one transformer"
SPACE = "{urn:doorsheet:1}"


def keep_nameplate(window):
    """On the sample: the transformer's nameplate goes on the shelf."""
    window.find_like(r"^Damper controller add-on")
    window.select("T1")
    window.key("ctrl+k")
    window.find("Keep", "push button")
    window.type(PLATE)  # over the proposal, which is selected
    window.key("Return")
    window.says(rf'^Nameplate "{PLATE}" is on the shelf now')
    window.find(PLATE, "push button")


def start(window):
    window.click_node("Place the supply", "push button")
    window.click_node("L1 to L2", "text")
    for value in ("486", "484", "487", "281", "280", "280"):
        window.type(value + "\t")
    window.says(r"^480Y/277 V, 3-phase, grounded wye$")
    window.calibrate()
    window.place("Disconnect", 60, 40, "DISC1")
    window.place("Fuse", 97.5, 40, "FU1")
    window.place("Fuse", 97.5, 62.5, "FU2")
    # From the shelf: found by typing, placed like any part.
    window.click_node("Find a part or nameplate")
    window.type("damper tr")
    window.gone("Fuse", "push button")
    window.click_node(PLATE, "push button")
    window.says(r"^Transformer in hand")
    window.click(150, 40)
    window.says(r"placed as T1\.$|^Selected: T1,")
    window.click_node("Find a part or nameplate")
    window.key("Escape")
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
    fill(window, "S1", [("Available fault current", "10k")])
    for fuse in ("FU1", "FU2"):
        fill(window, fuse, [("Rating", "0,4"), ("Interrupting rating", "200 ka")])
    fill(window, "LD1", [("Accepts", "22 to 28 v"), ("Power", "30 va"), ("Power factor", ".9")])


def land(window):
    for device, terminal, target in (
            ("S1", "L1", "DISC1.L1"), ("S1", "L2", "DISC1.L2"), ("DISC1", "T1", "FU1.1"),
            ("DISC1", "T2", "FU2.1"), ("FU1", "2", "T1.H3"), ("FU2", "2", "T1.H1"),
            ("T1", "X2", "LD1.1"), ("T1", "X1", "LD1.2"), ("T1", "FRAME", "GRD1.1"),
            ("S1", "GND", "GRD1.1"), ("T1", "H2", "WC2.1")):
        window.land_by_keyboard(device, terminal, target)


def land_tap_anew(window):
    """486 V are on the 240 V lead: the check says so, and the conductor's end is dragged over."""
    window.key("F8")
    window.says(r"^Lead marked too low for this supply$")
    h3 = window.terminal("T1.H3", 150, 47.5)
    h4 = window.terminal("T1.H4", 150, 40)
    window.key("F6", "Escape", "Escape")
    window.select("FU1")
    window.key("F6", "w", "w")  # its conductors in turn: the second one leads to the transformer
    window.says(r"conductor FU1\.2-T1\.H3|FU1\.2 to T1\.H3")
    ax, ay = window.pixel(*h3)
    bx, by = window.pixel(*h4)
    driver.xdo("mousemove", ax, ay, "mousedown", 1)
    for step in range(1, 6):
        driver.xdo("mousemove", ax + (bx - ax) * step // 5, ay + (by - ay) * step // 5)
    driver.xdo("mousemove", bx, by, "mouseup", 1)
    window.gone("Lead marked too low for this supply", "label")
    window.land_by_keyboard("T1", "H3", "WC1.1")


def duplicate(window):
    window.select("LD1")
    window.key("F6", "ctrl+d")
    window.says(r"^Selected: LD2,")
    window.key(*["shift+Down"] * 4)
    window.land_by_keyboard("LD1", "1", "LD2.1")
    window.land_by_keyboard("LD1", "2", "LD2.2")
    window.land_by_keyboard("LD2", "2", "GRD1.1")


def group(window):
    window.select("DISC1")
    window.key("F6", "x", "x", "x")
    window.says(r"4 devices")
    window.key("ctrl+g")
    window.says(r"^ENC1 is drawn round what was selected")


def menu(window, *path):
    """Goes down the window's menu by keyboard."""
    window.click_node("Menu")
    for name in path:
        item = window.find(name)
        for _ in range(30):
            if driver.has(item, driver.pyatspi.STATE_FOCUSED):
                break
            window.key("Down")
        else:
            raise AssertionError(f"the keyboard does not come to {name}")
        window.key("Return")


def number(window):
    menu(window, "Arrange", "Number all conductors")
    window.says(r"^Conductors are numbered as the sheet is read")


def export(window, keys, path):
    window.key(keys)
    window.file_dialog(path)
    until(path, lambda: os.path.exists(path) and os.path.getsize(path) > 1000)


def draw(window):
    start(window)
    nameplates(window)
    land(window)
    land_tap_anew(window)
    duplicate(window)
    group(window)
    number(window)
    window.click(120, 140)  # on paper: nothing is selected, for an enclosure has a title as well
    window.gone("Belongs to", "label")
    window.key("alt+5")
    window.type_into("Title", TITLE)
    window.save(SHEET)
    export(window, "ctrl+e", os.path.join(FOLDER, "two-dampers.pdf"))
    export(window, "ctrl+shift+e", os.path.join(FOLDER, "two-dampers.svg"))


# --- what came of it ---

def attributes(element, but=()):
    return {k: v for k, v in element.attrib.items() if k not in but}


def judge_file(program):
    sheet = tree.parse(SHEET).getroot()
    sample = tree.parse(SAMPLE).getroot()
    devices = {d.get("id"): d for d in sheet.iter(SPACE + "device")}
    theirs = next(d for d in sample.iter(SPACE + "device") if d.get("id") == "T1")
    place = ("x", "y", "turn", "mirror")
    assert sheet.get("title") == TITLE, sheet.attrib
    assert set(devices) == {"S1", "DISC1", "FU1", "FU2", "T1", "LD1", "LD2", "GRD1", "WC1", "WC2",
                            "ENC1"}, set(devices)
    # The nameplate came over whole: ratings, and lead by lead.
    assert attributes(devices["T1"], place) == attributes(theirs, place), devices["T1"].attrib
    assert [attributes(lead) for lead in devices["T1"]] == [attributes(lead) for lead in theirs]
    assert devices["FU1"].get("rating") == "0.4 A", devices["FU1"].attrib  # typed "0,4"
    assert devices["LD1"].get("accepts") == "22..28 V", devices["LD1"].attrib
    assert attributes(devices["LD2"], (*place, "id")) == attributes(devices["LD1"], (*place, "id"))
    landed = {frozenset((c.get("from"), c.get("to"))) for c in sheet.iter(SPACE + "conductor")}
    assert landed == {frozenset(pair.split()) for pair in (
        "S1.L1 DISC1.L1", "S1.L2 DISC1.L2", "DISC1.T1 FU1.1", "DISC1.T2 FU2.1", "FU1.2 T1.H4",
        "FU2.2 T1.H1", "T1.X2 LD1.1", "T1.X1 LD1.2", "T1.FRAME GRD1.1", "S1.GND GRD1.1",
        "T1.H2 WC2.1", "T1.H3 WC1.1", "LD1.1 LD2.1", "LD1.2 LD2.2", "LD2.2 GRD1.1")}, landed
    box = devices["ENC1"]
    left, top = float(box.get("x")), float(box.get("y"))
    right = left + float(box.get("width").split()[0])
    bottom = top + float(box.get("height").split()[0])
    for name in ("DISC1", "FU1", "FU2", "T1"):
        assert left < float(devices[name].get("x")) < right, name
        assert top < float(devices[name].get("y")) < bottom, name
    judge_numbers(sheet)
    found, status = driver.findings(program, SHEET)
    assert [f["check"] for f in found if f["signal"] != "NOTICE"] == [] and status == 0, found


def judge_numbers(sheet):
    """One number for each potential that is neither ground nor capped, in the sheet's order."""
    number = {}
    for conductor in sheet.iter(SPACE + "conductor"):
        number[(conductor.get("from"), conductor.get("to"))] = conductor.get("number")

    def of(a, b):
        return number.get((a, b), number.get((b, a)))
    line = [of("S1.L1", "DISC1.L1"), of("S1.L2", "DISC1.L2"), of("DISC1.T1", "FU1.1"),
            of("DISC1.T2", "FU2.1"), of("FU1.2", "T1.H4"), of("FU2.2", "T1.H1"),
            of("T1.X2", "LD1.1")]
    assert sorted(line) == [str(n) for n in range(101, 108)], line
    assert of("LD1.1", "LD2.1") == of("T1.X2", "LD1.1"), number


def judge_exports(program):
    pdf = os.path.join(FOLDER, "two-dampers.pdf")
    svg = os.path.join(FOLDER, "two-dampers.svg")
    with open(pdf, "rb") as file:
        assert file.read(5) == b"%PDF-"
    with open(svg, encoding="utf-8") as file:
        text = file.read()
    for word in (TITLE, "ENC1", "LD2", "FU1"):
        assert word in text, word
    if shutil.which("pdftotext"):
        printed = subprocess.run(["pdftotext", pdf, "-"], capture_output=True, text=True,
                                 check=True).stdout
        for word in (TITLE, "LD2", "FU1"):
            assert word in printed, word
    # The drawing carries the diagram: what it reads is what the file reads.
    assert driver.readings(program, svg) == driver.readings(program, SHEET)


def judge_fleet(program):
    units = os.path.join(SOURCE, "samples", "units.csv")
    folder = os.path.join(FOLDER, "fleet")
    subprocess.run([program, "sheet", SHEET, "--fleet", units, "-o", folder, "--quiet"], check=True)
    with open(units, newline="", encoding="utf-8") as file:
        tags = [row["tag"] for row in csv.DictReader(file)]
    with open(os.path.join(folder, "summary.csv"), newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert [row["unit"] for row in rows] == tags, rows
    assert all(row["sound"] == "yes" and row["error"] == "" for row in rows), rows
    made = [name for name in os.listdir(folder) if name.endswith(".pdf")]
    assert len(made) == len(tags), made
    for tag in tags:
        assert any(re.search(re.escape(tag), name) for name in made), (tag, made)


if sys.argv[2:] == ["keep"]:
    driver.run(keep_nameplate, SAMPLE)
    sys.exit(0)
# A process of its own: the accessibility library does not survive a program that has left.
subprocess.run([sys.executable, os.path.abspath(__file__), sys.argv[1], "keep"], check=True)
driver.run(draw)
judge_file(sys.argv[1])
judge_exports(sys.argv[1])
judge_fleet(sys.argv[1])
shutil.rmtree(FOLDER)
print("journey: the nameplate was reused, the sheet drawn, exported and made for a fleet")
