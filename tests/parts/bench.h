/* SPDX-License-Identifier: MIT */
/* A document of a few devices, put together by code. */
#pragma once

#include "circuit/circuit.h"
#include "parts/catalog.h"
#include <stdarg.h>

/* Adds a device; pairs of field and value after id, NULL-terminated. Rows stay as a new device has
 * them. */
static inline Device *
bench_device(const char *kind, const char *id, ...)
{
  Device *device = device_new(part_catalog_find(parts_catalog(), kind), id);
  va_list list;
  va_start(list, id);
  for (const char *field = va_arg(list, const char *); field; field = va_arg(list, const char *)) {
    g_autoptr(GError) error = NULL;
    if (!device_set(device, field, va_arg(list, const char *), &error))
      g_error("%s", error->message);
  }
  va_end(list);
  g_autoptr(GError) error = NULL;
  if (!device_derive(device, &error))
    g_error("%s", error->message);
  return device;
}

static inline void
bench_add(Document *document, Device *take_device)
{
  g_autoptr(GError) error = NULL;
  Change *change = change_new("Add");
  change_device(change, NULL, take_device);
  device_unref(take_device);
  if (!document_apply(document, change, &error))
    g_error("%s", error->message);
}

static inline void
bench_land(Document *document, const char *from_device, const char *from, const char *to_device,
           const char *to)
{
  g_autoptr(GError) error = NULL;
  g_autoptr(Conductor) conductor = conductor_new(from_device, from, to_device, to);
  Change *change = change_new("Land");
  change_conductor(change, NULL, conductor);
  if (!document_apply(document, change, &error))
    g_error("%s", error->message);
}

/* Sets a reading of the supply that is in the document; the pair has to be one of its rows. */
static inline void
bench_reading(Device *supply, const char *between, const char *value)
{
  for (guint row = 0; row < device_row_count(supply); row++)
    if (g_str_equal(device_row_text(supply, row, 0), between)) {
      if (!device_set_row(supply, row, "value", value, NULL))
        g_error("%s", value);
      return;
    }
  g_error("no reading %s", between);
}

/* The circuit of a single device. */
static inline Circuit *
bench_circuit_of(Device *take_device, const CircuitOptions *options)
{
  g_autoptr(Document) document = document_new(parts_catalog());
  bench_add(document, take_device);
  return circuit_build(document, options);
}
