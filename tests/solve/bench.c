/* SPDX-License-Identifier: MIT */
#include "bench.h"

#include "base/text.h"
#include "parts/catalog.h"
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static void
must(bool good, GError **error)
{
  if (!good)
    fail_msg("%s", *error != NULL ? (*error)->message : "refused without a reason");
}

static void
put(Document *document, const Device *before, Device *after)
{
  GError *error = NULL;
  must(device_derive(after, &error), &error);
  Change *change = change_new("bench");
  change_device(change, before, after);
  must(document_apply(document, change, &error), &error);
}

static Device *
fresh(const char *id, const char *kind)
{
  const PartKind *found = part_catalog_find(parts_catalog(), kind);
  assert_non_null(found);
  return device_new(found, id);
}

void
bench_add(Document *document, const char *id, const char *kind, ...)
{
  g_autoptr(Device) device = fresh(id, kind);
  va_list list;
  va_start(list, kind);
  for (const char *field = va_arg(list, const char *); field; field = va_arg(list, const char *)) {
    GError *error = NULL;
    must(device_set(device, field, va_arg(list, const char *), &error), &error);
  }
  va_end(list);
  put(document, NULL, device);
}

void
bench_set(Document *document, const char *id, const char *field, const char *text)
{
  GError *error = NULL;
  const Device *before = document_find_device(document, id);
  assert_non_null(before);
  g_autoptr(Device) after = device_copy(before);
  must(device_set(after, field, text, &error), &error);
  put(document, before, after);
}

static void
set_row(Device *device, guint row, const char *field, const char *text)
{
  GError *error = NULL;
  must(device_set_row(device, row, field, text, &error), &error);
}

static void
clear_rows(Device *device)
{
  while (device_row_count(device) > 0)
    device_remove_row(device, device_row_count(device) - 1);
}

void
bench_supply(Document *document, const char *id, const char *lines, const char *const readings[6])
{
  static const char *const pairs[6] = {"L1 L2", "L2 L3", "L3 L1", "L1 GND", "L2 GND", "L3 GND"};
  GError *error = NULL;
  g_autoptr(Device) device = fresh(id, "supply");
  must(device_set(device, "lines", lines, &error), &error);
  clear_rows(device);
  for (int i = 0; i < 6; i++) {
    if (readings[i] == NULL)
      continue;
    device_add_row(device);
    set_row(device, device_row_count(device) - 1, "between", pairs[i]);
    set_row(device, device_row_count(device) - 1, "value", readings[i]);
  }
  put(document, NULL, device);
}

void
bench_transformer(Document *document, const char *id, const char *rating, ...)
{
  GError *error = NULL;
  g_autoptr(Device) device = fresh(id, "transformer");
  must(device_set(device, "rating", rating, &error), &error);
  clear_rows(device);
  va_list list;
  va_start(list, rating);
  for (const char *lead = va_arg(list, const char *); lead; lead = va_arg(list, const char *)) {
    g_auto(GStrv) words = g_strsplit(lead, " ", 3);
    device_add_row(device);
    guint row = device_row_count(device) - 1;
    set_row(device, row, "name", words[0]);
    set_row(device, row, "winding", words[1]);
    set_row(device, row, "volts", words[2]);
  }
  va_end(list);
  put(document, NULL, device);
}

static Conductor *
conductor_between(const char *from, const char *to)
{
  g_autofree char *a = NULL, *b = NULL, *c = NULL, *d = NULL;
  assert_true(text_split_terminal(from, &a, &b) && text_split_terminal(to, &c, &d));
  return conductor_new(a, b, c, d);
}

static void
put_conductor(Document *document, const Conductor *before, const Conductor *after)
{
  GError *error = NULL;
  Change *change = change_new("bench");
  change_conductor(change, before, after);
  must(document_apply(document, change, &error), &error);
}

void
bench_land(Document *document, const char *from, const char *to)
{
  g_autoptr(Conductor) conductor = conductor_between(from, to);
  put_conductor(document, NULL, conductor);
}

void
bench_land_sized(Document *document, const char *from, const char *to, const char *gauge,
                 const char *length)
{
  g_autoptr(Conductor) conductor = conductor_between(from, to);
  assert_true(conductor_set(conductor, "gauge", gauge, NULL));
  assert_true(conductor_set(conductor, "length", length, NULL));
  put_conductor(document, NULL, conductor);
}

void
bench_break(Document *document, const char *from)
{
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *before = document_conductor(document, i);
    g_autofree char *name = g_strconcat(before->from.device, ".", before->from.terminal, NULL);
    if (!g_str_equal(name, from))
      continue;
    g_autoptr(Conductor) after = conductor_copy(before);
    assert_true(conductor_set(after, "condition", "broken", NULL));
    put_conductor(document, before, after);
    return;
  }
  fail_msg("no conductor starts at %s", from);
}

guint
bench_node(const Circuit *circuit, const char *name)
{
  if (g_str_equal(name, "GND"))
    return 0;
  Landing landing = {0};
  assert_true(text_split_terminal(name, &landing.device, &landing.terminal));
  guint node = circuit_node_of_landing(circuit, &landing);
  g_free(landing.device);
  g_free(landing.terminal);
  if (node == G_MAXUINT)
    fail_msg("there is no terminal %s", name);
  return node;
}

double
bench_volts(const Solution *solution, const char *a, const char *b)
{
  Reading reading = solution_reading(solution, bench_node(solution->circuit, a),
                                     bench_node(solution->circuit, b));
  if (reading.state != READING_LIVE)
    fail_msg("%s to %s is %s", a, b, reading_state_word(reading.state));
  return cabs(reading.volts);
}

void
bench_near(double value, double expected, double tolerance)
{
  if (!(fabs(value - expected) <= tolerance))
    fail_msg("%.9g is not within %g of %.9g", value, tolerance, expected);
}
