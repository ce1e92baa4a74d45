/* SPDX-License-Identifier: MIT */
#include "diagram/device.h"

#include "base/language.h"

static const char *const paper_words[] = {N_("letter"), N_("legal"),     N_("tabloid"), N_("a4"),
                                          N_("a3"),     N_("label-4x6"), NULL};
static const char *const orientation_words[] = {N_("portrait"), N_("landscape"), NULL};
static const char *const symbols_words[] = {N_("north-american"), N_("iec"), NULL};
static const char *const edition_words[] = {"2020", "2023", NULL};
static const char *const units_words[] = {N_("imperial"), N_("metric"), NULL};
static const char *const language_words[] = {N_("en"), N_("es"), N_("en-es"), NULL};

const FieldSpec sheet_data_fields[SHEET_FIELD_COUNT] = {
    [SHEET_TITLE] = {.name = "title",
                     .title = N_("Title"),
                     .help = N_("What the sheet shows: \"Condensate pump add-on\""),
                     .type = FIELD_TEXT},
    [SHEET_NUMBER] = {.name = "sheet",
                      .title = N_("Sheet"),
                      .help = N_("Number of the sheet: \"E-104\""),
                      .type = FIELD_TEXT,
                      .maximum = 40},
    [SHEET_REVISION] = {.name = "revision",
                        .title = N_("Revision"),
                        .help = N_("Letter or number of the revision"),
                        .type = FIELD_TEXT,
                        .maximum = 20},
    [SHEET_AUTHOR] = {.name = "author",
                      .title = N_("Drawn by"),
                      .help = N_("Who answers for the sheet"),
                      .type = FIELD_TEXT,
                      .maximum = 80},
    [SHEET_DATE] = {.name = "date",
                    .title = N_("Date"),
                    .help = N_("Day of the revision, year first: \"2026-11-25\""),
                    .type = FIELD_TEXT,
                    .maximum = 40},
    [SHEET_PAPER] = {.name = "paper",
                     .title = N_("Paper"),
                     .help = N_("Size of the printed sheet"),
                     .type = FIELD_CHOICE,
                     .choices = paper_words,
                     .initial = "letter"},
    [SHEET_ORIENTATION] = {.name = "orientation",
                           .title = N_("Orientation"),
                           .help = N_("How the paper is turned"),
                           .type = FIELD_CHOICE,
                           .choices = orientation_words,
                           .initial = "landscape"},
    [SHEET_SYMBOLS] = {.name = "symbols",
                       .title = N_("Symbols"),
                       .help = N_("Which standard the symbols follow: IEEE 315 or IEC 60617"),
                       .type = FIELD_CHOICE,
                       .choices = symbols_words,
                       .initial = "north-american"},
    [SHEET_CODE_EDITION] = {.name = "code-edition",
                            .title = N_("Code edition"),
                            .help = N_("Edition of NFPA 70 the checks refer to"),
                            .type = FIELD_CHOICE,
                            .choices = edition_words,
                            .initial = "2023"},
    /* The base temperature of NFPA 70 Table 310.16. */
    [SHEET_AMBIENT] = {.name = "ambient",
                       .title = N_("Ambient temperature"),
                       .help = N_("Hottest air round the conductors in service"),
                       .type = FIELD_QUANTITY,
                       .unit = UNIT_CELSIUS,
                       .minimum = -60,
                       .maximum = 150,
                       .initial = "30 C"},
    [SHEET_UNITS] = {.name = "units",
                     .title = N_("Units"),
                     .help = N_("Feet and AWG, or metres and mm2, where the program chooses"),
                     .type = FIELD_CHOICE,
                     .choices = units_words,
                     .initial = "imperial"},
    [SHEET_LANGUAGE] = {.name = "language",
                        .title = N_("Language"),
                        .help = N_("Language of cautions and headings on the printed sheet"),
                        .type = FIELD_CHOICE,
                        .choices = language_words,
                        .initial = "en"},
};

const FieldSpec equipment_fields[EQUIPMENT_FIELD_COUNT] = {
    [EQUIPMENT_TAG] = {.name = "tag",
                       .title = N_("Equipment tag"),
                       .help = N_("As on the unit: \"MAU-2\""),
                       .type = FIELD_TEXT,
                       .maximum = 40},
    [EQUIPMENT_LOCATION] = {.name = "location",
                            .title = N_("Location"),
                            .help = N_("Where the unit stands: \"Greenhouse roof\""),
                            .type = FIELD_TEXT},
    [EQUIPMENT_MODEL] = {.name = "model",
                         .title = N_("Model"),
                         .help = N_("Model number on the unit's nameplate"),
                         .type = FIELD_TEXT,
                         .maximum = 80},
    [EQUIPMENT_NOTE] = {.name = "note",
                        .title = N_("Note"),
                        .help = N_("Anything the next person should know"),
                        .type = FIELD_TEXT},
};

static const char *const difficulty_words[] = {N_("easy"), N_("medium"), N_("hard"), NULL};

const FieldSpec exercise_fields[EXERCISE_FIELD_COUNT] = {
    [EXERCISE_NUMBER] = {.name = "number",
                         .title = N_("Version"),
                         .help = N_("Number of the version within its set"),
                         .type = FIELD_INTEGER,
                         .minimum = 1,
                         .maximum = 10000},
    [EXERCISE_LESSON] = {.name = "lesson",
                         .title = N_("Lesson"),
                         .help = N_("What is practised: \"Reading taps\""),
                         .type = FIELD_TEXT},
    [EXERCISE_SYMPTOM] = {.name = "symptom",
                          .title = N_("Symptom"),
                          .help = N_("What somebody noticed: \"The pump does not run\""),
                          .type = FIELD_TEXT,
                          .maximum = 600},
    [EXERCISE_DIFFICULTY] = {.name = "difficulty",
                             .title = N_("Difficulty"),
                             .help = N_("By the shortest way of finding it with a meter"),
                             .type = FIELD_CHOICE,
                             .choices = difficulty_words},
    [EXERCISE_FAULTS] = {.name = "faults",
                         .title = N_("Faults"),
                         .help = N_("How many there are to find"),
                         .type = FIELD_INTEGER,
                         .minimum = 1,
                         .maximum = 200},
    [EXERCISE_SET] = {.name = "set",
                      .title = N_("Set"),
                      .help = N_("Says which answer key belongs to it; not for people"),
                      .type = FIELD_TEXT,
                      .maximum = 64},
    [EXERCISE_SEALED] = {.name = "sealed",
                         .title = N_("Sealed diagram"),
                         .help = N_("What handed-in work is graded against; not for people"),
                         .type = FIELD_TEXT,
                         .maximum = 1000000},
};

SheetData *
sheet_data_new(void)
{
  SheetData *data = g_new0(SheetData, 1);
  g_atomic_ref_count_init(&data->references);
  value_init_defaults(data->values, sheet_data_fields, SHEET_FIELD_COUNT);
  value_init_defaults(data->equipment, equipment_fields, EQUIPMENT_FIELD_COUNT);
  value_init_defaults(data->exercise, exercise_fields, EXERCISE_FIELD_COUNT);
  return data;
}

SheetData *
sheet_data_copy(const SheetData *data)
{
  SheetData *copy = g_new0(SheetData, 1);
  g_atomic_ref_count_init(&copy->references);
  value_copy_all(copy->values, data->values, SHEET_FIELD_COUNT);
  value_copy_all(copy->equipment, data->equipment, EQUIPMENT_FIELD_COUNT);
  value_copy_all(copy->exercise, data->exercise, EXERCISE_FIELD_COUNT);
  return copy;
}

SheetData *
sheet_data_ref(const SheetData *data)
{
  SheetData *shared = (SheetData *)(guintptr)data;
  g_atomic_ref_count_inc(&shared->references);
  return shared;
}

void
sheet_data_unref(SheetData *data)
{
  if (data == NULL || !g_atomic_ref_count_dec(&data->references))
    return;
  value_clear_all(data->values, SHEET_FIELD_COUNT);
  value_clear_all(data->equipment, EQUIPMENT_FIELD_COUNT);
  value_clear_all(data->exercise, EXERCISE_FIELD_COUNT);
  g_free(data);
}

bool
sheet_data_equal(const SheetData *a, const SheetData *b)
{
  if (a == b)
    return true;
  for (guint i = 0; i < SHEET_FIELD_COUNT; i++)
    if (!value_equal(&sheet_data_fields[i], &a->values[i], &b->values[i]))
      return false;
  for (guint i = 0; i < EQUIPMENT_FIELD_COUNT; i++)
    if (!value_equal(&equipment_fields[i], &a->equipment[i], &b->equipment[i]))
      return false;
  for (guint i = 0; i < EXERCISE_FIELD_COUNT; i++)
    if (!value_equal(&exercise_fields[i], &a->exercise[i], &b->exercise[i]))
      return false;
  return true;
}

bool
sheet_is_exercise(const SheetData *data)
{
  return data->exercise[EXERCISE_NUMBER].has_value && data->exercise[EXERCISE_SET].has_value;
}

const char *
sheet_exercise_text(const SheetData *data, ExerciseField field)
{
  const Value *value = &data->exercise[field];
  return value->has_value && value->text != NULL ? value->text : "";
}
