/* SPDX-License-Identifier: MIT */
/* Devices with values drawn at random from their own field tables, for tests of every kind. */
#pragma once

#include "diagram/device.h"
#include <math.h>

/* A number inside the field's limits, mostly of a believable size. */
static inline double
random_number(GRand *rand, const FieldSpec *field)
{
  double low = field->minimum, high = field->maximum;
  if (low == 0 && high == 0)
    return g_rand_double_range(rand, 0.1, 1000);
  if (g_rand_int_range(rand, 0, 8) == 0)
    return g_rand_boolean(rand) ? low : high;
  if (low <= 0)
    return g_rand_double_range(rand, low, high);
  return CLAMP(exp(g_rand_double_range(rand, log(low), log(high))), low, high);
}

static inline char *
random_text(GRand *rand, const FieldSpec *field)
{
  static const char *const texts[] = {"A", "unit 2", "white/blue", "\"<&>' é", "0", "CR1"};
  const char *text = texts[g_rand_int_range(rand, 0, G_N_ELEMENTS(texts))];
  return g_utf8_substring(
      text, 0, MIN(g_utf8_strlen(text, -1), field->maximum > 0 ? (glong)field->maximum : 200));
}

/* Text the field should take. New string. */
static inline char *
random_value_text(GRand *rand, const FieldSpec *field)
{
  static const char *const ends[] = {"L1", "L2", "L3", "GND"};
  switch (field->type) {
  case FIELD_TEXT:
    return random_text(rand, field);
  case FIELD_NAME:
    return g_strdup_printf("Q%d", g_rand_int_range(rand, 1, 1000));
  case FIELD_QUANTITY:
    return quantity_format(quantity_make(random_number(rand, field), field->unit));
  case FIELD_RANGE: {
    double a = random_number(rand, field), b = random_number(rand, field);
    QuantityRange range = {quantity_make(MIN(a, b), field->unit),
                           quantity_make(MAX(a, b), field->unit)};
    return quantity_range_format(range);
  }
  case FIELD_CHOICE: {
    guint n = g_strv_length((char **)(gpointer)field->choices);
    return g_strdup(field->choices[g_rand_int_range(rand, 0, (gint32)n)]);
  }
  case FIELD_BOOLEAN:
    return g_strdup(g_rand_boolean(rand) ? "yes" : "no");
  case FIELD_INTEGER:
    return g_strdup_printf(
        "%d", g_rand_int_range(rand, (gint32)field->minimum, (gint32)field->maximum + 1));
  case FIELD_TERMINALS: {
    int a = g_rand_int_range(rand, 0, 4), b = (a + g_rand_int_range(rand, 1, 4)) % 4;
    return g_strdup_printf("%s %s", ends[a], ends[b]);
  }
  }
  return NULL;
}

/* Sets about two fields in three and some rows; every text has to be taken. Whether the device as a
 * whole makes sense is for device_derive, which the caller calls. */
static inline Device *
random_device(GRand *rand, const PartKind *kind, const char *id)
{
  Device *device = device_new(kind, id);
  for (guint i = 0; i < kind->n_fields; i++) {
    if (g_rand_int_range(rand, 0, 3) == 0)
      continue;
    g_autofree char *text = random_value_text(rand, &kind->fields[i]);
    g_autoptr(GError) error = NULL;
    if (!device_set(device, kind->fields[i].name, text, &error))
      g_error("%s %s=\"%s\": %s", kind->name, kind->fields[i].name, text, error->message);
  }
  guint rows = kind->row_name ? (guint)g_rand_int_range(rand, 0, (gint32)kind->max_rows + 1) : 0;
  while (device_row_count(device) > rows)
    device_remove_row(device, device_row_count(device) - 1);
  while (device_row_count(device) < rows)
    device_add_row(device);
  for (guint row = 0; row < rows; row++)
    for (guint i = 0; i < kind->n_row_fields; i++) {
      if (g_rand_int_range(rand, 0, 3) == 0)
        continue;
      g_autofree char *text = random_value_text(rand, &kind->row_fields[i]);
      g_autoptr(GError) error = NULL;
      if (!device_set_row(device, row, kind->row_fields[i].name, text, &error))
        g_error("%s %s %s=\"%s\": %s", kind->name, kind->row_name, kind->row_fields[i].name, text,
                error->message);
    }
  return device;
}
