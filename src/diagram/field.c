/* SPDX-License-Identifier: MIT */
#include "diagram/field.h"

#include "base/language.h"

#include "base/text.h"

#include <math.h>
#include <string.h>

#define TEXT_DEFAULT_MAXIMUM 200

G_DEFINE_QUARK(doorsheet - field - error, field_error)

static const char *const boolean_words[] = {N_("no"), N_("yes"), NULL};

static const char *const *
field_words(const FieldSpec *field)
{
  return field->type == FIELD_BOOLEAN ? boolean_words : field->choices;
}

static bool
field_is_bounded(const FieldSpec *field)
{
  return field->minimum != 0.0 || field->maximum != 0.0;
}

/* Conductor sizes run backwards in AWG, so their limits are areas. */
static Unit
field_limit_unit(const FieldSpec *field)
{
  return field->unit == UNIT_AWG ? UNIT_SQUARE_MM : field->unit;
}

/* ", from 1 VA to 100000 VA" or "". New string. */
static char *
dup_limits(const FieldSpec *field)
{
  if (!field_is_bounded(field))
    return g_strdup("");
  g_autofree char *low = quantity_format(quantity_make(field->minimum, field_limit_unit(field)));
  g_autofree char *high = quantity_format(quantity_make(field->maximum, field_limit_unit(field)));
  return g_strdup_printf(_(", from %s to %s"), low, high);
}

/* An example a person can copy: the default, else a number inside the limits. New string. */
static char *
dup_example(const FieldSpec *field)
{
  if (field->initial != NULL)
    return g_strdup(field->initial);
  if (field->unit == UNIT_AWG)
    return g_strdup("14 AWG");
  double number = 10.0;
  if (field_is_bounded(field) && (number < field->minimum || number > field->maximum))
    number = field->minimum > 0.0 ? field->minimum : field->maximum;
  if (field->type == FIELD_RANGE) {
    double high = field_is_bounded(field) ? MIN(field->maximum, number * 2.0) : number * 2.0;
    QuantityRange range = {quantity_make(MIN(number, high), field->unit),
                           quantity_make(MAX(number, high), field->unit)};
    return quantity_range_format(range);
  }
  return quantity_format(quantity_make(number, field->unit));
}

static void
set_number_error(const FieldSpec *field, const char *text, FieldErrorCode code, GError **error)
{
  g_autofree char *shown = text_clean(text, 60);
  g_autofree char *limits = dup_limits(field);
  g_autofree char *example = dup_example(field);
  const char *what = field->type == FIELD_INTEGER ? _("a whole number")
                     : field->type == FIELD_RANGE ? _("a range or a single figure")
                     : field->unit == UNIT_NONE   ? _("a plain number")
                                                  : _("a number with its unit");
  g_set_error(error, FIELD_ERROR, (gint)code, _("\"%s\" %s; expected %s%s, for example \"%s\""),
              shown,
              code == FIELD_ERROR_RANGE ? _("lies outside what is permitted") : _("cannot be read"),
              what, limits, example);
}

static bool
within_limits(const FieldSpec *field, Quantity quantity)
{
  if (!field_is_bounded(field))
    return true;
  double number = quantity_in(quantity, field_limit_unit(field));
  /* A conversion ("1 in" as millimetres) may miss its own limit in the last digit. */
  double slack = 1e-12 * MAX(fabs(field->minimum), fabs(field->maximum));
  return number >= field->minimum - slack && number <= field->maximum + slack;
}

static bool
parse_quantity(Value *out, const FieldSpec *field, const char *text, GError **error)
{
  if (!quantity_parse(text, field->unit, &out->low, NULL)) {
    set_number_error(field, text, FIELD_ERROR_VALUE, error);
    return false;
  }
  out->high = out->low;
  if (!within_limits(field, out->low)) {
    set_number_error(field, text, FIELD_ERROR_RANGE, error);
    return false;
  }
  out->text = quantity_format(out->low);
  return true;
}

static bool
parse_range(Value *out, const FieldSpec *field, const char *text, GError **error)
{
  QuantityRange range;
  if (!quantity_range_parse(text, field->unit, &range, NULL)) {
    set_number_error(field, text, FIELD_ERROR_VALUE, error);
    return false;
  }
  if (!within_limits(field, range.low) || !within_limits(field, range.high)) {
    set_number_error(field, text, FIELD_ERROR_RANGE, error);
    return false;
  }
  out->low = range.low;
  out->high = range.high;
  out->text = quantity_range_format(range);
  return true;
}

static bool
parse_integer(Value *out, const FieldSpec *field, const char *text, GError **error)
{
  g_autofree char *trimmed = g_strstrip(g_strdup(text));
  gint64 number;
  if (!g_ascii_string_to_signed(trimmed, 10, -1000000000, 1000000000, &number, NULL)) {
    set_number_error(field, text, FIELD_ERROR_VALUE, error);
    return false;
  }
  Quantity quantity = quantity_make((double)number, UNIT_NONE);
  if (!within_limits(field, quantity)) {
    set_number_error(field, text, FIELD_ERROR_RANGE, error);
    return false;
  }
  out->low = out->high = quantity;
  out->text = g_strdup_printf("%" G_GINT64_FORMAT, number);
  return true;
}

static bool
parse_choice(Value *out, const FieldSpec *field, const char *text, GError **error)
{
  const char *const *words = field_words(field);
  for (int i = 0; words[i] != NULL; i++) {
    if (strcmp(words[i], text) == 0) {
      out->choice = i;
      out->text = g_strdup(text);
      return true;
    }
  }
  g_autofree char *shown = text_clean(text, 60);
  g_autofree char *all = g_strjoinv(", ", (char **)words);
  const char *nearest = text_nearest(text, words);
  if (nearest != NULL)
    g_set_error(error, FIELD_ERROR, FIELD_ERROR_CHOICE,
                _("\"%s\" is not a choice here; did you mean \"%s\"? Expected one of: %s"), shown,
                nearest, all);
  else
    g_set_error(error, FIELD_ERROR, FIELD_ERROR_CHOICE,
                _("\"%s\" is not a choice here; expected one of: %s"), shown, all);
  return false;
}

/* What XML 1.0 can carry and a sheet can show: no control characters but line end and tab. */
static bool
text_is_writable(const char *text)
{
  if (!g_utf8_validate(text, -1, NULL))
    return false;
  for (const char *p = text; *p != '\0'; p = g_utf8_next_char(p)) {
    gunichar c = g_utf8_get_char(p);
    if ((c < 0x20 && c != '\n' && c != '\t') || (c >= 0x7f && c < 0xa0) || (c & 0xfffe) == 0xfffe)
      return false;
  }
  return true;
}

static bool
parse_text(Value *out, const FieldSpec *field, const char *text, GError **error)
{
  double permitted = field->maximum > 0.0 ? field->maximum : TEXT_DEFAULT_MAXIMUM;
  if (!text_is_writable(text)) {
    g_autofree char *shown = text_clean(text, 60);
    g_set_error(error, FIELD_ERROR, FIELD_ERROR_VALUE,
                _("\"%s\" holds a control character; expected plain text, for example \"%s\""),
                shown, field->initial != NULL ? field->initial : _(field->title));
    return false;
  }
  glong length = g_utf8_strlen(text, -1);
  if ((double)length > permitted) {
    g_set_error(error, FIELD_ERROR, FIELD_ERROR_RANGE,
                _("the text is %ld characters long; expected at most %.0f"), length, permitted);
    return false;
  }
  out->text = g_strdup(text);
  return true;
}

static bool
parse_name(Value *out, const FieldSpec *field, const char *text, GError **error)
{
  if (!text_is_name(text)) {
    g_autofree char *shown = text_clean(text, 60);
    g_set_error(
        error, FIELD_ERROR, FIELD_ERROR_VALUE,
        _("\"%s\" is not a name; expected a letter or digit, then letters, digits, '-', '_', "
          "'/' or '+', at most 32 in all, for example \"%s\""),
        shown, field->initial != NULL ? field->initial : "X1");
    return false;
  }
  out->text = g_strdup(text);
  return true;
}

static bool
is_terminal_word(const char *word)
{
  if (text_is_name(word))
    return true;
  g_autofree char *device = NULL, *terminal = NULL;
  return text_split_terminal(word, &device, &terminal);
}

static bool
parse_terminals(Value *out, const FieldSpec *field, const char *text, GError **error)
{
  const char *example = field->initial != NULL ? field->initial : "L1 GND";
  g_autofree char *trimmed = g_strstrip(g_strdup(text));
  g_auto(GStrv) words = g_strsplit_set(trimmed, " \t\n", -1);
  const char *found[2];
  guint n = 0;
  bool good = true;
  for (guint i = 0; words[i] != NULL && good; i++) {
    if (words[i][0] == '\0')
      continue;
    good = n < 2 && is_terminal_word(words[i]);
    if (good)
      found[n++] = words[i];
  }
  if (!good || n != 2 || strcmp(found[0], found[1]) == 0) {
    g_autofree char *shown = text_clean(text, 80);
    g_set_error(error, FIELD_ERROR, FIELD_ERROR_VALUE,
                _("\"%s\" does not name two terminals; expected two different names with a space "
                  "between, for example \"%s\""),
                shown, example);
    return false;
  }
  out->text = g_strdup_printf("%s %s", found[0], found[1]);
  return true;
}

/* Fills an empty value. out->text is set exactly when the text was accepted. */
static bool
value_parse(Value *out, const FieldSpec *field, const char *text, GError **error)
{
  switch (field->type) {
  case FIELD_TEXT:
    return parse_text(out, field, text, error);
  case FIELD_NAME:
    return parse_name(out, field, text, error);
  case FIELD_QUANTITY:
    return parse_quantity(out, field, text, error);
  case FIELD_RANGE:
    return parse_range(out, field, text, error);
  case FIELD_CHOICE:
  case FIELD_BOOLEAN:
    return parse_choice(out, field, text, error);
  case FIELD_INTEGER:
    return parse_integer(out, field, text, error);
  case FIELD_TERMINALS:
    return parse_terminals(out, field, text, error);
  }
  g_return_val_if_reached(false);
}

static Value
value_default(const FieldSpec *field)
{
  Value value = {.is_set = false};
  g_autoptr(GError) error = NULL;
  if (field->initial == NULL)
    return value;
  value.has_value = value_parse(&value, field, field->initial, &error);
  if (!value.has_value) /* a mistake in a table: tests run over all of them */
    g_critical("default of field \"%s\": %s", field->name, error->message);
  value.is_set = value.has_value && field->required; /* the file must give it, so it is written */
  return value;
}

void
value_init_defaults(Value *values, const FieldSpec *fields, guint n)
{
  for (guint i = 0; i < n; i++)
    values[i] = value_default(&fields[i]);
}

void
value_clear_all(Value *values, guint n)
{
  for (guint i = 0; i < n; i++)
    g_free(values[i].text);
  if (n > 0)
    memset(values, 0, n * sizeof(Value));
}

void
value_copy_all(Value *to, const Value *from, guint n)
{
  for (guint i = 0; i < n; i++) {
    to[i] = from[i];
    to[i].text = g_strdup(from[i].text);
  }
}

bool
value_equal(const FieldSpec *field, const Value *a, const Value *b)
{
  if (a->is_set != b->is_set || a->has_value != b->has_value)
    return false;
  if (!a->has_value)
    return true;
  if (field->type == FIELD_CHOICE || field->type == FIELD_BOOLEAN)
    return a->choice == b->choice;
  return g_strcmp0(a->text, b->text) == 0; /* canonical, so equal text is an equal value */
}

bool
value_set_text(Value *value, const FieldSpec *field, const char *text, GError **error)
{
  Value next = {.is_set = false};
  bool empty = text != NULL && *text == '\0' && field->type == FIELD_TEXT && field->initial == NULL;
  if (text == NULL || empty) {
    next = value_default(field);
  } else {
    if (!value_parse(&next, field, text, error))
      return false;
    next.is_set = next.has_value = true;
  }
  g_free(value->text);
  *value = next;
  return true;
}

char *
value_dup_text(const Value *value, const FieldSpec *field)
{
  (void)field; /* every type keeps its canonical text */
  return value->has_value ? g_strdup(value->text) : NULL;
}

double
value_number(const Value *value, const FieldSpec *field, double fallback)
{
  if (!value->has_value)
    return fallback;
  switch (field->type) {
  case FIELD_QUANTITY:
  case FIELD_RANGE:
    return quantity_in(value->low, field->unit);
  case FIELD_INTEGER:
    return value->low.value;
  case FIELD_CHOICE:
  case FIELD_BOOLEAN:
    return value->choice;
  case FIELD_TEXT:
  case FIELD_NAME:
  case FIELD_TERMINALS:
    break;
  }
  return fallback;
}

int
field_index(const FieldSpec *fields, guint n, const char *name)
{
  for (guint i = 0; i < n; i++)
    if (strcmp(fields[i].name, name) == 0)
      return (int)i;
  return -1;
}
