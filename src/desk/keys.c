/* SPDX-License-Identifier: MIT */
#include "desk/keys.h"

#define WINDOW(section, what, action, ...)                                                         \
  {                                                                                                \
    section, what, KEYS_WINDOW, action, {__VA_ARGS__}, NULL                                        \
  }
#define CANVAS(what, action, ...)                                                                  \
  {                                                                                                \
    "On the sheet", what, KEYS_CANVAS, action, {__VA_ARGS__}, NULL                                 \
  }
#define MODE(what, keys)                                                                           \
  {                                                                                                \
    "On the sheet", what, KEYS_MODE, NULL, {NULL}, keys                                            \
  }

static const KeysRow rows[] = {
    WINDOW("File", "New sheet", "win.new", "<Control>n"),
    WINDOW("File", "Open a sheet", "win.open", "<Control>o"),
    WINDOW("File", "Save", "win.save", "<Control>s"),
    WINDOW("File", "Save under another name", "win.save-as", "<Control><Shift>s"),
    WINDOW("File", "Export as PDF", "win.export-pdf", "<Control>e"),
    WINDOW("File", "Export as SVG", "win.export-svg", "<Control><Shift>e"),
    WINDOW("File", "Export as PNG", "win.export-png", "<Control><Alt>e"),
    WINDOW("File", "Print", "win.print", "<Control>p"),
    WINDOW("File", "Print preview", "win.print-preview", "<Control><Shift>p"),
    WINDOW("File", "Preferences", "app.preferences", "<Control>comma"),
    WINDOW("File", "Close the window", "win.close", "<Control>w"),
    WINDOW("File", "Quit", "app.quit", "<Control>q"),
    WINDOW("Edit", "Undo", "win.undo", "<Control>z"),
    WINDOW("Edit", "Redo", "win.redo", "<Control><Shift>z", "<Control>y"),
    WINDOW("Edit", "Find a designation or wire number", "win.find", "<Control>f"),
    WINDOW("Edit", "Keep the nameplate of the selected device on the shelf", "win.keep-nameplate",
           "<Control>k"),
    WINDOW("Job", "Lock out or energize", "win.energize", "F5"),
    WINDOW("Job", "Measure", "win.page::measure", "<Alt>1"),
    WINDOW("Job", "Land", "win.page::land", "<Alt>2"),
    WINDOW("Job", "Check", "win.page::check", "<Alt>3"),
    WINDOW("Job", "Read", "win.page::read", "<Alt>4"),
    WINDOW("Job", "Post", "win.page::post", "<Alt>5"),
    WINDOW("Job", "Next finding", "win.next-finding", "F8"),
    WINDOW("Job", "Previous finding", "win.previous-finding", "<Shift>F8"),
    WINDOW("Job", "Do what the chosen finding says", "win.remedy", "<Control>Return"),
    WINDOW("Job", "Meter on volts, between the probes", "win.meter::volts", "<Alt>v"),
    WINDOW("Job", "Meter on amperes, round the selected conductor", "win.meter::amps", "<Alt>a"),
    WINDOW("Job", "Meter on ohms, between the probes, locked out", "win.meter::ohms", "<Alt>o"),
    WINDOW("Job", "Pin what the probes touch to the sheet as a test point, or unpin it",
           "win.pin", "<Alt>p"),
    WINDOW("Lesson", "Faults marked for a lesson", "win.page::lesson", "<Alt>6"),
    WINDOW("Lesson", "Preview of the marked faults", "win.preview-faults", "<Control><Shift>k"),
    WINDOW("Lesson", "Deal exercises", "win.deal", "<Control><Shift>d"),
    WINDOW("View", "To the page of the clipboard", "win.focus-page", "F2"),
    WINDOW("View", "To the parts shelf", "win.focus-shelf", "F3"),
    WINDOW("View", "To the diagram as a list, or fold it away", "win.list", "F4"),
    WINDOW("View", "To the sheet", "win.focus-canvas", "F6"),
    WINDOW("View", "To the notices above the sheet", "win.focus-notices", "F7"),
    WINDOW("View", "Fold the parts shelf away or back", "win.show-shelf", "F9"),
    WINDOW("View", "Fold the clipboard away or back", "win.show-clipboard", "<Shift>F9"),
    WINDOW("View", "Closer", "win.zoom-in", "<Control>plus", "<Control>equal", "<Control>KP_Add"),
    WINDOW("View", "Farther", "win.zoom-out", "<Control>minus", "<Control>KP_Subtract"),
    WINDOW("View", "The whole sheet", "win.zoom-fit", "<Control>0"),
    WINDOW("View", "What is drawn", "win.zoom-content", "<Control>9"),
    WINDOW("View", "Real size", "win.zoom-normal", "<Control>1"),
    WINDOW("View", "This list", "win.shortcuts", "<Control>question"),
    MODE("Next, previous device", "Tab, Shift+Tab"),
    MODE("Move what is selected by one grid step (Shift: four)", "Arrows"),
    MODE("Put down what is in hand, select nothing", "Esc"),
    MODE("Take: the part, the terminal", "Enter"),
    MODE("Push the sheet about (or the middle button)", "Space and drag"),
    CANVAS("Cut", "win.cut", "<Control>x"),
    CANVAS("Copy", "win.copy", "<Control>c"),
    CANVAS("Paste", "win.paste", "<Control>v"),
    CANVAS("Mark a fault at the terminal pointed at, or at what is selected", "win.mark-fault",
           "k"),
    CANVAS("Duplicate", "win.duplicate", "<Control>d"),
    CANVAS("Delete", "win.delete", "Delete", "BackSpace"),
    CANVAS("Select everything", "win.select-all", "<Control>a"),
    CANVAS("Select everything joined to what is selected or pointed at", "win.select-net", "n"),
    CANVAS("Align left edges", "win.align-left", "<Control>Left"),
    CANVAS("Align right edges", "win.align-right", "<Control>Right"),
    CANVAS("Align top edges", "win.align-top", "<Control>Up"),
    CANVAS("Align bottom edges", "win.align-bottom", "<Control>Down"),
    CANVAS("Align centres one under another", "win.align-column", "c"),
    CANVAS("Align centres side by side", "win.align-row", "<Shift>c"),
    CANVAS("Space evenly across", "win.spread-across", "e"),
    CANVAS("Space evenly down", "win.spread-down", "<Shift>e"),
    CANVAS("Turn clockwise", "win.turn", "r"),
    CANVAS("Turn back", "win.turn-back", "<Shift>r"),
    CANVAS("Mirror left to right", "win.mirror", "m"),
    CANVAS("Operate: open or close, pull or set a fuse", "win.operate", "o"),
    CANVAS("Land a conductor from the selected device: arrows choose the terminal, Enter takes "
           "it, then the same for the other end",
           "win.land", "l"),
    CANVAS("Next conductor of the selected device (Tab goes on to the device at its other end)",
           "win.next-conductor", "w"),
    CANVAS("Previous conductor of the selected device", "win.previous-conductor", "<Shift>w"),
    CANVAS("Land the far end of the selected conductor elsewhere: arrows choose the terminal",
           "win.reland", "t"),
    CANVAS("Land its near end elsewhere", "win.reland-start", "<Shift>t"),
    CANVAS("Bend the selected conductor: Tab chooses the stretch, arrows move it", "win.bend", "b"),
    CANVAS("Take its bends away", "win.straighten", "<Shift>b"),
    CANVAS("Add the next device to the selection", "win.extend-next", "x"),
    CANVAS("Add the previous device to the selection", "win.extend-previous", "<Shift>x"),
    CANVAS("Draw an enclosure round what is selected", "win.group", "<Control>g"),
    CANVAS("Take the outline of an enclosure away", "win.ungroup", "<Control><Shift>g"),
    CANVAS("Take the red probe, for the terminal or conductor clicked next (arrows and Enter: a "
           "terminal; Enter: the selected conductor)",
           "win.probe-red", "1"),
    CANVAS("Take the black probe, in the same way", "win.probe-black", "2"),
    CANVAS("Closer", "win.zoom-in", "plus"),
    CANVAS("Farther", "win.zoom-out", "minus"),
    CANVAS("The whole sheet", "win.zoom-fit", "f"),
};

const KeysRow *
keys_table(guint *n)
{
  *n = G_N_ELEMENTS(rows);
  return rows;
}

char *
keys_dup_label(const KeysRow *row)
{
  if (row->place == KEYS_MODE)
    return g_strdup(row->keys);
  GString *text = g_string_new(NULL);
  for (int i = 0; row->accels[i] != NULL; i++) {
    guint key;
    GdkModifierType modifiers;
    if (!gtk_accelerator_parse(row->accels[i], &key, &modifiers))
      continue;
    g_autofree char *label = gtk_accelerator_get_label(key, modifiers);
    g_string_append_printf(text, "%s%s", text->len > 0 ? " or " : "", label);
  }
  return g_string_free(text, FALSE);
}

void
keys_set_accelerators(GtkApplication *application)
{
  for (guint i = 0; i < G_N_ELEMENTS(rows); i++)
    if (rows[i].place == KEYS_WINDOW)
      gtk_application_set_accels_for_action(application, rows[i].action, rows[i].accels);
}

void
keys_bind_canvas(GtkWidgetClass *canvas_class)
{
  for (guint i = 0; i < G_N_ELEMENTS(rows); i++)
    for (int a = 0; rows[i].place == KEYS_CANVAS && rows[i].accels[a] != NULL; a++) {
      guint key;
      GdkModifierType modifiers;
      if (gtk_accelerator_parse(rows[i].accels[a], &key, &modifiers))
        gtk_widget_class_add_binding_action(canvas_class, key, modifiers, rows[i].action, NULL);
    }
}
