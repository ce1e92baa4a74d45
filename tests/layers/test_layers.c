/* SPDX-License-Identifier: MIT */
/* Walks every include of src and holds it to the order of the layers: a file may include only its
 * own folder and folders further down; files include one another without cycles; only desk, canvas,
 * window and main may know GTK. The same walk holds each file to its size and its licence line. */
#include <gio/gio.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <string.h>

#include <cmocka.h>

static const char *const layers[] = {"base",   "tables", "pen",     "diagram", "circuit",
                                     "parts",  "solve",  "checks",  "quiz",    "grade",
                                     "figure", "sheet",  "handout", "command", "keep",
                                     "desk",   "canvas", "lesson",  "window",  NULL};

typedef struct {
  char *path;          /* below src: "base/text.c" */
  GPtrArray *includes; /* of char *, as written */
  GPtrArray *system;   /* of char *, in angle brackets */
  char *text;
} Source;

static void
source_free(gpointer data)
{
  Source *source = data;
  g_free(source->path);
  g_free(source->text);
  g_ptr_array_unref(source->includes);
  g_ptr_array_unref(source->system);
  g_free(source);
}

static int
layer_of(const char *path)
{
  for (int i = 0; layers[i]; i++) {
    size_t n = strlen(layers[i]);
    if (strncmp(path, layers[i], n) == 0 && path[n] == '/')
      return i;
  }
  return -1;
}

static Source *
source_read(const char *root, const char *path)
{
  Source *source = g_new0(Source, 1);
  source->path = g_strdup(path);
  source->includes = g_ptr_array_new_with_free_func(g_free);
  source->system = g_ptr_array_new_with_free_func(g_free);
  g_autofree char *full = g_build_filename(root, path, NULL);
  assert_true(g_file_get_contents(full, &source->text, NULL, NULL));
  g_auto(GStrv) lines = g_strsplit(source->text, "\n", -1);
  for (guint i = 0; lines[i]; i++) {
    const char *line = g_strchug(lines[i]);
    if (*line != '#')
      continue;
    const char *word = line + 1;
    while (*word == ' ')
      word++;
    if (!g_str_has_prefix(word, "include"))
      continue;
    const char *open = strpbrk(word, "\"<");
    if (!open)
      continue;
    const char *close = strchr(open + 1, *open == '<' ? '>' : '"');
    assert_non_null(close);
    g_ptr_array_add(*open == '<' ? source->system : source->includes,
                    g_strndup(open + 1, (gsize)(close - open - 1)));
  }
  return source;
}

static void
walk(const char *root, const char *below, GPtrArray *out)
{
  g_autofree char *folder = g_build_filename(root, below, NULL);
  g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
  assert_non_null(dir);
  for (const char *name = g_dir_read_name(dir); name; name = g_dir_read_name(dir)) {
    g_autofree char *path = *below ? g_build_filename(below, name, NULL) : g_strdup(name);
    g_autofree char *full = g_build_filename(root, path, NULL);
    if (g_file_test(full, G_FILE_TEST_IS_DIR))
      walk(root, path, out);
    else if (g_str_has_suffix(name, ".c") || g_str_has_suffix(name, ".h"))
      g_ptr_array_add(out, source_read(root, path));
  }
}

static GPtrArray *
sources(void)
{
  static GPtrArray *list;
  if (!list) {
    g_autofree char *root = g_build_filename(g_getenv("DOORSHEET_SOURCE"), "src", NULL);
    list = g_ptr_array_new_with_free_func(source_free);
    walk(root, "", list);
    assert_true(list->len > 40);
  }
  return list;
}

static void
includes_point_down(void **state)
{
  (void)state;
  GPtrArray *list = sources();
  for (guint i = 0; i < list->len; i++) {
    const Source *source = g_ptr_array_index(list, i);
    int own = layer_of(source->path);
    if (own < 0 && strcmp(source->path, "main.c") != 0)
      fail_msg("src/%s lies in no layer", source->path);
    for (guint k = 0; k < source->includes->len; k++) {
      const char *include = g_ptr_array_index(source->includes, k);
      int other = layer_of(include);
      /* Made while building: the catalogues of translations. */
      if (strcmp(include, "language-resources.h") == 0)
        continue;
      if (other < 0)
        fail_msg("src/%s includes \"%s\": write the path from src", source->path, include);
      if (own >= 0 && other > own)
        fail_msg("src/%s includes \"%s\", which lies above it", source->path, include);
    }
  }
}

static void
only_the_window_knows_gtk(void **state)
{
  (void)state;
  GPtrArray *list = sources();
  for (guint i = 0; i < list->len; i++) {
    const Source *source = g_ptr_array_index(list, i);
    bool may =
        g_str_has_prefix(source->path, "window/") ||
        (g_str_has_prefix(source->path, "desk/") || g_str_has_prefix(source->path, "canvas/")) ||
        g_str_has_prefix(source->path, "lesson/") ||
        strcmp(source->path, "main.c") == 0;
    for (guint k = 0; k < source->system->len && !may; k++) {
      const char *include = g_ptr_array_index(source->system, k);
      if (g_str_has_prefix(include, "gtk/") || g_str_has_prefix(include, "gdk/"))
        fail_msg("src/%s includes <%s>", source->path, include);
    }
  }
}

/* Depth-first with three colours over the graph of files. */
static void
visit(GHashTable *by_path, GHashTable *colour, const char *path)
{
  const Source *source = g_hash_table_lookup(by_path, path);
  if (!source)
    return;
  g_hash_table_insert(colour, (gpointer)source->path, GINT_TO_POINTER(1));
  for (guint k = 0; k < source->includes->len; k++) {
    const char *include = g_ptr_array_index(source->includes, k);
    int mark = GPOINTER_TO_INT(g_hash_table_lookup(colour, include));
    if (mark == 1)
      fail_msg("src/%s and \"%s\" include each other", path, include);
    if (mark == 0)
      visit(by_path, colour, include);
  }
  g_hash_table_insert(colour, (gpointer)source->path, GINT_TO_POINTER(2));
}

static void
nothing_goes_round(void **state)
{
  (void)state;
  GPtrArray *list = sources();
  g_autoptr(GHashTable) by_path = g_hash_table_new(g_str_hash, g_str_equal);
  g_autoptr(GHashTable) colour = g_hash_table_new(g_str_hash, g_str_equal);
  for (guint i = 0; i < list->len; i++) {
    Source *source = g_ptr_array_index(list, i);
    g_hash_table_insert(by_path, source->path, source);
  }
  for (guint i = 0; i < list->len; i++) {
    const Source *source = g_ptr_array_index(list, i);
    if (!g_hash_table_lookup(colour, source->path))
      visit(by_path, colour, source->path);
  }
}

static guint
count_lines(const char *text)
{
  guint lines = 0;
  for (const char *p = text; *p; p++)
    lines += *p == '\n';
  return lines;
}

static void
files_stay_readable(void **state)
{
  (void)state;
  GPtrArray *list = sources();
  g_autoptr(GHashTable) folders = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
  for (guint i = 0; i < list->len; i++) {
    const Source *source = g_ptr_array_index(list, i);
    if (!g_str_has_prefix(source->text, "/* SPDX-License-Identifier: MIT */\n"))
      fail_msg("src/%s does not begin with its licence line", source->path);
    if (count_lines(source->text) > 550)
      fail_msg("src/%s has %u lines", source->path, count_lines(source->text));
    /* A .c and its .h count as one: they are one module. */
    char *folder = g_path_get_dirname(source->path);
    guint count = GPOINTER_TO_UINT(g_hash_table_lookup(folders, folder));
    count += g_str_has_suffix(source->path, ".c");
    g_hash_table_insert(folders, folder, GUINT_TO_POINTER(count));
    if (count > 30)
      fail_msg("src/%s has %u modules", folder, count);
  }
}

/* The reader, the circuit and the sheet treat every device kind alike. */
static void
lower_layers_name_no_kind(void **state)
{
  (void)state;
  GPtrArray *list = sources();
  for (guint i = 0; i < list->len; i++) {
    const Source *source = g_ptr_array_index(list, i);
    if (g_str_has_prefix(source->path, "parts/"))
      continue;
    if (strstr(source->text, "kind->name, \"") || strstr(source->text, "part_catalog_find(\""))
      fail_msg("src/%s asks for a kind by its name", source->path);
    for (guint k = 0; k < source->includes->len; k++) {
      const char *include = g_ptr_array_index(source->includes, k);
      if (g_str_has_prefix(include, "parts/") && strcmp(include, "parts/catalog.h") != 0)
        fail_msg("src/%s includes \"%s\": only the catalog is public", source->path, include);
    }
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(includes_point_down),       cmocka_unit_test(only_the_window_knows_gtk),
      cmocka_unit_test(nothing_goes_round),        cmocka_unit_test(files_stay_readable),
      cmocka_unit_test(lower_layers_name_no_kind),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
