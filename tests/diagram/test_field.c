/* SPDX-License-Identifier: MIT */
#include "small_catalog.h"

#include <locale.h>

static const FieldSpec *
every(const char *name)
{
  int index = field_index(every_fields, G_N_ELEMENTS(every_fields), name);
  assert_true(index >= 0);
  return &every_fields[index];
}

typedef struct {
  const char *field, *text, *canonical; /* canonical NULL: refused */
  const char *words;                    /* each of them, split by '|', is in the complaint */
} Case;

static const Case cases[] = {
    {"label", "A <1> & \"2\"", "A <1> & \"2\"", NULL},
    {"label", "thirteen chars", NULL, "14 characters|at most 12"},
    {"label", "t\xc3\xa4glich", "t\xc3\xa4glich", NULL},
    {"label", "bell\a", NULL, "control character|Label"},
    {"label", "\xff\xfe", NULL, "control character"},
    {"label", "two\nlines", "two\nlines", NULL},
    {"plug", "X1", "X1", NULL},
    {"plug", "X 1", NULL, "not a name|at most 32"},
    {"plug", "", NULL, "not a name"},
    {"power", "90 W", "90 W", NULL},
    {"power", " 90W ", "90 W", NULL},
    {"power", "1.5 kW", "1.5 kW", NULL},
    {"power", "0.5 hp", "0.5 hp", NULL},
    {"power", "90", NULL, "cannot be read|number with its unit|from 1 W to 5000 W|\"90 W\""},
    {"power", "90 V", NULL, "cannot be read|90 W"},
    {"power", "0.5 W", NULL, "outside what is permitted|from 1 W to 5000 W"},
    {"power", "6 kW", NULL, "outside what is permitted"},
    {"power", "nan W", NULL, "cannot be read"},
    {"power", "1e999 W", NULL, "cannot be read"},
    {"power", "0x10 W", NULL, "cannot be read"},
    {"power", "1,5 kW", NULL, "cannot be read"},
    {"accepts", "110..125 V", "110..125 V", NULL},
    {"accepts", "24 V", "24 V", NULL},
    {"accepts", "125..110 V", NULL, "cannot be read|range or a single figure"},
    {"accepts", "0..125 V", NULL, "outside what is permitted"},
    {"accepts", "110..1250 V", NULL, "outside what is permitted"},
    {"state", "locked", "locked", NULL},
    {"state", "lokced", NULL, "did you mean \"locked\"|run, locked, off"},
    {"state", "Locked", NULL, "not a choice"},
    {"state", "", NULL, "not a choice|run, locked, off"},
    {"sealed", "yes", "yes", NULL},
    {"sealed", "true", NULL, "not a choice|no, yes"},
    {"poles", "3", "3", NULL},
    {"poles", "03", "3", NULL},
    {"poles", "4", NULL, "outside what is permitted|from 1 to 3"},
    {"poles", "1.5", NULL, "whole number"},
    {"poles", "99999999999999999999", NULL, "whole number"},
    {"sense", "L1  GND", "L1 GND", NULL},
    {"sense", "T1.X1 T1.X3", "T1.X1 T1.X3", NULL},
    {"sense", "L1", NULL, "two terminals|L1 GND"},
    {"sense", "L1 L1", NULL, "two different names"},
    {"sense", "L1 L2 L3", NULL, "two terminals"},
    {"sense", "T1.X1.Y T1.X3", NULL, "two terminals"},
    {"ratio", "4.9", "4.9", NULL},
    {"ratio", "4.9 V", NULL, "plain number"},
    {"size", "14 AWG", "14 AWG", NULL},
    {"size", "1/0 AWG", "1/0 AWG", NULL},
    {"size", "2.5 mm2", "2.5 mm2", NULL},
    {"size", "250 kcmil", NULL, "outside what is permitted|from 0.5 mm2 to 100 mm2"},
    {"size", "24 AWG", NULL, "outside what is permitted|14 AWG"},
};

static void
assert_words(const char *message, const char *words)
{
  g_auto(GStrv) list = g_strsplit(words, "|", -1);
  for (guint i = 0; list[i] != NULL; i++)
    if (strstr(message, list[i]) == NULL)
      fail_msg("\"%s\" does not say \"%s\"", message, list[i]);
}

static void
test_texts(void **state)
{
  (void)state;
  for (guint i = 0; i < G_N_ELEMENTS(cases); i++) {
    const Case *c = &cases[i];
    const FieldSpec *field = every(c->field);
    Value value, before;
    g_autoptr(GError) error = NULL;
    value_init_defaults(&value, field, 1);
    value_copy_all(&before, &value, 1);
    bool good = value_set_text(&value, field, c->text, &error);
    if (good != (c->canonical != NULL))
      fail_msg("%s=\"%s\": %s", c->field, c->text, good ? "accepted" : error->message);
    if (good) {
      g_autofree char *text = value_dup_text(&value, field);
      assert_string_equal(text, c->canonical);
      assert_true(value.is_set && value.has_value);
      Value again;
      value_init_defaults(&again, field, 1);
      assert_true(value_set_text(&again, field, text, NULL));
      assert_true(value_equal(field, &value, &again));
      value_clear_all(&again, 1);
    } else {
      assert_int_equal(error->domain, FIELD_ERROR);
      assert_words(error->message, c->words);
      assert_true(value_equal(field, &value, &before)); /* unchanged */
    }
    value_clear_all(&value, 1);
    value_clear_all(&before, 1);
  }
}

static void
test_defaults(void **state)
{
  (void)state;
  Value value;
  const FieldSpec *power = every("power"), *label = every("label"), *poles = every("poles");
  value_init_defaults(&value, power, 1);
  assert_true(value.has_value && value.is_set); /* required: always written */
  assert_true(value_number(&value, power, -1) == 90.0);
  assert_true(value_set_text(&value, power, "1.5 kW", NULL));
  assert_true(value_number(&value, power, -1) == 1500.0);
  assert_true(value_set_text(&value, power, NULL, NULL));
  assert_true(value_number(&value, power, -1) == 90.0);
  value_clear_all(&value, 1);

  value_init_defaults(&value, poles, 1);
  assert_true(value.has_value && !value.is_set);
  assert_true(value_number(&value, poles, -1) == 1.0);
  value_clear_all(&value, 1);

  value_init_defaults(&value, label, 1);
  assert_false(value.has_value);
  assert_null(value_dup_text(&value, label));
  assert_true(value_number(&value, label, -7) == -7.0);
  assert_true(value_set_text(&value, label, "x", NULL) && value.has_value);
  assert_true(value_set_text(&value, label, "", NULL)); /* an empty text is no text */
  assert_false(value.has_value || value.is_set);
  value_clear_all(&value, 1);
}

static void
test_tables_of_this_layer(void **state)
{
  (void)state;
  struct {
    const FieldSpec *fields;
    guint n;
  } tables[] = {{conductor_fields, CONDUCTOR_FIELD_COUNT},
                {measured_fields, MEASURED_FIELD_COUNT},
                {sheet_data_fields, SHEET_FIELD_COUNT},
                {equipment_fields, EQUIPMENT_FIELD_COUNT}};
  for (guint t = 0; t < G_N_ELEMENTS(tables); t++)
    for (guint i = 0; i < tables[t].n; i++) {
      const FieldSpec *field = &tables[t].fields[i];
      assert_non_null(field->name);
      assert_true(*field->title != '\0' && *field->help != '\0');
      assert_int_equal(field_index(tables[t].fields, tables[t].n, field->name), i);
      Value value;
      value_init_defaults(&value, field, 1);
      assert_int_equal(value.has_value, field->initial != NULL);
      value_clear_all(&value, 1);
    }
  assert_int_equal(field_index(conductor_fields, CONDUCTOR_FIELD_COUNT, "gaug"), -1);
}

/* Wire sizes: NFPA 70 Chapter 9 Table 8 reaches from 18 AWG to 2000 kcmil. */
static void
test_conductor_sizes(void **state)
{
  (void)state;
  static const char *const sizes[] = {"18 AWG",     "1 AWG",   "4/0 AWG", "250 kcmil",
                                      "2000 kcmil", "0.5 mm2", "240 mm2", NULL};
  g_autoptr(Conductor) conductor = conductor_new("A", "1", "B", "1");
  for (guint i = 0; sizes[i] != NULL; i++) {
    assert_true(conductor_set(conductor, "gauge", sizes[i], NULL));
    assert_string_equal(conductor_text(conductor, CONDUCTOR_GAUGE), sizes[i]);
  }
  g_autoptr(GError) error = NULL;
  assert_false(conductor_set(conductor, "gauge", "5000 kcmil", &error));
  assert_words(error->message, "conductor A.1-B.1, gauge|outside");
  g_clear_error(&error);
  assert_false(conductor_set(conductor, "guage", "14 AWG", &error));
  assert_words(error->message, "guage|did you mean gauge");
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_texts),
      cmocka_unit_test(test_defaults),
      cmocka_unit_test(test_tables_of_this_layer),
      cmocka_unit_test(test_conductor_sizes),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
