# SPDX-License-Identifier: MIT
"""Drives the real window as a person does: looks at it through the accessibility bus, moves mouse
and keys with xdotool. Journeys and accessibility tests share it.

Run the test through under-display.sh --bus, which gives it a display, a session bus and a HOME of
its own. A test reads:

    import driver

    def journey(window):
        window.click_node("Place the supply", "push button")
        window.type_into("L1 to L2", "486")
        window.says("480Y/277 V")

    driver.run(journey)          # argv[1] is the program; quits it, looks for its complaints

Positions of nodes are those in the window, which lies at 0,0: there is no window manager.
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
    print("driver: python3-pyatspi is not installed", file=sys.stderr)
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
    """The node and everything below it."""
    yield node
    if depth > 40:
        return
    for i in range(min(node.childCount, 300)):
        child = node.getChildAtIndex(i)
        if child is not None:
            yield from walk(child, depth + 1)


def has(node, state):
    """has(node, pyatspi.STATE_FOCUSED)"""
    return node.getState().contains(state)


def shown(node):
    return has(node, pyatspi.STATE_VISIBLE)


def screenshot(path):
    subprocess.run(["import", "-window", "root", path], check=False)


class Window:
    """One running program. `files` are its arguments, `env` goes over the environment."""

    def __init__(self, program, *files, env=None):
        self.program = program
        self.errors = tempfile.TemporaryFile(mode="w+")
        self.process = subprocess.Popen([program, *files], stderr=self.errors,
                                        env={**os.environ, **(env or {})})
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

    def walk(self):
        return walk(self.app)

    def find(self, name, role=None, wait=WAIT):
        """The shown node of exactly this name."""
        def look():
            for node in walk(self.app):
                if node.name == name and (role is None or node.getRoleName() == role):
                    if shown(node):
                        return node
            return None
        return until(f"{role or 'something'} called {name!r}", look, wait)

    def find_like(self, pattern, role=None, wait=WAIT):
        """The first shown node whose name matches the pattern."""
        def look():
            for node in walk(self.app):
                if re.search(pattern, node.name or "") and shown(node) \
                        and (role is None or node.getRoleName() == role):
                    return node
            return None
        return until(f"{role or 'something'} like {pattern!r}", look, wait)

    def gone(self, name, role=None, wait=WAIT):
        """Waits until nothing shown has this name."""
        until(f"{name!r} to go", lambda: not any(
            node.name == name and (role is None or node.getRoleName() == role) and shown(node)
            for node in walk(self.app)), wait)

    def says(self, pattern, wait=WAIT):
        """The first shown label that matches. Labels that matched before are asked first: reading
        the whole tree takes its time."""
        def matches(node):
            try:
                return re.search(pattern, node.name or "") and shown(node)
            except Exception:  # it has gone with its row
                if node in self.labels:
                    self.labels.remove(node)
                return False

        def look():
            for node in list(self.labels):
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

    def focused(self):
        """The node with the keyboard's focus, or None."""
        for node in walk(self.app):
            if has(node, pyatspi.STATE_FOCUSED) and shown(node):
                return node
        return None

    def middle(self, node):
        box = node.queryComponent().getExtents(pyatspi.WINDOW_COORDS)
        return box.x + box.width // 2, box.y + box.height // 2, box

    # --- doing ---

    def click_node(self, name, role=None):
        x, y, _ = self.middle(self.find(name, role))
        xdo("mousemove", x, y, "click", 1)

    def scrolled_to(self, name, role, top, bottom, over):
        """Turns the wheel over a place of the window until the node lies between two heights; the
        node."""
        node = self.find(name, role)
        for _ in range(40):
            _, y, _ = self.middle(node)
            if top < y < bottom:
                return node
            xdo("mousemove", *over, "click", 5 if y >= bottom else 4)
            time.sleep(0.1)
        raise AssertionError(f"{name} cannot be scrolled to")

    def click_on_clipboard(self, name, role=None):
        """A widget of the clipboard, scrolled to when it lies below the edge."""
        x, y, _ = self.middle(self.scrolled_to(name, role, 110, 740, (1100, 500)))
        xdo("mousemove", x, y, "click", 1)

    def type_into(self, name, text):
        """Replaces the text of an entry of the clipboard and takes it with Enter."""
        self.click_on_clipboard(name, "text")
        self.key("ctrl+a")
        self.type(text)
        self.key("Return")

    def key(self, *keys):
        xdo("key", "--delay", 20, *keys)

    def type(self, text):
        xdo("type", "--delay", 15, text)

    def select(self, word, says=None):
        """Finds a device or wire number by keyboard and selects it."""
        self.key("ctrl+f")
        self.find("Find", "push button")
        self.type(word)
        self.key("Return")
        self.says(says or rf"^Selected: {re.escape(word)},")

    def file_dialog(self, path):
        """Answers the file dialog that is open or about to open."""
        until("the file dialog", lambda: self.app.childCount > 1)
        time.sleep(0.5)
        self.key("ctrl+a")
        self.type(path)
        self.key("Return")

    def save(self, path):
        """Saves under a new name and waits for the file."""
        self.key("ctrl+s")
        self.file_dialog(path)
        until("the file", lambda: os.path.exists(path))
        # The header keeps the name; the status line says "Saved" only until something else is told.
        self.says("^" + re.escape(os.path.basename(path)) + "$")

    # --- the sheet, in millimetres ---

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

    def click(self, x, y, button=1):
        px, py = self.pixel(x, y)
        xdo("mousemove", px - 3, py, "mousemove", px, py, "click", button)

    def place(self, title, x, y, placed):
        """A part from the shelf, scrolled to when it lies below the edge."""
        nx, ny, _ = self.middle(self.scrolled_to(title, "push button", 80, 730, (90, 500)))
        xdo("mousemove", nx, ny, "click", 1)
        self.says(rf"^{title} in hand")
        self.click(x, y)
        self.says(rf"placed as {placed}\.$|^Selected: {placed},")

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

    def drag(self, a, b, says=r"^Selected: conductor"):
        self.key("Escape", "Escape")
        ax, ay = self.pixel(*a)
        bx, by = self.pixel(*b)
        xdo("mousemove", ax, ay, "mousedown", 1)
        for step in range(1, 6):
            xdo("mousemove", ax + (bx - ax) * step // 5, ay + (by - ay) * step // 5)
        xdo("mousemove", bx, by, "mouseup", 1)
        self.says(says)

    def land_by_keyboard(self, device, terminal, target):
        """Finds the device by name, then lands from its terminal by typing the target's name."""
        self.select(device)
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

    # --- leaving ---

    def quit(self):
        """Quits by key; the program must leave in order and have complained of nothing."""
        self.key("ctrl+q")
        assert self.process.wait(timeout=WAIT) == 0, self.process.returncode
        assert self.complaints() == [], self.complaints()

    def complaints(self):
        self.errors.seek(0)
        return [line for line in self.errors if "CRITICAL" in line or "WARNING" in line]

    def kill(self):
        if self.process.poll() is None:
            self.process.kill()
            self.process.wait()


def run(journey, *files, env=None, program=None):
    """Starts the program, lets journey(window) drive it, quits it. A failure leaves a picture in the
    build folder, named after the test."""
    stem = os.path.splitext(os.path.basename(sys.argv[0]))[0]
    window = Window(program or sys.argv[1], *files, env=env)
    try:
        journey(window)
        window.quit()
    except BaseException:
        if window.process.poll() is not None:
            print(f"the program has ended with {window.process.returncode}", file=sys.stderr)
        for line in window.complaints():
            print(line, end="", file=sys.stderr)
        screenshot(os.path.join(os.environ.get("DOORSHEET_BUILD", tempfile.gettempdir()),
                                f"{stem}-{journey.__name__}-failed.png"))
        raise
    finally:
        window.kill()


# --- the saved file, by the program's own command line ---

def findings(program, path):
    """The findings of a file, as `check --json` tells them, and its exit status."""
    check = subprocess.run([program, "check", path, "--json"], capture_output=True, text=True)
    found = json.loads(check.stdout)
    return (found[0] if isinstance(found, list) else found)["findings"], check.returncode


def readings(program, path, *words):
    """The expected readings of a file by their two points, in both orders."""
    result = subprocess.run([program, "readings", path, "--json", *words], capture_output=True,
                            text=True, check=True)
    told = {}
    for reading in json.loads(result.stdout)["readings"]:
        a, b = reading["between"]
        told[(a, b)] = told[(b, a)] = reading
    return told
