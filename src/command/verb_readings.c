/* SPDX-License-Identifier: MIT */
/* doorsheet readings: what a meter should show, energized or locked out. */
#include "base/text.h"
#include "command/json.h"
#include "command/verb.h"
#include "solve/expected.h"
#include <math.h>
#include <string.h>

enum { OPTION_BETWEEN, OPTION_LOCKED_OUT, OPTION_JSON };
static const VerbOption options[] = {
    [OPTION_BETWEEN] = {.name = "--between",
                        .n_values = 2,
                        .values = "A B",
                        .help = "Only from A to B: \"T1.X1\", or \"GND\" for ground."},
    [OPTION_LOCKED_OUT] = {.name = "--locked-out", .help = "With every disconnect open."},
    [OPTION_JSON] = {.name = "--json", .help = "One JSON object."},
};

static void
complain_device(const Document *document, const char *word, const char *device, GString *err)
{
  g_autoptr(GPtrArray) names = g_ptr_array_new();

  for (guint i = 0; i < document_device_count(document); i++)
    g_ptr_array_add(names, document_device(document, i)->id);
  g_ptr_array_add(names, NULL);
  const char *near = text_nearest(device, (const char *const *)names->pdata);
  g_string_append_printf(err, "doorsheet: \"%s\" names a device that is not on the sheet.", word);
  if (near != NULL)
    g_string_append_printf(err, " Did you mean \"%s\"?", near);
  g_string_append_c(err, '\n');
}

static void
complain_terminal(const Device *device, const char *word, const char *terminal, GString *err)
{
  g_autoptr(GPtrArray) names = g_ptr_array_new();

  for (guint i = 0; i < device_terminal_count(device); i++)
    g_ptr_array_add(names, (gpointer)(guintptr)device_terminal(device, i)->name);
  g_ptr_array_add(names, NULL);
  const char *near = text_nearest(terminal, (const char *const *)names->pdata);
  g_string_append_printf(err, "doorsheet: \"%s\" names a terminal that %s does not have.", word,
                         device->id);
  if (near != NULL)
    g_string_append_printf(err, " Did you mean \"%s.%s\"?", device->id, near);
  else if (names->len > 1) {
    g_autofree char *all = g_strjoinv(", ", (char **)names->pdata);
    g_string_append_printf(err, " It has %s.", all);
  }
  g_string_append_c(err, '\n');
}

/* Node of "T1.X1" or "GND"; false after a sentence. */
static bool
find_node(const Circuit *circuit, const char *word, guint *node, GString *err)
{
  g_autofree char *device_id = NULL, *terminal = NULL;

  if (g_ascii_strcasecmp(word, "GND") == 0) {
    *node = 0;
    return true;
  }
  if (!text_split_terminal(word, &device_id, &terminal)) {
    g_string_append_printf(
        err,
        "doorsheet: \"%s\" names no point. Write a device, a dot and a terminal, such as "
        "\"T1.X1\", or \"GND\".\n",
        word);
    return false;
  }
  const int device = document_device_index(circuit->document, device_id);
  if (device < 0) {
    complain_device(circuit->document, word, device_id, err);
    return false;
  }
  const Device *found = document_device(circuit->document, (guint)device);
  const int index = device_terminal_index(found, terminal);
  if (index < 0) {
    complain_terminal(found, word, terminal, err);
    return false;
  }
  *node = circuit_node(circuit, (guint)device, (guint)index);
  return true;
}

static GArray *
between(const Circuit *circuit, const Solution *solution, const char *const *words, GString *err)
{
  guint a = 0, b = 0;
  ExpectedReading reading = {0};
  g_autoptr(GError) error = NULL;

  if (!find_node(circuit, words[0], &a, err) || !find_node(circuit, words[1], &b, err))
    return NULL;
  if (!expected_reading_between(circuit, solution, a, b, &expected_variation_default, &reading,
                                &error)) {
    g_string_append_printf(err, "doorsheet: %s\n", error->message);
    return NULL;
  }
  GArray *readings = g_array_new(FALSE, FALSE, sizeof(ExpectedReading));
  g_array_set_clear_func(readings, (GDestroyNotify)expected_reading_clear);
  g_array_append_val(readings, reading);
  return readings;
}

static void
print_text(const GArray *readings, GString *out)
{
  for (guint i = 0; i < readings->len; i++) {
    const ExpectedReading *r = &g_array_index(readings, ExpectedReading, i);
    g_autofree char *points = g_strdup_printf("%s - %s", r->a_name, r->b_name);
    g_autofree char *volts = quantity_display(r->volts, UNIT_VOLT, 4);
    g_autofree char *range = quantity_display_range(r->low, r->high, UNIT_VOLT, 4);

    g_string_append_printf(out, "%-24s ", points);
    if (r->state == READING_LIVE)
      g_string_append_printf(out, "%10s  %-18s", volts, range);
    else
      g_string_append_printf(out, "%10s  %-18s", reading_state_word(r->state), "");
    g_string_append_printf(out, " %s\n", r->purpose != NULL ? r->purpose : "");
  }
}

static void
print_json(const char *path, bool locked_out, const GArray *readings, GString *out)
{
  g_string_append_c(out, '{');
  json_pair_text(out, "file", path);
  json_pair_bool(out, "locked_out", locked_out);
  json_key(out, "readings");
  g_string_append_c(out, '[');
  for (guint i = 0; i < readings->len; i++) {
    const ExpectedReading *r = &g_array_index(readings, ExpectedReading, i);
    const bool known = r->state == READING_LIVE || r->state == READING_DEAD;

    json_next(out);
    g_string_append_c(out, '{');
    json_key(out, "between");
    g_string_append_c(out, '[');
    text_append_json(out, r->a_name);
    g_string_append_c(out, ',');
    text_append_json(out, r->b_name);
    g_string_append_c(out, ']');
    json_pair_number(out, "volts", known ? r->volts : (double)NAN);
    json_pair_number(out, "degrees", r->state == READING_LIVE ? r->degrees : (double)NAN);
    json_pair_number(out, "low", known ? r->low : (double)NAN);
    json_pair_number(out, "high", known ? r->high : (double)NAN);
    json_pair_text(out, "state", reading_state_word(r->state));
    json_pair_text(out, "purpose", r->purpose);
    g_string_append_c(out, '}');
  }
  g_string_append(out, "]}\n");
}

static CommandStatus
run(const VerbWords *words, GString *out, GString *err)
{
  const char *path = words->operands->pdata[0];
  const CircuitOptions circuit_options = {.locked_out = words->given[OPTION_LOCKED_OUT]};
  g_autoptr(GError) error = NULL;
  g_autoptr(GArray) readings = NULL;

  g_autoptr(Document) document = verb_load(path, err);
  if (document == NULL)
    return COMMAND_FAILED;
  g_autoptr(Circuit) circuit = circuit_build(document, &circuit_options);
  g_autoptr(Solution) solution = solution_new(circuit, &error);
  if (solution == NULL) {
    g_string_append_printf(err, "%s: %s\n", path, error->message);
    return COMMAND_FAILED;
  }
  if (words->given[OPTION_BETWEEN]) {
    readings = between(circuit, solution, words->values[OPTION_BETWEEN], err);
    if (readings == NULL)
      return COMMAND_FAILED;
  } else {
    readings = expected_readings(circuit, solution, &expected_variation_default, &error);
    if (readings == NULL) {
      g_string_append_printf(err, "%s: %s\n", path, error->message);
      return COMMAND_FAILED;
    }
  }
  if (words->given[OPTION_JSON])
    print_json(path, words->given[OPTION_LOCKED_OUT], readings, out);
  else
    print_text(readings, out);
  return COMMAND_SOUND;
}

const Verb verb_readings = {
    .name = "readings",
    .usage = "readings FILE [--between A B] [--locked-out] [--json]",
    .summary = "Say what a meter should read between named points, with the range to expect.",
    .details =
        "The range covers the measured supply 5 % lower to 5 % higher, and loads on or off.\n"
        "Exit code: 0 done, 2 a file or a point could not be read.\n",
    .options = options,
    .n_options = G_N_ELEMENTS(options),
    .min_operands = 1,
    .max_operands = 1,
    .operand = "a file",
    .run = run,
};
