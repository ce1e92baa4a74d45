/* SPDX-License-Identifier: MIT */
#include "desk/keys.h"

#include "base/language.h"

#define WINDOW(section, what, action, ...)                                                         \
  {                                                                                                \
    section, what, KEYS_WINDOW, action, {__VA_ARGS__}, NULL                                        \
  }
#define CANVAS(what, action, ...)                                                                  \
  {                                                                                                \
    N_("On the sheet"), what, KEYS_CANVAS, action, {__VA_ARGS__}, NULL                             \
  }
#define MODE(what, keys)                                                                           \
  {                                                                                                \
    N_("On the sheet"), what, KEYS_MODE, NULL, {NULL}, keys                                        \
  }
#define FIELD(what, keys)                                                                          \
  {                                                                                                \
    N_("In a field of the clipboard"), what, KEYS_MODE, NULL, {NULL}, keys                         \
  }

static const KeysRow rows[] = {
    WINDOW(N_("File"), N_("New sheet"), "win.new", "<Control>n"),
    WINDOW(N_("File"), N_("Open a sheet"), "win.open", "<Control>o"),
    WINDOW(N_("File"), N_("Save"), "win.save", "<Control>s"),
    WINDOW(N_("File"), N_("Save under another name"), "win.save-as", "<Control><Shift>s"),
    WINDOW(N_("File"), N_("Export as PDF"), "win.export-pdf", "<Control>e"),
    WINDOW(N_("File"), N_("Export as SVG"), "win.export-svg", "<Control><Shift>e"),
    WINDOW(N_("File"), N_("Export as PNG"), "win.export-png", "<Control><Alt>e"),
    WINDOW(N_("File"), N_("Print"), "win.print", "<Control>p"),
    WINDOW(N_("File"), N_("Print preview"), "win.print-preview", "<Control><Shift>p"),
    WINDOW(N_("File"), N_("Preferences"), "app.preferences", "<Control>comma"),
    WINDOW(N_("File"), N_("Close the window"), "win.close", "<Control>w"),
    WINDOW(N_("File"), N_("Quit"), "app.quit", "<Control>q"),
    WINDOW(N_("Edit"), N_("Undo"), "win.undo", "<Control>z"),
    WINDOW(N_("Edit"), N_("Redo"), "win.redo", "<Control><Shift>z", "<Control>y"),
    WINDOW(N_("Edit"), N_("Find a designation or wire number"), "win.find", "<Control>f"),
    WINDOW(N_("Edit"), N_("Keep the nameplate of the selected device on the shelf"),
           "win.keep-nameplate", "<Control>k"),
    WINDOW(N_("Job"), N_("Lock out or energize"), "win.energize", "F5"),
    WINDOW(N_("Job"), N_("Measure"), "win.page::measure", "<Alt>1"),
    WINDOW(N_("Job"), N_("Land"), "win.page::land", "<Alt>2"),
    WINDOW(N_("Job"), N_("Check"), "win.page::check", "<Alt>3"),
    WINDOW(N_("Job"), N_("Read"), "win.page::read", "<Alt>4"),
    WINDOW(N_("Job"), N_("Post"), "win.page::post", "<Alt>5"),
    WINDOW(N_("Job"), N_("Next finding"), "win.next-finding", "F8"),
    WINDOW(N_("Job"), N_("Previous finding"), "win.previous-finding", "<Shift>F8"),
    WINDOW(N_("Job"), N_("Do what the chosen finding says"), "win.remedy", "<Control>Return"),
    WINDOW(N_("Job"), N_("Meter on volts, between the probes"), "win.meter::volts", "<Alt>v"),
    WINDOW(N_("Job"), N_("Meter on amperes, round the selected conductor"), "win.meter::amps",
           "<Alt>a"),
    WINDOW(N_("Job"), N_("Meter on ohms, between the probes, locked out"), "win.meter::ohms",
           "<Alt>o"),
    WINDOW(N_("Job"), N_("Pin what the probes touch to the sheet as a test point, or unpin it"),
           "win.pin", "<Alt>p"),
    WINDOW(N_("Lesson"), N_("Faults marked for a lesson"), "win.page::lesson", "<Alt>6"),
    WINDOW(N_("Lesson"), N_("Preview of the marked faults"), "win.preview-faults",
           "<Control><Shift>k"),
    WINDOW(N_("Lesson"), N_("Deal exercises"), "win.deal", "<Control><Shift>d"),
    WINDOW(N_("View"), N_("To the page of the clipboard"), "win.focus-page", "F2"),
    WINDOW(N_("View"), N_("To the parts shelf"), "win.focus-shelf", "F3"),
    WINDOW(N_("View"), N_("To the diagram as a list, or fold it away"), "win.list", "F4"),
    WINDOW(N_("View"), N_("To the sheet"), "win.focus-canvas", "F6"),
    WINDOW(N_("View"), N_("To the notices above the sheet"), "win.focus-notices", "F7"),
    WINDOW(N_("View"), N_("Fold the parts shelf away or back"), "win.show-shelf", "F9"),
    WINDOW(N_("View"), N_("Fold the clipboard away or back"), "win.show-clipboard", "<Shift>F9"),
    WINDOW(N_("View"), N_("Closer"), "win.zoom-in", "<Control>plus", "<Control>equal",
           "<Control>KP_Add"),
    WINDOW(N_("View"), N_("Farther"), "win.zoom-out", "<Control>minus", "<Control>KP_Subtract"),
    WINDOW(N_("View"), N_("The whole sheet"), "win.zoom-fit", "<Control>0"),
    WINDOW(N_("View"), N_("What is drawn"), "win.zoom-content", "<Control>9"),
    WINDOW(N_("View"), N_("Real size"), "win.zoom-normal", "<Control>1"),
    WINDOW(N_("View"), N_("This list"), "win.shortcuts", "<Control>question"),
    MODE(N_("Next, previous device"), N_("Tab, Shift+Tab")),
    MODE(N_("Move what is selected by one grid step (Shift: four)"), N_("Arrows")),
    MODE(N_("Put down what is in hand, select nothing"), N_("Esc")),
    MODE(N_("Take: the part, the terminal"), N_("Enter")),
    MODE(N_("Push the sheet about (or the middle button)"), N_("Space and drag")),
    CANVAS(N_("Cut"), "win.cut", "<Control>x"),
    CANVAS(N_("Copy"), "win.copy", "<Control>c"),
    CANVAS(N_("Paste"), "win.paste", "<Control>v"),
    CANVAS(N_("Mark a fault at the terminal pointed at, or at what is selected"), "win.mark-fault",
           "k"),
    CANVAS(N_("Duplicate"), "win.duplicate", "<Control>d"),
    CANVAS(N_("Delete"), "win.delete", "Delete", "BackSpace"),
    CANVAS(N_("Select everything"), "win.select-all", "<Control>a"),
    CANVAS(N_("Select everything joined to what is selected or pointed at"), "win.select-net", "n"),
    CANVAS(N_("Align left edges"), "win.align-left", "<Control>Left"),
    CANVAS(N_("Align right edges"), "win.align-right", "<Control>Right"),
    CANVAS(N_("Align top edges"), "win.align-top", "<Control>Up"),
    CANVAS(N_("Align bottom edges"), "win.align-bottom", "<Control>Down"),
    CANVAS(N_("Align centres one under another"), "win.align-column", "c"),
    CANVAS(N_("Align centres side by side"), "win.align-row", "<Shift>c"),
    CANVAS(N_("Space evenly across"), "win.spread-across", "e"),
    CANVAS(N_("Space evenly down"), "win.spread-down", "<Shift>e"),
    CANVAS(N_("Turn clockwise"), "win.turn", "r"),
    CANVAS(N_("Turn back"), "win.turn-back", "<Shift>r"),
    CANVAS(N_("Mirror left to right"), "win.mirror", "m"),
    CANVAS(N_("Operate: open or close, pull or set a fuse"), "win.operate", "o"),
    CANVAS(N_("Land a conductor from the selected device: arrows choose the terminal, Enter takes "
              "it, then the same for the other end"),
           "win.land", "l"),
    CANVAS(N_("Next conductor of the selected device (Tab goes on to the device at its other end)"),
           "win.next-conductor", "w"),
    CANVAS(N_("Previous conductor of the selected device"), "win.previous-conductor", "<Shift>w"),
    CANVAS(N_("Land the far end of the selected conductor elsewhere: arrows choose the terminal"),
           "win.reland", "t"),
    CANVAS(N_("Land its near end elsewhere"), "win.reland-start", "<Shift>t"),
    CANVAS(N_("Bend the selected conductor: Tab chooses the stretch, arrows move it"), "win.bend",
           "b"),
    CANVAS(N_("Take its bends away"), "win.straighten", "<Shift>b"),
    CANVAS(N_("Add the next device to the selection"), "win.extend-next", "x"),
    CANVAS(N_("Add the previous device to the selection"), "win.extend-previous", "<Shift>x"),
    CANVAS(N_("Draw an enclosure round what is selected"), "win.group", "<Control>g"),
    CANVAS(N_("Take the outline of an enclosure away"), "win.ungroup", "<Control><Shift>g"),
    CANVAS(N_("Take the red probe, for the terminal or conductor clicked next (arrows and Enter: a "
              "terminal; Enter: the selected conductor)"),
           "win.probe-red", "1"),
    CANVAS(N_("Take the black probe, in the same way"), "win.probe-black", "2"),
    CANVAS(N_("Closer"), "win.zoom-in", "plus"),
    CANVAS(N_("Farther"), "win.zoom-out", "minus"),
    CANVAS(N_("The whole sheet"), "win.zoom-fit", "f"),
    FIELD(N_("Take what is typed; in a list of readings, go on to the next"), N_("Enter")),
    FIELD(N_("Get back what was there"), N_("Esc")),
    FIELD(N_("Choose an insulation colour from a list"), N_("Ctrl+Down")),
    FIELD(N_("Move a lead up or down, with what is landed on it"), N_("Alt+Up, Alt+Down")),
    FIELD(N_("Remove a lead, with what is landed on it"), N_("Alt+Delete")),
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
    return g_strdup(_(row->keys));
  GString *text = g_string_new(NULL);
  for (int i = 0; row->accels[i] != NULL; i++) {
    guint key;
    GdkModifierType modifiers;
    if (!gtk_accelerator_parse(row->accels[i], &key, &modifiers))
      continue;
    g_autofree char *label = gtk_accelerator_get_label(key, modifiers);
    if (text->len > 0)
      g_string_append(text, _(" or "));
    g_string_append(text, label);
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
