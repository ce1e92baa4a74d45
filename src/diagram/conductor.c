/* SPDX-License-Identifier: MIT */
/* Conductors, the landings at their ends, and readings measured between landings. */
#include "diagram/device.h"

#include "base/language.h"
#include "base/text.h"

#include <string.h>

static const char *const material_words[] = {N_("copper"), N_("aluminium"), NULL};
static const char *const wiring_words[] = {N_("factory"), N_("field"), NULL};
static const char *const condition_words[] = {N_("sound"), N_("loose"), N_("broken"), NULL};

/* Limits of size: 40 AWG, the thinnest in the ASTM B258 table, to 2000 kcmil, the largest of NFPA
 * 70 Chapter 9 Table 8 (1013 mm2), with a little room for metric sizes. */
const FieldSpec conductor_fields[CONDUCTOR_FIELD_COUNT] = {
    [CONDUCTOR_NUMBER] = {.name = "number",
                          .title = N_("Wire number"),
                          .help = N_("Number on the conductor's markers, the same at both ends"),
                          .type = FIELD_TEXT,
                          .maximum = 24},
    [CONDUCTOR_COLOUR] = {.name = "colour",
                          .is_colour = true,
                          .title = N_("Colour"),
                          .help =
                              N_("Insulation: \"black\", \"white/blue\" for base and tracer, or "
                                 "\"bare\""),
                          .type = FIELD_TEXT,
                          .maximum = 40},
    [CONDUCTOR_GAUGE] = {.name = "gauge",
                         .title = N_("Size"),
                         .help = N_("Printed on the insulation: AWG, kcmil or mm2"),
                         .type = FIELD_QUANTITY,
                         .unit = UNIT_AWG,
                         .minimum = 0.005,
                         .maximum = 1200.0},
    [CONDUCTOR_MATERIAL] = {.name = "material",
                            .title = N_("Metal"),
                            .help = N_("Copper unless the insulation says AL"),
                            .type = FIELD_CHOICE,
                            .choices = material_words,
                            .initial = "copper"},
    [CONDUCTOR_LENGTH] = {.name = "length",
                          .title = N_("Length"),
                          .help =
                              N_("Along the conductor, one way; missing: no voltage drop counted"),
                          .type = FIELD_QUANTITY,
                          .unit = UNIT_METRE,
                          .minimum = 0.0,
                          .maximum = 5000.0},
    [CONDUCTOR_INSULATION] = {.name = "insulation",
                              .title = N_("Insulation voltage"),
                              .help = N_("Voltage rating printed on the insulation"),
                              .type = FIELD_QUANTITY,
                              .unit = UNIT_VOLT,
                              .minimum = 1.0,
                              .maximum = 50000.0},
    [CONDUCTOR_TEMPERATURE] = {.name = "temperature",
                               .title = N_("Insulation temperature"),
                               .help = N_(
                                   "Temperature rating of the insulation: 60, 75 or 90 C mostly"),
                               .type = FIELD_QUANTITY,
                               .unit = UNIT_CELSIUS,
                               .minimum = 1.0,
                               .maximum = 300.0},
    [CONDUCTOR_RACEWAY] = {.name = "raceway",
                           .title = N_("Raceway or cable"),
                           .help =
                               N_("Marking of the raceway, cable or bundle it runs in, alike for "
                                  "all conductors in it"),
                           .type = FIELD_TEXT,
                           .maximum = 40},
    [CONDUCTOR_BUNDLED] = {.name = "bundled",
                           .title = N_("Conductors bundled"),
                           .help =
                               N_("Conductors that carry current in that raceway, this one too; "
                                  "empty: those on the sheet"),
                           .type = FIELD_INTEGER,
                           .minimum = 1,
                           .maximum = 1000},
    [CONDUCTOR_WIRING] = {.name = "wiring",
                          .title = N_("Wiring"),
                          .help = N_("Factory wiring is drawn solid, field wiring dashed"),
                          .type = FIELD_CHOICE,
                          .choices = wiring_words,
                          .initial = "field"},
    [CONDUCTOR_CONDITION] = {.name = "condition",
                             .title = N_("Condition"),
                             .help = N_("Sound, loose at a landing, or broken"),
                             .type = FIELD_CHOICE,
                             .choices = condition_words,
                             .initial = "sound"},
    [CONDUCTOR_NOTE] = {.name = "note",
                        .title = N_("Note"),
                        .help = N_("Anything the next person should know"),
                        .type = FIELD_TEXT},
};

Landing
landing_make(const char *device, const char *terminal)
{
  return (Landing){g_strdup(device), g_strdup(terminal)};
}

void
landing_clear(Landing *landing)
{
  g_clear_pointer(&landing->device, g_free);
  g_clear_pointer(&landing->terminal, g_free);
}

bool
landing_equal(const Landing *a, const Landing *b)
{
  if (a->device == NULL || b->device == NULL) /* earth, whatever its terminal is called */
    return a->device == b->device;
  return g_strcmp0(a->device, b->device) == 0 && g_strcmp0(a->terminal, b->terminal) == 0;
}

char *
landing_dup_name(const Landing *landing)
{
  return landing->device == NULL ? g_strdup("GND")
                                 : g_strdup_printf("%s.%s", landing->device, landing->terminal);
}

static Conductor *
conductor_alloc(void)
{
  Conductor *conductor = g_new0(Conductor, 1);
  g_atomic_ref_count_init(&conductor->references);
  conductor->via = g_array_new(FALSE, FALSE, sizeof(Point));
  return conductor;
}

Conductor *
conductor_new(const char *from_device, const char *from_terminal, const char *to_device,
              const char *to_terminal)
{
  Conductor *conductor = conductor_alloc();
  conductor->from = landing_make(from_device, from_terminal);
  conductor->to = landing_make(to_device, to_terminal);
  value_init_defaults(conductor->values, conductor_fields, CONDUCTOR_FIELD_COUNT);
  return conductor;
}

Conductor *
conductor_copy(const Conductor *conductor)
{
  Conductor *copy = conductor_alloc();
  copy->from = landing_make(conductor->from.device, conductor->from.terminal);
  copy->to = landing_make(conductor->to.device, conductor->to.terminal);
  value_copy_all(copy->values, conductor->values, CONDUCTOR_FIELD_COUNT);
  if (conductor->via->len > 0)
    g_array_append_vals(copy->via, conductor->via->data, conductor->via->len);
  copy->key = conductor->key;
  return copy;
}

Conductor *
conductor_ref(const Conductor *conductor)
{
  Conductor *shared = (Conductor *)(guintptr)conductor;
  g_atomic_ref_count_inc(&shared->references);
  return shared;
}

void
conductor_unref(Conductor *conductor)
{
  if (conductor == NULL || !g_atomic_ref_count_dec(&conductor->references))
    return;
  landing_clear(&conductor->from);
  landing_clear(&conductor->to);
  value_clear_all(conductor->values, CONDUCTOR_FIELD_COUNT);
  g_array_unref(conductor->via);
  g_free(conductor);
}

bool
conductor_equal(const Conductor *a, const Conductor *b)
{
  if (a == b)
    return true;
  if (!landing_equal(&a->from, &b->from) || !landing_equal(&a->to, &b->to) ||
      a->via->len != b->via->len)
    return false;
  for (guint i = 0; i < CONDUCTOR_FIELD_COUNT; i++)
    if (!value_equal(&conductor_fields[i], &a->values[i], &b->values[i]))
      return false;
  for (guint i = 0; i < a->via->len; i++) {
    Point p = g_array_index(a->via, Point, i), q = g_array_index(b->via, Point, i);
    if (p.x != q.x || p.y != q.y)
      return false;
  }
  return true;
}

bool
conductor_set(Conductor *conductor, const char *field, const char *text, GError **error)
{
  int index = field_index(conductor_fields, CONDUCTOR_FIELD_COUNT, field);
  g_autofree char *name = conductor_dup_name(conductor);
  if (index < 0) {
    const char *names[CONDUCTOR_FIELD_COUNT + 1] = {NULL};
    for (guint i = 0; i < CONDUCTOR_FIELD_COUNT; i++)
      names[i] = conductor_fields[i].name;
    const char *nearest = text_nearest(field, names);
    g_autofree char *all = g_strjoinv(", ", (char **)names);
    g_autofree char *shown = text_clean(field, 40);
    g_set_error(error, FIELD_ERROR, FIELD_ERROR_CHOICE,
                nearest != NULL ? _("%s has no field \"%s\"; did you mean %s")
                                : _("%s has no field \"%s\"; it has: %s"),
                name, shown, nearest != NULL ? nearest : all);
    return false;
  }
  if (value_set_text(&conductor->values[index], &conductor_fields[index], text, error))
    return true;
  g_prefix_error(error, "%s, %s: ", name, field);
  return false;
}

const char *
conductor_text(const Conductor *conductor, ConductorField field)
{
  const Value *value = &conductor->values[field];
  return value->has_value && value->text != NULL ? value->text : "";
}

char *
conductor_dup_name(const Conductor *conductor)
{
  const char *number = conductor_text(conductor, CONDUCTOR_NUMBER);
  if (*number != '\0')
    return g_strdup_printf("conductor %s", number);
  g_autofree char *from = landing_dup_name(&conductor->from);
  g_autofree char *to = landing_dup_name(&conductor->to);
  return g_strdup_printf("conductor %s-%s", from, to);
}
