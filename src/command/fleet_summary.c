/* SPDX-License-Identifier: MIT */
#include "command/fleet_summary.h"

#include "base/language.h"

#include "base/csv.h"
#include "diagram/document_file.h"
#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/file.h>
#include <unistd.h>

#define SUMMARY_NAME "summary.csv"
#define PARTIAL_NAME "summary.partial.csv"

enum {
  AT_UNIT,
  AT_FILE,
  AT_SOUND,
  AT_DANGER,
  AT_WARNING,
  AT_CAUTION,
  AT_NOTICE,
  AT_FINDINGS,
  AT_ERROR,
  AT_LINE,
  AT_INPUTS,
  AT_OUTPUT,
  N_COLUMNS
};
static const char *const titles[N_COLUMNS] = {
    [AT_UNIT] = "unit",     [AT_FILE] = "file",         [AT_SOUND] = "sound",
    [AT_DANGER] = "danger", [AT_WARNING] = "warning",   [AT_CAUTION] = "caution",
    [AT_NOTICE] = "notice", [AT_FINDINGS] = "findings", [AT_ERROR] = "error",
    [AT_LINE] = "line",     [AT_INPUTS] = "inputs",     [AT_OUTPUT] = "output"};

struct FleetSummary {
  char *path, *partial_path;
  FILE *partial;
  GHashTable *earlier; /* file name -> FleetRecord * */
};

FleetRecord *
fleet_record_new(void)
{
  FleetRecord *record = g_new0(FleetRecord, 1);
  char **texts[] = {&record->tag,   &record->file,   &record->sound, &record->findings,
                    &record->error, &record->inputs, &record->output};

  for (guint i = 0; i < G_N_ELEMENTS(texts); i++)
    *texts[i] = g_strdup("");
  return record;
}

void
fleet_record_free(FleetRecord *record)
{
  if (record == NULL)
    return;
  g_free(record->tag);
  g_free(record->file);
  g_free(record->sound);
  g_free(record->findings);
  g_free(record->error);
  g_free(record->inputs);
  g_free(record->output);
  g_free(record);
}

static void
record_free(gpointer data)
{
  fleet_record_free(data);
}

/* --- rows ------------------------------------------------------------------------------------ */

static void
append_number(GString *out, guint number)
{
  char text[16];
  g_snprintf(text, sizeof text, "%u", number);
  csv_append(out, text);
}

static void
append_titles(GString *out)
{
  for (guint i = 0; i < N_COLUMNS; i++)
    csv_append(out, titles[i]);
  csv_end_row(out);
}

static void
append_record(GString *out, const FleetRecord *record)
{
  csv_append_text(out, record->tag);
  csv_append_text(out, record->file);
  csv_append(out, record->sound);
  for (int signal = SIGNAL_DANGER; signal <= SIGNAL_NOTICE; signal++)
    append_number(out, record->counts[signal]);
  csv_append_text(out, record->findings);
  csv_append_text(out, record->error);
  append_number(out, record->line);
  csv_append(out, record->inputs);
  csv_append(out, record->output);
  csv_end_row(out);
}

static void
keep(char **text, const CsvRow *row, guint column)
{
  g_free(*text);
  *text = g_strdup(row->fields->pdata[column]);
}

static guint
number_at(const CsvRow *row, guint column)
{
  return (guint)g_ascii_strtoull(row->fields->pdata[column], NULL, 10);
}

/* NULL when the row is torn or somebody else's. */
static FleetRecord *
read_record(const CsvRow *row)
{
  if (row->error != NULL || row->fields->len != N_COLUMNS ||
      strlen(row->fields->pdata[AT_INPUTS]) != 64 || strlen(row->fields->pdata[AT_OUTPUT]) != 64)
    return NULL;
  FleetRecord *record = fleet_record_new();
  keep(&record->tag, row, AT_UNIT);
  keep(&record->file, row, AT_FILE);
  keep(&record->sound, row, AT_SOUND);
  for (guint signal = 0; signal <= SIGNAL_NOTICE; signal++)
    record->counts[signal] = number_at(row, AT_DANGER + signal);
  keep(&record->findings, row, AT_FINDINGS);
  keep(&record->error, row, AT_ERROR);
  keep(&record->inputs, row, AT_INPUTS);
  keep(&record->output, row, AT_OUTPUT);
  return record;
}

/* A file that is not there or cannot be read only means that more is made again. */
static void
read_earlier(FleetSummary *summary, const char *path)
{
  g_autofree char *data = NULL;
  gsize size = 0;

  if (!g_file_get_contents(path, &data, &size, NULL))
    return;
  g_autoptr(GPtrArray) rows = csv_read(data, size, NULL);
  for (guint i = 0; rows != NULL && i < rows->len; i++) {
    FleetRecord *record = read_record(rows->pdata[i]);
    if (record != NULL)
      g_hash_table_replace(summary->earlier, record->file, record);
  }
}

/* --- the run --------------------------------------------------------------------------------- */

static bool
write_partial(FleetSummary *summary, const GString *text, GError **error)
{
  if (fwrite(text->str, 1, text->len, summary->partial) == text->len &&
      fflush(summary->partial) == 0)
    return true;
  g_set_error(error, FILE_ERROR, FILE_ERROR_WRITE, _("%s: cannot be written: %s"),
              summary->partial_path, g_strerror(errno));
  return false;
}

/* A row that the end of an earlier run has torn is closed, so that the next one stands alone. */
static bool
begin_partial(FleetSummary *summary, GError **error)
{
  g_autoptr(GString) text = g_string_new(NULL);
  char last = '\n';

  if (fseek(summary->partial, -1, SEEK_END) == 0 && fread(&last, 1, 1, summary->partial) == 1 &&
      last != '\n')
    g_string_append(text, "\r\n");
  fseek(summary->partial, 0, SEEK_END);
  append_titles(text);
  return write_partial(summary, text, error);
}

FleetSummary *
fleet_summary_open(const char *folder, GError **error)
{
  g_autoptr(FleetSummary) summary = g_new0(FleetSummary, 1);

  summary->path = g_build_filename(folder, SUMMARY_NAME, NULL);
  summary->partial_path = g_build_filename(folder, PARTIAL_NAME, NULL);
  summary->earlier = g_hash_table_new_full(g_str_hash, g_str_equal, NULL, record_free);
  summary->partial = fopen(summary->partial_path, "a+e");
  if (summary->partial == NULL) {
    g_set_error(error, FILE_ERROR, FILE_ERROR_WRITE, _("%s: cannot be written: %s"),
                summary->partial_path, g_strerror(errno));
    return NULL;
  }
  if (flock(fileno(summary->partial), LOCK_EX | LOCK_NB) != 0) {
    g_set_error(error, FILE_ERROR, FILE_ERROR_WRITE,
                _("%s: another run is writing into this folder. Let it end first."), folder);
    return NULL;
  }
  read_earlier(summary, summary->path);
  read_earlier(summary, summary->partial_path);
  return begin_partial(summary, error) ? g_steal_pointer(&summary) : NULL;
}

void
fleet_summary_free(FleetSummary *summary)
{
  if (summary == NULL)
    return;
  if (summary->partial != NULL)
    fclose(summary->partial);
  g_hash_table_unref(summary->earlier);
  g_free(summary->path);
  g_free(summary->partial_path);
  g_free(summary);
}

const FleetRecord *
fleet_summary_earlier(const FleetSummary *summary, const char *file)
{
  return g_hash_table_lookup(summary->earlier, file);
}

bool
fleet_summary_add(FleetSummary *summary, const FleetRecord *record, GError **error)
{
  g_autoptr(GString) text = g_string_new(NULL);

  append_record(text, record);
  return write_partial(summary, text, error);
}

bool
fleet_summary_close(FleetSummary *summary, const GPtrArray *records, GError **error)
{
  g_autoptr(GString) text = g_string_new(NULL);

  append_titles(text);
  for (guint i = 0; i < records->len; i++)
    append_record(text, records->pdata[i]);
  if (!file_write_atomic(summary->path, text->str, text->len, error))
    return false;
  unlink(summary->partial_path);
  return true;
}
