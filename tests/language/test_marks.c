/* SPDX-License-Identifier: MIT */
/* Looks through the source for sentences a person sees and nobody can translate, because they are
 * not marked. What looks like a sentence and is none is listed below with the reason. That the
 * search finds anything is shown by taking marks away. */
#include <gio/gio.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* --- what is no sentence --- */

static const char *const marks[] = {"_", "N_", "language_plural", "language_text_in", NULL};

/* Calls whose texts are for programs or for those who read a log. */
static const char *const machine_calls[] = {"g_warning",
                                            "g_debug",
                                            "g_critical",
                                            "g_message",
                                            "g_error",
                                            "strcmp",
                                            "g_str_equal",
                                            "strstr",
                                            "g_strcmp0",
                                            "g_str_has_prefix",
                                            "g_str_has_suffix",
                                            "memcmp",
                                            "static_assert",
                                            "cairo_select_font_face",
                                            "pango_font_description_from_string",
                                            "pango_font_description_set_family_static",
                                            "g_object_set",
                                            "g_regex_new",
                                            "G_DEFINE_QUARK",
                                            "g_dbus_connection_call",
                                            "g_dbus_connection_signal_subscribe",
                                            "g_boxed_type_register_static",
                                            "g_type_register_static",
                                            "attribute",
                                            "g_set_application_name",
                                            NULL};

/* Fields of tables whose texts belong to a contract. */
static const char *const machine_fields[] = {"also", "usage", "name", "initial", "example", NULL};

typedef struct {
  /* text: a part of it, or with "=" before it all of it; NULL: the whole file */
  const char *file, *text, *why;
} Allowed;

static const Allowed allowed[] = {
    {"diagram/schema.c", NULL, "RELAX NG"},
    {"pen/pen_svg.c", "@media", "CSS"},
    {"pen/pen_cairo.c", "page=", "a PDF destination"},
    {"pen/pen_cairo.c", "Doorsheet ", "the program's own name"},
    {"pen/pen_text.c", "Ag01", "letters to measure"},
    {"base/quantity_units.c", NULL, "units and how people type them"},
    {"desk/typed.c", NULL, "units as people type them"},
    {"base/language.c", "English", "a language is called in itself"},
    {"tables/", NULL, "names of standards, clauses and colours; what is shown is marked there"},
    {"keep/preferences.c", "NFPA 70", "a standard's name"},
    {"keep/preferences.c", "English", "a language is called in itself"},
    {"keep/preferences.c", "Espa", "a language is called in itself"},
    {"command/command.c", "doorsheet ", "what to type"},
    {"command/verb.c", "doorsheet %s", "what to type"},
    {"lesson/deal_form.c", "doorsheet quiz", "what to type"},
    {"lesson/deal_form.c", " --", "what to type"},
    {"command/", "doorsheet: %s", "the program's name before a translated sentence"},
    {"diagram/conductor.c", "conductor %s", "a name in files of exercises; Spanish says the same"},
    {"grade/score_place.c", "conductor %s", "compared with such names"},
    {"lesson/exercise_repairs.c", "conductor ", "compared with such names"},
    {"window/land_page.c", "device %s", "compared, never shown"},
    {"window/land_page.c", "conductor %u", "compared, never shown"},
    {"lesson/exercise_page.c", "amps %u", "compared, never shown"},
    {"window/", "Doorsheet ", "the program's own name"},
    {"window/dialogs.c", "Doorsheet", "the program's own name"},
    {"window/window.c", "- Doorsheet", "the program's own name"},
    {"window/window_main.c", "HighContrast", "a theme's name"},
    {"canvas/canvas.c", "x %s mm", "two coordinates"},
    {"quiz/sealed.c", "Bare", "a change nobody sees"},
    {"quiz/sealed.c", "doorsheet sealed master", "what a digest begins with"},
    {"grade/result_file.c", "doorsheet result", "what a digest begins with"},
    {"desk/keys.c", "<Control>", "a key as GTK names it"},
    {"desk/keys.c", "Delete", "a key as GTK names it"},
    {"desk/keys.c", "BackSpace", "a key as GTK names it"},
    {"window/row_table.c", "<Alt>", "a key as GTK names it"},
    {"parts/supply.c", "=L1 GND", "a value in files"},
    {"parts/supply.c", "=L2 GND", "a value in files"},
    {"parts/supply.c", "=L3 GND", "a value in files"},
    {"quiz/site_change.c", " GND", "a value in files"},
    {"diagram/field.c", "L1 GND", "a value in files"},
    {"diagram/field.c", "14 AWG", "a value in files"},
    {"window/read_page.c", "40 Mohm", "a value in files"},
    {"sheet/block.c", "Hz", "a unit"},
    {"parts/receptacle.c", " GFCI", "printed on the device"},
};

/* --- reading C --- */

typedef struct {
  char kind;  /* 's' text, 'i' word, 'p' else */
  char *text; /* of a text what stands between the quotes, pieces joined */
  guint line;
} Token;

static void
token_clear(gpointer data)
{
  g_free(((Token *)data)->text);
}

static const char *
skip_quoted(const char *p)
{
  const char quote = *p++;
  while (*p != '\0' && *p != quote)
    p += *p == '\\' && p[1] != '\0' ? 2 : 1;
  return *p != '\0' ? p + 1 : p;
}

static void
add(GArray *tokens, char kind, const char *from, const char *to, guint line)
{
  Token *last = tokens->len > 0 ? &g_array_index(tokens, Token, tokens->len - 1) : NULL;
  g_autofree char *text = g_strndup(from, (gsize)(to - from));
  if (kind == 's' && last != NULL && last->kind == 's') {
    char *joined = g_strconcat(last->text, text, NULL);
    g_free(last->text);
    last->text = joined;
    return;
  }
  Token token = {kind, g_steal_pointer(&text), line};
  g_array_append_val(tokens, token);
}

static GArray *
tokens_of(const char *source)
{
  GArray *tokens = g_array_new(FALSE, FALSE, sizeof(Token));
  guint line = 1;
  g_array_set_clear_func(tokens, token_clear);
  for (const char *p = source; *p != '\0';) {
    const char *from = p;
    if (p[0] == '/' && p[1] == '*') {
      const char *end = strstr(p, "*/");
      p = end != NULL ? end + 2 : p + strlen(p);
    } else if (p[0] == '#' && strncmp(p, "#define", 7) != 0) {
      p += strcspn(p, "\n"); /* #include and the like; a #define holds texts */
    } else if (*p == '"') {
      p = skip_quoted(p);
      add(tokens, 's', from + 1, p - 1, line);
    } else if (*p == '\'') {
      p = skip_quoted(p);
      add(tokens, 'p', from, p, line);
    } else if (g_ascii_isalpha(*p) || *p == '_') {
      while (g_ascii_isalnum(*p) || *p == '_')
        p++;
      add(tokens, 'i', from, p, line);
    } else {
      p++;
      if (!g_ascii_isspace(*from) && *from != '\\')
        add(tokens, 'p', from, p, line);
    }
    for (; from < p; from++)
      line += *from == '\n';
  }
  return tokens;
}

/* --- judging --- */

/* Without printf places, escapes and markup. New. */
static char *
plain(const char *text)
{
  GString *out = g_string_new(NULL);
  for (const char *p = text; *p != '\0'; p++) {
    if (*p == '%') {
      p += strspn(p + 1, "-+ #0123456789.*$lhz");
      p += p[1] != '\0';
      g_string_append_c(out, ' ');
    } else if (*p == '\\' && p[1] != '\0') {
      p++;
      g_string_append_c(out, ' ');
    } else if (*p == '<' && strchr(p, '>') != NULL) {
      p = strchr(p, '>');
    } else
      g_string_append_c(out, *p);
  }
  return g_string_free(out, FALSE);
}

/* Two words in a row, or one that begins like a heading: "Land", "Do it", "no reading". */
static bool
looks_like_words(const char *text)
{
  static GRegex *words, *heading, *key;
  if (words == NULL) {
    words = g_regex_new("[A-Za-z]{2,},? +[A-Za-z]", G_REGEX_DEFAULT, 0, NULL);
    heading = g_regex_new("^\\s*[A-Z][a-z]+[.:!?]?\\s*$", G_REGEX_DEFAULT, 0, NULL);
    key = g_regex_new("\\\\\":", G_REGEX_DEFAULT, 0, NULL); /* "volts":  of JSON */
  }
  g_autofree char *clean = plain(text);
  return !g_regex_match(key, text, 0, NULL) &&
         (g_regex_match(words, clean, 0, NULL) || g_regex_match(heading, clean, 0, NULL));
}

static bool
is_allowed(const char *file, const char *text)
{
  for (guint i = 0; i < G_N_ELEMENTS(allowed); i++)
    if (g_str_has_prefix(file, allowed[i].file) &&
        (allowed[i].text == NULL ||
         (allowed[i].text[0] == '=' ? strcmp(text, allowed[i].text + 1) == 0
                                    : strstr(text, allowed[i].text) != NULL)))
      return true;
  return false;
}

static bool
one_of(const char *const *list, const char *word)
{
  return word != NULL && g_strv_contains(list, word);
}

/* The unmarked sentences of one file, as "line: text". Of char *. */
static GPtrArray *
unmarked(const char *file, const char *source)
{
  g_autoptr(GArray) tokens = tokens_of(source);
  g_autoptr(GPtrArray) calls = g_ptr_array_new(); /* of char *: the name before each bracket */
  GPtrArray *found = g_ptr_array_new_with_free_func(g_free);
  const char *field = NULL;

  for (guint i = 0; i < tokens->len; i++) {
    const Token *token = &g_array_index(tokens, Token, i);
    const Token *before = i > 0 ? token - 1 : NULL;
    const char *call = calls->len > 0 ? calls->pdata[calls->len - 1] : NULL;
    if (token->kind == 'p' && strchr("([{", token->text[0]) != NULL && token->text[0] != '\0')
      g_ptr_array_add(calls, token->text[0] == '(' && before != NULL && before->kind == 'i'
                                 ? before->text
                                 : NULL);
    else if (token->kind == 'p' && strchr(")]}", token->text[0]) != NULL && calls->len > 0)
      g_ptr_array_set_size(calls, (int)calls->len - 1);
    if (token->kind == 'p' && token->text[0] == '.' && i + 1 < tokens->len)
      field = token[1].text;
    else if (token->kind == 'p' && strchr(",;{", token->text[0]) != NULL)
      field = NULL;
    if (token->kind != 's' || one_of(marks, call) || one_of(machine_calls, call) ||
        (one_of(machine_fields, field) && before->text[0] == '=') ||
        !looks_like_words(token->text) || is_allowed(file, token->text))
      continue;
    g_ptr_array_add(found, g_strdup_printf("%u: \"%s\"", token->line, token->text));
  }
  return found;
}

/* --- the source --- */

static void
walk(const char *folder, GPtrArray *files)
{
  g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
  assert_non_null(dir);
  for (const char *name = g_dir_read_name(dir); name != NULL; name = g_dir_read_name(dir)) {
    g_autofree char *path = g_build_filename(folder, name, NULL);
    if (g_file_test(path, G_FILE_TEST_IS_DIR))
      walk(path, files);
    else if (g_str_has_suffix(name, ".c") || g_str_has_suffix(name, ".h"))
      g_ptr_array_add(files, g_steal_pointer(&path));
  }
}

static char *root;

static GPtrArray *
source_files(void)
{
  GPtrArray *files = g_ptr_array_new_with_free_func(g_free);
  walk(root, files);
  assert_true(files->len > 300);
  return files;
}

static char *
read_file(const char *path)
{
  char *text = NULL;
  assert_true(g_file_get_contents(path, &text, NULL, NULL));
  return text;
}

static void
every_sentence_is_marked(void **state)
{
  g_autoptr(GPtrArray) files = source_files();
  guint missing = 0;
  (void)state;

  for (guint i = 0; i < files->len; i++) {
    g_autofree char *text = read_file(files->pdata[i]);
    const char *file = (const char *)files->pdata[i] + strlen(root) + 1;
    g_autoptr(GPtrArray) found = unmarked(file, text);
    for (guint k = 0; k < found->len; k++)
      print_error("src/%s:%s is not marked with _() or N_()\n", file,
                  (const char *)found->pdata[k]);
    missing += found->len;
  }
  assert_int_equal(missing, 0);
}

/* Every seventh mark of the whole source is taken away in turn, in memory: the search has to see
 * it, unless the text is one word in small letters, which could be anything. */
static void
a_mark_taken_away_is_missed(void **state)
{
  g_autoptr(GPtrArray) files = source_files();
  guint taken = 0, seen = 0, number = 0;
  (void)state;

  for (guint i = 0; i < files->len; i++) {
    g_autofree char *text = read_file(files->pdata[i]);
    const char *file = (const char *)files->pdata[i] + strlen(root) + 1;
    for (char *at = text; (at = strstr(at, "_(\"")) != NULL; at += 3) {
      bool noted = at > text && at[-1] == 'N';
      if ((at > text && !noted && (g_ascii_isalnum(at[-1]) || at[-1] == '_')) || number++ % 7 != 0)
        continue;
      const char *end = skip_quoted(at + 2);
      g_autofree char *inside = g_strndup(at + 3, (gsize)(end - at - 4));
      if (!looks_like_words(inside) || is_allowed(file, inside))
        continue;
      char *from = noted ? at - 1 : at;
      char kept[2] = {from[0], from[noted ? 1 : 0]};
      from[0] = ' ';
      if (noted)
        from[1] = ' ';
      g_autoptr(GPtrArray) found = unmarked(file, text);
      from[0] = kept[0];
      if (noted)
        from[1] = kept[1];
      taken++;
      seen += found->len > 0;
      if (found->len == 0)
        print_error("src/%s: without its mark nobody misses \"%s\"\n", file, inside);
    }
  }
  assert_true(taken > 150);
  assert_int_equal(seen, taken);
}

/* A list of exceptions is not to outlive what it excuses. */
static void
exceptions_are_used(void **state)
{
  g_autoptr(GPtrArray) files = source_files();
  (void)state;

  for (guint a = 0; a < G_N_ELEMENTS(allowed); a++) {
    bool used = false;
    for (guint i = 0; i < files->len && !used; i++) {
      const char *file = (const char *)files->pdata[i] + strlen(root) + 1;
      if (!g_str_has_prefix(file, allowed[a].file))
        continue;
      g_autofree char *text = read_file(files->pdata[i]);
      const char *part = allowed[a].text;
      used = part == NULL || strstr(text, part + (part[0] == '=')) != NULL;
    }
    if (!used)
      fail_msg("src/%s has no \"%s\" any more: take it off the list", allowed[a].file,
               allowed[a].text != NULL ? allowed[a].text : "");
  }
}

/* Templates and menus: what a person reads in a .ui file is marked translatable. */
static void
templates_are_marked(void **state)
{
  g_autofree char *folder = g_build_filename(g_getenv("DOORSHEET_SOURCE"), "ui", NULL);
  g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
  g_autoptr(GRegex) form = g_regex_new(
      "<(?:property|attribute) name=\"(?:label|title|tooltip-text|placeholder-text|description)\">"
      "([^<]*)<",
      G_REGEX_DEFAULT, 0, NULL);
  static const char *const names[] = {"Doorsheet", "PDF", "SVG", "PNG", "V", "A", "R", "B", NULL};
  guint files = 0;
  (void)state;

  for (const char *name = g_dir_read_name(dir); name != NULL; name = g_dir_read_name(dir)) {
    if (!g_str_has_suffix(name, ".ui"))
      continue;
    g_autofree char *path = g_build_filename(folder, name, NULL);
    g_autofree char *text = read_file(path);
    g_autoptr(GMatchInfo) match = NULL;
    files++;
    g_regex_match(form, text, 0, &match);
    for (; g_match_info_matches(match); g_match_info_next(match, NULL)) {
      g_autofree char *inside = g_match_info_fetch(match, 1);
      if (g_ascii_isalpha(inside[0]) && !g_strv_contains(names, inside))
        fail_msg("ui/%s: \"%s\" is not marked translatable=\"yes\"", name, inside);
    }
  }
  assert_true(files > 10);
}

int
main(void)
{
  root = g_build_filename(g_getenv("DOORSHEET_SOURCE"), "src", NULL);
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(every_sentence_is_marked),
      cmocka_unit_test(a_mark_taken_away_is_missed),
      cmocka_unit_test(exceptions_are_used),
      cmocka_unit_test(templates_are_marked),
  };
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  g_free(root);
  return failed;
}
