#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""The instructor's lesson in the real window, by mouse and keyboard only: faults are marked on a
master, seen, judged, previewed, taken back and marked again, saved, and versions are dealt.
Each folder is then compared with what the command line deals from the saved file.

    journey_instructor.py DOORSHEET
"""
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time

import driver
from driver import until, xdo

SOURCE = os.environ.get("DOORSHEET_SOURCE",
                        os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__)))))
FOLDER = tempfile.mkdtemp(prefix="doorsheet-instructor-")
MASTER = os.path.join(FOLDER, "master.doorsheet")
MARKS = re.compile(r"^ *<expected-fault .*\n", re.M)


def read(path, mode="r"):
    with open(path, mode) as file:
        return file.read()


def make_master():
    """The lesson's sample with nothing marked yet."""
    text = read(os.path.join(SOURCE, "samples", "lesson-taps.doorsheet"))
    assert MARKS.search(text)
    with open(MASTER, "w") as file:
        file.write(MARKS.sub("", text))


def marks_in_file():
    return re.findall(r'<expected-fault fault="([^"]*)" at="([^"]*)"', read(MASTER))


def dark_at(picture, x, y):
    """Whether the pixel of a picture is dark: the flag's pennant is drawn in line ink."""
    said = subprocess.run(["convert", picture, "-crop", f"1x1+{x}+{y}", "-colorspace", "gray",
                           "-format", "%[fx:mean]", "info:"],
                          check=True, capture_output=True, text=True).stdout
    return float(said) < 0.5


def flag_seen(window, x, y):
    """A pennant stands above the place in the sheet's millimetres: dark where paper was."""
    px, py = window.pixel(x, y)
    picture = os.path.join(FOLDER, "flag.png")
    driver.screenshot(picture)
    # Along the upper edge of the pennant, above the number.
    return all(dark_at(picture, px + dx, py - 34) for dx in (2, 6, 10, 14, 18))


def mark_by_keyboard(window):
    """Finds the fuse by name, asks what can be done to it, narrows down, takes it with Enter."""
    window.select("FU3")
    window.key("F6", "k")
    window.says(r"^Mark a fault$")
    window.says(r"Shows: Load not fed")  # the list is there
    window.type("blown")
    until("one fault to be left", lambda: len(
        [n for n in window.walk() if n.getRoleName() == "list item" and driver.shown(n)
         and "Shows:" in (n.name or "")]) == 1)
    window.key("Return")
    window.says(r"^Marked as 1: ")
    window.says(r"^1 fault is marked\.$")


def mark_by_mouse(window):
    """Clicks the transformer on the sheet, then double-clicks a row of the list."""
    window.key("F6", "Escape", "Escape")
    window.click(150, 62)
    window.says(r"^Selected: T1,")
    row = until("the lead's row", lambda: next(
        (n for n in window.walk() if n.getRoleName() == "list item" and driver.shown(n)
         and "T1, H4" in (n.name or "")), None))
    for _ in range(40):
        x, y, _ = window.middle(row)
        if 290 < y < 480:
            break
        xdo("mousemove", 1090, 400, "click", 5 if y >= 480 else 4)
        time.sleep(0.1)
    xdo("mousemove", x, y, "click", "--repeat", 2, "--delay", 60, 1)
    window.says(r"^Marked as 2: ")
    window.says(r"^2 faults are marked\.$")


def look_at_flags(window):
    xdo("mousemove", 1100, 830)
    # FU3 stands at 202.5, 52.5 and is 20 mm wide. T1 stands at 132.5, 45; its leads lie below one
    # another there, H4 where the cap of its own lies.
    assert flag_seen(window, 212.5, 52.5), "no flag at FU3"
    assert flag_seen(window, 132.5, 52.5), "no flag at T1.H4"


def read_the_judgement(window):
    window.says(r"^✓ Fair by itself, ")
    window.says(r"^Fair, ")
    for title in ("Possible", "Expected", "Shows", "Unmasked", "Unique", "Findable"):
        window.says(rf"^{title}$")
    window.find_like(r"^Findable, met: ")


def preview(window):
    window.key("ctrl+shift+k")
    window.says(r"^PREVIEW: the marked faults are made")
    window.key("alt+3")  # the findings are the faulty diagram's
    window.says(r"^Load not fed$")
    # Nothing can be changed meanwhile.
    window.select("FU1")
    window.key("F6", "Delete")
    window.says(r"^This is a preview")
    window.click_node("End the preview", "push button")
    window.gone("End the preview", "push button")
    window.says(r"^Nothing found\.|^\d+ NOTICE$")
    window.key("alt+6")


def take_back_and_save(window):
    window.key("F6", "ctrl+z", "ctrl+z")
    window.says(r"^Nothing is marked\.")
    window.key("ctrl+shift+z", "ctrl+shift+z")
    window.says(r"^2 faults are marked\.$")
    assert marks_in_file() == []
    window.key("ctrl+s")
    until("the marks in the file",
          lambda: [fault for fault, _ in marks_in_file()][:1] == ["fuse-blown"])
    marked = marks_in_file()
    assert len(marked) == 2 and marked[0] == ("fuse-blown", "FU3"), marked
    assert marked[1][1] == "T1, H4", marked
    # Nothing else of the file is another.
    sample = read(os.path.join(SOURCE, "samples", "lesson-taps.doorsheet"))
    assert MARKS.sub("", read(MASTER)) == MARKS.sub("", sample)


def deal(window, folders):
    """First what is marked, then three versions of the whole catalogue."""
    window.key("ctrl+shift+d")
    window.find("Folder", "text")
    replace(window, "Seed", "7", "text")
    replace(window, "Versions", "2", "spin button")
    replace(window, "Folder", folders[0], "text")
    window.click_node("Deal", "push button")
    window.says(r"^2 versions are dealt \(", wait=120)
    source = until("where faults come from", lambda: next(
        (n for n in window.walk() if n.name == "Faults from" and n.getRoleName() != "label"
         and driver.shown(n)), None))
    x, y, _ = window.middle(source)
    xdo("mousemove", x, y, "click", 1)
    time.sleep(0.5)
    window.key("Down", "Return")
    replace(window, "Versions", "3", "spin button")
    replace(window, "Folder", folders[1], "text")
    window.click_node("Deal", "push button")
    window.says(r"^3 versions are dealt \(", wait=120)
    window.key("Escape")
    window.gone("Another seed", "push button")


def replace(window, name, text, role):
    x, y, _ = window.middle(until(f"{name} to fill in", lambda: next(
        (n for n in window.walk() if n.name == name and n.getRoleName() in (role, "text")
         and driver.shown(n)), None)))
    xdo("mousemove", x - 20, y, "click", 1)
    window.key("ctrl+a")
    window.type(text + "\t")


def tree(folder):
    found = {}
    for where, _, names in os.walk(folder):
        for name in names:
            path = os.path.join(where, name)
            found[os.path.relpath(path, folder)] = read(path, "rb")
    return found


def compare(program, into, versions, *words):
    there = into + "-by-command"
    subprocess.run([program, "quiz", MASTER, *words, "--versions", str(versions), "--seed", "7",
                    "-o", there], check=True)
    window, command = tree(into), tree(there)
    assert sorted(window) == sorted(command), (sorted(window), sorted(command))
    assert len(window) == versions * 4 + 2, sorted(window)
    different = [name for name in window if window[name] != command[name]]
    assert different == [], different


def lesson(window):
    window.says(r"^Lesson: reading taps$")
    window.calibrate()
    mark_by_keyboard(window)
    mark_by_mouse(window)
    look_at_flags(window)
    read_the_judgement(window)
    preview(window)
    take_back_and_save(window)
    folders = [os.path.join(FOLDER, name) for name in ("marked", "dealt")]
    deal(window, folders)
    compare(window.program, folders[0], 2, "--marked")
    compare(window.program, folders[1], 3)


make_master()
try:
    driver.run(lesson, MASTER)
finally:
    shutil.rmtree(FOLDER)
