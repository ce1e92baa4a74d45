/* SPDX-License-Identifier: MIT */
/* What a person prefers, kept in doorsheet/preferences.ini under the user's configuration folder.
 *
 * One table says what there is: the file, the preferences window and the tests read it. A missing
 * file, a missing key or a word that is not permitted means the initial value; nothing here fails
 * a start. Main thread only. */
#pragma once

#include "diagram/device.h"

G_BEGIN_DECLS

typedef enum {
  PREFERENCE_THEME,
  PREFERENCE_MOTION,
  PREFERENCE_LANGUAGE, /* of the window: a language_code, or "system" */
  PREFERENCE_GRID,
  PREFERENCE_COLOURS,
  PREFERENCE_LARGE,
  PREFERENCE_UNITS,
  PREFERENCE_SHEET_LANGUAGE, /* a word of SHEET_LANGUAGE, or "window" */
  PREFERENCE_EDITION,
  PREFERENCE_AUTHOR,
  PREFERENCE_COUNT
} Preference;

typedef enum {
  PREFERENCE_CHOICE,
  PREFERENCE_SWITCH,
  PREFERENCE_NUMBER,
  PREFERENCE_TEXT
} PreferenceKind;

typedef struct {
  const char *group; /* key file group and heading: "Window", "New sheets" */
  const char *name;  /* key in the file */
  const char *title;
  const char *help;
  PreferenceKind kind;
  const char *const *words;  /* CHOICE: NULL-terminated, as in the file */
  const char *const *titles; /* CHOICE: what people read, in the same order */
  const char *initial;       /* SWITCH: "yes" or "no" */
  int minimum, maximum;      /* NUMBER; TEXT: maximum is the most characters */
} PreferenceSpec;

const PreferenceSpec *preference_spec(Preference preference);

/* Borrowed until the preference is set. */
const char *preference_text(Preference preference);
bool preference_on(Preference preference);    /* SWITCH */
int preference_number(Preference preference); /* NUMBER */

/* Takes effect at once (listeners are called) and is stored. False with an error when the text is
 * not permitted (nothing changed), or when the file could not be written (the new value holds
 * until the program ends). */
bool preference_set(Preference preference, const char *text, GError **error);

typedef void (*PreferenceListener)(Preference preference, gpointer data);
guint preferences_listen(PreferenceListener listener, gpointer data);
void preferences_unlisten(guint id);

/* Forgets what was read, so that the next question reads the file again. Listeners stay. */
void preferences_reload(void);
char *preferences_dup_path(void);

/* The sheet's data as new sheets start with: the preferred units, edition and author. New. */
SheetData *preferences_new_sheet_data(const SheetData *from);

G_END_DECLS
