/* SPDX-License-Identifier: MIT */
#include "keep/preferences.h"

#include "base/language.h"
#include "base/listeners.h"
#include "diagram/document_file.h"
#include <string.h>

static const char *const theme_words[] = {"system", "light", "dark", "contrast", NULL};
static const char *const theme_titles[] = {N_("As the system"), N_("Light"), N_("Dark"),
                                           N_("High contrast"), NULL};
static const char *const motion_words[] = {"system", "reduced", NULL};
static const char *const motion_titles[] = {N_("As the system"), N_("Reduced"), NULL};
static const char *const language_words[] = {"system", "en", "es", NULL};
static const char *const language_titles[] = {N_("As the system"), "English", "Espa\303\261ol",
                                              NULL};
static const char *const sheet_language_words[] = {"window", "en", "es", "en-es", NULL};
static const char *const sheet_language_titles[] = {
    N_("As the window"), "English", "Espa\303\261ol", N_("English, cautions in both"), NULL};
static const char *const units_words[] = {"imperial", "metric", NULL};
static const char *const units_titles[] = {N_("Feet and AWG"), N_("Metres and mm\302\262"), NULL};
static const char *const edition_words[] = {"2020", "2023", NULL};
static const char *const edition_titles[] = {"NFPA 70, 2020", "NFPA 70, 2023", NULL};

static const PreferenceSpec specs[PREFERENCE_COUNT] = {
    [PREFERENCE_THEME] = {.group = N_("Window"),
                          .name = "theme",
                          .title = N_("Appearance"),
                          .help = N_("Light for a bright roof, dark for a plant room"),
                          .kind = PREFERENCE_CHOICE,
                          .words = theme_words,
                          .titles = theme_titles,
                          .initial = "system"},
    [PREFERENCE_MOTION] = {.group = N_("Window"),
                           .name = "motion",
                           .title = N_("Motion"),
                           .help = N_("Reduced: pages change and lists open without sliding"),
                           .kind = PREFERENCE_CHOICE,
                           .words = motion_words,
                           .titles = motion_titles,
                           .initial = "system"},
    [PREFERENCE_LANGUAGE] = {.group = N_("Window"),
                             .name = "language",
                             .title = N_("Language"),
                             .help = N_("Of menus, findings and messages, from the next start on"),
                             .kind = PREFERENCE_CHOICE,
                             .words = language_words,
                             .titles = language_titles,
                             .initial = "system"},
    [PREFERENCE_GRID] = {.group = N_("Window"),
                         .name = "grid",
                         .title = N_("Show the grid"),
                         .help = N_("Lines on the sheet on screen; they are never printed"),
                         .kind = PREFERENCE_SWITCH,
                         .initial = "yes"},
    [PREFERENCE_COLOURS] =
        {.group = N_("Window"),
         .name = "colour-letters",
         .title = N_("Insulation colours in letters"),
         .help = N_("BLK, RED, BLU/WHT beside the conductors on screen, where there is room"),
         .kind = PREFERENCE_SWITCH,
         .initial = "yes"},
    /* The limit that kept edits within a frame on the slowest machine measured, see session.h. */
    [PREFERENCE_LARGE] = {.group = N_("Window"),
                          .name = "large-sheet",
                          .title = N_("Large sheet from"),
                          .help =
                              N_("From this many devices findings follow a moment after the edit"),
                          .kind = PREFERENCE_NUMBER,
                          .initial = "60",
                          .minimum = 10,
                          .maximum = 50000},
    [PREFERENCE_UNITS] = {.group = N_("New sheets"),
                          .name = "units",
                          .title = N_("Units"),
                          .help = N_("Where the program chooses"),
                          .kind = PREFERENCE_CHOICE,
                          .words = units_words,
                          .titles = units_titles,
                          .initial = "imperial"},
    [PREFERENCE_SHEET_LANGUAGE] = {.group = N_("New sheets"),
                                   .name = "sheet-language",
                                   .title = N_("Language on the sheet"),
                                   .help = N_("Kept in the file; each sheet can have its own"),
                                   .kind = PREFERENCE_CHOICE,
                                   .words = sheet_language_words,
                                   .titles = sheet_language_titles,
                                   .initial = "window"},
    [PREFERENCE_EDITION] = {.group = N_("New sheets"),
                            .name = "code-edition",
                            .title = N_("Code edition"),
                            .help = N_("The edition your authority has adopted"),
                            .kind = PREFERENCE_CHOICE,
                            .words = edition_words,
                            .titles = edition_titles,
                            .initial = "2023"},
    [PREFERENCE_AUTHOR] = {.group = N_("New sheets"),
                           .name = "author",
                           .title = N_("Drawn by"),
                           .help = N_("Your name in the title block"),
                           .kind = PREFERENCE_TEXT,
                           .initial = "",
                           .maximum = 80},
};

static char *values[PREFERENCE_COUNT]; /* NULL: not read yet */
static Listeners listeners;

const PreferenceSpec *
preference_spec(Preference preference)
{
  return &specs[preference];
}

char *
preferences_dup_path(void)
{
  return g_build_filename(g_get_user_config_dir(), "doorsheet", "preferences.ini", NULL);
}

static bool
refuse(GError **error, const PreferenceSpec *spec, const char *what)
{
  g_set_error(error, FILE_ERROR, FILE_ERROR_VALUE, "%s: %s", _(spec->title), what);
  return false;
}

static bool
check_number(const PreferenceSpec *spec, const char *text, GError **error)
{
  gint64 number;
  if (g_ascii_string_to_signed(text, 10, spec->minimum, spec->maximum, &number, NULL))
    return true;
  g_autofree char *what =
      g_strdup_printf(_("expected a number from %d to %d"), spec->minimum, spec->maximum);
  return refuse(error, spec, what);
}

static bool
check_text(const PreferenceSpec *spec, const char *text, GError **error)
{
  if (!g_utf8_validate(text, -1, NULL))
    return refuse(error, spec, _("this is not text"));
  for (const char *p = text; *p != '\0'; p = g_utf8_next_char(p))
    if (g_unichar_iscntrl(g_utf8_get_char(p)))
      return refuse(error, spec, _("one line without tabs or line ends, please"));
  if (g_utf8_strlen(text, -1) <= spec->maximum)
    return true;
  g_autofree char *what = g_strdup_printf(_("at most %d characters fit"), spec->maximum);
  return refuse(error, spec, what);
}

static bool
permitted(const PreferenceSpec *spec, const char *text, GError **error)
{
  switch (spec->kind) {
  case PREFERENCE_CHOICE:
    return g_strv_contains(spec->words, text) || refuse(error, spec, _("there is no such choice"));
  case PREFERENCE_SWITCH:
    return strcmp(text, "yes") == 0 || strcmp(text, "no") == 0 ||
           refuse(error, spec, _("expected yes or no"));
  case PREFERENCE_NUMBER:
    return check_number(spec, text, error);
  case PREFERENCE_TEXT:
    return check_text(spec, text, error);
  }
  return false;
}

static GKeyFile *
load(void)
{
  GKeyFile *file = g_key_file_new();
  g_autofree char *path = preferences_dup_path();
  g_key_file_load_from_file(file, path, G_KEY_FILE_KEEP_COMMENTS, NULL); /* none: all initial */
  return file;
}

const char *
preference_text(Preference preference)
{
  if (values[preference] != NULL)
    return values[preference];
  g_autoptr(GKeyFile) file = load();
  for (int i = 0; i < PREFERENCE_COUNT; i++) {
    g_autofree char *text = g_key_file_get_string(file, specs[i].group, specs[i].name, NULL);
    bool good = text != NULL && permitted(&specs[i], text, NULL);
    if (values[i] == NULL)
      values[i] = g_strdup(good ? text : specs[i].initial);
  }
  return values[preference];
}

bool
preference_on(Preference preference)
{
  return strcmp(preference_text(preference), "yes") == 0;
}

int
preference_number(Preference preference)
{
  return (int)g_ascii_strtoll(preference_text(preference), NULL, 10);
}

/* Only the one key: what another running Doorsheet has set meanwhile stays. */
static bool
store(Preference preference, GError **error)
{
  g_autoptr(GKeyFile) file = load();
  g_key_file_set_string(file, specs[preference].group, specs[preference].name, values[preference]);
  g_autofree char *path = preferences_dup_path();
  g_autofree char *folder = g_path_get_dirname(path);
  g_mkdir_with_parents(folder, 0700); /* a failure shows in the write */
  gsize size;
  g_autofree char *text = g_key_file_to_data(file, &size, NULL);
  return file_write_atomic(path, text, size, error);
}

static void
call_listener(GCallback listener, gpointer about, gpointer data)
{
  ((PreferenceListener)listener)(*(const Preference *)about, data);
}

bool
preference_set(Preference preference, const char *text, GError **error)
{
  if (!permitted(&specs[preference], text, error))
    return false;
  if (strcmp(preference_text(preference), text) == 0)
    return true;
  g_free(values[preference]);
  values[preference] = g_strdup(text);
  bool stored = store(preference, error);
  listeners_tell(&listeners, call_listener, &preference);
  return stored;
}

guint
preferences_listen(PreferenceListener listener, gpointer data)
{
  return listeners_add(&listeners, G_CALLBACK(listener), data);
}

void
preferences_unlisten(guint id)
{
  listeners_remove(&listeners, id);
}

void
preferences_reload(void)
{
  for (int i = 0; i < PREFERENCE_COUNT; i++)
    g_clear_pointer(&values[i], g_free);
}

/* What goes without saying is not written: a sheet without a language is in the field's own. */
static void
set_language(SheetData *data)
{
  const FieldSpec *field = &sheet_data_fields[SHEET_LANGUAGE];
  const char *wanted = preference_text(PREFERENCE_SHEET_LANGUAGE);
  const char *code = strcmp(wanted, "window") == 0 ? language_now() : wanted;

  if (strcmp(code, field->initial) != 0)
    value_set_text(&data->values[SHEET_LANGUAGE], field, code, NULL);
}

SheetData *
preferences_new_sheet_data(const SheetData *from)
{
  static const struct {
    Preference preference;
    int field;
  } pairs[] = {{PREFERENCE_UNITS, SHEET_UNITS},
               {PREFERENCE_EDITION, SHEET_CODE_EDITION},
               {PREFERENCE_AUTHOR, SHEET_AUTHOR}};
  SheetData *data = sheet_data_copy(from);
  for (guint i = 0; i < G_N_ELEMENTS(pairs); i++) {
    const FieldSpec *field = &sheet_data_fields[pairs[i].field];
    const char *text = preference_text(pairs[i].preference);
    /* Both tables name the same words; a test holds them to it. */
    if (*text != '\0' && !value_set_text(&data->values[pairs[i].field], field, text, NULL))
      g_warning("preference %s: the sheet knows no %s", field->name, text);
  }
  set_language(data);
  return data;
}
