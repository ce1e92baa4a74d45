/* SPDX-License-Identifier: MIT */
/* doorsheet parts: the device kinds and their fields, from the same tables that everything reads.
 */
#include "base/text.h"

#include "base/language.h"
#include "command/json.h"
#include "command/verb.h"
#include "diagram/part_kind.h"
#include "parts/catalog.h"

enum { OPTION_JSON };
static const VerbOption options[] = {
    [OPTION_JSON] = {.name = "--json", .help = N_("A JSON array of kinds with their fields.")},
};

static const char *
type_word(FieldType type)
{
  switch (type) {
  case FIELD_TEXT:
    return _("text");
  case FIELD_NAME:
    return _("name");
  case FIELD_QUANTITY:
    return _("quantity");
  case FIELD_RANGE:
    return _("range");
  case FIELD_CHOICE:
    return _("choice");
  case FIELD_BOOLEAN:
    return _("yes or no");
  case FIELD_INTEGER:
    return _("whole number");
  case FIELD_TERMINALS:
    return _("two terminals");
  }
  return _("text");
}

/* What may be written in the field: "quantity in VA, 1..5000000", "one of: a, b". New string. */
static char *
field_permits(const FieldSpec *field)
{
  GString *text = g_string_new(NULL);

  if (field->type == FIELD_CHOICE) {
    g_autofree char *joined = g_strjoinv(", ", (char **)(guintptr)field->choices);
    g_string_append_printf(text, _("one of: %s"), joined);
    return g_string_free(text, FALSE);
  }
  g_string_append(text, type_word(field->type));
  if ((field->type == FIELD_QUANTITY || field->type == FIELD_RANGE) && field->unit != UNIT_NONE)
    g_string_append_printf(text, _(" in %s"), unit_symbol(field->unit));
  if ((field->type == FIELD_QUANTITY || field->type == FIELD_RANGE ||
       field->type == FIELD_INTEGER) &&
      (field->minimum < 0 || field->minimum > 0 || field->maximum < 0 || field->maximum > 0)) {
    g_autofree char *low = number_format(field->minimum);
    g_autofree char *high = number_format(field->maximum);
    g_string_append_printf(text, ", %s..%s", low, high);
  }
  return g_string_free(text, FALSE);
}

static void
print_fields(const FieldSpec *fields, guint n, const char *indent, GString *out)
{
  for (guint i = 0; i < n; i++) {
    g_autofree char *permits = field_permits(&fields[i]);
    g_string_append_printf(out, "%s%-20s %s", indent, fields[i].name, permits);
    if (fields[i].initial != NULL)
      g_string_append_printf(out, _("; normally %s"), fields[i].initial);
    g_string_append_printf(out, "%s\n", fields[i].required ? _("; required") : "");
    if (fields[i].help != NULL)
      g_string_append_printf(out, "%s%-20s %s\n", indent, "", _(fields[i].help));
  }
}

static void
print_kind(const PartKind *kind, GString *out)
{
  g_string_append_printf(out, "%s (%s, %s)\n  %s\n", kind->name, _(kind->title), kind->designation,
                         _(kind->help));
  print_fields(kind->fields, kind->n_fields, "  ", out);
  if (kind->row_name != NULL) {
    g_string_append_printf(out, _("  <%s>, one for each %s, at most %u:\n"), kind->row_name,
                           _(kind->row_title), kind->max_rows);
    print_fields(kind->row_fields, kind->n_row_fields, "    ", out);
  }
}

static void
append_fields(const FieldSpec *fields, guint n, GString *out)
{
  g_string_append_c(out, '[');
  for (guint i = 0; i < n; i++) {
    const FieldSpec *field = &fields[i];
    const bool has_unit = field->type == FIELD_QUANTITY || field->type == FIELD_RANGE;

    json_next(out);
    g_string_append_c(out, '{');
    json_pair_text(out, "name", field->name);
    json_pair_text(out, "title", _(field->title));
    json_pair_text(out, "type", type_word(field->type));
    if (has_unit)
      json_pair_text(out, "unit", unit_symbol(field->unit));
    if (field->minimum < 0 || field->minimum > 0 || field->maximum < 0 || field->maximum > 0) {
      json_pair_number(out, "minimum", field->minimum);
      json_pair_number(out, "maximum", field->maximum);
    }
    json_pair_text(out, "default", field->initial);
    if (field->type == FIELD_CHOICE) {
      json_key(out, "choices");
      g_string_append_c(out, '[');
      for (guint c = 0; field->choices[c] != NULL; c++) {
        json_next(out);
        text_append_json(out, field->choices[c]);
      }
      g_string_append_c(out, ']');
    }
    json_pair_bool(out, "required", field->required);
    json_pair_text(out, "help", field->help);
    g_string_append_c(out, '}');
  }
  g_string_append_c(out, ']');
}

static void
append_kind(const PartKind *kind, GString *out)
{
  json_next(out);
  g_string_append_c(out, '{');
  json_pair_text(out, "name", kind->name);
  json_pair_text(out, "title", _(kind->title));
  json_pair_text(out, "designation", kind->designation);
  json_pair_text(out, "group", part_group_title(kind->group));
  json_pair_text(out, "help", kind->help);
  json_key(out, "fields");
  append_fields(kind->fields, kind->n_fields, out);
  if (kind->row_name != NULL) {
    json_pair_text(out, "row", kind->row_name);
    json_pair_number(out, "row_maximum", kind->max_rows);
    json_key(out, "row_fields");
    append_fields(kind->row_fields, kind->n_row_fields, out);
  }
  g_string_append_c(out, '}');
}

static CommandStatus
complain_kind(PartCatalog catalog, const char *word, GString *err)
{
  g_autoptr(GPtrArray) names = g_ptr_array_new();

  for (guint i = 0; catalog[i] != NULL; i++)
    g_ptr_array_add(names, (gpointer)(guintptr)catalog[i]->name);
  g_ptr_array_add(names, NULL);
  const char *near = text_nearest(word, (const char *const *)names->pdata);
  g_string_append_printf(err, _("doorsheet: there is no kind \"%s\"."), word);
  if (near != NULL)
    g_string_append_printf(err, _(" Did you mean \"%s\"?"), near);
  g_string_append(err, _(" \"doorsheet parts\" lists them.\n"));
  return COMMAND_FAILED;
}

static CommandStatus
run(const VerbWords *words, GString *out, GString *err)
{
  PartCatalog catalog = parts_catalog();
  const bool json = words->given[OPTION_JSON];
  const PartKind *only = NULL;

  if (words->operands->len > 0) {
    only = part_catalog_find(catalog, words->operands->pdata[0]);
    if (only == NULL)
      return complain_kind(catalog, words->operands->pdata[0], err);
  }
  if (json)
    g_string_append_c(out, '[');
  for (guint i = 0; catalog[i] != NULL; i++) {
    if (only != NULL && only != catalog[i])
      continue;
    if (json)
      append_kind(catalog[i], out);
    else if (only != NULL)
      print_kind(only, out);
    else
      g_string_append_printf(out, "%-16s %-5s %s\n", catalog[i]->name, catalog[i]->designation,
                             _(catalog[i]->help));
  }
  if (json)
    g_string_append(out, "]\n");
  return COMMAND_SOUND;
}

const Verb verb_parts = {
    .name = "parts",
    .usage = "parts [KIND] [--json]",
    .summary = N_("List the device kinds, or one kind's fields with units, ranges and defaults."),
    .details = N_("Exit code: 0 done, 2 no such kind.\n"),
    .options = options,
    .n_options = G_N_ELEMENTS(options),
    .max_operands = 1,
    .operand = N_("at most one kind"),
    .run = run,
};
