/* SPDX-License-Identifier: MIT */
#include "network.h"

#include <math.h>
#include <string.h>

/* One number of a quantity: size, angle, P or Q. */
typedef struct {
  bool given; /* there is something to compare with */
  double expected, tolerance;
  bool exact_given;
  double exact, exact_tolerance;
  double solved;
  bool angle;
} Figure;

/* Half a unit of the last digit written. */
static double
half_digit(const char *text)
{
  const char *dot = strchr(text, '.'), *e = strpbrk(text, "eE");
  int digits = dot != NULL ? (int)((e != NULL ? e : text + strlen(text)) - dot) - 1 : 0;
  int exponent = e != NULL ? (int)g_ascii_strtoll(e + 1, NULL, 10) : 0;
  return 0.5 * pow(10, exponent - digits);
}

static double
number_or(const char *text, double fallback)
{
  return *text != '\0' ? g_ascii_strtod(text, NULL) : fallback;
}

static Figure
figure_of(const Table *table, guint row, const char *part, double solved, bool angle)
{
  g_autofree char *tolerance = g_strconcat("tol_", part, NULL);
  g_autofree char *exact = g_strconcat("solved_", part, NULL);
  const char *expected_text = table_get(table, row, part);
  const char *exact_text = table_get(table, row, exact);
  Figure f = {.given = *expected_text != '\0',
              .expected = number_or(expected_text, 0),
              .exact_given = *exact_text != '\0',
              .exact = number_or(exact_text, 0),
              .solved = solved,
              .angle = angle};
  f.tolerance = number_or(table_get(table, row, tolerance), half_digit(expected_text));
  /* The exact solution is written to a last digit too, cut or rounded; its author's references of
   * high impedance leave parts in 1e9 where ours are exact. */
  f.exact_tolerance = half_digit(exact_text) * 2 + 2e-9 * fabs(f.exact) + 1e-6 * f.tolerance;
  return f;
}

static double
difference(const Figure *f, double from)
{
  return f->angle ? remainder(f->solved - from, 360) : f->solved - from;
}

static bool
fits_print(const Figure *f)
{
  return !f->given || fabs(difference(f, f->expected)) <= f->tolerance * (1 + 1e-9);
}

static bool
fits_exact(const Figure *f)
{
  return f->exact_given && fabs(difference(f, f->exact)) <= f->exact_tolerance;
}

static void
write_figure(FILE *report, const Figure *f)
{
  char text[64] = "-", exact[64] = "-";
  if (f->given)
    g_ascii_formatd(text, sizeof text, "%.9g", f->expected);
  if (f->exact_given)
    g_ascii_formatd(exact, sizeof exact, "%.9g", f->exact);
  fprintf(report, "  expected %s (exact %s)  solved %.9g  difference %.3g", text, exact, f->solved,
          difference(f, f->given ? f->expected : f->exact));
}

static bool
judge(const Table *table, guint row, Phasor value, FILE *report, NetworkTally *tally)
{
  const char *type = table_get(table, row, "type");
  bool power = strcmp(type, "S") == 0;
  bool real = strcmp(type, "SP") == 0 || *type == 'N';
  double size = power || real ? creal(value) : cabs(value);
  double second = power ? cimag(value) : carg(value) * 180 / G_PI;
  Figure figures[2] = {figure_of(table, row, "mag", size, false),
                       figure_of(table, row, "deg", second, !power)};
  /* An angle of nothing means nothing. */
  guint n = real || (!power && figures[0].expected == 0) ? 1 : 2;
  bool print = true, exact = true, any = false;
  for (guint i = 0; i < n; i++) {
    print &= fits_print(&figures[i]);
    exact &= fits_exact(&figures[i]) || (!figures[i].given && !figures[i].exact_given);
    any |= figures[i].given || figures[i].exact_given;
    if (report != NULL && (figures[i].given || figures[i].exact_given))
      write_figure(report, &figures[i]);
  }
  bool flagged = *table_get(table, row, "flag") != '\0';
  bool passed = any && (exact || (print && !flagged));
  tally->beside_print += passed && !print;
  if (report != NULL)
    fprintf(report, "  %s\n", !passed ? "FAIL" : print ? "pass" : "pass (exact, not the print)");
  return passed;
}

typedef struct {
  const Table *data, *expected;
  FILE *report;
  NetworkTally *tally;
  char *case_name;
  Network *network;
  Solution *solution;
} Comparison;

static void
take_up_case(Comparison *c, const char *case_name, GError **error)
{
  solution_free(c->solution);
  network_free(c->network);
  g_free(c->case_name);
  c->case_name = g_strdup(case_name);
  c->solution = NULL;
  c->network = network_new(c->data, case_name, error);
  if (c->network != NULL)
    c->solution = solution_new(network_circuit(c->network), error);
}

static void
compare_row(Comparison *c, guint row)
{
  g_autoptr(GError) error = NULL;
  const char *case_name = table_get(c->expected, row, "case");
  Phasor value = 0;
  if (g_strcmp0(case_name, c->case_name) != 0)
    take_up_case(c, case_name, &error);
  if (c->report != NULL)
    fprintf(c->report, "%s %s %s %s", case_name, table_get(c->expected, row, "quantity"),
            table_get(c->expected, row, "type"), table_get(c->expected, row, "spec"));
  c->tally->quantities++;
  if (c->solution != NULL &&
      network_quantity(c->network, c->solution, table_get(c->expected, row, "type"),
                       table_get(c->expected, row, "spec"), &value, &error)) {
    c->tally->failed += !judge(c->expected, row, value, c->report, c->tally);
    return;
  }
  c->tally->failed++;
  if (c->report != NULL)
    fprintf(c->report, "  FAIL: %s\n",
            error != NULL ? error->message : "the case could not be solved");
}

bool
network_compare(const char *data_path, const char *expected_path, FILE *report, NetworkTally *tally,
                GError **error)
{
  *tally = (NetworkTally){0};
  g_autoptr(Table) data = table_read(data_path, error);
  if (data == NULL)
    return false;
  g_autoptr(Table) expected = table_read(expected_path, error);
  if (expected == NULL)
    return false;
  Comparison c = {.data = data, .expected = expected, .report = report, .tally = tally};
  for (guint row = 0; row < table_length(expected); row++)
    compare_row(&c, row);
  solution_free(c.solution);
  network_free(c.network);
  g_free(c.case_name);
  return true;
}
