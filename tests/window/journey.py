#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""The technician's first sheet in the real window, by mouse and keyboard only.

Looks at the window through the accessibility bus, moves mouse and keys with xdotool, then judges
the saved file with the program's own command line. Run it through under-display.sh --bus.

    journey.py DOORSHEET
"""
import json
import os
import re
import subprocess
import sys
import tempfile
import time

try:
    import pyatspi
except ImportError:
    print("journey: python3-pyatspi is not installed", file=sys.stderr)
    sys.exit(1 if os.environ.get("CI") else 77)

WAIT = 20.0  # seconds; generous, because the machine may be busy


def xdo(*words):
    subprocess.run(["xdotool", *[str(w) for w in words]], check=True)


def until(what, question, wait=WAIT):
    """Asks until the answer is true; the answer."""
    end = time.monotonic() + wait
    while time.monotonic() < end:
        try:
            answer = question()
        except Exception:  # the tree changes while it is read
            answer = None
        if answer:
            return answer
        time.sleep(0.05)
    raise AssertionError(f"waited in vain for {what}")


def walk(node, depth=0):
    yield node
    if depth > 40:
        return
    for i in range(min(node.childCount, 300)):
        child = node.getChildAtIndex(i)
        if child is not None:
            yield from walk(child, depth + 1)


class Window:
    def __init__(self, program):
        self.errors = tempfile.TemporaryFile(mode="w+")
        self.process = subprocess.Popen([program], stderr=self.errors)
        # The desktop's children are remembered as they were first seen: look when it is there.
        xdo("search", "--sync", "--onlyvisible", "--name", "Doorsheet")
        self.app = until("the window", self.look_for_app, 60)
        self.scale = None
        self.labels = []

    def look_for_app(self):
        desktop = pyatspi.Registry.getDesktop(0)
        desktop.clear_cache()
        for i in range(desktop.childCount):
            app = desktop.getChildAtIndex(i)
            if app is not None and app.get_process_id() == self.process.pid \
                    and app.childCount > 0:
                return app
        return None

    # --- looking ---

    def find(self, name, role=None, wait=WAIT):
        def look():
            for node in walk(self.app):
                if node.name == name and (role is None or node.getRoleName() == role):
                    state = node.getState()
                    if state.contains(pyatspi.STATE_VISIBLE):
                        return node
            return None
        return until(f"{role or 'something'} called {name!r}", look, wait)

    def says(self, pattern, wait=WAIT):
        """The first shown label that matches. Labels that matched before are asked first: reading
        the whole tree takes its time."""
        def matches(node):
            return re.search(pattern, node.name or "") \
                and node.getState().contains(pyatspi.STATE_VISIBLE)

        def look():
            for node in self.labels:
                if matches(node):
                    return node.name
            if wait < 1:
                return None
            for node in walk(self.app):
                if node.getRoleName() == "label" and node not in self.labels and matches(node):
                    self.labels.append(node)
                    return node.name
            return None
        return until(f"a label like {pattern!r}", look, wait)

    def middle(self, node):
        box = node.queryComponent().getExtents(pyatspi.WINDOW_COORDS)
        return box.x + box.width // 2, box.y + box.height // 2, box

    # --- doing ---

    def click_node(self, name, role=None):
        x, y, _ = self.middle(self.find(name, role))
        xdo("mousemove", x, y, "click", 1)

    def key(self, *keys):
        xdo("key", "--delay", 20, *keys)

    def type(self, text):
        xdo("type", "--delay", 15, text)

    def calibrate(self):
        """Where millimetres of the sheet lie in pixels, from the position the window shows."""
        seen = []
        for x, y in ((300, 250), (860, 700)):
            xdo("mousemove", x, y)
            time.sleep(0.15)
            text = self.says(r"^x -?[\d.]+ mm")
            if seen:
                text = until("the position to follow", lambda: next(
                    (t for t in [self.says(r"^x -?[\d.]+ mm")] if t != seen[0][2]), None))
            values = re.findall(r"-?[\d.]+", text)
            seen.append((float(values[0]), float(values[1]), text))
        kx = (860 - 300) / (seen[1][0] - seen[0][0])
        ky = (700 - 250) / (seen[1][1] - seen[0][1])
        assert abs(kx - ky) < 0.05 * kx, (kx, ky)
        self.scale = (kx, 300 - seen[0][0] * kx, ky, 250 - seen[0][1] * ky)

    def pixel(self, x, y):
        kx, ox, ky, oy = self.scale
        return round(ox + x * kx), round(oy + y * ky)

    def click(self, x, y):
        px, py = self.pixel(x, y)
        xdo("mousemove", px - 3, py, "mousemove", px, py, "click", 1)

    def place(self, title, x, y, placed):
        """A part from the shelf, scrolled to when it lies below the edge."""
        node = self.find_on_shelf(title)
        nx, ny, _ = self.middle(node)
        xdo("mousemove", nx, ny, "click", 1)
        self.says(rf"^{title} in hand")
        self.click(x, y)
        self.says(rf"placed as {placed}\.$|^Selected: {placed},")

    def find_on_shelf(self, title):
        node = self.find(title, "push button")
        for _ in range(30):
            _, y, box = self.middle(node)
            if 80 < y < 730:
                return node
            xdo("mousemove", 90, 500, "click", 5 if y >= 730 else 4)
            time.sleep(0.1)
        raise AssertionError(f"{title} cannot be scrolled to")

    def terminal(self, name, x, y):
        """Finds the terminal near a place by hovering, as a person does; its millimetres."""
        steps = sorted(((dx, dy) for dx in range(-4, 5) for dy in range(-4, 5)),
                       key=lambda d: d[0] ** 2 + d[1] ** 2)
        for dx, dy in steps:
            px, py = self.pixel(x + 2.5 * dx, y + 2.5 * dy)
            xdo("mousemove", px, py)
            time.sleep(0.06)
            try:
                self.says(rf"^{re.escape(name)}, ", wait=0.25)
                return x + 2.5 * dx, y + 2.5 * dy
            except AssertionError:
                continue
        raise AssertionError(f"no terminal {name} near {x}, {y} mm")

    def drag(self, a, b):
        self.key("Escape", "Escape")
        ax, ay = self.pixel(*a)
        bx, by = self.pixel(*b)
        xdo("mousemove", ax, ay, "mousedown", 1)
        for step in range(1, 6):
            xdo("mousemove", ax + (bx - ax) * step // 5, ay + (by - ay) * step // 5)
        xdo("mousemove", bx, by, "mouseup", 1)
        self.says(r"^Selected: conductor")

    def land_by_keyboard(self, device, terminal, target):
        """Finds the device by name, then lands from its terminal by typing the target's name."""
        self.key("ctrl+f")
        self.find("Find", "push button")
        self.type(device)
        self.key("Return")
        self.says(rf"^Selected: {device},")
        self.key("F6", "l")
        self.says(r"^Land from ")
        self.type(terminal)
        self.says(rf"^Land from {device}\.{terminal},")
        self.key("Return")
        self.says(r"^Land on ")
        self.type(target)
        self.says(rf"^Land on {re.escape(target)}, ")
        self.key("Return")
        self.says(rf"^Selected: {device},")


def build(window):
    window.click_node("Place the supply", "push button")
    first = window.find("L1 to L2", "text")
    x, y, _ = window.middle(first)
    xdo("mousemove", x, y, "click", 1)
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
    window.key("ctrl+f")
    window.find("Find", "push button")
    window.type(device)
    window.key("Return")
    window.says(rf"^Selected: {device},")
    window.key("alt+2")
    for title, text in values:
        node = window.find(title, "text")
        for _ in range(30):  # below the edge: scroll the clipboard
            x, y, _ = window.middle(node)
            if 110 < y < 740:
                break
            xdo("mousemove", 1100, 500, "click", 5 if y >= 740 else 4)
            time.sleep(0.1)
        xdo("mousemove", x, y, "click", 1)
        window.key("ctrl+a")
        window.type(text)
        window.key("Return")


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
    window.key("ctrl+f")
    window.find("Find", "push button")
    window.type("SP1")
    window.key("Return")
    window.says(r"^Selected: SP1, Splice")


def save(window, path):
    window.key("ctrl+s")
    until("the file dialog", lambda: window.app.childCount > 1)
    time.sleep(0.5)
    window.key("ctrl+a")
    window.type(path)
    window.key("Return")
    until("the file", lambda: os.path.exists(path))
    # The header keeps the name; the status line says "Saved" only until something else is told.
    window.says("^" + re.escape(os.path.basename(path)) + "$")


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
    check = subprocess.run([program, "check", path, "--json"], capture_output=True, text=True)
    found = json.loads(check.stdout)
    if isinstance(found, list):
        found = found[0]
    grave = [f["check"] for f in found["findings"] if f["signal"] != "NOTICE"]
    assert grave == [], grave
    assert check.returncode == 0, check.returncode
    result = subprocess.run([program, "readings", path, "--json"], capture_output=True, text=True,
                            check=True)
    readings = {tuple(r["between"]): r for r in json.loads(result.stdout)["readings"]}

    def volts(a, b):
        reading = readings.get((a, b)) or readings[(b, a)]
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


def main():
    program = sys.argv[1]
    folder = tempfile.mkdtemp()
    path = os.path.join(folder, "first.doorsheet")
    window = Window(program)
    try:
        build(window)
        nameplates(window)
        land(window)
        splice(window)
        save(window, path)
        shown = meter_shows(window)
        judge(program, path, shown)
        window.key("ctrl+q")
        assert window.process.wait(timeout=WAIT) == 0
    except BaseException:
        subprocess.run(["import", "-window", "root", os.path.join(
            os.environ.get("DOORSHEET_BUILD", folder), "journey-failed.png")], check=False)
        raise
    finally:
        if window.process.poll() is None:
            window.process.kill()
            window.process.wait()
    window.errors.seek(0)
    noise = [line for line in window.errors if "CRITICAL" in line or "WARNING" in line]
    assert noise == [], noise
    print("journey: the sheet was built, saved and judged")


main()
