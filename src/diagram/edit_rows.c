/* SPDX-License-Identifier: MIT */
/* Moving and removing rows (a transformer's leads, a contactor's contacts): what lands on a row's
 * terminals goes where the row goes, also when its terminals are numbered in order and therefore
 * get other names. */
#include "diagram/edit_private.h"

#include "base/language.h"

#include <string.h>

typedef struct {
  const Device *before, *after;
  const int *new_row; /* for each row of before: where it is now; -1: gone */
} Rows;

/* Which of its row's terminals a terminal is: 0 is the first. */
static guint
place_in_row(const Device *device, guint terminal)
{
  guint place = 0;
  for (guint i = 0; i < terminal; i++)
    place += device_terminal(device, i)->row == device_terminal(device, terminal)->row;
  return place;
}

/* The name a terminal has now; NULL when it went with its row. Borrowed. */
static const char *
name_now(gconstpointer data, const char *terminal)
{
  const Rows *rows = data;
  int index = device_terminal_index(rows->before, terminal);
  if (index < 0 || device_terminal(rows->before, (guint)index)->row < 0)
    return terminal;
  int row = rows->new_row[device_terminal(rows->before, (guint)index)->row];
  guint place = place_in_row(rows->before, (guint)index);
  for (guint i = 0; row >= 0 && i < device_terminal_count(rows->after); i++)
    if (device_terminal(rows->after, i)->row == row && place_in_row(rows->after, i) == place)
      return device_terminal(rows->after, i)->name;
  return NULL;
}

/* False: the landing's terminal is gone. */
static bool
follow(const Rows *rows, Landing *landing)
{
  if (landing->device == NULL || strcmp(landing->device, rows->before->id) != 0)
    return true;
  const char *name = name_now(rows, landing->terminal);
  if (name == NULL)
    return false;
  char *copy = g_strdup(name);
  g_free(landing->terminal);
  landing->terminal = copy;
  return true;
}

static void
follow_landings(const Document *document, Change *change, const Rows *rows, GString *gone)
{
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *before = document_conductor(document, i);
    g_autoptr(Conductor) after = conductor_copy(before);
    bool stays = follow(rows, &after->from) && follow(rows, &after->to);
    if (!stays) {
      g_autofree char *name = conductor_dup_name(before);
      if (gone != NULL)
        g_string_append_printf(gone, "%s%s", gone->len > 0 ? ", " : "", name);
      change_conductor(change, before, NULL);
    } else if (!conductor_equal(before, after))
      change_conductor(change, before, after);
  }
  for (guint i = 0; i < document_measured_count(document); i++) {
    const Measured *before = document_measured(document, i);
    g_autoptr(Measured) after = measured_copy(before);
    bool stays = follow(rows, &after->a) && follow(rows, &after->b);
    if (!stays)
      change_measured(change, before, NULL);
    else if (!measured_equal(before, after))
      change_measured(change, before, after);
  }
}

static bool
check_row(const Device *device, guint row, GError **error)
{
  if (device->kind->row_name == NULL)
    g_set_error(error, FIELD_ERROR, FIELD_ERROR_VALUE, _("%s is a %s and has no rows"),
                device_designation(device), _(device->kind->title));
  else if (row >= device_row_count(device))
    g_set_error(error, FIELD_ERROR, FIELD_ERROR_RANGE, _("%s has no %s %u; it has %u"),
                device_designation(device), _(device->kind->row_name), row + 1,
                device_row_count(device));
  else
    return true;
  return false;
}

/* Takes after's derivation and everything that lands on the device into one change. */
static Change *
rearrange(const Document *document, Device *after, const int *new_row, const char *title,
          GString *gone, GError **error)
{
  if (!device_derive(after, error))
    return NULL;
  const Device *before = document_find_device(document, after->id);
  Change *change = change_new(title);
  if (device_equal(before, after))
    return change;
  change_device(change, before, after);
  Rows rows = {before, after, new_row};
  follow_landings(document, change, &rows, gone);
  edit_follow_terminals(document, change, before, name_now, &rows);
  return change;
}

Change *
edit_move_row(const Document *document, const char *id, guint from, guint to, GError **error)
{
  g_autoptr(Device) after = edit_copy_device(document, id, error);
  if (after == NULL || !check_row(after, from, error) || !check_row(after, to, error))
    return NULL;
  guint n = device_row_count(after);
  g_autofree int *new_row = g_new(int, n);
  for (guint r = 0; r < n; r++) {
    guint now = r == from ? to : r;
    if (r > from && r <= to)
      now = r - 1;
    else if (r < from && r >= to)
      now = r + 1;
    new_row[r] = (int)now;
  }
  g_autofree Value **order = g_new(Value *, n);
  for (guint r = 0; r < n; r++)
    order[new_row[r]] = g_array_index(after->rows, Value *, r);
  for (guint r = 0; r < n; r++)
    g_array_index(after->rows, Value *, r) = order[r];
  g_autofree char *title = g_strdup_printf(_("Move %s %u of %s"), _(after->kind->row_name),
                                           from + 1, device_designation(after));
  return rearrange(document, after, new_row, title, NULL, error);
}

Change *
edit_remove_row_landed(const Document *document, const char *id, guint row, char **gone,
                       GError **error)
{
  g_autoptr(Device) after = edit_copy_device(document, id, error);
  if (after == NULL || !check_row(after, row, error))
    return NULL;
  guint n = device_row_count(after);
  g_autofree int *new_row = g_new(int, n);
  for (guint r = 0; r < n; r++)
    new_row[r] = r == row ? -1 : (int)(r > row ? r - 1 : r);
  device_remove_row(after, row);
  g_autofree char *title = g_strdup_printf(_("Remove %s %u of %s"), _(after->kind->row_name),
                                           row + 1, device_designation(after));
  g_autoptr(GString) names = g_string_new(NULL);
  Change *change = rearrange(document, after, new_row, title, names, error);
  if (change != NULL && gone != NULL)
    *gone = g_strdup(names->str);
  return change;
}
