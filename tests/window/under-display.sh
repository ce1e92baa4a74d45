#!/bin/sh
# SPDX-License-Identifier: MIT
# Runs a program on a display of its own: a virtual X server, software drawing, no settings of the
# person who runs it, all of it thrown away afterwards.
#   under-display.sh PROGRAM...        without a session bus (in-process tests)
#   under-display.sh --bus PROGRAM...  with one, and the accessibility bus on it
# Exit 77 (skipped) when the virtual display is not installed; in CI that is a failure.
set -eu
bus=
if [ "${1-}" = --bus ]; then
  bus=dbus-run-session
  shift
fi
for tool in xvfb-run $bus; do
  if ! command -v "$tool" >/dev/null 2>&1; then
    echo "under-display: $tool is not installed" >&2
    [ -n "${CI-}" ] && exit 1
    exit 77
  fi
done
home=$(mktemp -d)
trap 'rm -rf "$home"' EXIT
mkdir -m 700 "$home/run"
export HOME="$home" XDG_CONFIG_HOME="$home/config" XDG_DATA_HOME="$home/data" \
  XDG_CACHE_HOME="$home/cache" XDG_STATE_HOME="$home/state" XDG_RUNTIME_DIR="$home/run"
export GDK_BACKEND=x11 GSK_RENDERER=cairo GDK_DEBUG=gl-disable GSETTINGS_BACKEND=memory \
  LC_ALL=C.UTF-8 PYTHONDONTWRITEBYTECODE=1
unset WAYLAND_DISPLAY
screen='-screen 0 1280x900x24 -nolisten tcp -extension MIT-SHM'
status=0
if [ -n "$bus" ]; then
  # The real window saves through the file dialog of GTK, which leaks in libcloudproviders; a full
  # unwind could name that, but makes the program too slow to drive. The tests in process look for
  # leaks; here errors alone count.
  export ASAN_OPTIONS="${ASAN_OPTIONS:+$ASAN_OPTIONS:}detect_leaks=0"
  xvfb-run -a -s "$screen" dbus-run-session -- "$@" || status=$?
else
  GTK_A11Y=test DBUS_SESSION_BUS_ADDRESS=disabled: xvfb-run -a -s "$screen" "$@" || status=$?
fi
exit $status
