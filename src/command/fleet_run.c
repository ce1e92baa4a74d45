/* SPDX-License-Identifier: MIT */
#include "command/fleet_run.h"

#include "base/language.h"
#include "base/text.h"
#include "checks/check.h"
#include "command/fleet.h"
#include "command/fleet_summary.h"
#include "diagram/document_file.h"
#include <errno.h>
#include <glib/gstdio.h>
#include <string.h>
#include <unistd.h>

#define MOST_JOBS 64
#define MOST_TABLE_BYTES (64u << 20)
#define MOST_COMPLAINTS 20            /* in full on stderr; the summary has them all */
#define PROGRESS_MICROSECONDS 5000000 /* between lines where stderr is no terminal */

typedef struct {
  const FleetOptions *options;
  Fleet *fleet;
  char **names;          /* of files, without ending */
  FleetSummary *summary; /* workers only ask for earlier records */
  char *common;          /* digest of what all units share */
  GAsyncQueue *done;     /* of FleetRecord * */
  bool terminal;
  gint64 reported;
} Run;

/* --- one unit, in a worker ------------------------------------------------------------------- */

static char *
digest_of_inputs(const Run *run, guint unit)
{
  g_autoptr(GString) text = g_string_new(run->common);

  g_string_append(text, run->names[unit]);
  g_string_append_c(text, '\x1e');
  fleet_append_inputs(run->fleet, unit, text);
  return g_compute_checksum_for_data(G_CHECKSUM_SHA256, (const guchar *)text->str, text->len);
}

static bool
file_is(const char *path, const char *digest)
{
  g_autoptr(GMappedFile) file = g_mapped_file_new(path, FALSE, NULL);

  if (file == NULL)
    return false;
  g_autoptr(GBytes) bytes = g_mapped_file_get_bytes(file);
  g_autofree char *found = g_compute_checksum_for_bytes(G_CHECKSUM_SHA256, bytes);
  return g_strcmp0(found, digest) == 0;
}

static void
set_text(char **text, char *take)
{
  g_free(*text);
  *text = take;
}

/* Names of findings, each once, most severe first. New string. */
static char *
finding_names(const GPtrArray *findings)
{
  g_autoptr(GHashTable) seen = g_hash_table_new(g_str_hash, g_str_equal);
  GString *names = g_string_new(NULL);

  for (guint i = 0; i < findings->len; i++) {
    const Finding *finding = findings->pdata[i];
    if (g_hash_table_add(seen, (gpointer)(guintptr)finding->check))
      g_string_append_printf(names, "%s%s", names->len > 0 ? " " : "", finding->check);
  }
  return g_string_free(names, FALSE);
}

static void
note_inspection(FleetRecord *record, const Inspection *inspection)
{
  const bool solved = inspection->error == NULL;

  for (guint i = 0; i < inspection->findings->len; i++)
    record->counts[((const Finding *)inspection->findings->pdata[i])->signal]++;
  set_text(&record->sound, g_strdup(solved && findings_sound(inspection->findings) ? "yes" : "no"));
  set_text(&record->findings, finding_names(inspection->findings));
  if (!solved)
    set_text(&record->error, g_strdup_printf(_("Not solved: %s"), inspection->error->message));
}

/* NULL with error where there is no sheet. */
static GBytes *
make_sheet(const Run *run, guint unit, FleetRecord *record, GError **error)
{
  g_autoptr(Document) document = fleet_unit(run->fleet, unit, error);
  if (document == NULL)
    return NULL;
  const char *before = language_choose(sheet_language(document, &run->options->sheet));
  g_autoptr(Inspection) inspection = inspection_new(document);
  g_autoptr(Sheet) sheet = sheet_compose(inspection, &run->options->sheet, error);
  language_choose(before);
  if (sheet == NULL)
    return NULL;
  note_inspection(record, inspection);
  return sheet_export(sheet, run->options->format, run->options->pixels_per_mm, error);
}

static void
write_unit(const Run *run, guint unit, const char *file, const char *path, FleetRecord *record)
{
  g_autoptr(GError) error = NULL;
  g_autoptr(GBytes) bytes = make_sheet(run, unit, record, &error);
  const FleetRecord *earlier = fleet_summary_earlier(run->summary, file);
  gsize size = 0;
  const void *data = bytes != NULL ? g_bytes_get_data(bytes, &size) : NULL;

  if (data != NULL && file_write_atomic(path, data, size, &error)) {
    set_text(&record->file, g_strdup(file));
    set_text(&record->output, g_compute_checksum_for_bytes(G_CHECKSUM_SHA256, bytes));
    return;
  }
  set_text(&record->error, g_strdup(error->message));
  set_text(&record->sound, g_strdup(""));
  /* A sheet of ours that no longer tells of this unit must not be taken for one that does. */
  if (earlier != NULL && file_is(path, earlier->output))
    g_unlink(path);
}

static FleetRecord *
make_record(const Run *run, guint unit)
{
  FleetRecord *record = fleet_record_new();
  g_autofree char *file = g_strconcat(run->names[unit], ".", run->options->ending, NULL);
  g_autofree char *path = g_build_filename(run->options->folder, file, NULL);
  const FleetRecord *earlier = fleet_summary_earlier(run->summary, file);

  record->unit = unit;
  record->line = fleet_line(run->fleet, unit);
  set_text(&record->tag, text_clean(fleet_tag(run->fleet, unit), 200));
  set_text(&record->inputs, digest_of_inputs(run, unit));
  if (earlier == NULL || earlier->error[0] != '\0' ||
      strcmp(earlier->inputs, record->inputs) != 0 || !file_is(path, earlier->output)) {
    write_unit(run, unit, file, path, record);
    return record;
  }
  record->unchanged = true;
  memcpy(record->counts, earlier->counts, sizeof record->counts);
  set_text(&record->file, g_strdup(file));
  set_text(&record->sound, g_strdup(earlier->sound));
  set_text(&record->findings, g_strdup(earlier->findings));
  set_text(&record->output, g_strdup(earlier->output));
  return record;
}

static void
work(gpointer data, gpointer user)
{
  const Run *run = user;
  g_async_queue_push(run->done, make_record(run, GPOINTER_TO_UINT(data) - 1));
}

/* --- the whole ------------------------------------------------------------------------------- */

static void
show_progress(Run *run, guint finished, guint count, const FleetRecord *record)
{
  const gint64 now = g_get_monotonic_time();

  if (run->options->quiet)
    return;
  if (run->terminal) {
    g_autofree char *tag = text_clean(record->tag, 40);
    for (guint most = 39; strlen(tag) > 40; most--) { /* bytes: no letter is torn */
      g_free(tag);
      tag = text_clean(record->tag, most);
    }
    g_autofree char *line = g_strdup_printf(_("%u of %u units  %-40.40s"), finished, count, tag);
    g_printerr("\r%s%s", line, finished == count ? "\n" : "");
  } else if (finished == count || now - run->reported > PROGRESS_MICROSECONDS) {
    g_printerr(_("%u of %u units\n"), finished, count);
    run->reported = now;
  }
}

static void
release_record(gpointer data)
{
  fleet_record_free(data);
}

/* Of FleetRecord *, in the table's order. NULL with error when the partial summary cannot be
 * written: then nothing more would be resumable. */
static GPtrArray *
run_units(Run *run, GError **error)
{
  const guint count = fleet_count(run->fleet);
  const guint jobs = run->options->jobs > 0 ? run->options->jobs : g_get_num_processors();
  g_autoptr(GPtrArray) records = g_ptr_array_new_with_free_func(release_record);
  bool good = true;
  GThreadPool *pool = g_thread_pool_new(work, run, (gint)MIN(jobs, MOST_JOBS), TRUE, error);

  if (pool == NULL)
    return NULL;
  g_ptr_array_set_size(records, (gint)count);
  for (guint i = 0; i < count; i++)
    g_thread_pool_push(pool, GUINT_TO_POINTER(i + 1), NULL);
  for (guint finished = 1; good && finished <= count; finished++) {
    FleetRecord *record = g_async_queue_pop(run->done);
    records->pdata[record->unit] = record;
    show_progress(run, finished, count, record);
    if (!record->unchanged)
      good = fleet_summary_add(run->summary, record, error);
  }
  g_thread_pool_free(pool, !good, TRUE);
  return good ? g_steal_pointer(&records) : NULL;
}

static void
complain_same_tags(const Run *run, const GPtrArray *records, GString *err)
{
  g_autoptr(GHashTable) first = g_hash_table_new(g_str_hash, g_str_equal);

  for (guint i = 0; i < records->len; i++) {
    const FleetRecord *record = records->pdata[i];
    const FleetRecord *other = g_hash_table_lookup(first, record->tag);
    if (other != NULL && record->tag[0] != '\0' && record->file[0] != '\0')
      g_string_append_printf(err, _("%s:%u: \"%s\" is the tag of line %u too; written as %s.\n"),
                             run->options->table, record->line, record->tag, other->line,
                             record->file);
    else
      g_hash_table_insert(first, record->tag, (gpointer)(guintptr)record);
  }
}

static CommandStatus
report(const Run *run, const GPtrArray *records, GString *out, GString *err)
{
  guint written = 0, unchanged = 0, failed = 0, unsound = 0, complaints = 0;

  complain_same_tags(run, records, err);
  for (guint i = 0; i < records->len; i++) {
    const FleetRecord *record = records->pdata[i];
    unchanged += record->unchanged;
    written += record->file[0] != '\0' && !record->unchanged;
    failed += record->file[0] == '\0';
    unsound += strcmp(record->sound, "no") == 0;
    if (record->error[0] != '\0' && complaints++ < MOST_COMPLAINTS)
      g_string_append_printf(err, "%s:%u: %s\n", run->options->table, record->line, record->error);
  }
  if (complaints > MOST_COMPLAINTS)
    g_string_append_printf(err, _("%s: %u more rows have a complaint; the summary has them all.\n"),
                           run->options->table, complaints - MOST_COMPLAINTS);
  g_string_append_printf(out,
                         _("%s: %u units, %u written, %u unchanged, %u without a sheet; %u not "
                           "sound. See summary.csv.\n"),
                         run->options->folder, records->len, written, unchanged, failed, unsound);
  return complaints > 0 ? COMMAND_FAILED : COMMAND_SOUND;
}

/* What every unit's sheet is made from besides its row. A date that was not asked for does not
 * count: else every sheet would be made again on the next day. */
static char *
digest_of_common(const Document *base, const FleetOptions *options, bool dated)
{
  g_autoptr(GBytes) bytes = document_write_memory(base);
  g_autofree char *document = g_compute_checksum_for_bytes(G_CHECKSUM_SHA256, bytes);
  char dots[G_ASCII_DTOSTR_BUF_SIZE];

  return g_strjoin("\x1e", DOORSHEET_VERSION, document, options->ending,
                   options->sheet.paper != NULL ? options->sheet.paper : "",
                   options->sheet.palette == PALETTE_MONO ? "mono" : "colour",
                   options->sheet.units != NULL ? options->sheet.units : "",
                   options->sheet.language != NULL ? options->sheet.language : "",
                   dated ? options->sheet.date : "",
                   g_ascii_dtostr(dots, sizeof dots, options->pixels_per_mm), "", NULL);
}

static Fleet *
read_table(const Document *base, const char *path, GError **error)
{
  g_autofree char *data = NULL;
  gsize size = 0;
  GStatBuf info;

  if (g_stat(path, &info) == 0 && info.st_size > (goffset)MOST_TABLE_BYTES) {
    g_set_error(error, G_FILE_ERROR, G_FILE_ERROR_INVAL, _("The table is larger than 64 MiB."));
    return NULL;
  }
  if (!g_file_get_contents(path, &data, &size, error))
    return NULL;
  GPtrArray *rows = csv_read(data, size, error);
  return rows != NULL ? fleet_new(base, rows, error) : NULL;
}

static CommandStatus
run_fleet(Run *run, GString *out, GString *err)
{
  g_autoptr(GError) error = NULL;
  g_autoptr(GPtrArray) records = NULL;

  run->summary = fleet_summary_open(run->options->folder, &error);
  if (run->summary != NULL)
    records = run_units(run, &error);
  if (records == NULL || !fleet_summary_close(run->summary, records, &error)) {
    g_string_append_printf(err, "%s\n", error->message);
    return COMMAND_FAILED;
  }
  return report(run, records, out, err);
}

CommandStatus
fleet_run(const Document *base, const FleetOptions *options, GString *out, GString *err)
{
  g_autoptr(GError) error = NULL;
  g_autoptr(GDateTime) now = g_date_time_new_now_local();
  g_autofree char *today = g_date_time_format(now, "%Y-%m-%d");
  const bool dated = options->sheet.date != NULL;
  FleetOptions own = *options;
  g_autoptr(Fleet) fleet = read_table(base, options->table, &error);

  if (fleet == NULL) {
    g_string_append_printf(err, "%s: %s\n", options->table, error->message);
    return COMMAND_FAILED;
  }
  if (g_mkdir_with_parents(options->folder, 0777) != 0) {
    g_string_append_printf(err, _("%s: this folder cannot be made: %s\n"), options->folder,
                           g_strerror(errno));
    return COMMAND_FAILED;
  }
  if (!dated) /* one date for all, also past midnight */
    own.sheet.date = today;
  Run run = {.options = &own, .fleet = fleet, .terminal = isatty(STDERR_FILENO)};
  run.names = fleet_file_names(fleet);
  run.common = digest_of_common(base, &own, dated);
  run.done = g_async_queue_new_full(release_record);
  const CommandStatus status = run_fleet(&run, out, err);
  fleet_summary_free(run.summary);
  g_async_queue_unref(run.done);
  g_strfreev(run.names);
  g_free(run.common);
  return status;
}
