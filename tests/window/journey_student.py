#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""The student's exercise in the real window, measured and answered by keyboard alone, mended and
handed in by mouse. The result file is then graded by the command line, and the way out of the
window is looked over: what a meter did not show is said nowhere.

    journey_student.py DOORSHEET
"""
import csv
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time

import driver
from driver import until

SOURCE = os.environ.get("DOORSHEET_SOURCE",
                        os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__)))))
FOLDER = tempfile.mkdtemp(prefix="doorsheet-student-")
MASTER = os.path.join(FOLDER, "master.doorsheet")
RESULTS = os.path.join(FOLDER, "results")
RESULT = os.path.join(RESULTS, "jo.doorsheet-result")


def deal():
    """A fuse far too small: power opens it. The exercise's file."""
    with open(os.path.join(SOURCE, "samples", "pump-208.doorsheet")) as file:
        text = file.read()
    mark = '  <expected-fault fault="fuse-too-small" at="FU1"/>\n</doorsheet>'
    with open(MASTER, "w") as file:
        file.write(text.replace("</doorsheet>", mark))
    subprocess.run([sys.argv[1], "quiz", MASTER, "--marked", "-o", os.path.join(FOLDER, "set")],
                   check=True, stdout=subprocess.DEVNULL)
    os.mkdir(RESULTS)
    return os.path.join(FOLDER, "set", "student", "version-01.doorsheet")


# --- by keyboard ---

# From a device's first terminal to this one by arrows.
STEPS = {"L2": "Down", "2": "Right"}


def probe(window, colour, device, terminal):
    """Finds the device, takes a probe and puts it on the terminal."""
    window.select(device)
    window.key("F6", {"red": "1", "black": "2"}[colour])
    window.says(r"[Pp]robe")
    window.key("Return")
    window.says(rf"^Probe on {device}\.")
    if terminal in STEPS:
        window.key(STEPS[terminal])
    window.says(rf"^Probe on {device}\.{terminal},", 60)
    window.key("Return")


def logged(window, pattern):
    """How many lines of the log match."""
    return sum(1 for node in window.walk() if re.search(pattern, node.name or ""))


def measure(window, red, black, shows):
    """Both probes, and the line more that the log gets once the reading has stood."""
    line = rf"^\d+\. .*{re.escape(red)} to {re.escape(black)}: {shows}$"
    before = logged(window, line)
    probe(window, "red", *red.split("."))
    probe(window, "black", *black.split("."))
    until(f"a line of {red} to {black}", lambda: logged(window, line) > before)


def tab_to(window, wanted):
    """Tabs on until the wanted widget, or one in it, has the focus."""
    for _ in range(60):
        node = window.focused()
        for up in (node, node and node.parent):
            if up is not None and re.search(wanted, up.name or ""):
                return node
        window.key("Tab")
        time.sleep(0.05)
    raise AssertionError(f"{wanted} is not reached by Tab")


def choose(window, wanted, title):
    """Opens the list that Tab reaches and goes down to the title."""
    tab_to(window, wanted)
    window.key("space")
    time.sleep(0.3)
    for _ in range(30):
        node = window.focused()
        if node is not None and any(re.search(title, n.name or "") for n in driver.walk(node)):
            window.key("Return")
            time.sleep(0.3)
            return
        window.key("Down")
        time.sleep(0.1)
    raise AssertionError(f"{title} is not in the list")


def measure_by_keyboard(window):
    window.says(r"^Exercise 1")
    window.says(r"The fuse blows every time power comes on\.")
    window.says(r"^Nothing yet\. Lock out, measure, then touch\.$")
    measure(window, "S1.L1", "S1.L2", r"\d{3}(\.\d)? V")  # the meter on a live source
    measure(window, "FU1.1", "FU2.1", r"0 V")


def energize_and_see(window):
    window.key("F5")
    window.says(r"^This costs 10 points\.$")
    window.says(r"FU1 opens|FU1")
    window.key("F5")


def verify_again(window):
    """Power was on in between: what was dead has been live since."""
    measure(window, "FU1.2", "FU2.1", r"0 V")
    measure(window, "FU1.1", "FU2.1", r"0 V")
    measure(window, "S1.L1", "S1.L2", r"\d{3}(\.\d)? V")


def answer_by_keyboard(window):
    window.select("FU1")
    window.key("F2")
    choose(window, "^Topic of the fault$", "^Protection$")
    choose(window, "^Fault$", "tenth of its rating")
    tab_to(window, "^Name this fault here$")
    window.key("space")
    window.says(r"^FU1: ")
    window.find_like(r"^Take back: FU1: ", "push button")


# --- by mouse ---

def mend_by_mouse(window):
    window.select("FU1")
    window.type_into("Rating", "3 A")
    window.says(r"^\d+\. .*FU1 replaced")
    window.click_on_clipboard("Replace what is selected", "push button")


def refused(window):
    """The transformer stays, and the program says so."""
    window.select("T1")
    window.key("F6", "Delete")
    window.says(r"^T1 stays in an exercise: ")


def hand_in(window):
    window.type_into("Your name", "Jo Miller")
    window.click_on_clipboard("Hand in", "push button")
    window.says(r"^\d+ of 100 points$")
    window.click_on_clipboard("Save the result…", "push button")
    window.file_dialog(RESULT)
    until("the result file", lambda: os.path.exists(RESULT))


def nothing_is_given_away(window):
    """Every node of the tree, shown or not, to assistive technology."""
    texts = set()
    for node in window.walk():
        texts.update(filter(None, (node.name, node.description)))
        try:
            texts.add(node.queryText().getText(0, -1))
        except NotImplementedError:
            pass
    for text in texts:
        for leak in ("expect ", "V to ground", "Do it:"):
            assert leak not in text, text


def student(window):
    measure_by_keyboard(window)
    energize_and_see(window)
    nothing_is_given_away(window)
    verify_again(window)
    refused(window)
    answer_by_keyboard(window)
    mend_by_mouse(window)
    hand_in(window)
    window.key("ctrl+q")
    # Mended parts are changes to the exercise's file, which nobody wants.
    until("the question", lambda: window.process.poll() is not None
          or window.find("Throw changes away", "push button", 1))
    if window.process.poll() is None:
        window.find("Throw changes away", "push button").queryAction().doAction(0)
    assert window.process.wait(timeout=driver.WAIT) == 0
    assert window.complaints() == [], window.complaints()


def grade():
    told = subprocess.run([sys.argv[1], "quiz", MASTER, "--grade", RESULTS], capture_output=True,
                          text=True)
    assert told.returncode == 0, told.stdout + told.stderr
    assert "1 result graded." in told.stdout, told.stdout
    with open(os.path.join(RESULTS, "class.csv"), newline="") as file:
        row = next(csv.DictReader(file))
    # Named and mended: 80. Economy: six readings, the last where the probes stood after the repair;
    # the shortest path has one, one more proves the repair, so 20 x 2/6. Less 10 for power on it.
    # On a busy machine a probe can stand long enough on its way to be one more.
    readings = int(row["readings"])
    points = f"{80 + 20 * 2 / readings - 10:.1f}"
    assert 6 <= readings <= 8, row
    assert row["student"] == "Jo Miller" and row["points"] == row["points-seen"] == points, row
    assert (row["named"], row["mended"]) == ("1", "1"), row
    assert row["consequence"] == row["safety-errors"] == "1", row
    with open(os.path.join(RESULTS, "faults.csv"), newline="") as file:
        fault = next(csv.DictReader(file))
    assert (fault["fault"], fault["dealt"], fault["mended"]) == ("fuse-too-small", "1", "1"), fault
    # One letter changed: the digest shows it.
    with open(RESULT) as file:
        text = file.read()
    with open(RESULT, "w") as file:
        file.write(text.replace("Jo Miller", "Jo Muller", 1))
    told = subprocess.run([sys.argv[1], "quiz", MASTER, "--grade", RESULTS], capture_output=True,
                          text=True)
    assert told.returncode == 2 and "edited" in told.stdout, told.stdout


def main():
    exercise = deal()
    window = driver.Window(sys.argv[1], exercise)
    try:
        student(window)
    except BaseException:
        driver.screenshot(os.path.join(os.environ.get("DOORSHEET_BUILD", tempfile.gettempdir()),
                                       "journey_student-failed.png"))
        raise
    finally:
        window.kill()
    grade()
    shutil.rmtree(FOLDER)


main()
