/* SPDX-License-Identifier: MIT */
/* The built program as people and scripts run it: no display, exit codes, texts, JSON. */
#include <gio/gio.h>
#include <glib/gstdio.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <sys/resource.h>
#include <unistd.h>

#include <cmocka.h>

typedef struct {
  int status; /* exit code; -1: ended by a signal */
  char *out, *err;
} Run;

static void
run_clear(Run *run)
{
  g_free(run->out);
  g_free(run->err);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC(Run, run_clear)

static char *
source_path(const char *relative)
{
  return g_build_filename(g_getenv("DOORSHEET_SOURCE"), relative, NULL);
}

/* Runs the program with these words, without any display. */
static Run G_GNUC_NULL_TERMINATED
run_program(const char *first, ...)
{
  g_autoptr(GPtrArray) words = g_ptr_array_new_with_free_func(g_free);
  g_autoptr(GSubprocessLauncher) launcher =
      g_subprocess_launcher_new(G_SUBPROCESS_FLAGS_STDOUT_PIPE | G_SUBPROCESS_FLAGS_STDERR_PIPE);
  g_autoptr(GError) error = NULL;
  Run run = {.status = -1};
  va_list list;

  g_ptr_array_add(words, g_build_filename(g_getenv("DOORSHEET_BUILD"), "doorsheet", NULL));
  va_start(list, first);
  for (const char *word = first; word != NULL; word = va_arg(list, const char *))
    g_ptr_array_add(words, g_strdup(word));
  va_end(list);
  g_ptr_array_add(words, NULL);
  g_subprocess_launcher_unsetenv(launcher, "DISPLAY");
  g_subprocess_launcher_unsetenv(launcher, "WAYLAND_DISPLAY");
  g_autoptr(GSubprocess) process =
      g_subprocess_launcher_spawnv(launcher, (const char *const *)words->pdata, &error);
  if (process == NULL)
    fail_msg("%s", error->message);
  if (!g_subprocess_communicate_utf8(process, NULL, NULL, &run.out, &run.err, &error))
    fail_msg("%s", error->message);
  if (g_subprocess_get_if_exited(process))
    run.status = g_subprocess_get_exit_status(process);
  return run;
}

/* --- a JSON reader that only says whether a text is JSON (RFC 8259) --------------------------- */

static const char *json_value(const char *at);

static const char *
json_space(const char *at)
{
  while (*at == ' ' || *at == '\n' || *at == '\t' || *at == '\r')
    at++;
  return at;
}

static const char *
json_string(const char *at)
{
  if (*at++ != '"')
    return NULL;
  while (*at != '"') {
    if ((unsigned char)*at < 0x20)
      return NULL;
    if (*at == '\\') {
      at++;
      if (*at == 'u') {
        for (int i = 1; i <= 4; i++)
          if (!g_ascii_isxdigit(at[i]))
            return NULL;
        at += 4;
      } else if (*at == '\0' || strchr("\"\\/bfnrt", *at) == NULL) {
        return NULL;
      }
    }
    at++;
  }
  return at + 1;
}

static const char *
json_digits(const char *at)
{
  if (!g_ascii_isdigit(*at))
    return NULL;
  while (g_ascii_isdigit(*at))
    at++;
  return at;
}

static const char *
json_number(const char *at)
{
  if (*at == '-')
    at++;
  at = *at == '0' ? at + 1 : json_digits(at);
  if (at != NULL && *at == '.')
    at = json_digits(at + 1);
  if (at != NULL && (*at == 'e' || *at == 'E')) {
    at++;
    if (*at == '+' || *at == '-')
      at++;
    at = json_digits(at);
  }
  return at;
}

/* What stands between brackets or braces. */
static const char *
json_list(const char *at, char close, bool keys)
{
  at = json_space(at + 1);
  if (*at == close)
    return at + 1;
  for (;;) {
    if (keys) {
      at = json_string(json_space(at));
      at = at != NULL ? json_space(at) : NULL;
      if (at == NULL || *at++ != ':')
        return NULL;
    }
    at = json_value(at);
    if (at == NULL)
      return NULL;
    at = json_space(at);
    if (*at == close)
      return at + 1;
    if (*at++ != ',')
      return NULL;
  }
}

static const char *
json_value(const char *at)
{
  at = json_space(at);
  if (*at == '{')
    return json_list(at, '}', true);
  if (*at == '[')
    return json_list(at, ']', false);
  if (*at == '"')
    return json_string(at);
  if (g_str_has_prefix(at, "true") || g_str_has_prefix(at, "null"))
    return at + 4;
  if (g_str_has_prefix(at, "false"))
    return at + 5;
  return json_number(at);
}

static bool
is_json(const char *text)
{
  const char *end = json_value(text);
  return end != NULL && *json_space(end) == '\0';
}

static void
test_json_reader(void **state)
{
  (void)state;
  assert_true(is_json("{\"a\":[1,-2.5e3,null,true,\"x\\u00e9\\n\"],\"b\":{}}"));
  assert_false(is_json("{\"a\":1,}"));
  assert_false(is_json("{\"a\":nan}"));
  assert_false(is_json("[1 2]"));
  assert_false(is_json("\"a\nb\""));
}

/* --- the program ------------------------------------------------------------------------------ */

static void
assert_holds(const char *text, const char *part)
{
  if (strstr(text, part) == NULL)
    fail_msg("\"%s\" is not in \"%s\"", part, text);
}

static void
test_help_and_version(void **state)
{
  static const char *const verbs[] = {"check", "parts", "readings", "schema", "sheet"};
  g_auto(Run) version = run_program("--version", NULL);
  g_auto(Run) help = run_program("--help", NULL);
  (void)state;

  assert_int_equal(version.status, 0);
  assert_string_equal(version.out, "doorsheet " DOORSHEET_VERSION "\n");
  assert_int_equal(help.status, 0);
  for (guint i = 0; i < G_N_ELEMENTS(verbs); i++) {
    g_auto(Run) more = run_program("help", verbs[i], NULL);
    assert_holds(help.out, verbs[i]);
    assert_int_equal(more.status, 0);
    assert_holds(more.out, "doorsheet ");
    g_auto(Run) same = run_program(verbs[i], "--help", NULL);
    assert_string_equal(more.out, same.out);
  }
}

static void
test_unknown_words(void **state)
{
  g_auto(Run) verb = run_program("chek", "x.doorsheet", NULL);
  g_auto(Run) option = run_program("check", "--jsn", "x.doorsheet", NULL);
  g_auto(Run) help = run_program("help", "shet", NULL);
  g_auto(Run) kind = run_program("parts", "transfomer", NULL);
  g_auto(Run) nothing = run_program("check", NULL);
  g_auto(Run) extra = run_program("schema", "now", NULL);
  const Run *runs[] = {&verb, &option, &help, &kind, &nothing, &extra};
  (void)state;

  for (guint i = 0; i < G_N_ELEMENTS(runs); i++) {
    assert_int_equal(runs[i]->status, 2);
    assert_string_equal(runs[i]->out, "");
  }
  assert_holds(verb.err, "Did you mean \"check\"?");
  assert_holds(option.err, "Did you mean \"--json\"?");
  assert_holds(help.err, "Did you mean \"sheet\"?");
  assert_holds(kind.err, "Did you mean \"transformer\"?");
  assert_holds(nothing.err, "needs at least one file");
  assert_holds(extra.err, "one word too many");
}

static void
test_window_without_display(void **state)
{
  g_autofree char *path = source_path("tests/sheet/pump.doorsheet");
  g_auto(Run) run = run_program(path, NULL);
  (void)state;

  assert_int_equal(run.status, 2);
  assert_holds(run.err, "doorsheet: ");
}

static void
test_check(void **state)
{
  g_autofree char *path = source_path("tests/sheet/pump.doorsheet");
  g_auto(Run) text = run_program("check", path, NULL);
  g_auto(Run) json = run_program("check", path, "--json", NULL);
  (void)state;

  assert_int_equal(text.status, json.status);
  assert_int_equal(text.status, 0);
  assert_true(g_str_has_prefix(text.out, path));
  assert_holds(text.out, "a check is not an approval");
  assert_true(is_json(json.out));
  assert_holds(json.out, "\"sound\":true");
  assert_holds(json.out, "\"findings\":[");
  assert_holds(json.out, "\"solution\":{\"backward_error\":");
  assert_holds(json.out, "\"power_balance\":");
}

/* A short: exit 1, and one line of JSON for each of several files. */
static void
test_check_finds(void **state)
{
  g_autofree char *path = source_path("tests/sheet/pump.doorsheet");
  g_autofree char *faulty = source_path("samples/faulty-short.doorsheet");
  g_auto(Run) run = run_program("check", faulty, NULL);
  g_auto(Run) json = run_program("check", faulty, path, "--json", NULL);
  (void)state;

  assert_int_equal(run.status, 1);
  assert_holds(run.out, "DANGER   short-circuit at ");
  assert_holds(run.out, "Remedy: ");
  assert_int_equal(json.status, 1);
  g_auto(GStrv) lines = g_strsplit(g_strchomp(json.out), "\n", -1);
  assert_int_equal(g_strv_length(lines), 2);
  assert_true(is_json(lines[0]) && is_json(lines[1]));
  assert_holds(lines[0], "\"sound\":false");
  assert_holds(lines[0], "\"check\":\"short-circuit\"");
  assert_holds(lines[0], "\"signal\":\"DANGER\"");
  assert_holds(lines[1], "\"sound\":true");
}

static void
test_unreadable(void **state)
{
  g_autofree char *good = source_path("tests/sheet/pump.doorsheet");
  g_auto(Run) missing = run_program("check", "/nowhere/at-all.doorsheet", NULL);
  g_auto(Run) mixed = run_program("check", "/nowhere/at-all.doorsheet", good, "--json", NULL);
  g_autofree char *xml = source_path("meson.build");
  g_auto(Run) wrong = run_program("check", xml, NULL);
  g_auto(Run) readings = run_program("readings", xml, NULL);
  g_auto(Run) sheet = run_program("sheet", xml, "-o", "/tmp/never.svg", NULL);
  (void)state;

  assert_int_equal(missing.status, 2);
  assert_holds(missing.err, "/nowhere/at-all.doorsheet:");
  assert_int_equal(mixed.status, 2);
  g_auto(GStrv) lines = g_strsplit(g_strchomp(mixed.out), "\n", -1);
  assert_int_equal(g_strv_length(lines), 2);
  assert_true(is_json(lines[0]) && is_json(lines[1]));
  assert_holds(lines[0], "\"sound\":null");
  assert_int_equal(wrong.status, 2);
  assert_true(g_str_has_prefix(wrong.err, xml));
  assert_true(g_ascii_isdigit(wrong.err[strlen(xml) + 1]));
  assert_int_equal(readings.status, 2);
  assert_int_equal(sheet.status, 2);
}

static void
test_readings(void **state)
{
  g_autofree char *path = source_path("tests/sheet/pump.doorsheet");
  g_auto(Run) all = run_program("readings", path, NULL);
  g_auto(Run) json = run_program("readings", path, "--json", NULL);
  g_auto(Run) pair = run_program("readings", path, "--between", "T1.H3", "T1.H1", "--json", NULL);
  g_auto(Run) locked =
      run_program("readings", path, "--between", "T1.H3", "T1.H1", "--locked-out", NULL);
  g_auto(Run) bad = run_program("readings", path, "--between", "T1.H9", "GND", NULL);
  g_auto(Run) short_of = run_program("readings", path, "--between", "T1.H1", NULL);
  (void)state;

  assert_int_equal(all.status, 0);
  assert_holds(all.out, "T1.X2");
  assert_int_equal(json.status, 0);
  assert_true(is_json(json.out));
  assert_true(is_json(pair.out));
  assert_holds(pair.out, "\"between\":[\"T1.H3\",\"T1.H1\"]");
  assert_holds(pair.out, "\"state\":\"live\"");
  const char *volts = strstr(pair.out, "\"volts\":");
  assert_non_null(volts);
  const double value = g_ascii_strtod(volts + strlen("\"volts\":"), NULL);
  assert_true(value > 484.5 && value < 487); /* measured between L1 and L2: 486 V */
  assert_int_equal(locked.status, 0);
  assert_holds(locked.out, "dead");
  assert_int_equal(bad.status, 2);
  assert_holds(bad.err, "T1 does not have");
  assert_int_equal(short_of.status, 2);
}

/* The number that follows a key, from `at` on. */
static double
json_number_after(const char *at, const char *key)
{
  g_autofree char *quoted = g_strdup_printf("\"%s\":", key);
  const char *found = strstr(at, quoted);
  if (found == NULL)
    fail_msg("no %s in %s", key, at);
  return g_ascii_strtod(found + strlen(quoted), NULL);
}

/* Whether a text steers a terminal or turns writing round. */
static bool
is_armed(const char *text)
{
  for (const char *c = text; *c != '\0'; c = g_utf8_next_char(c)) {
    const gunichar u = g_utf8_get_char(c);
    if ((u < 0x20 && u != '\n' && u != '\t') || (u >= 0x7f && u < 0xa0) ||
        (u >= 0x202a && u <= 0x202e) || (u >= 0x2066 && u <= 0x2069))
      return true;
  }
  return false;
}

/* Escape sequences in words and in names of files do not reach the terminal; in JSON they are
 * escaped, so that the name is still the name. */
static void
test_terminal_is_not_steered(void **state)
{
  static const char escape[] = "\x1b[31m\302\233y\342\200\256";
  g_autoptr(GError) error = NULL;
  g_autofree char *folder = g_dir_make_tmp("doorsheet-XXXXXX", &error);
  g_autofree char *name = g_strconcat(escape, ".doorsheet", NULL);
  g_autofree char *file = g_build_filename(folder, name, NULL);
  g_autofree char *gone = g_build_filename(folder, escape, NULL);
  g_autofree char *picture = g_strconcat(gone, ".svg", NULL);
  g_autofree char *pump = source_path("tests/sheet/pump.doorsheet");
  g_autofree char *text = NULL;
  gsize size = 0;
  (void)state;

  assert_true(g_file_get_contents(pump, &text, &size, &error));
  assert_true(g_file_set_contents(file, text, (gssize)size, &error));
  Run runs[] = {run_program("check", file, NULL),
                run_program("check", file, "--json", NULL),
                run_program("readings", file, NULL),
                run_program("readings", file, "--json", NULL),
                run_program("readings", file, "--between", escape, "GND", NULL),
                run_program("check", gone, NULL),
                run_program("sheet", file, "-o", picture, NULL),
                run_program("sheet", file, "-o", picture, "--paper", escape, NULL),
                run_program("parts", escape, NULL),
                run_program(escape, NULL)};
  for (guint i = 0; i < G_N_ELEMENTS(runs); i++)
    if (is_armed(runs[i].out) || is_armed(runs[i].err))
      fail_msg("run %u steers the terminal", i);
  assert_true(is_json(runs[1].out) && is_json(runs[3].out));
  assert_holds(runs[1].out, "\\u001b[31m\\u009by\\u202e.doorsheet");
  assert_int_equal(runs[6].status, 0);
  g_remove(picture);
  g_remove(file);
  g_rmdir(folder);
  for (guint i = 0; i < G_N_ELEMENTS(runs); i++)
    run_clear(&runs[i]);
}

static void
test_readings_explained(void **state)
{
  g_autofree char *path = source_path("tests/sheet/pump.doorsheet");
  g_auto(Run) text = run_program("readings", path, "--between", "T1.X2", "GND", "--explain", NULL);
  g_auto(Run) json =
      run_program("readings", path, "--between", "T1.X2", "GND", "--explain", "--json", NULL);
  g_auto(Run) all = run_program("readings", path, "--explain", "--json", NULL);
  (void)state;

  assert_int_equal(text.status, 0);
  assert_holds(text.out, "  1. T1.X2 - T1.X1:");
  assert_holds(text.out, "secondary winding of T1");
  assert_holds(text.out, "Sum of the steps:");
  assert_holds(text.out, "backward error");
  assert_true(is_json(json.out));
  assert_true(is_json(all.out));
  const char *sum = strstr(json.out, "\"sum\":");
  assert_non_null(sum);
  const double volts = json_number_after(json.out, "volts"), added = json_number_after(sum, "size");
  assert_true(volts > 100 && added - volts < 1e-9 && volts - added < 1e-9);
  assert_true(json_number_after(json.out, "misfit") < 1e-9);
}

/* Ohms are refused on the line side, which a lockout leaves live; a good fuse reads 0. The amperes
 * of the two primary conductors are alike. The supply's fault current is the one on its label. */
static void
test_readings_studies(void **state)
{
  g_autofree char *path = source_path("tests/sheet/pump.doorsheet");
  g_auto(Run) ohms = run_program("readings", path, "--ohms", NULL);
  g_auto(Run) ohms_json =
      run_program("readings", path, "--ohms", "--between", "FU1.1", "FU1.2", "--json", NULL);
  g_auto(Run) amps = run_program("readings", path, "--amps", "--json", NULL);
  g_auto(Run) amps_text = run_program("readings", path, "--amps", NULL);
  g_auto(Run) faults = run_program("readings", path, "--faults", "--json", NULL);
  g_auto(Run) faults_text = run_program("readings", path, "--faults", NULL);
  (void)state;

  assert_int_equal(ohms.status, 0);
  assert_holds(ohms.out, "live  Do not measure ohms");
  assert_holds(ohms.out, "OL");
  assert_true(is_json(ohms_json.out));
  assert_holds(ohms_json.out, "\"locked_out\":true");
  assert_holds(ohms_json.out, "\"ohms\":0,\"state\":\"reads\"");
  assert_true(is_json(amps.out));
  const char *one = strstr(amps.out, "[\"FU1.2\",\"T1.H1\"]");
  const char *two = strstr(amps.out, "[\"FU2.2\",\"T1.H3\"]");
  assert_true(one != NULL && two != NULL);
  const double difference = json_number_after(one, "amps") - json_number_after(two, "amps");
  assert_true(difference < 1e-9 && difference > -1e-9);
  assert_true(json_number_after(one, "amps") > 0.2);
  assert_holds(amps_text.out, "T1.H1");
  assert_true(is_json(faults.out));
  const char *supply = strstr(faults.out, "\"at\":\"S1.L1\"");
  assert_non_null(supply);
  const double available = json_number_after(supply, "three_phase");
  assert_true(available > 9950 && available < 10050); /* the label says 10 kA */
  assert_holds(faults_text.out, "Line to line");
}

static void
test_readings_words_that_clash(void **state)
{
  g_autofree char *path = source_path("tests/sheet/pump.doorsheet");
  g_auto(Run) both = run_program("readings", path, "--ohms", "--amps", NULL);
  g_auto(Run) pair = run_program("readings", path, "--faults", "--between", "T1.X1", "GND", NULL);
  g_auto(Run) reason = run_program("readings", path, "--explain", "--ohms", NULL);
  const Run *runs[] = {&both, &pair, &reason};
  (void)state;

  for (guint i = 0; i < G_N_ELEMENTS(runs); i++) {
    assert_int_equal(runs[i]->status, 2);
    assert_string_equal(runs[i]->out, "");
    assert_holds(runs[i]->err, "do not go together");
  }
}

static void
test_sheet(void **state)
{
  static const char *const endings[] = {"svg", "pdf", "png"};
  static const char *const starts[] = {"<?xml", "%PDF-", "\x89PNG"};
  g_autofree char *path = source_path("tests/sheet/pump.doorsheet");
  g_autofree char *dir = g_dir_make_tmp("doorsheet-XXXXXX", NULL);
  (void)state;

  for (guint i = 0; i < G_N_ELEMENTS(endings); i++) {
    g_autofree char *name = g_strconcat("door.", endings[i], NULL);
    g_autofree char *out = g_build_filename(dir, name, NULL);
    g_autofree char *data = NULL;
    g_auto(Run) run = run_program("sheet", path, "-o", out, "--paper", "a4", "--mono", "--date",
                                  "2026-11-25", NULL);
    assert_string_equal(run.err, "");
    assert_int_equal(run.status, 0);
    assert_true(g_file_get_contents(out, &data, NULL, NULL));
    assert_true(g_str_has_prefix(data, starts[i]));
    if (i == 0) { /* the SVG opens as the diagram it shows */
      g_auto(Run) again = run_program("check", out, NULL);
      assert_int_equal(again.status, 0);
    }
    unlink(out);
  }
  rmdir(dir);
}

static void
test_sheet_refuses(void **state)
{
  g_autofree char *path = source_path("tests/sheet/pump.doorsheet");
  g_auto(Run) no_output = run_program("sheet", path, NULL);
  g_auto(Run) ending = run_program("sheet", path, "-o", "/tmp/x.txt", NULL);
  g_auto(Run) paper = run_program("sheet", path, "-o", "/tmp/x.svg", "--paper", "leter", NULL);
  g_auto(Run) date = run_program("sheet", path, "-o", "/tmp/x.svg", "--date", "2026-02-30", NULL);
  g_auto(Run) dots = run_program("sheet", path, "-o", "/tmp/x.png", "--dots-per-inch", "9e9", NULL);
  g_auto(Run) folder = run_program("sheet", path, "-o", "/nowhere/x.svg", NULL);
  const Run *runs[] = {&no_output, &ending, &paper, &date, &dots, &folder};
  (void)state;

  for (guint i = 0; i < G_N_ELEMENTS(runs); i++) {
    assert_int_equal(runs[i]->status, 2);
    assert_true(strlen(runs[i]->err) > 20);
  }
  assert_holds(paper.err, "Did you mean \"letter\"?");
  assert_false(g_file_test("/tmp/x.txt", G_FILE_TEST_EXISTS));
}

static void
test_parts_and_schema(void **state)
{
  g_auto(Run) list = run_program("parts", NULL);
  g_auto(Run) json = run_program("parts", "--json", NULL);
  g_auto(Run) one = run_program("parts", "transformer", NULL);
  g_auto(Run) one_json = run_program("parts", "transformer", "--json", NULL);
  g_auto(Run) schema = run_program("schema", NULL);
  (void)state;

  assert_int_equal(list.status, 0);
  assert_holds(list.out, "transformer");
  assert_true(is_json(json.out));
  assert_holds(one.out, "rating");
  assert_holds(one.out, "VA");
  assert_holds(one.out, "<lead>");
  assert_true(is_json(one_json.out));
  assert_int_equal(schema.status, 0);
  assert_holds(schema.out, "http://relaxng.org/ns/structure/1.0");
}

/* A chain of `n` devices: 200 of them must be checked in under 60 MB. */
static void
test_memory_for_200_devices(void **state)
{
  g_autofree char *path = g_build_filename(g_get_tmp_dir(), "doorsheet-many-XXXXXX", NULL);
  g_autoptr(GString) xml = g_string_new("<doorsheet xmlns=\"urn:doorsheet:1\" version=\"1\">\n");
  struct rusage usage;
  (void)state;

  g_string_append(xml, "<device id=\"S1\" kind=\"supply\" x=\"0\" y=\"0\" lines=\"3-phase-4-wire\" "
                       "system=\"208Y/120\"/>\n");
  for (guint i = 1; i < 200; i++)
    g_string_append_printf(xml,
                           "<device id=\"LD%u\" kind=\"load\" x=\"%u\" y=\"%u\" accepts=\"100..130 "
                           "V\" power=\"10 VA\"/>\n",
                           i, 50 * (1 + i % 20), 30 * (i / 20));
  for (guint i = 1; i < 200; i++) {
    g_autofree char *before = i < 3 ? g_strdup("S1.L1") : g_strdup_printf("LD%u.1", i - 2);
    g_string_append_printf(xml,
                           "<conductor from=\"%s\" to=\"LD%u.1\" number=\"%u\" colour=\"black\" "
                           "gauge=\"12 AWG\" length=\"1 ft\"/>\n",
                           before, i, i);
  }
  g_string_append(xml, "</doorsheet>\n");
  const int fd = g_mkstemp(path);
  assert_true(fd >= 0);
  close(fd);
  assert_true(g_file_set_contents(path, xml->str, -1, NULL));
  g_auto(Run) run = run_program("check", path, "--json", NULL);
  unlink(path);
  assert_true(is_json(run.out));
  assert_int_equal(getrusage(RUSAGE_CHILDREN, &usage), 0);
  print_message("largest run so far: %ld KiB resident\n", usage.ru_maxrss);
#if !defined(__SANITIZE_ADDRESS__) /* which multiplies it */
  assert_true(usage.ru_maxrss < 60 * 1024);
#endif
}

/* Deals a set, refuses to write over it, keeps an exercise's findings from every verb, prints its
 * student sheet, and grades a folder in which nobody has handed anything in. */
static void
test_quiz(void **state)
{
  (void)state;
  g_autofree char *master = source_path("samples/lesson-taps.doorsheet");
  g_autofree char *faulty = source_path("samples/faulty-short.doorsheet");
  g_autofree char *folder = g_dir_make_tmp("doorsheet-quiz-XXXXXX", NULL);
  g_autofree char *exercise = g_build_filename(folder, "student", "version-02.doorsheet", NULL);
  g_autofree char *key = g_build_filename(folder, "key", "version-02.pdf", NULL);
  g_autofree char *page = g_build_filename(folder, "page.svg", NULL);
  g_auto(Run) dealt =
      run_program("quiz", master, "--versions", "2", "--seed", "5", "-o", folder, NULL);
  assert_string_equal(dealt.err, "");
  assert_int_equal(dealt.status, 0);
  assert_true(g_file_test(exercise, G_FILE_TEST_EXISTS));
  assert_true(g_file_test(key, G_FILE_TEST_EXISTS));
  g_auto(Run) again = run_program("quiz", master, "--versions", "2", "-o", folder, NULL);
  assert_int_equal(again.status, 2);
  assert_non_null(strstr(again.err, "is there already"));
  g_auto(Run) checked = run_program("check", exercise, "--json", NULL);
  assert_int_equal(checked.status, 2);
  assert_null(strstr(checked.out, "findings"));
  g_auto(Run) read = run_program("readings", exercise, NULL);
  assert_int_equal(read.status, 2);
  assert_string_equal(read.out, "");
  g_auto(Run) printed = run_program("sheet", exercise, "-o", page, NULL);
  assert_int_equal(printed.status, 0);
  g_autofree char *svg = NULL;
  assert_true(g_file_get_contents(page, &svg, NULL, NULL));
  assert_non_null(strstr(svg, "Your answer"));
  assert_null(strstr(svg, "urn:doorsheet"));
  g_auto(Run) graded = run_program("quiz", master, "--grade", folder, NULL);
  assert_int_equal(graded.status, 0);
  g_auto(Run) unsound = run_program("quiz", faulty, "-o", page, NULL);
  assert_int_equal(unsound.status, 2);
  g_auto(Run) unknown = run_program("quiz", master, "--topic", "tap", "-o", folder, NULL);
  assert_int_equal(unknown.status, 2);
  assert_non_null(strstr(unknown.err, "Did you mean \"taps\"?"));
  g_auto(Run) undated = run_program("quiz", master, "--date", "soon", "-o", folder, NULL);
  assert_int_equal(undated.status, 2);
  assert_non_null(strstr(undated.err, "is no date"));
  g_auto(Run) neither = run_program("quiz", master, NULL);
  assert_int_equal(neither.status, 2);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_json_reader),
      cmocka_unit_test(test_memory_for_200_devices),
      cmocka_unit_test(test_help_and_version),
      cmocka_unit_test(test_unknown_words),
      cmocka_unit_test(test_window_without_display),
      cmocka_unit_test(test_check),
      cmocka_unit_test(test_check_finds),
      cmocka_unit_test(test_unreadable),
      cmocka_unit_test(test_readings),
      cmocka_unit_test(test_terminal_is_not_steered),
      cmocka_unit_test(test_readings_explained),
      cmocka_unit_test(test_readings_studies),
      cmocka_unit_test(test_readings_words_that_clash),
      cmocka_unit_test(test_sheet),
      cmocka_unit_test(test_sheet_refuses),
      cmocka_unit_test(test_parts_and_schema),
      cmocka_unit_test(test_quiz),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
