/* SPDX-License-Identifier: MIT */
/* As-measured readings and the test points of a sheet. */
#include "diagram/device.h"

#include "base/language.h"

static const char *const states[] = {N_("energized"), N_("locked-out"), NULL};

const FieldSpec measured_fields[MEASURED_FIELD_COUNT] = {
    [MEASURED_VALUE] = {.name = "value",
                        .title = N_("As measured"),
                        .help = N_("What the meter showed between the two points"),
                        .type = FIELD_QUANTITY,
                        .unit = UNIT_VOLT,
                        .minimum = 0.0,
                        .maximum = 1e6},
    [MEASURED_OHMS] = {.name = "ohms",
                       .title = N_("Ohms"),
                       .help = N_("What the ohmmeter showed, locked out; 40 Mohm or more: open"),
                       .type = FIELD_QUANTITY,
                       .unit = UNIT_OHM,
                       .minimum = 0.0,
                       .maximum = 1e9},
    [MEASURED_STATE] = {.name = "state",
                        .title = N_("Taken"),
                        .help = N_("Energized, or locked out"),
                        .type = FIELD_CHOICE,
                        .choices = states,
                        .initial = "energized"},
    [MEASURED_POINT] = {.name = "point",
                        .title = N_("Test point"),
                        .help = N_("Number of the pair as a test point of the sheet: \"TP1\""),
                        .type = FIELD_NAME},
    [MEASURED_DATE] = {.name = "date",
                       .title = N_("Date"),
                       .help = N_("Day of the measurement, year first: \"2026-11-25\""),
                       .type = FIELD_TEXT,
                       .maximum = 40},
    [MEASURED_NOTE] = {.name = "note",
                       .title = N_("Note"),
                       .help = N_("Which meter, which load was on"),
                       .type = FIELD_TEXT},
};

Measured *
measured_new(void)
{
  Measured *measured = g_new0(Measured, 1);
  g_atomic_ref_count_init(&measured->references);
  value_init_defaults(measured->values, measured_fields, MEASURED_FIELD_COUNT);
  return measured;
}

Measured *
measured_copy(const Measured *measured)
{
  Measured *copy = g_new0(Measured, 1);
  g_atomic_ref_count_init(&copy->references);
  copy->a = landing_make(measured->a.device, measured->a.terminal);
  copy->b = landing_make(measured->b.device, measured->b.terminal);
  value_copy_all(copy->values, measured->values, MEASURED_FIELD_COUNT);
  copy->key = measured->key;
  return copy;
}

Measured *
measured_ref(const Measured *measured)
{
  Measured *shared = (Measured *)(guintptr)measured;
  g_atomic_ref_count_inc(&shared->references);
  return shared;
}

void
measured_unref(Measured *measured)
{
  if (measured == NULL || !g_atomic_ref_count_dec(&measured->references))
    return;
  landing_clear(&measured->a);
  landing_clear(&measured->b);
  value_clear_all(measured->values, MEASURED_FIELD_COUNT);
  g_free(measured);
}

bool
measured_equal(const Measured *a, const Measured *b)
{
  if (a == b)
    return true;
  if (!landing_equal(&a->a, &b->a) || !landing_equal(&a->b, &b->b))
    return false;
  for (guint i = 0; i < MEASURED_FIELD_COUNT; i++)
    if (!value_equal(&measured_fields[i], &a->values[i], &b->values[i]))
      return false;
  return true;
}

MeasuredState
measured_state(const Measured *measured)
{
  return (MeasuredState)measured->values[MEASURED_STATE].choice;
}

bool
measured_is_between(const Measured *measured, const Landing *a, const Landing *b)
{
  return (landing_equal(&measured->a, a) && landing_equal(&measured->b, b)) ||
         (landing_equal(&measured->a, b) && landing_equal(&measured->b, a));
}

const char *
measured_point(const Measured *measured)
{
  const Value *value = &measured->values[MEASURED_POINT];
  return value->has_value ? value->text : NULL;
}
