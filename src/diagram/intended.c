/* SPDX-License-Identifier: MIT */
/* The faults an instructor has chosen for a sheet, as data: the quiz knows what the names mean. */
#include "diagram/edit_private.h"

#include "base/language.h"

#include "base/text.h"

#include <string.h>

const FieldSpec intended_fields[INTENDED_FIELD_COUNT] = {
    [INTENDED_FAULT] = {.name = "fault",
                        .title = N_("Fault"),
                        .help = N_("Name of the fault in the catalogue: \"lead-left-open\""),
                        .type = FIELD_NAME,
                        .required = true},
    [INTENDED_AT] = {.name = "at",
                     .title = N_("Place"),
                     .help = N_("Where it is made, as the catalogue names the place: \"T1.H3\""),
                     .type = FIELD_TEXT,
                     .maximum = 120,
                     .required = true},
    [INTENDED_NOTE] = {.name = "note",
                       .title = N_("Note"),
                       .help = N_("For the instructor; no student's sheet carries it"),
                       .type = FIELD_TEXT},
};

Intended *
intended_new(void)
{
  Intended *intended = g_new0(Intended, 1);
  g_atomic_ref_count_init(&intended->references);
  value_init_defaults(intended->values, intended_fields, INTENDED_FIELD_COUNT);
  return intended;
}

Intended *
intended_copy(const Intended *intended)
{
  Intended *copy = g_new0(Intended, 1);
  g_atomic_ref_count_init(&copy->references);
  value_copy_all(copy->values, intended->values, INTENDED_FIELD_COUNT);
  return copy;
}

Intended *
intended_ref(const Intended *intended)
{
  Intended *shared = (Intended *)(guintptr)intended;
  g_atomic_ref_count_inc(&shared->references);
  return shared;
}

void
intended_unref(Intended *intended)
{
  if (intended == NULL || !g_atomic_ref_count_dec(&intended->references))
    return;
  value_clear_all(intended->values, INTENDED_FIELD_COUNT);
  g_free(intended);
}

bool
intended_equal(const Intended *a, const Intended *b)
{
  if (a == b)
    return true;
  for (guint i = 0; i < INTENDED_FIELD_COUNT; i++)
    if (!value_equal(&intended_fields[i], &a->values[i], &b->values[i]))
      return false;
  return true;
}

static const char *
text_of(const Intended *intended, IntendedField field)
{
  const Value *value = &intended->values[field];
  return value->has_value && value->text != NULL ? value->text : "";
}

const char *
intended_fault(const Intended *intended)
{
  return text_of(intended, INTENDED_FAULT);
}

const char *
intended_at(const Intended *intended)
{
  return text_of(intended, INTENDED_AT);
}

/* --- edits --- */

const Intended *
document_find_intended(const Document *document, const char *fault, const char *at)
{
  for (guint i = 0; i < document_intended_count(document); i++) {
    const Intended *intended = document_intended(document, i);
    if (strcmp(intended_fault(intended), fault) == 0 && strcmp(intended_at(intended), at) == 0)
      return intended;
  }
  return NULL;
}

Change *
edit_intend(const Document *document, const char *fault, const char *at, GError **error)
{
  g_autofree char *title = g_strdup_printf(_("Intend %s at %s"), fault, at);
  g_autoptr(Change) change = change_new(title);
  if (document_find_intended(document, fault, at) != NULL) {
    g_set_error(error, DOCUMENT_ERROR, DOCUMENT_ERROR_DUPLICATE, _("%s at %s is chosen already"),
                fault, at);
    return NULL;
  }
  g_autoptr(Intended) after = intended_new();
  const char *const texts[] = {fault, at};
  for (guint i = 0; i < G_N_ELEMENTS(texts); i++)
    if (!value_set_text(&after->values[i], &intended_fields[i], texts[i], error))
      return NULL;
  change_intended(change, NULL, after);
  return g_steal_pointer(&change);
}

Change *
edit_forget_intended(const Document *document, const char *fault, const char *at)
{
  g_autofree char *title = g_strdup_printf(_("No longer intend %s at %s"), fault, at);
  Change *change = change_new(title);
  const Intended *before = document_find_intended(document, fault, at);
  if (before != NULL)
    change_intended(change, before, NULL);
  return change;
}

/* --- devices with another name --- */

static bool
is_name_character(char c)
{
  return g_ascii_isalnum(c) || (c != '\0' && strchr("_/+", c) != NULL);
}

/* A hyphen parts the two ends of a conductor ("FU1.2-T1.H3") and may belong to a name ("MAU-2");
 * it parts where the piece before it is a terminal, with a dot. */
static bool
starts_name(const char *text, const char *at)
{
  if (at == text || at[-1] == ' ')
    return true;
  if (at[-1] != '-')
    return false;
  const char *word = at;
  while (word > text && word[-1] != ' ')
    word--;
  return memchr(word, '.', (size_t)(at - word)) != NULL;
}

char *
edit_rename_place(const char *text, const char *from, const char *to)
{
  static const char wire[] = "conductor ";
  g_autoptr(GString) out = g_string_new(NULL);
  size_t length = strlen(from);
  bool renamed = false;
  for (const char *at = text; *at != '\0';) {
    const char *end = at + length;
    bool number =
        (size_t)(at - text) >= strlen(wire) && strncmp(at - strlen(wire), wire, strlen(wire)) == 0;
    if (strncmp(at, from, length) != 0 || !starts_name(text, at) || is_name_character(*end) ||
        *end == '-' || (number && *end != '.')) {
      g_string_append_c(out, *at++);
      continue;
    }
    g_string_append(out, to);
    at = end;
    renamed = true;
  }
  return renamed ? g_strdup(out->str) : NULL;
}

void
edit_follow_intended(const Document *document, Change *change, const char *from, const char *to)
{
  for (guint i = 0; i < document_intended_count(document); i++) {
    const Intended *before = document_intended(document, i);
    g_autofree char *at = edit_rename_place(intended_at(before), from, to);
    if (at == NULL)
      continue;
    g_autoptr(Intended) after = intended_copy(before);
    /* Too long for its field: it stays, and names a place that is no longer there. */
    if (value_set_text(&after->values[INTENDED_AT], &intended_fields[INTENDED_AT], at, NULL))
      change_intended(change, before, after);
  }
}

/* --- terminals with another name --- */

/* The terminal of the device whose name the text starts with; the longest; -1: none. */
static int
starts_with_terminal(const Device *device, const char *text)
{
  int found = -1;
  size_t longest = 0;
  for (guint i = 0; i < device_terminal_count(device); i++) {
    const char *name = device_terminal(device, i)->name;
    size_t length = strlen(name);
    if (length <= longest || strncmp(text, name, length) != 0 || is_name_character(text[length]))
      continue;
    longest = length;
    found = (int)i;
  }
  return found;
}

/* All names in one pass, because two rows that change places swap theirs. NULL: nothing is another;
 * *gone: a terminal it names is no longer there. New string. */
static char *
rename_terminals(const char *text, const Device *before, EditTerminalNow now, gconstpointer data,
                 bool *gone)
{
  g_autoptr(GString) out = g_string_new(NULL);
  g_autofree char *start = g_strconcat(before->id, ".", NULL);
  size_t length = strlen(start);
  for (const char *at = text; *at != '\0';) {
    bool names = strncmp(at, start, length) == 0 && starts_name(text, at);
    int index = names ? starts_with_terminal(before, at + length) : -1;
    if (index < 0) {
      g_string_append_c(out, *at++);
      continue;
    }
    const char *old = device_terminal(before, (guint)index)->name;
    const char *name = now(data, old);
    *gone = *gone || name == NULL;
    g_string_append_printf(out, "%s%s", start, name != NULL ? name : old);
    at += length + strlen(old);
  }
  return strcmp(out->str, text) != 0 ? g_strdup(out->str) : NULL;
}

void
edit_follow_terminals(const Document *document, Change *change, const Device *device,
                      EditTerminalNow now, gconstpointer data)
{
  for (guint i = 0; i < document_intended_count(document); i++) {
    const Intended *before = document_intended(document, i);
    bool gone = false;
    g_autofree char *at = rename_terminals(intended_at(before), device, now, data, &gone);
    if (gone) { /* else it could mean the terminal that gets this name */
      change_intended(change, before, NULL);
      continue;
    }
    if (at == NULL)
      continue;
    g_autoptr(Intended) after = intended_copy(before);
    if (value_set_text(&after->values[INTENDED_AT], &intended_fields[INTENDED_AT], at, NULL))
      change_intended(change, before, after);
  }
}
