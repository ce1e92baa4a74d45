/* SPDX-License-Identifier: MIT */
#include "greenhouse_rows.h"

typedef struct {
  PartCatalog catalog;
  Change *change;
  guint bay;
} Bay;

static void
set(Device *device, const char *field, const char *text)
{
  g_autoptr(GError) error = NULL;
  if (!device_set(device, field, text, &error))
    g_error("%s", error->message);
}

static char *
bay_id(const Bay *bay, const char *letters)
{
  return g_strdup_printf("%s-%u", letters, bay->bay);
}

static void
place(Bay *bay, const char *kind_name, const char *letters, double x, double y,
      const char *const *settings)
{
  const PartKind *kind = NULL;
  for (guint i = 0; bay->catalog[i]; i++)
    if (g_str_equal(bay->catalog[i]->name, kind_name))
      kind = bay->catalog[i];
  g_assert(kind);
  g_autofree char *id = bay_id(bay, letters);
  g_autoptr(Device) device = device_new(kind, id);
  for (guint i = 0; settings && settings[i]; i += 2)
    set(device, settings[i], settings[i + 1]);
  if (g_str_equal(kind_name, "supply")) {
    static const char *const readings[][2] = {{"L1 L2", "486 V"},  {"L2 L3", "484 V"},
                                              {"L3 L1", "485 V"},  {"L1 GND", "281 V"},
                                              {"L2 GND", "280 V"}, {"L3 GND", "279 V"}};
    while (device_row_count(device) > 0)
      device_remove_row(device, 0);
    for (guint i = 0; i < G_N_ELEMENTS(readings); i++) {
      g_autoptr(GError) error = NULL;
      device_add_row(device);
      if (!device_set_row(device, i, "between", readings[i][0], &error) ||
          !device_set_row(device, i, "value", readings[i][1], &error))
        g_error("%s", error->message);
    }
  }
  if (g_str_equal(kind_name, "transformer")) {
    static const char *const leads[][3] = {{"H1", "primary", "0 V"},
                                           {"H2", "primary", "240 V"},
                                           {"H3", "primary", "480 V"},
                                           {"X1", "secondary", "0 V"},
                                           {"X2", "secondary", "24 V"}};
    while (device_row_count(device) > 0)
      device_remove_row(device, 0);
    for (guint i = 0; i < G_N_ELEMENTS(leads); i++) {
      g_autoptr(GError) error = NULL;
      device_add_row(device);
      if (!device_set_row(device, i, "name", leads[i][0], &error) ||
          !device_set_row(device, i, "winding", leads[i][1], &error) ||
          !device_set_row(device, i, "volts", leads[i][2], &error))
        g_error("%s", error->message);
    }
  }
  g_autoptr(GError) error = NULL;
  device->placement.at =
      (Point){20 + x + 250.0 * (bay->bay % 40), 30 + y + 150.0 * (bay->bay / 40)};
  if (!device_derive(device, &error))
    g_error("%s", error->message);
  change_device(bay->change, NULL, device);
}

static void
land(Bay *bay, const char *from, const char *from_terminal, const char *to, const char *to_terminal)
{
  g_autofree char *a = bay_id(bay, from);
  g_autofree char *b = bay_id(bay, to);
  g_autoptr(Conductor) conductor = conductor_new(a, from_terminal, b, to_terminal);
  g_autoptr(GError) error = NULL;
  if (!conductor_set(conductor, "gauge", "14 AWG", &error) ||
      !conductor_set(conductor, "length", "6 ft", &error))
    g_error("%s", error->message);
  change_conductor(bay->change, NULL, conductor);
}

static void
add_bay(Bay *bay)
{
  static const char *const supply[] = {"lines", "3-phase-3-wire", "fault-current", "10 kA", NULL};
  static const char *const poles[] = {"poles", "2", "rating", "30 A", NULL};
  static const char *const fuse[] = {"rating", "0.5 A", "volts", "600 V", NULL};
  static const char *const transformer[] = {"rating", "75 VA", NULL};
  static const char *const load[] = {"accepts",   "20..28 V",       "power", "40 VA",
                                     "behaviour", "constant-power", NULL};
  place(bay, "supply", "S", 0, 0, supply);
  place(bay, "disconnect", "DISC", 40, 0, poles);
  place(bay, "fuse", "FUA", 80, 0, fuse);
  place(bay, "fuse", "FUB", 80, 20, fuse);
  place(bay, "transformer", "T", 120, 0, transformer);
  place(bay, "load", "LD", 190, 0, load);
  place(bay, "cap", "CAP", 120, 60, NULL);
  place(bay, "ground", "GRD", 150, 70, NULL);
  place(bay, "splice", "SP", 170, 50, NULL);
  place(bay, "test-point", "TP", 190, 60, NULL);
  land(bay, "S", "L1", "DISC", "L1");
  land(bay, "S", "L2", "DISC", "L2");
  land(bay, "DISC", "T1", "FUA", "1");
  land(bay, "DISC", "T2", "FUB", "1");
  land(bay, "FUA", "2", "T", "H1");
  land(bay, "FUB", "2", "T", "H3");
  land(bay, "CAP", "1", "T", "H2");
  land(bay, "T", "X2", "SP", "1");
  land(bay, "SP", "1", "LD", "1");
  land(bay, "SP", "1", "TP", "1");
  land(bay, "T", "X1", "LD", "2");
  land(bay, "T", "X1", "GRD", "1");
}

Document *
greenhouse_rows(PartCatalog catalog, guint devices)
{
  Document *document = document_new(catalog);
  Bay bay = {.catalog = catalog, .change = change_new("Fill the greenhouse")};
  for (; bay.bay * 10 < devices; bay.bay++)
    add_bay(&bay);
  g_autoptr(GError) error = NULL;
  /* The largest paper: the tables of 20 000 devices fill thousands of letter pages. */
  g_autoptr(SheetData) sheet = sheet_data_copy(document_sheet(document));
  if (!value_set_text(&sheet->values[SHEET_PAPER], &sheet_data_fields[SHEET_PAPER], "a3", &error))
    g_error("%s", error->message);
  change_sheet(bay.change, document_sheet(document), sheet);
  if (!document_apply(document, bay.change, &error))
    g_error("%s", error->message);
  document_clear_history(document);
  return document;
}
