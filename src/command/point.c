/* SPDX-License-Identifier: MIT */
#include "command/point.h"

#include "base/language.h"

#include "base/text.h"

static void
complain_device(const Document *document, const char *word, const char *device, GString *err)
{
  g_autoptr(GPtrArray) names = g_ptr_array_new();

  for (guint i = 0; i < document_device_count(document); i++)
    g_ptr_array_add(names, document_device(document, i)->id);
  g_ptr_array_add(names, NULL);
  const char *near = text_nearest(device, (const char *const *)names->pdata);
  g_string_append_printf(err, _("doorsheet: \"%s\" names a device that is not on the sheet."),
                         word);
  if (near != NULL)
    g_string_append_printf(err, _(" Did you mean \"%s\"?"), near);
  g_string_append_c(err, '\n');
}

static void
complain_terminal(const Device *device, const char *word, const char *terminal, GString *err)
{
  g_autoptr(GPtrArray) names = g_ptr_array_new();

  for (guint i = 0; i < device_terminal_count(device); i++)
    g_ptr_array_add(names, (gpointer)(guintptr)device_terminal(device, i)->name);
  g_ptr_array_add(names, NULL);
  const char *near = text_nearest(terminal, (const char *const *)names->pdata);
  g_string_append_printf(err, _("doorsheet: \"%s\" names a terminal that %s does not have."), word,
                         device->id);
  if (near != NULL)
    g_string_append_printf(err, _(" Did you mean \"%s.%s\"?"), device->id, near);
  else if (names->len > 1) {
    g_autofree char *all = g_strjoinv(", ", (char **)names->pdata);
    g_string_append_printf(err, _(" It has %s."), all);
  }
  g_string_append_c(err, '\n');
}

bool
point_find(const Circuit *circuit, const char *word, guint *node, GString *err)
{
  g_autofree char *device_id = NULL, *terminal = NULL;

  if (g_ascii_strcasecmp(word, "GND") == 0) {
    *node = 0;
    return true;
  }
  if (!text_split_terminal(word, &device_id, &terminal)) {
    g_string_append_printf(
        err,
        _("doorsheet: \"%s\" names no point. Write a device, a dot and a terminal, such as "
          "\"T1.X1\", or \"GND\".\n"),
        word);
    return false;
  }
  const int device = document_device_index(circuit->document, device_id);
  if (device < 0) {
    complain_device(circuit->document, word, device_id, err);
    return false;
  }
  const Device *found = document_device(circuit->document, (guint)device);
  const int index = device_terminal_index(found, terminal);
  if (index < 0) {
    complain_terminal(found, word, terminal, err);
    return false;
  }
  *node = circuit_node(circuit, (guint)device, (guint)index);
  return true;
}
