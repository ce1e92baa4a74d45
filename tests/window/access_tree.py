#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""Every page and window as assistive technology finds it, over the accessibility bus.

What can be worked has a role and a name that says what it is, no two of one kind on a page say the
same, states are told, and Tab comes to everything, everywhere visibly, and out again.

    access_tree.py DOORSHEET start|pages|tabbing|exercise
"""
import os
import re
import subprocess
import sys
import tempfile
import time
from collections import Counter

import driver
import pyatspi

SAMPLES = os.path.join(os.environ["DOORSHEET_SOURCE"], "samples")
FAULTY = os.path.join(SAMPLES, "faulty-wrong-tap.doorsheet")

# Roles that people work with; everything else that takes the focus is judged too.
WORKED = {"push button", "toggle button", "check box", "radio button", "combo box", "text",
          "entry", "spin button", "page tab", "list item", "slider", "switch", "menu item",
          "list", "link"}
MEANINGLESS = {"unknown", "invalid", "filler", ""}
CLASS_NAME = re.compile(r"^(Gtk|Gdk|Adw)?[A-Z]\w*[a-z][A-Z]\w*$|^Gtk\w+$")


class Seen:
    """What was read of a node: asked once, judged without the bus."""

    def __init__(self, role, name, description="", focusable=True, within=(), node=None):
        self.role, self.name, self.description = role, name, description
        self.focusable, self.within, self.node = focusable, within, node

    def __str__(self):
        inside = " > ".join(f"{seen.role} {seen.name[:30]!r}" for seen in self.within[-4:])
        return f"{self.role} {self.name!r} in {inside}"

    def page(self):
        """The page of the clipboard it is on, or the whole window: GTK tells of all pages."""
        return next((seen for seen in reversed(self.within)
                     if seen.role == "panel" and re.match(PAGES, seen.name)), self.within[:1])


PAGES = r"^(Measure|Land|Check|Read|Post|Lesson|Exercise)\b"


def gather(node, within=(), found=None):
    """Everything visible below a node."""
    found = [] if found is None else found
    state = node.getState()
    if within and not state.contains(pyatspi.STATE_VISIBLE):
        return found
    seen = Seen(node.getRoleName(), node.name or "", node.description or "",
                state.contains(pyatspi.STATE_FOCUSABLE), within, node)
    found.append(seen)
    for i in range(min(node.childCount, 300)):
        child = node.getChildAtIndex(i)
        if child is not None:
            gather(child, within + (seen,), found)
    return found


def on_screen(node):
    """Pages never shown yet are in the tree already, without a size: they are judged when shown."""
    box = node.queryComponent().getExtents(pyatspi.WINDOW_COORDS)
    return box.width > 0 and box.height > 0


def inner(seen):
    """Insides of GTK's own widgets: the row shown in a drop-down's button, the button in a menu
    button; they never have the focus apart from what they are in."""
    parent = seen.within[-1] if seen.within else None
    if seen.role == "filler" and any(s.role == "push button" and len(seen.within) > i
                                     and seen.within[i - 1].role == "combo box"
                                     for i, s in enumerate(seen.within)):
        return True
    return parent is not None and (parent.role, parent.name) == (seen.role, seen.name)


def complaints(nodes):
    """What is wrong with these, one sentence each."""
    wrong = []
    worked = [n for n in nodes if (n.role in WORKED or n.focusable) and not inner(n)]
    for node in worked:
        if node.role in MEANINGLESS:
            wrong.append(f"has no role: {node}")
        if not node.name.strip():
            wrong.append(f"has no name: {node}")
        elif CLASS_NAME.match(node.name):
            wrong.append(f"is called by its class: {node}")
        elif re.search(r"(^|\s)_\w", node.name):
            wrong.append(f"has an underline in its name: {node}")
    counted = Counter((n.role, n.name, n.description, n.page()) for n in worked)
    for (role, name, description, _), n in counted.items():
        if n > 1:
            wrong.append(f"{n} times {role} {name!r} {description!r}: cannot be told apart")
    return wrong


def judge_the_judge():
    """The rules themselves can fail."""
    box = Seen("panel", "", focusable=False)
    assert complaints([box, Seen("push button", "Turn"), Seen("text", "Turn")]) == []
    assert complaints([Seen("push button", " ")])
    assert complaints([Seen("push button", "GtkToggleButton")])
    assert complaints([Seen("push button", "_Open Open")])
    assert complaints([Seen("filler", "Something")])
    assert complaints([Seen("push button", "Land"), Seen("push button", "Land")])
    assert not complaints([Seen("push button", "Land", "H1"), Seen("push button", "Land", "H2")])


def frames(window):
    return [window.app.getChildAtIndex(i) for i in range(window.app.childCount)]


class Judge:
    """Collects what is wrong all over the program, so that one run tells everything."""

    def __init__(self, window):
        self.window = window
        self.wrong = []
        self.judged = 0

    def look(self, where, frame=None):
        time.sleep(0.5)
        nodes = gather(frame or driver.until("a window", lambda: frames(self.window)[0]))
        self.judged += len(nodes)
        nodes = [n for n in nodes if not n.focusable or on_screen(n.node)]
        self.wrong += [f"{where}: {sentence}" for sentence in complaints(nodes)
                       if not any(sentence in told for told in self.wrong)]
        return nodes

    def expect(self, what, true):
        if not true:
            self.wrong.append(what)

    def dialog(self, key, where, escape="Escape"):
        """Opens a window by its key, judges it and closes it by Escape."""
        before = self.window.app.childCount
        self.window.key(key)
        driver.until(where, lambda: self.window.app.childCount > before)
        for frame in frames(self.window):
            if "Doorsheet" not in (frame.name or "") or frame.name == "Doorsheet":
                nodes = self.look(where, frame)
                self.expect(f"{where}: the window has no name", bool(frame.name))
                self.expect(f"{where}: nothing in it", len(nodes) > 3)
        self.window.key(escape)
        driver.until(f"{where} to close", lambda: self.window.app.childCount == before)


# --- states ---

def states(judge, window):
    """What is pressed, open, invalid and found is told."""
    def pressed(name):
        node = window.find(name, "push button")
        return any(driver.has(node, s) for s in (pyatspi.STATE_PRESSED, pyatspi.STATE_CHECKED))

    judge.expect("locked out is not told", pressed("Locked out") and not pressed("Energized"))
    window.key("F6", "F5")
    driver.until("energized to be told", lambda: pressed("Energized"))
    judge.expect("locked out is told still", not pressed("Locked out"))
    window.key("F5")
    window.key("alt+3")
    tabs = [n for n in gather(frames(window)[0]) if n.role == "page tab"]
    told = [n.name for n in tabs if driver.has(n.node, pyatspi.STATE_SELECTED)
            or driver.has(n.node, pyatspi.STATE_CHECKED)
            or driver.has(n.node, pyatspi.STATE_PRESSED)]
    judge.expect(f"chosen page is told as {told}", len(told) == 1 and told[0].startswith("Check"))
    rows = [n for n in gather(window.find("Findings", "list")) if n.role == "list item"]
    judge.expect("no findings are listed", len(rows) > 0)
    for row in rows:
        judge.expect(f"finding without signal word: {row}",
                     re.match("(DANGER|WARNING|CAUTION|NOTICE). ", row.name))
        judge.expect(f"finding without a description: {row}", len(row.description) > 20)
    window.key("alt+1", "F2")
    entry = window.find("L1 to L2", "text")
    judge.expect("a good reading is told as invalid",
                 not driver.has(entry, pyatspi.STATE_INVALID))
    while not driver.has(entry, pyatspi.STATE_FOCUSED):
        window.key("Tab")
    window.key("ctrl+a")
    window.type("many volts")
    driver.until("the reading to be told as invalid",
                 lambda: driver.has(entry, pyatspi.STATE_INVALID))
    judge.expect(f"what is wrong is not told: {entry.description!r}", "many" in entry.description)
    window.key("Escape")
    driver.until("the reading to be told as good",
                 lambda: not driver.has(entry, pyatspi.STATE_INVALID))


# --- the diagram ---

def diagram(judge, window):
    """The canvas says what is selected; the list says the rest, row by row."""
    sheet = window.find("Sheet", "image")
    window.select("T1")
    window.key("F6")
    driver.until("the sheet to say what is selected",
                 lambda: sheet.description.startswith("Selected: T1, Transformer"))
    window.key("F4")
    driver.until("the list to have the focus", lambda: (window.focused().name or "")
                 .startswith("T1, Transformer"))
    row = window.focused()
    judge.expect("a closed device is not told as one",
                 driver.has(row, pyatspi.STATE_EXPANDABLE)
                 and not driver.has(row, pyatspi.STATE_EXPANDED))
    window.key("Right")
    driver.until("the device to open", lambda: driver.has(row, pyatspi.STATE_EXPANDED))
    nodes = judge.look("list", frames(window)[0])
    rows = [n.name for n in nodes if n.role == "list item"
            and any(s.name == "Diagram as a list" for s in n.within)]
    judge.expect(f"H3 is not told to land on its fuse: {rows}",
                 any(re.match(r"H3, .* to FU1\.2 by ", name) for name in rows))
    judge.expect(f"the wrong tap is not told: {rows}",
                 any(name.startswith("DANGER. ") and "T1.H3" in name for name in rows))
    window.key("Down", "Down", "Down")
    driver.until("a conductor to be selected from the list",
                 lambda: sheet.description.startswith("Selected: conductor"))
    window.key("F4")


# --- Tab ---

def picture():
    return subprocess.run(["import", "-window", "root", "-depth", "8", "rgb:-"], check=True,
                          capture_output=True).stdout


def changed(a, b, box, width=1280, height=900):
    """Pixels that differ round a box: a ring, a cursor or another colour says where the focus is."""
    n = 0
    x0, x1 = max(box.x - 4, 0), min(box.x + box.width + 4, width)
    for y in range(max(box.y - 4, 0), min(box.y + box.height + 4, height)):
        i, j = 3 * (y * width + x0), 3 * (y * width + x1)
        if a[i:j] != b[i:j]:
            n += sum(a[k:k + 3] != b[k:k + 3] for k in range(i, j, 3))
    return n


def same_box(a, b):
    return (a.x, a.y, a.width, a.height) == (b.x, b.y, b.width, b.height)


def extents(node):
    return node.queryComponent().getExtents(pyatspi.WINDOW_COORDS)


def tab_round(judge, window, where, most=150):
    """Tab comes to everything, everywhere visibly, and back to where it began."""
    window.key("Escape", "Escape", "F2")
    time.sleep(0.5)
    first, stops, unseen, compared = None, [], [], 0
    before = None
    for _ in range(most):
        node = driver.until("the focus", window.focused)
        if node in stops[:-1]:  # a list is come back to at the row that was chosen last
            break
        if stops and node == stops[-1]:  # the sheet: Tab walks its devices
            window.key("Tab")
            time.sleep(0.1)
            continue
        first = first or node
        stops.append(node)
        now, box = picture(), extents(node)
        if before is not None and same_box(extents(before[0]), before[2]):
            compared += 1
            w, h = before[2].width, before[2].height
            if changed(before[1], now, before[2]) < min(w, h):
                unseen.append(f"{before[0].getRoleName()} {before[0].name!r}")
        before = (node, now, box)
        window.key("Tab")
        time.sleep(0.3)
    else:
        judge.wrong.append(f"{where}: Tab never comes back to {first.name!r}")
    judge.expect(f"{where}: only {compared} of {len(stops)} stops could be compared",
                 compared > 0.6 * len(stops))
    judge.expect(f"{where}: the focus cannot be seen on {unseen}", not unseen)
    judge.judged += len(stops)
    names = {(n.getRoleName(), n.name) for n in stops}
    page = re.compile(where, re.I)
    for seen in gather(frames(window)[0]):
        on = seen.page()
        if seen.name in ("Minimize", "Maximize", "Close"):
            continue  # the window's frame: the desktop has keys for it
        if not seen.focusable or inner(seen) or seen.role in ("list item", "scroll pane", "list") \
                or (isinstance(on, Seen) and not page.match(on.name)):
            continue
        if not driver.has(seen.node, pyatspi.STATE_SENSITIVE) or extents(seen.node).width <= 0:
            continue
        judge.expect(f"{where}: Tab never comes to {seen}", (seen.role, seen.name) in names)
    return stops


# --- the runs ---

def start_page(window):
    judge_the_judge()
    judge = Judge(window)
    judge.look("start")
    judge.expect("start: the first steps are not there", window.find("Place the supply"))
    finish(judge)


def pages(window):
    judge = Judge(window)
    states(judge, window)
    for key, where in (("alt+1", "measure"), ("alt+2", "land"), ("alt+3", "check"),
                       ("alt+4", "read"), ("alt+5", "post"), ("alt+6", "lesson")):
        window.key(key)
        judge.look(where)
    window.key("F6", "F5", "alt+4")
    judge.look("read, energized")
    window.key("F5")
    window.select("T1")
    window.key("alt+2")
    judge.look("land, a transformer")
    window.key("F6", "w")
    judge.look("land, a conductor")
    diagram(judge, window)
    for key, where in (("ctrl+f", "find"), ("ctrl+comma", "preferences"),
                       ("ctrl+question", "keys"), ("ctrl+shift+p", "print preview"),
                       ("ctrl+shift+d", "deal")):
        judge.dialog(key, where)
    finish(judge)


def tabbing(window):
    judge = Judge(window)
    for key, where in (("alt+1", "measure"), ("alt+3", "check")):
        window.key("F6", key)
        tab_round(judge, window, where)
    finish(judge)


def exercise(window):
    judge = Judge(window)
    judge.look("exercise")
    finish(judge)


def finish(judge):
    for sentence in judge.wrong:
        print(sentence, file=sys.stderr)
    assert judge.wrong == [], f"{len(judge.wrong)} things are wrong"
    assert judge.judged > 50, judge.judged


def main():
    program = sys.argv[1]
    chosen = sys.argv[2:]
    if "start" in chosen:
        driver.run(start_page)
    if "pages" in chosen:
        driver.run(pages, FAULTY)
    if "tabbing" in chosen:
        driver.run(tabbing, FAULTY)
    if "exercise" in chosen:
        folder = tempfile.mkdtemp()
        subprocess.run([program, "quiz", os.path.join(SAMPLES, "lesson-taps.doorsheet"),
                        "--versions", "4", "--seed", "1", "--difficulty", "easy", "-o", folder],
                       check=True)
        driver.run(exercise, os.path.join(folder, "student", "version-01.doorsheet"))
    print("access tree: everything has a role, a name of its own and a way to it")


main()
