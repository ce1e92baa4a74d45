/* SPDX-License-Identifier: MIT */
/* doorsheet readings: what a meter should show, energized or locked out: volts with the range to
 * expect and where they come from, ohms, amperes, available fault currents. */
#include "base/text.h"

#include "base/language.h"
#include "command/json.h"
#include "command/point.h"
#include "command/verb.h"
#include "solve/expected.h"
#include "solve/explain.h"
#include "solve/fault_table.h"
#include "solve/meter.h"
#include <math.h>
#include <string.h>

enum {
  OPTION_BETWEEN,
  OPTION_LOCKED_OUT,
  OPTION_EXPLAIN,
  OPTION_OHMS,
  OPTION_AMPS,
  OPTION_FAULTS,
  OPTION_JSON
};
static const VerbOption options[] = {
    [OPTION_BETWEEN] = {.name = "--between",
                        .n_values = 2,
                        .values = "A B",
                        .help = N_("Only from A to B: \"T1.X1\", or \"GND\" for ground.")},
    [OPTION_LOCKED_OUT] = {.name = "--locked-out", .help = N_("With every disconnect open.")},
    [OPTION_EXPLAIN] = {.name = "--explain",
                        .help = N_("List the path and the numbers that add up to each reading.")},
    [OPTION_OHMS] = {.name = "--ohms", .help = N_("Ohms instead of volts, locked out.")},
    [OPTION_AMPS] = {.name = "--amps", .help = N_("What a clamp shows round each conductor.")},
    [OPTION_FAULTS] = {.name = "--faults",
                       .help = N_("Available fault current at each live terminal.")},
    [OPTION_JSON] = {.name = "--json", .help = N_("One JSON object.")},
};

static GArray *
between(const Circuit *circuit, const Solution *solution, const char *const *words,
        const ExpectedVariation *variation, GString *err)
{
  guint a = 0, b = 0;
  ExpectedReading reading = {0};
  g_autoptr(GError) error = NULL;

  if (!point_find(circuit, words[0], &a, err) || !point_find(circuit, words[1], &b, err))
    return NULL;
  if (!expected_reading_between(circuit, solution, a, b, variation, &reading, &error)) {
    g_string_append_printf(err, "doorsheet: %s\n", error->message);
    return NULL;
  }
  GArray *readings = g_array_new(FALSE, FALSE, sizeof(ExpectedReading));
  g_array_set_clear_func(readings, (GDestroyNotify)expected_reading_clear);
  g_array_append_val(readings, reading);
  return readings;
}

typedef struct {
  const char *path;
  const VerbWords *words;
  const Circuit *circuit;
  const Solution *solution;
  GString *out, *err;
} Job;

/* The pairs to list: the one asked for, or those of every kind's probes. NULL after a sentence. */
static GArray *
find_readings(const Job *job, const ExpectedVariation *variation)
{
  g_autoptr(GError) error = NULL;

  if (job->words->given[OPTION_BETWEEN])
    return between(job->circuit, job->solution, job->words->values[OPTION_BETWEEN], variation,
                   job->err);
  GArray *readings = expected_readings(job->circuit, job->solution, variation, &error);
  if (readings == NULL)
    g_string_append_printf(job->err, "%s: %s\n", job->path, error->message);
  return readings;
}

/* Opens {"file":...,"locked_out":...,"<list>":[ */
static void
open_json(const Job *job, const char *list)
{
  g_string_append_c(job->out, '{');
  json_pair_text(job->out, "file", job->path);
  json_pair_bool(job->out, "locked_out", job->circuit->options.locked_out);
  json_key(job->out, list);
  g_string_append_c(job->out, '[');
}

static void
json_between(GString *out, const char *a, const char *b)
{
  json_next(out);
  g_string_append_c(out, '{');
  json_key(out, "between");
  g_string_append_c(out, '[');
  text_append_json(out, a);
  g_string_append_c(out, ',');
  text_append_json(out, b);
  g_string_append_c(out, ']');
}

/* -------------------------------------------------------------------------------------- volts */

static void
json_phasor(GString *out, const char *key, Phasor value)
{
  json_key(out, key);
  g_string_append_c(out, '{');
  json_pair_number(out, "size", cabs(value));
  json_pair_number(out, "degrees", carg(value) * 180 / G_PI);
  g_string_append_c(out, '}');
}

static void
print_explanation_json(const Job *job, const Explanation *explanation)
{
  GString *out = job->out;

  json_key(out, "explained");
  g_string_append(out, "{\"steps\":[");
  for (guint i = 0; i < explanation->steps->len; i++) {
    const ExplainStep *step = &g_array_index(explanation->steps, ExplainStep, i);
    g_autofree char *from = circuit_node_name(job->circuit, step->from);
    g_autofree char *to = circuit_node_name(job->circuit, step->to);
    json_between(out, from, to);
    json_phasor(out, "volts", step->drop);
    json_phasor(out, "driving", step->driving);
    json_phasor(out, "lost", step->lost);
    json_phasor(out, "amps", step->amps);
    json_pair_text(out, "text", step->text);
    g_string_append_c(out, '}');
  }
  g_string_append_c(out, ']');
  json_phasor(out, "sum", explanation->sum);
  json_pair_number(out, "misfit", explanation->misfit);
  json_key(out, "notes");
  g_string_append_c(out, '[');
  for (guint i = 0; i < explanation->notes->len; i++) {
    json_next(out);
    text_append_json(out, explanation->notes->pdata[i]);
  }
  g_string_append_c(out, ']');
  json_pair_number(out, "backward_error", explanation->trust.backward_error);
  json_pair_number(out, "power_balance", explanation->trust.power_balance);
  json_pair_number(out, "current_balance", explanation->trust.current_balance);
  g_string_append_c(out, '}');
}

static void
print_volts_text(const Job *job, const ExpectedReading *r)
{
  g_autofree char *points = g_strdup_printf("%s%s%s - %s", r->point != NULL ? r->point : "",
                                            r->point != NULL ? ": " : "", r->a_name, r->b_name);
  g_autofree char *volts = expected_reading_text(r, 4);
  g_autofree char *range = expected_reading_range_text(r, 4);

  g_string_append_printf(job->out, "%-24s %10s  %-18s %s\n", points, volts, range,
                         r->purpose != NULL ? r->purpose : "");
}

static void
print_volts_json(const Job *job, const ExpectedReading *r)
{
  const bool known = r->state == READING_LIVE || r->state == READING_DEAD;
  GString *out = job->out;

  json_between(out, r->a_name, r->b_name);
  json_pair_number(out, "volts", known ? r->volts : (double)NAN);
  json_pair_number(out, "degrees", r->state == READING_LIVE ? r->degrees : (double)NAN);
  json_pair_number(out, "low", known ? r->low : (double)NAN);
  json_pair_number(out, "high", known ? r->high : (double)NAN);
  json_pair_text(out, "state", reading_state_word(r->state));
  json_pair_bool(out, "saturated", r->saturated);
  if (r->point != NULL)
    json_pair_text(out, "point", r->point);
  json_pair_text(out, "purpose", r->purpose);
}

static CommandStatus
print_volts(const Job *job)
{
  const bool json = job->words->given[OPTION_JSON], explain = job->words->given[OPTION_EXPLAIN];
  g_autoptr(GArray) readings = find_readings(job, &expected_variation_default);

  if (readings == NULL)
    return COMMAND_FAILED;
  if (json)
    open_json(job, "readings");
  for (guint i = 0; i < readings->len; i++) {
    const ExpectedReading *r = &g_array_index(readings, ExpectedReading, i);
    g_autoptr(Explanation) explanation =
        explain ? solution_explain(job->circuit, job->solution, r->a, r->b, NULL) : NULL;
    g_autofree char *text = explain && !json ? explanation_text(explanation) : NULL;

    if (json)
      print_volts_json(job, r);
    else
      print_volts_text(job, r);
    if (json && explain)
      print_explanation_json(job, explanation);
    if (json)
      g_string_append_c(job->out, '}');
    if (text != NULL)
      g_string_append(job->out, strchr(text, '\n') + 1); /* its first line says what ours does */
  }
  if (json)
    g_string_append(job->out, "]}\n");
  return COMMAND_SOUND;
}

/* A note that many lines share is printed with the first of them. */
static const char *
fresh_note(const char *note, GString *last)
{
  if (strcmp(last->str, note) == 0)
    return "";
  g_string_assign(last, note);
  return note;
}

/* --------------------------------------------------------------------------------------- ohms */

static CommandStatus
print_ohms(const Job *job)
{
  static const ExpectedVariation as_drawn = {.supply_low = 1, .supply_high = 1};
  const bool json = job->words->given[OPTION_JSON];
  g_autoptr(GArray) pairs = find_readings(job, &as_drawn);
  g_autoptr(GString) last = g_string_new(NULL);

  if (pairs == NULL)
    return COMMAND_FAILED;
  if (json)
    open_json(job, "ohms");
  for (guint i = 0; i < pairs->len; i++) {
    const ExpectedReading *r = &g_array_index(pairs, ExpectedReading, i);
    g_autoptr(GError) error = NULL;
    MeterReading ohms = {0};

    if (!meter_ohms(job->circuit, job->solution, r->a, r->b, &ohms, &error)) {
      g_string_append_printf(job->err, "%s: %s\n", job->path, error->message);
      return COMMAND_FAILED;
    }
    if (json) {
      json_between(job->out, r->a_name, r->b_name);
      json_pair_number(job->out, "ohms", ohms.state == METER_READS ? ohms.value : (double)NAN);
      json_pair_text(job->out, "state", meter_state_word(ohms.state));
      json_pair_text(job->out, "note", ohms.note);
      g_string_append_c(job->out, '}');
      continue;
    }
    g_autofree char *points = g_strdup_printf("%s - %s", r->a_name, r->b_name);
    g_autofree char *text =
        ohms.state == METER_REFUSED ? g_strdup(_("live")) : meter_reading_text(&ohms);
    g_string_append_printf(job->out, "%-24s %10s  %s\n", points, text, fresh_note(ohms.note, last));
  }
  if (json)
    g_string_append(job->out, "]}\n");
  return COMMAND_SOUND;
}

/* --------------------------------------------------------------------------------------- amps */

static CommandStatus
print_amps(const Job *job)
{
  const bool json = job->words->given[OPTION_JSON];
  const Document *document = job->circuit->document;
  g_autoptr(GString) last = g_string_new(NULL);

  if (json)
    open_json(job, "amps");
  for (guint i = 0; i < document_conductor_count(document); i++) {
    const Conductor *conductor = document_conductor(document, i);
    g_autofree char *from = landing_dup_name(&conductor->from);
    g_autofree char *to = landing_dup_name(&conductor->to);
    MeterReading amps = {0};

    if (!meter_amps(job->circuit, job->solution, (Owner){.kind = OWNER_CONDUCTOR, .index = i},
                    &amps, NULL))
      continue; /* lands where nothing is */
    g_autofree char *text = meter_reading_text(&amps);
    const char *number = conductor_text(conductor, CONDUCTOR_NUMBER);
    const bool known =
        amps.state == METER_READS || (amps.state == METER_SATURATED && amps.value > 0);
    if (!json) {
      g_string_append_printf(job->out, "%-8s %-14s %-14s %18s  %s\n", number, from, to, text,
                             fresh_note(amps.note, last));
      continue;
    }
    json_between(job->out, from, to);
    json_pair_text(job->out, "conductor", number);
    json_pair_number(job->out, "amps", known ? amps.value : (double)NAN);
    json_pair_number(job->out, "degrees", known ? amps.degrees : (double)NAN);
    json_pair_text(job->out, "state", meter_state_word(amps.state));
    json_pair_text(job->out, "note", amps.note);
    g_string_append_c(job->out, '}');
  }
  if (json)
    g_string_append(job->out, "]}\n");
  return COMMAND_SOUND;
}

/* ------------------------------------------------------------------------------------- faults */

static void
print_fault_json(GString *out, const FaultRow *row)
{
  const bool unlimited = isinf(row->line_line) || isinf(row->line_ground);

  json_next(out);
  g_string_append_c(out, '{');
  json_pair_text(out, "at", row->name);
  json_pair_text(out, "across", row->across);
  json_pair_text(out, "fed_by", row->secondary ? "transformer" : "supply");
  json_pair_number(out, "volts", row->volts);
  json_pair_number(out, "line_line", row->line_line);
  json_pair_number(out, "three_phase", row->three_phase);
  json_pair_number(out, "line_ground", row->line_ground);
  json_pair_number(out, "x_over_r", row->x_over_r);
  json_pair_bool(out, "unlimited", unlimited);
  g_string_append_c(out, '}');
}

static void
print_fault_text(GString *out, const FaultRow *row)
{
  g_autofree char *line = quantity_display(row->line_line, UNIT_AMPERE, 3);
  g_autofree char *three = quantity_display(row->three_phase, UNIT_AMPERE, 3);
  g_autofree char *ground = quantity_display(row->line_ground, UNIT_AMPERE, 3);

  g_string_append_printf(out, "%-14s %-14s %12s %12s %12s  %s\n", row->name,
                         row->across != NULL ? row->across : "-", line, three, ground,
                         row->secondary ? _("transformer") : _("supply"));
}

static CommandStatus
print_faults(const Job *job)
{
  const bool json = job->words->given[OPTION_JSON];
  g_autoptr(GError) error = NULL;
  g_autoptr(GArray) rows = fault_table_new(job->circuit, job->solution, &error);
  bool unlimited = false;

  if (rows == NULL) {
    g_string_append_printf(job->err, "%s: %s\n", job->path, error->message);
    return COMMAND_FAILED;
  }
  if (json)
    open_json(job, "faults");
  else
    g_string_append_printf(job->out, "%-14s %-14s %12s %12s %12s  %s\n", _("At"), _("Across"),
                           _("Line to line"), _("Three-phase"), _("To ground"), _("Fed by"));
  for (guint i = 0; i < rows->len; i++) {
    const FaultRow *row = &g_array_index(rows, FaultRow, i);
    unlimited |= isinf(row->line_line) || isinf(row->line_ground);
    if (json)
      print_fault_json(job->out, row);
    else
      print_fault_text(job->out, row);
  }
  if (json)
    g_string_append(job->out, "]}\n");
  else if (unlimited)
    g_string_append(job->out,
                    _("Unlimited: the supply's available fault current is not entered.\n"));
  return COMMAND_SOUND;
}

/* -------------------------------------------------------------------------------------- start */

/* One kind of reading at a time; false after a sentence. */
static bool
words_agree(const VerbWords *words, GString *err)
{
  static const int kinds[] = {OPTION_OHMS, OPTION_AMPS, OPTION_FAULTS};
  int chosen = -1;

  for (guint i = 0; i < G_N_ELEMENTS(kinds); i++) {
    if (!words->given[kinds[i]])
      continue;
    const int other = chosen >= 0                    ? chosen
                      : words->given[OPTION_EXPLAIN] ? OPTION_EXPLAIN
                      : kinds[i] == OPTION_OHMS      ? -1
                      : words->given[OPTION_BETWEEN] ? OPTION_BETWEEN
                                                     : -1;
    if (other >= 0) {
      g_string_append_printf(err,
                             _("doorsheet: %s and %s do not go together; ask for one of them.\n"),
                             options[other].name, options[kinds[i]].name);
      return false;
    }
    chosen = kinds[i];
  }
  return true;
}

static CommandStatus
run(const VerbWords *words, GString *out, GString *err)
{
  const char *path = words->operands->pdata[0];
  const CircuitOptions circuit_options = {.locked_out = words->given[OPTION_LOCKED_OUT] ||
                                                        words->given[OPTION_OHMS]};
  g_autoptr(GError) error = NULL;

  if (!words_agree(words, err))
    return COMMAND_FAILED;
  g_autoptr(Document) document = verb_load_open(path, err);
  if (document == NULL)
    return COMMAND_FAILED;
  g_autoptr(Circuit) circuit = circuit_build(document, &circuit_options);
  g_autoptr(Solution) solution = solution_new(circuit, &error);
  if (solution == NULL) {
    g_string_append_printf(err, "%s: %s\n", path, error->message);
    return COMMAND_FAILED;
  }
  const Job job = {path, words, circuit, solution, out, err};
  if (words->given[OPTION_OHMS])
    return print_ohms(&job);
  if (words->given[OPTION_AMPS])
    return print_amps(&job);
  if (words->given[OPTION_FAULTS])
    return print_faults(&job);
  return print_volts(&job);
}

const Verb verb_readings = {
    .name = "readings",
    .usage =
        "readings FILE [--between A B] [--locked-out] [--explain | --ohms | --amps | --faults] "
        "[--json]",
    .summary = N_("Say what a meter should read between named points, with the range to expect."),
    .details = N_(
        "The range covers the measured supply 5 % lower to 5 % higher, loads on or off, and each\n"
        "transformer's ratio 1.5 % and impedance 10 % off its nameplate.\n"
        "Fault currents are bolted, without motors; a nameplate impedance may be a tenth lower.\n"
        "Exit code: 0 done, 2 a file or a point could not be read.\n"),
    .options = options,
    .n_options = G_N_ELEMENTS(options),
    .min_operands = 1,
    .max_operands = 1,
    .operand = N_("a file"),
    .run = run,
};
