/* SPDX-License-Identifier: MIT */
/* doorsheet sheet: the printed result as SVG, PDF or PNG. */
#include "base/text.h"

#include "base/language.h"
#include "command/fleet_run.h"
#include "command/sheet_words.h"
#include "command/verb.h"
#include "diagram/document_file.h"
#include "handout/student.h"
#include "sheet/sheet.h"

enum {
  OPTION_OUTPUT,
  OPTION_PAPER,
  OPTION_MONO,
  OPTION_DATE,
  OPTION_UNITS,
  OPTION_LANGUAGE,
  OPTION_RESOLUTION,
  OPTION_FLEET,
  OPTION_FORMAT,
  OPTION_JOBS,
  OPTION_QUIET
};
static const VerbOption options[] = {
    [OPTION_OUTPUT] = {.name = "--output",
                       .letter = "-o",
                       .n_values = 1,
                       .values = "OUT",
                       .help = N_("Where to write; the ending says how: .svg, .pdf or .png.")},
    [OPTION_PAPER] = {.name = "--paper",
                      .n_values = 1,
                      .values = "P",
                      .help =
                          N_("letter, legal, tabloid, a4, a3 or label-4x6; normally the file's.")},
    [OPTION_MONO] = {.name = "--mono", .help = N_("Black ink only.")},
    [OPTION_DATE] = {.name = "--date",
                     .n_values = 1,
                     .values = "D",
                     .help = N_("The date of checking, 2026-11-25; normally today.")},
    [OPTION_UNITS] = {.name = "--units",
                      .n_values = 1,
                      .values = "U",
                      .help = N_("imperial (ft, AWG) or metric (m, mm²); normally the file's.")},
    [OPTION_LANGUAGE] = {.name = "--language",
                         .n_values = 1,
                         .values = "L",
                         .help = N_("en, es, or en+es (cautions in both); normally the file's.")},
    [OPTION_RESOLUTION] = {.name = "--dots-per-inch",
                           .n_values = 1,
                           .values = "N",
                           .help = N_("Resolution of a PNG, 50 to 1200; normally 203.")},
    [OPTION_FLEET] = {.name = "--fleet",
                      .n_values = 1,
                      .values = "UNITS.csv",
                      .help = N_("A sheet for each row of a table; then OUT is a folder.")},
    [OPTION_FORMAT] = {.name = "--format",
                       .n_values = 1,
                       .values = "F",
                       .help = N_("With --fleet: svg, pdf or png; normally pdf.")},
    [OPTION_JOBS] = {.name = "--jobs",
                     .n_values = 1,
                     .values = "N",
                     .help = N_("With --fleet: sheets made at once; normally one a processor.")},
    [OPTION_QUIET] = {.name = "--quiet", .help = N_("With --fleet: no progress.")},
};

static bool
read_units(const char *name, GString *err)
{
  if (name == NULL || g_str_equal(name, "imperial") || g_str_equal(name, "metric"))
    return true;
  g_string_append_printf(
      err, _("doorsheet: there are no units \"%s\". Write imperial or metric.\n"), name);
  return false;
}

static bool
read_resolution(const char *text, double *pixels_per_mm, GString *err)
{
  char *end = NULL;

  *pixels_per_mm = 0;
  if (text == NULL)
    return true;
  const double dots = g_ascii_strtod(text, &end);
  if (end == text || *end != '\0' || !(dots >= 50 && dots <= 1200)) {
    g_string_append_printf(err,
                           _("doorsheet: \"%s\" is no resolution. Write dots an inch from 50 to "
                             "1200, such as 300.\n"),
                           text);
    return false;
  }
  *pixels_per_mm = dots / 25.4;
  return true;
}

static bool
read_output(const char *name, SheetFormat *format, GString *err)
{
  if (name == NULL) {
    g_string_append(err, _("doorsheet: \"sheet\" needs -o and a file to write, such as "
                           "-o door.pdf.\n"));
    return false;
  }
  if (sheet_format_from_name(name, format))
    return true;
  g_string_append_printf(err, _("doorsheet: \"%s\" has to end in .svg, .pdf or .png.\n"), name);
  return false;
}

static CommandStatus
write_sheet(const Sheet *sheet, SheetFormat format, double pixels_per_mm, const char *path,
            GString *out, GString *err)
{
  g_autoptr(GError) error = NULL;
  g_autoptr(GBytes) bytes = sheet_export(sheet, format, pixels_per_mm, &error);
  gsize size = 0;

  if (bytes == NULL) {
    g_string_append_printf(err, "doorsheet: %s\n", error->message);
    return COMMAND_FAILED;
  }
  const void *data = g_bytes_get_data(bytes, &size);
  if (!file_write_atomic(path, data, size, &error)) {
    g_string_append_printf(err, "%s\n", error->message);
    return COMMAND_FAILED;
  }
  const guint pages = sheet_page_count(sheet);
  g_string_append_printf(out, language_plural("%s: %u page\n", "%s: %u pages\n", pages), path,
                         pages);
  return COMMAND_SOUND;
}

static bool
read_format(const char *name, FleetOptions *fleet, GString *err)
{
  static const char *const endings[] = {"svg", "pdf", "png", NULL};
  g_autofree char *file = g_strconcat("x.", name != NULL ? name : "pdf", NULL);

  fleet->ending = name != NULL ? name : "pdf";
  if (g_strv_contains(endings, fleet->ending) && sheet_format_from_name(file, &fleet->format))
    return true;
  g_string_append_printf(err, _("doorsheet: there is no format \"%s\". It is svg, pdf or png.\n"),
                         name);
  return false;
}

static bool
read_jobs(const char *text, FleetOptions *fleet, GString *err)
{
  guint64 jobs = 0;

  if (text == NULL)
    return true;
  if (!g_ascii_string_to_unsigned(text, 10, 1, 64, &jobs, NULL)) {
    g_string_append_printf(err, _("doorsheet: \"%s\" is no number of jobs. Write 1 to 64.\n"),
                           text);
    return false;
  }
  fleet->jobs = (guint)jobs;
  return true;
}

/* The checks that fail before anything is written. */
static bool
read_fleet(const VerbWords *words, FleetOptions *fleet, GString *err)
{
  static const int only[] = {OPTION_FORMAT, OPTION_JOBS, OPTION_QUIET};

  fleet->table = words->values[OPTION_FLEET][0];
  fleet->folder = words->values[OPTION_OUTPUT][0];
  fleet->quiet = words->given[OPTION_QUIET];
  for (guint i = 0; fleet->table == NULL && i < G_N_ELEMENTS(only); i++)
    if (words->given[only[i]]) {
      g_string_append_printf(err, _("doorsheet: %s goes with --fleet only.\n"),
                             options[only[i]].name);
      return false;
    }
  if (fleet->table == NULL)
    return read_output(fleet->folder, &fleet->format, err);
  if (fleet->folder == NULL) {
    g_string_append(err, _("doorsheet: \"sheet --fleet\" needs -o and a folder for the sheets.\n"));
    return false;
  }
  return read_format(words->values[OPTION_FORMAT][0], fleet, err) &&
         read_jobs(words->values[OPTION_JOBS][0], fleet, err);
}

static Sheet *
compose(const Document *document, const SheetOptions *sheet_options, GError **error)
{
  g_autoptr(Inspection) inspection = inspection_new(document);
  return sheet_compose(inspection, sheet_options, error);
}

/* Of an exercise only the student sheet is printed: nothing that is found or computed. */
static Sheet *
compose_exercise(const Document *document, const SheetOptions *sheet_options, GError **error)
{
  g_autoptr(Document) seen = seen_document(document);
  return student_sheet_compose(seen, sheet_options, error);
}

static CommandStatus
run(const VerbWords *words, GString *out, GString *err)
{
  FleetOptions fleet = {0};
  SheetOptions sheet_options = {
      .paper = words->values[OPTION_PAPER][0],
      .palette = words->given[OPTION_MONO] ? PALETTE_MONO : PALETTE_LIGHT,
      .units = words->values[OPTION_UNITS][0],
      .date = words->values[OPTION_DATE][0],
  };
  double pixels_per_mm = 0;
  g_autoptr(GError) error = NULL;

  if (!read_fleet(words, &fleet, err) || !sheet_words_paper(sheet_options.paper, err) ||
      !read_units(sheet_options.units, err) ||
      !sheet_words_language(words->values[OPTION_LANGUAGE][0], &sheet_options, err) ||
      !sheet_words_date(sheet_options.date, err) ||
      !read_resolution(words->values[OPTION_RESOLUTION][0], &pixels_per_mm, err))
    return COMMAND_FAILED;
  g_autoptr(Document) document = verb_load(words->operands->pdata[0], err);
  if (document == NULL)
    return COMMAND_FAILED;
  fleet.sheet = sheet_options;
  fleet.pixels_per_mm = pixels_per_mm;
  const bool exercise = sheet_is_exercise(document_sheet(document));
  if (fleet.table != NULL && !exercise)
    return fleet_run(document, &fleet, out, err);
  const char *before = language_choose(sheet_language(document, &sheet_options));
  g_autoptr(Sheet) sheet = exercise ? compose_exercise(document, &sheet_options, &error)
                                    : compose(document, &sheet_options, &error);
  language_choose(before);
  if (sheet == NULL) {
    g_string_append_printf(err, "%s: %s\n", (const char *)words->operands->pdata[0],
                           error->message);
    return COMMAND_FAILED;
  }
  return write_sheet(sheet, fleet.format, pixels_per_mm, fleet.folder, out, err);
}

const Verb verb_sheet = {
    .name = "sheet",
    .usage = "sheet FILE -o OUT.svg|OUT.pdf|OUT.png [--paper P] [--units U]\n"
             "      [--language L] [--mono] [--date D]\n"
             "  doorsheet sheet FILE --fleet UNITS.csv -o FOLDER [--format F] [--jobs N] [--quiet]",
    .summary = N_("Write the sheet for the panel door: diagram, cautions, leads, wires, readings."),
    .details = N_(
        "An SVG carries the diagram: Doorsheet opens it again. The sheet is written whether\n"
        "or not the diagram is sound; findings are printed on it. Of an exercise the student\n"
        "sheet is written, without answers.\n"
        "Exit code: 0 written, 2 not.\n"
        "\n"
        "A fleet is a table with a row for each unit that is wired like the diagram. Its first\n"
        "row names the columns: tag, location, model, note; sheet, title, revision and so on;\n"
        "readings of the supply (L1-L2, L2-L3, L3-L1, L1-GND, L2-GND, L3-GND), empty where not\n"
        "measured; and any DEVICE.field or DEVICE.LEAD.field (FU1.rating, T1.H4.volts), empty as\n"
        "drawn. A column whose name begins with \"#\" is not read. The folder gets a sheet for\n"
        "each unit, named after its tag, and summary.csv with the findings. A run that was ended\n"
        "goes on where it was; units whose row, diagram and sheet are unchanged are not made\n"
        "again. A bad row is told and left out. Exit code: 0 all written, 2 a row has a\n"
        "complaint; findings do not count, the summary has them.\n"),
    .options = options,
    .n_options = G_N_ELEMENTS(options),
    .min_operands = 1,
    .max_operands = 1,
    .operand = N_("a file"),
    .run = run,
};
