/* SPDX-License-Identifier: MIT */
/* A person's shelf of nameplates: what is kept comes back, whatever happens to the file. */
#include "keep.h"

#include "diagram/document_file.h"
#include "diagram/edit.h"
#include "keep/nameplates.h"
#include "parts/catalog.h"
#include <glib/gstdio.h>
#include <stdbool.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

static char *
shelf(const char *name)
{
  g_autofree char *file = g_strconcat(name, NAMEPLATES_SUFFIX, NULL);
  return keep_path(file);
}

static Device *
device_of(const char *kind)
{
  const PartKind *found = part_catalog_find(parts_catalog(), kind);
  assert_non_null(found);
  return device_new(found, "A7");
}

static GPtrArray *
read_good(const char *path)
{
  g_autoptr(GError) error = NULL;
  GPtrArray *list = nameplates_read(path, parts_catalog(), &error);
  if (list == NULL)
    fail_msg("%s", error->message);
  return list;
}

static void
keep_good(const char *path, const char *name, const Device *device)
{
  g_autoptr(GError) error = NULL;
  if (!nameplates_keep(path, name, device, false, &error))
    fail_msg("%s: %s", name, error->message);
}

/* Every kind there is, with its nameplate filled in and standing somewhere on a sheet. */
static void
every_kind_comes_back(void **state)
{
  (void)state;
  g_autofree char *path = shelf("every");
  guint n = 0;
  for (; parts_catalog()[n] != NULL; n++) {
    g_autoptr(Device) device = device_new(parts_catalog()[n], "A7");
    device->placement = (Placement){.at = {50, 70}, .turns = 1};
    if (device_value_named(device, "note") != NULL)
      assert_true(device_set(device, "note", "a & b < \"c\"", NULL));
    if (device_value_named(device, "designation") != NULL)
      assert_true(device_set(device, "designation", "ROOF 7", NULL));
    assert_true(device_derive(device, NULL));
    keep_good(path, parts_catalog()[n]->title, device);
    g_autoptr(GPtrArray) list = read_good(path);
    assert_int_equal(list->len, n + 1);
    const Nameplate *kept = list->pdata[n];
    if (kept->problem != NULL)
      fail_msg("%s: %s", kept->name, kept->problem);
    assert_string_equal(kept->name, parts_catalog()[n]->title);
    g_autoptr(Device) expected = edit_dup_nameplate(device);
    assert_true(device_equal(kept->device, expected));
    /* Where it stood and what it was called there stays behind; what is printed on it does not. */
    assert_true(kept->device->placement.at.x == 0 && kept->device->placement.turns == 0);
    if (device_value_named(device, "designation") != NULL)
      assert_string_not_equal(device_designation(kept->device), "ROOF 7");
    if (device_value_named(device, "note") != NULL)
      assert_string_equal(device_value_named(kept->device, "note")->text, "a & b < \"c\"");
  }
  assert_true(n > 15);
}

static void
leads_keep_their_order(void **state)
{
  (void)state;
  g_autofree char *path = shelf("leads");
  g_autoptr(Device) device = device_of("transformer");
  assert_true(device_set_row(device, 0, "name", "P9", NULL));
  assert_true(device_set_row(device, 0, "volts", "575 V", NULL));
  assert_true(device_set_row(device, 0, "colour", "white/blue", NULL));
  device_add_row(device);
  assert_true(device_set_row(device, 6, "name", "X3", NULL));
  assert_true(device_set_row(device, 6, "winding", "secondary-2", NULL));
  assert_true(device_set_row(device, 6, "volts", "0.12 kV", NULL));
  assert_true(device_derive(device, NULL));
  keep_good(path, "seven leads", device);
  g_autoptr(GPtrArray) list = read_good(path);
  const Device *kept = ((Nameplate *)list->pdata[0])->device;
  assert_int_equal(device_row_count(kept), 7);
  assert_string_equal(device_row_text(kept, 0, 0), "P9");
  assert_string_equal(device_row_text(kept, 0, 3), "white/blue");
  assert_string_equal(device_row_text(kept, 6, 2), "0.12 kV"); /* as written */
}

/* A closed disconnect and a blown fuse were found so; the next one on a sheet is not. */
static void
state_is_no_nameplate(void **state)
{
  (void)state;
  for (guint i = 0; parts_catalog()[i] != NULL; i++) {
    const char *field = parts_catalog()[i]->operate_field;
    if (field == NULL)
      continue;
    g_autoptr(Device) device = device_new(parts_catalog()[i], "A7");
    g_autoptr(Document) document = document_new(parts_catalog());
    Change *change = change_new("add");
    change_device(change, NULL, device);
    assert_true(document_apply(document, change, NULL));
    assert_true(document_apply(document, edit_operate(document, "A7", NULL), NULL));
    const Device *operated = document_find_device(document, "A7");
    assert_false(device_equal(operated, device));
    g_autoptr(Device) nameplate = edit_dup_nameplate(operated);
    g_autoptr(Device) fresh = edit_dup_nameplate(device);
    assert_true(device_equal(nameplate, fresh));
  }
}

static void
names(void **state)
{
  (void)state;
  g_autofree char *path = shelf("names");
  g_autoptr(Device) fuse = device_of("fuse");
  g_autofree char *eighty = g_strnfill(80, 'x');
  g_autofree char *more = g_strnfill(81, 'x');
  static const char *const good[] = {
      "a", "<b>&\"'", "\303\251\342\202\254 \346\227\245", "../../x", "]]>", "%s%n", "-- x", "A 2"};
  static const char *const bad[] = {"",        "   ",     "a\nb", "a\tb", "\342\200\256gnp",
                                    "\033[1m", "\377\376"};
  for (guint i = 0; i < G_N_ELEMENTS(good); i++)
    keep_good(path, good[i], fuse);
  keep_good(path, eighty, fuse);
  for (guint i = 0; i < G_N_ELEMENTS(bad) + 1; i++) {
    g_autoptr(GError) error = NULL;
    const char *name = i < G_N_ELEMENTS(bad) ? bad[i] : more;
    assert_false(nameplates_keep(path, name, fuse, false, &error));
    assert_int_equal(error->code, FILE_ERROR_VALUE);
    assert_false(nameplates_rename(path, "a", name, NULL));
  }
  g_autoptr(GPtrArray) list = read_good(path);
  assert_int_equal(list->len, G_N_ELEMENTS(good) + 1);
  for (guint i = 0; i < G_N_ELEMENTS(good); i++)
    assert_string_equal(((Nameplate *)list->pdata[i])->name, good[i]);

  keep_good(path, "  blanks about it ", fuse);
  g_autoptr(GPtrArray) again = read_good(path);
  assert_non_null(nameplates_find(again, "blanks about it"));
}

static void
rename_replace_remove(void **state)
{
  (void)state;
  g_autofree char *path = shelf("edit");
  g_autoptr(Device) fuse = device_of("fuse"), lamp = device_of("lamp");
  g_autoptr(GError) error = NULL;
  keep_good(path, "one", fuse);
  keep_good(path, "two", fuse);
  keep_good(path, "three", fuse);
  assert_false(nameplates_keep(path, "two", lamp, false, &error));
  assert_int_equal(error->code, FILE_ERROR_MEANING);
  assert_non_null(strstr(error->message, "\"two\""));
  g_clear_error(&error);
  assert_true(nameplates_keep(path, "two", lamp, true, &error));
  assert_true(nameplates_rename(path, "one", "first", &error));
  assert_false(nameplates_rename(path, "first", "three", &error));
  g_clear_error(&error);
  assert_false(nameplates_rename(path, "one", "zero", &error)); /* somebody else renamed it */
  assert_int_equal(error->code, FILE_ERROR_MEANING);
  g_clear_error(&error);
  g_autoptr(GPtrArray) list = read_good(path);
  assert_int_equal(list->len, 3);
  assert_string_equal(((Nameplate *)list->pdata[0])->name, "first");
  assert_ptr_equal(((Nameplate *)list->pdata[1])->device->kind, lamp->kind);
  assert_true(nameplates_remove(path, "two", &error));
  assert_false(nameplates_remove(path, "two", NULL));
  g_autoptr(GPtrArray) left = read_good(path);
  assert_int_equal(left->len, 2);
}

static void
proposals_are_free(void **state)
{
  (void)state;
  g_autofree char *path = shelf("propose");
  g_autoptr(Device) transformer = device_of("transformer");
  g_autofree char *first = nameplates_propose_name(NULL, transformer);
  assert_non_null(strstr(first, "75 VA"));
  keep_good(path, first, transformer);
  g_autoptr(GPtrArray) list = read_good(path);
  g_autofree char *second = nameplates_propose_name(list, transformer);
  assert_string_not_equal(first, second);
  keep_good(path, second, transformer);
  for (guint i = 0; parts_catalog()[i] != NULL; i++) {
    g_autoptr(Device) device = device_new(parts_catalog()[i], "A7");
    g_autofree char *name = nameplates_propose_name(list, device);
    assert_true(nameplates_check_name(name, NULL));
  }
}

/* --- damage --- */

#define HEAD "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
#define SHELF(version, inside)                                                                     \
  HEAD "<shelf xmlns=\"" NAMEPLATES_NAMESPACE "\" version=\"" version "\">" inside "</shelf>"
#define SHEET(inside) "<doorsheet xmlns=\"urn:doorsheet:1\" version=\"1\">" inside "</doorsheet>"
#define FUSE SHEET("<device id=\"FU1\" kind=\"fuse\" x=\"0\" y=\"0\"/>")

/* Whatever it is, nothing is written to it, by no edit, and the sentence says what to do. */
static void
unusable_files_stay_as_they_are(void **state)
{
  (void)state;
  static const struct {
    const char *text;
    FileErrorCode code;
    const char *says;
  } cases[] = {
      {"", FILE_ERROR_XML, "damaged"},
      {"not XML at all", FILE_ERROR_XML, "damaged at line 1"},
      {HEAD "<shelf xmlns=\"" NAMEPLATES_NAMESPACE "\" version=\"1\">\n<nameplate name=\"x\">",
       FILE_ERROR_XML, "damaged at line 3"},
      {HEAD "<shelf version=\"1\"/>", FILE_ERROR_FORMAT, "no shelf"},
      {SHEET(""), FILE_ERROR_FORMAT, "no shelf"},
      {SHELF("2", ""), FILE_ERROR_NEWER, "newer Doorsheet"},
      {SHELF("one", ""), FILE_ERROR_FORMAT, "version"},
      {HEAD "<shelf xmlns=\"" NAMEPLATES_NAMESPACE "\"/>", FILE_ERROR_FORMAT, "version"},
      {HEAD
       "<!DOCTYPE shelf [<!ENTITY a SYSTEM \"/etc/passwd\">]><shelf xmlns=\"" NAMEPLATES_NAMESPACE
       "\" version=\"1\">&a;</shelf>",
       FILE_ERROR_XML, "damaged"},
  };
  g_autoptr(Device) fuse = device_of("fuse");
  for (guint i = 0; i < G_N_ELEMENTS(cases); i++) {
    g_autofree char *path = shelf("damaged");
    keep_write(path, cases[i].text);
    g_autoptr(GError) error = NULL;
    assert_null(nameplates_read(path, parts_catalog(), &error));
    if (error->code != (int)cases[i].code || strstr(error->message, cases[i].says) == NULL)
      fail_msg("case %u: %d %s", i, error->code, error->message);
    assert_false(nameplates_keep(path, "mine", fuse, true, NULL));
    assert_false(nameplates_rename(path, "x", "y", NULL));
    assert_false(nameplates_remove(path, "x", NULL));
    NameplatesImport import;
    assert_false(nameplates_import(path, "/nonexistent", parts_catalog(), &import, NULL));
    g_autofree char *now = keep_read(path);
    assert_string_equal(now, cases[i].text);
    /* Out of the way, and a new shelf can begin; what was there is still there. */
    g_autofree char *moved = NULL;
    assert_true(nameplates_set_aside(path, &moved, NULL));
    g_autofree char *aside = keep_read(moved);
    assert_string_equal(aside, cases[i].text);
    keep_good(path, "mine", fuse);
    g_unlink(path);
  }
}

/* One nameplate of another time, and one that somebody spoilt by hand: the others work, and an
 * edit keeps both to the letter. */
static void
unreadable_nameplates_are_kept(void **state)
{
  (void)state;
  g_autofree char *path = shelf("partly");
  keep_write(path,
             SHELF("1", "<!-- mine --><nameplate name=\"future\">" SHEET(
                            "<device id=\"Q1\" kind=\"hologram\" x=\"0\" y=\"0\" "
                            "colour=\"clear\"/>") "</nameplate>"
                                                  "<nameplate name=\"good\" bought=\"2026\">" FUSE
                                                  "</nameplate>"
                                                  "<nameplate name=\"good\">" FUSE "</nameplate>"
                                                  "<nameplate name=\"hollow\"/><note>later</note>"
                                                  "<nameplate>" SHEET("") "</nameplate>"));
  g_autoptr(GPtrArray) list = read_good(path);
  assert_int_equal(list->len, 5);
  const Nameplate *future = list->pdata[0], *second = list->pdata[2], *hollow = list->pdata[3];
  assert_null(future->device);
  assert_non_null(strstr(future->problem, "hologram"));
  assert_string_equal(second->name, "good (2)");
  assert_non_null(second->device);
  assert_non_null(hollow->problem);
  assert_non_null(((Nameplate *)list->pdata[4])->problem);

  g_autoptr(Device) lamp = device_of("lamp");
  keep_good(path, "lamp", lamp);
  assert_true(nameplates_rename(path, "good (2)", "better", NULL));
  assert_true(nameplates_remove(path, "hollow", NULL));
  g_autofree char *text = keep_read(path);
  static const char *const still[] = {"<!-- mine -->", "hologram", "colour=\"clear\"",
                                      "bought=\"2026\"", "<note>later</note>"};
  for (guint i = 0; i < G_N_ELEMENTS(still); i++)
    if (strstr(text, still[i]) == NULL)
      fail_msg("%s was lost:\n%s", still[i], text);
  g_autoptr(GPtrArray) now = read_good(path);
  assert_non_null(nameplates_find(now, "better")->device);
  assert_non_null(nameplates_find(now, "good")->device);
}

/* A failed write leaves what was there. Root may write anywhere: then a folder stands in the way.
 */
static void
failed_writes_lose_nothing(void **state)
{
  (void)state;
  g_autofree char *path = shelf("blocked");
  assert_int_equal(g_mkdir(path, 0700), 0);
  g_autoptr(Device) fuse = device_of("fuse");
  g_autoptr(GError) error = NULL;
  assert_false(nameplates_keep(path, "x", fuse, false, &error));
  assert_non_null(strstr(error->message, path));
  assert_true(g_file_test(path, G_FILE_TEST_IS_DIR));
  if (geteuid() == 0)
    return;
  g_autofree char *mine = shelf("protected");
  keep_good(mine, "x", fuse);
  g_autofree char *before = keep_read(mine);
  g_chmod(mine, 0400);
  assert_false(nameplates_keep(mine, "y", fuse, false, NULL));
  g_autofree char *after = keep_read(mine);
  assert_string_equal(before, after);
}

/* --- several at once --- */

#define WRITERS 6
#define EACH 12

static void
writers_do_not_undo_one_another(void **state)
{
  (void)state;
  g_autofree char *path = shelf("several");
  g_autoptr(Device) fuse = device_of("fuse");
  pid_t children[WRITERS];
  for (int w = 0; w < WRITERS; w++) {
    children[w] = fork();
    assert_true(children[w] >= 0);
    if (children[w] > 0)
      continue;
    int failures = 0;
    for (int i = 0; i < EACH; i++) {
      g_autofree char *name = g_strdup_printf("writer %d, %d", w, i);
      failures += !nameplates_keep(path, name, fuse, false, NULL);
      g_autofree char *other = g_strdup_printf("writer %d, renamed %d", w, i);
      failures += i % 3 == 0 && !nameplates_rename(path, name, other, NULL);
    }
    _exit(failures);
  }
  for (int w = 0; w < WRITERS; w++) {
    int status = -1;
    assert_int_equal(waitpid(children[w], &status, 0), children[w]);
    assert_true(WIFEXITED(status));
    assert_int_equal(WEXITSTATUS(status), 0);
  }
  g_autoptr(GPtrArray) list = read_good(path);
  assert_int_equal(list->len, WRITERS * EACH);
  assert_non_null(nameplates_find(list, "writer 3, renamed 9"));
  assert_null(nameplates_find(list, "writer 3, 9"));
}

static void
count_told(gpointer data)
{
  ++*(int *)data;
}

static void
windows_are_told(void **state)
{
  (void)state;
  g_autofree char *path = shelf("told");
  g_autoptr(Device) fuse = device_of("fuse");
  int told = 0, other = 0;
  guint id = nameplates_listen(count_told, &told);
  guint second = nameplates_listen(count_told, &other);
  keep_good(path, "x", fuse);
  assert_false(nameplates_keep(path, "x", fuse, false, NULL));
  nameplates_unlisten(second);
  assert_true(nameplates_rename(path, "x", "y", NULL));
  nameplates_unlisten(id);
  assert_true(nameplates_remove(path, "y", NULL));
  assert_int_equal(told, 2);
  assert_int_equal(other, 1);
}

/* --- sharing --- */

static void
export_and_import(void **state)
{
  (void)state;
  g_autofree char *mine = shelf("mine"), *theirs = shelf("theirs"), *one = shelf("one");
  g_autoptr(Device) fuse = device_of("fuse"), lamp = device_of("lamp");
  keep_good(mine, "fuse", fuse);
  keep_good(mine, "lamp", lamp);
  assert_true(nameplates_export(mine, theirs, NULL, NULL));
  assert_true(nameplates_export(mine, one, "lamp", NULL));
  assert_false(nameplates_export(mine, one, "gone", NULL));
  assert_false(nameplates_export(mine, mine, NULL, NULL));
  g_autoptr(GPtrArray) sent = read_good(theirs), single = read_good(one);
  assert_int_equal(sent->len, 2);
  assert_int_equal(single->len, 1);

  /* A colleague with another "fuse" gets both, and what is the same is not there twice. */
  g_autofree char *colleague = shelf("colleague");
  assert_true(device_set(fuse, "rating", "3 A", NULL));
  keep_good(colleague, "fuse", fuse);
  keep_good(colleague, "lamp", lamp);
  NameplatesImport import;
  g_autoptr(GError) error = NULL;
  assert_true(nameplates_import(colleague, theirs, parts_catalog(), &import, &error));
  assert_int_equal(import.added, 1);
  assert_int_equal(import.renamed, 1);
  assert_int_equal(import.present, 1);
  assert_int_equal(import.unreadable, 0);
  g_autoptr(GPtrArray) list = read_good(colleague);
  assert_int_equal(list->len, 3);
  assert_non_null(nameplates_find(list, "fuse 2"));

  assert_false(nameplates_import(colleague, colleague, parts_catalog(), &import, &error));
  g_clear_error(&error);
  assert_false(nameplates_import(colleague, "/nonexistent/x", parts_catalog(), &import, &error));
  assert_int_equal(error->code, FILE_ERROR_OPEN);

  g_autofree char *strange = shelf("strange");
  keep_write(
      strange,
      SHELF("1",
            "<nameplate name=\"future\">" SHEET(
                "<device id=\"Q1\" kind=\"hologram\" x=\"0\" y=\"0\"/>") "</nameplate><nameplate "
                                                                         "name=\"new\">" FUSE
                                                                         "</nameplate>"));
  assert_true(nameplates_import(colleague, strange, parts_catalog(), &import, NULL));
  assert_int_equal(import.added, 1);
  assert_int_equal(import.unreadable, 1);
}

/* A long shelf is one pass: four times as many take nowhere near sixteen times as long. */
static void
long_shelves_stay_quick(void **state)
{
  (void)state;
  double seconds[2];
  for (int step = 0; step < 2; step++) {
    guint n = step == 0 ? 400 : 1600;
    g_autoptr(GString) text =
        g_string_new(HEAD "<shelf xmlns=\"" NAMEPLATES_NAMESPACE "\" version=\"1\">");
    for (guint i = 0; i < n; i++)
      g_string_append_printf(text, "<nameplate name=\"same\">%s</nameplate>", FUSE);
    g_string_append(text, "</shelf>");
    g_autofree char *path = shelf("long");
    keep_write(path, text->str);
    gint64 start = g_get_monotonic_time();
    g_autoptr(GPtrArray) list = read_good(path);
    seconds[step] = (double)(g_get_monotonic_time() - start) / 1e6;
    assert_int_equal(list->len, n);
  }
  print_message("400: %.3f s, 1600: %.3f s\n", seconds[0], seconds[1]);
  assert_true(seconds[1] < 10 * seconds[0]);
}

static int
begin(void **state)
{
  (void)state;
  keep_home();
  return 0;
}

static int
finish(void **state)
{
  (void)state;
  keep_home_remove();
  return 0;
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(every_kind_comes_back),
      cmocka_unit_test(leads_keep_their_order),
      cmocka_unit_test(state_is_no_nameplate),
      cmocka_unit_test(names),
      cmocka_unit_test(rename_replace_remove),
      cmocka_unit_test(proposals_are_free),
      cmocka_unit_test(unusable_files_stay_as_they_are),
      cmocka_unit_test(unreadable_nameplates_are_kept),
      cmocka_unit_test(failed_writes_lose_nothing),
      cmocka_unit_test(writers_do_not_undo_one_another),
      cmocka_unit_test(windows_are_told),
      cmocka_unit_test(export_and_import),
      cmocka_unit_test(long_shelves_stay_quick),
  };
  return cmocka_run_group_tests(tests, begin, finish);
}
