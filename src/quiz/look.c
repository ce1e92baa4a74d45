/* SPDX-License-Identifier: MIT */
/* What can be seen of devices and conductors. */
#include "quiz/bench.h"

#include <string.h>

static guint32
mix(guint32 hash, guint32 more)
{
  hash ^= more + 0x9e3779b9u + (hash << 6) + (hash >> 2);
  return hash;
}

static guint32
mix_text(guint32 hash, const char *text)
{
  return mix(hash, text != NULL ? g_str_hash(text) : 5381u);
}

/* Whether a fuse is good shows on its ohms, and notes are paper. */
static bool
is_seen(const FieldSpec *field)
{
  return strcmp(field->name, "blown") != 0 && strcmp(field->name, "note") != 0;
}

static guint32
mix_values(guint32 hash, const FieldSpec *fields, const Value *values, guint n)
{
  for (guint i = 0; i < n; i++)
    if (is_seen(&fields[i]))
      hash = mix_text(hash, values[i].has_value ? values[i].text : NULL);
  return hash;
}

/* A conductor as it is told from others that lie beside it. */
static guint32
marking(const Conductor *conductor)
{
  guint32 hash = mix_text(17, conductor_text(conductor, CONDUCTOR_NUMBER));
  return mix_text(hash, conductor_text(conductor, CONDUCTOR_COLOUR));
}

/* The sum does not depend on the order of the conductors. */
static guint32
look_at_terminal(const Document *document, const char *device, const char *terminal)
{
  guint32 sum = 0;
  Landing here = {(char *)(guintptr)device, (char *)(guintptr)terminal};
  for (guint c = 0; c < document_conductor_count(document); c++) {
    const Conductor *conductor = document_conductor(document, c);
    if (landing_equal(&conductor->from, &here) || landing_equal(&conductor->to, &here))
      sum += mix(marking(conductor), 1);
  }
  return sum;
}

static guint32
mix_rows(guint32 hash, const Device *device)
{
  const PartKind *kind = device->kind;
  for (guint r = 0; r < device_row_count(device); r++)
    hash = mix_values(hash, kind->row_fields, device_row(device, r), kind->n_row_fields);
  return hash;
}

guint32
look_at_device(const Document *document, guint index)
{
  const Device *device = document_device(document, index);
  const PartKind *kind = device->kind;
  guint32 hash = mix_values(3, kind->fields, device->values, kind->n_fields);
  hash = mix_rows(hash, device);
  hash = mix(hash, (guint32)(gint32)(device->placement.at.x * 4));
  hash = mix(hash, (guint32)(gint32)(device->placement.at.y * 4));
  for (guint i = 0; i < device_terminal_count(device); i++)
    if (document_landings(document, device->id, device_terminal(device, i)->name) > 0)
      hash = mix(mix(hash, i),
                 look_at_terminal(document, device->id, device_terminal(device, i)->name));
  return MAX(hash, LOOK_GONE + 1);
}

guint32
look_at_conductor(const Document *document, guint index)
{
  static const ConductorField seen[] = {
      CONDUCTOR_NUMBER,  CONDUCTOR_COLOUR,     CONDUCTOR_GAUGE,   CONDUCTOR_MATERIAL,
      CONDUCTOR_LENGTH,  CONDUCTOR_INSULATION, CONDUCTOR_RACEWAY, CONDUCTOR_TEMPERATURE,
      CONDUCTOR_BUNDLED, CONDUCTOR_WIRING};
  const Conductor *conductor = document_conductor(document, index);
  guint32 hash = 7;
  for (gsize i = 0; i < G_N_ELEMENTS(seen); i++)
    hash = mix_text(hash, conductor_text(conductor, seen[i]));
  /* A pull at its ends shows a loose landing; a break under the insulation does not show. */
  bool loose = strcmp(conductor_text(conductor, CONDUCTOR_CONDITION), "loose") == 0;
  g_autofree char *from = landing_dup_name(&conductor->from);
  g_autofree char *to = landing_dup_name(&conductor->to);
  hash = mix(hash, loose);
  hash = mix(hash, g_str_hash(from) + g_str_hash(to));
  return MAX(hash, LOOK_GONE + 1);
}
