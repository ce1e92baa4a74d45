/* SPDX-License-Identifier: MIT */
/* What people type, and what it has to mean: one table, in several locales. */
#include "desk/typed.h"
#include <locale.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static const FieldSpec volts = {
    .name = "v", .type = FIELD_QUANTITY, .unit = UNIT_VOLT, .minimum = 0, .maximum = 35000};
static const FieldSpec rating = {
    .name = "r", .type = FIELD_QUANTITY, .unit = UNIT_VOLT_AMPERE, .minimum = 0.1, .maximum = 1e7};
static const FieldSpec current = {
    .name = "a", .type = FIELD_QUANTITY, .unit = UNIT_AMPERE, .minimum = 0, .maximum = 1e6};
static const FieldSpec gauge = {
    .name = "g", .type = FIELD_QUANTITY, .unit = UNIT_AWG, .minimum = 0.05, .maximum = 500};
static const FieldSpec length = {
    .name = "l", .type = FIELD_QUANTITY, .unit = UNIT_FOOT, .minimum = 0, .maximum = 5000};
static const FieldSpec ohms = {
    .name = "o", .type = FIELD_QUANTITY, .unit = UNIT_OHM, .minimum = 0, .maximum = 1e9};
static const FieldSpec farads = {
    .name = "c", .type = FIELD_QUANTITY, .unit = UNIT_FARAD, .minimum = 0, .maximum = 1};
static const FieldSpec accepts = {
    .name = "x", .type = FIELD_RANGE, .unit = UNIT_VOLT, .minimum = 0, .maximum = 35000};
static const FieldSpec ratio = {
    .name = "p", .type = FIELD_QUANTITY, .unit = UNIT_PERCENT, .minimum = 0, .maximum = 50};
static const FieldSpec warmth = {
    .name = "t", .type = FIELD_QUANTITY, .unit = UNIT_CELSIUS, .minimum = -40, .maximum = 200};
static const FieldSpec factor = {
    .name = "f", .type = FIELD_QUANTITY, .unit = UNIT_NONE, .minimum = 0, .maximum = 1};
static const FieldSpec bundled = {
    .name = "n", .type = FIELD_INTEGER, .minimum = 1, .maximum = 5000};
static const FieldSpec note = {.name = "note", .type = FIELD_TEXT};

static const struct {
  const FieldSpec *field;
  const char *typed;
  const char *text; /* what the value holds then; NULL: refused */
  const char *says; /* in the complaint */
} cases[] = {
    {&volts, "115 v", "115 V", NULL},
    {&volts, "115", "115 V", NULL},
    {&volts, "  115V ", "115 V", NULL},
    {&volts, "115 Volts", "115 V", NULL},
    {&volts, "115 VAC", "115 V", NULL},
    {&volts, "0.48 kV", "0.48 kV", NULL},
    {&volts, "0.48 KV", "0.48 kV", NULL},
    {&volts, "24 mV", "24 mV", NULL},
    {&volts, "1\302\240200 V", NULL, "1"}, /* a space inside is no grouping */
    {&volts, "118.4", "118.4 V", NULL},
    {&volts, ".5", "0.5 V", NULL},
    {&volts, "1e3 V", "1000 V", NULL},
    {&volts, "115 A", NULL, "expected"},
    {&volts, "115 furlongs", NULL, "expected"},
    {&volts, "hot", NULL, "expected"},
    {&volts, "\342\210\2225 V", NULL, "0"},
    {&volts, "40 kV", NULL, "35"},
    {&volts, "inf", NULL, NULL},
    {&volts, "0x1F", NULL, NULL},
    {&volts, "", "", NULL},
    /* commas: never misread */
    {&volts, "1,5", "1.5 V", NULL},
    {&volts, "1,5 V", "1.5 V", NULL},
    {&volts, "118,37", "118.37 V", NULL},
    {&volts, ",5", "0.5 V", NULL},
    {&volts, "0,480 kV", "0.48 kV", NULL},
    {&volts, "1,500", NULL, "1500 or 1.500"},
    {&volts, "12,470 V", NULL, "12470 or 12.470"},
    {&volts, "1,234.5", "1234.5 V", NULL},
    {&volts, "1.234,5", NULL, "point for decimals"},
    {&volts, "1,2,3", NULL, "point for decimals"},
    {&volts, "1,", NULL, "point for decimals"},
    {&current, "1,000,000", "1000000 A", NULL},
    {&bundled, "1,500", NULL, "1500 or 1.500"},
    {&bundled, "3", "3", NULL},
    {&bundled, "3,5", NULL, NULL},
    {&factor, "0,9", "0.9", NULL},
    {&factor, "0.9", "0.9", NULL},
    {&factor, "0.9 VA", NULL, NULL},
    /* powers and currents */
    {&rating, "0.5 kVA", "0.5 kVA", NULL},
    {&rating, "0.5 kva", "0.5 kVA", NULL},
    {&rating, "250", "250 VA", NULL},
    {&rating, "250 va", "250 VA", NULL},
    {&rating, "250 volt-amperes", "250 VA", NULL},
    {&rating, "250 W", NULL, "expected"},
    {&current, "10k", "10 kA", NULL},
    {&current, "10 KA", "10 kA", NULL},
    {&current, "0.4 amps", "0.4 A", NULL},
    {&current, "500 mA", "500 mA", NULL},
    {&current, "500 ma", "500 mA", NULL},
    {&current, "2 MA", NULL, NULL}, /* mega, out of range: not taken for milli */
    /* conductors */
    {&gauge, "14 AWG", "14 AWG", NULL},
    {&gauge, "14awg", "14 AWG", NULL},
    {&gauge, "#14", "14 AWG", NULL},
    {&gauge, "AWG 12", "12 AWG", NULL},
    {&gauge, "14 ga", "14 AWG", NULL},
    {&gauge, "14", "14 AWG", NULL},
    {&gauge, "2/0", "2/0 AWG", NULL},
    {&gauge, "1/0 awg", "1/0 AWG", NULL},
    {&gauge, "2.5 mm2", "2.5 mm2", NULL},
    {&gauge, "2,5 mm\302\262", "2.5 mm2", NULL},
    {&gauge, "2.5 sqmm", "2.5 mm2", NULL},
    {&gauge, "250 MCM", "250 kcmil", NULL},
    {&gauge, "250 mcm", "250 kcmil", NULL},
    {&gauge, "14.5 AWG", NULL, "expected"},
    {&length, "25 ft", "25 ft", NULL},
    {&length, "25'", "25 ft", NULL},
    {&length, "25 feet", "25 ft", NULL},
    {&length, "25", "25 ft", NULL},
    {&length, "8 m", "8 m", NULL},
    {&length, "8 M", "8 m", NULL},
    {&length, "8 metres", "8 m", NULL},
    {&length, "18\"", "18 in", NULL},
    {&length, "25 V", NULL, "expected"},
    /* the rest */
    {&ohms, "4.7k", "4.7 kohm", NULL},
    {&ohms, "2 M", "2 Mohm", NULL},
    {&ohms, "12 \316\251", "12 ohm", NULL},
    {&ohms, "12 Ohms", "12 ohm", NULL},
    {&farads, "35 MFD", "35 uF", NULL},
    {&farads, "35 mfd", "35 uF", NULL},
    {&farads, "35 uf", "35 uF", NULL},
    {&farads, "35 \302\265F", "35 uF", NULL},
    {&ratio, "6", "6 %", NULL},
    {&ratio, "6%", "6 %", NULL},
    {&ratio, "6 pct", "6 %", NULL},
    {&ratio, "60 %", NULL, "50"},
    {&warmth, "75 \302\260C", "75 C", NULL},
    {&warmth, "-10", "-10 C", NULL},
    {&accepts, "110..125 V", "110..125 V", NULL},
    {&accepts, "110..125", "110..125 V", NULL},
    {&accepts, "110 - 125 v", "110..125 V", NULL},
    {&accepts, "110-125", "110..125 V", NULL},
    {&accepts, "110 to 125 V", "110..125 V", NULL},
    {&accepts, "110\342\200\246125 V", "110..125 V", NULL},
    {&accepts, "110\342\200\223125 V", "110..125 V", NULL},
    {&accepts, "110 V to 125 V", "110..125 V", NULL},
    {&accepts, "22,5..28", "22.5..28 V", NULL},
    {&accepts, "1,100..1,200", NULL, "1100 or 1.100"},
    {&accepts, "125..110", NULL, NULL},
    {&accepts, "24", "24 V", NULL},
    {&note, " as it is, 1,500 v ", "as it is, 1,500 v", NULL},
};

static void
check_table(void)
{
  for (guint i = 0; i < G_N_ELEMENTS(cases); i++) {
    g_autoptr(GError) error = NULL;
    g_autofree char *text = typed_text(cases[i].field, cases[i].typed, &error);
    Value value;
    value_init_defaults(&value, cases[i].field, 1);
    bool good =
        text != NULL && value_set_text(&value, cases[i].field, *text != '\0' ? text : NULL, &error);
    g_autofree char *held = good ? value_dup_text(&value, cases[i].field) : NULL;
    if (cases[i].text != NULL && !good)
      fail_msg("\"%s\": %s", cases[i].typed, error->message);
    else if (cases[i].text != NULL && strcmp(held != NULL ? held : "", cases[i].text) != 0)
      fail_msg("\"%s\" became \"%s\", not \"%s\"", cases[i].typed, held, cases[i].text);
    else if (cases[i].text == NULL && good)
      fail_msg("\"%s\" was taken for \"%s\"", cases[i].typed, held);
    else if (cases[i].says != NULL && strstr(error->message, cases[i].says) == NULL)
      fail_msg("\"%s\": \"%s\" does not say \"%s\"", cases[i].typed, error->message, cases[i].says);
    value_clear_all(&value, 1);
  }
}

static void
everything_typed_means_one_thing(void **state)
{
  (void)state;
  check_table();
}

/* Most machines have no such locale installed: it is made in a folder of its own. */
static bool
german(const char *folder)
{
  g_autofree char *path = g_build_filename(folder, "de_DE.UTF-8", NULL);
  const char *command[] = {"localedef", "-i", "de_DE", "-f", "UTF-8", path, NULL};
  g_spawn_sync(NULL, (char **)(guintptr)command, NULL,
               G_SPAWN_SEARCH_PATH | G_SPAWN_STDOUT_TO_DEV_NULL | G_SPAWN_STDERR_TO_DEV_NULL, NULL,
               NULL, NULL, NULL, NULL, NULL);
  g_setenv("LOCPATH", folder, TRUE);
  return setlocale(LC_ALL, "de_DE.UTF-8") != NULL && strcmp(localeconv()->decimal_point, ",") == 0;
}

static void
where_decimals_have_a_comma(void **state)
{
  (void)state;
  g_autofree char *folder = g_dir_make_tmp("doorsheet-typed-XXXXXX", NULL);
  bool made = german(folder);
  if (made)
    check_table();
  setlocale(LC_ALL, "C");
  const char *const remove[] = {"rm", "-rf", folder, NULL};
  g_spawn_sync(NULL, (char **)(guintptr)remove, NULL, G_SPAWN_SEARCH_PATH, NULL, NULL, NULL, NULL,
               NULL, NULL);
  if (!made) {
    print_message("skipped: the locale de_DE can be neither found nor made here\n");
    skip();
  }
}

/* What is shown for a value reads back as that value, letter for letter. */
static void
own_texts_stay(void **state)
{
  (void)state;
  for (guint i = 0; i < G_N_ELEMENTS(cases); i++) {
    if (cases[i].text == NULL)
      continue;
    g_autofree char *again = typed_text(cases[i].field, cases[i].text, NULL);
    assert_string_equal(again, cases[i].text);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(everything_typed_means_one_thing),
      cmocka_unit_test(where_decimals_have_a_comma),
      cmocka_unit_test(own_texts_stay),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
