/* SPDX-License-Identifier: MIT */
#include "base/language.h"

#include <gio/gio.h>
#include <string.h>

#include "language-resources.h"

typedef struct Language {
  const char *code, *name;
} Language;

static const Language languages[] = {
    {"en", "English"}, /* the source itself */
    {"es", "Español"},
};

static GHashTable *catalogues[G_N_ELEMENTS(languages)]; /* source text => translation; NULL: none */
static gint chosen_default;                             /* atomic */
static _Thread_local int chosen = -1;                   /* -1: the default */

/* The layout of a catalogue: GNU gettext manual, "The Format of GNU MO Files". Words in the byte
 * order of the machine that made it, which is told by the first. */
#define CATALOGUE_MAGIC 0x950412deU
enum { HEAD_MAGIC, HEAD_REVISION, HEAD_COUNT, HEAD_SOURCES, HEAD_TRANSLATIONS, HEAD_WORDS };

typedef struct Bytes {
  const char *data;
  gsize size;
  bool swapped;
} Bytes;

static guint32
word_at(const Bytes *bytes, gsize offset)
{
  guint32 word = 0;

  if (offset > bytes->size || bytes->size - offset < sizeof word)
    return 0;
  memcpy(&word, bytes->data + offset, sizeof word);
  return bytes->swapped ? GUINT32_SWAP_LE_BE(word) : word;
}

/* The n-th text of a table of (length, offset) pairs; NULL where it does not lie in the file. */
static const char *
text_at(const Bytes *bytes, gsize table, gsize n)
{
  const gsize length = word_at(bytes, table + 8 * n), offset = word_at(bytes, table + 8 * n + 4);

  if (offset == 0 || offset >= bytes->size || length >= bytes->size - offset ||
      bytes->data[offset + length] != '\0')
    return NULL;
  return bytes->data + offset;
}

/* Plural forms lie one behind the other with a NUL between: the first is the key. */
static GHashTable *
read_catalogue(const Bytes *bytes)
{
  GHashTable *texts = g_hash_table_new(g_str_hash, g_str_equal);
  const guint32 count = word_at(bytes, 4 * HEAD_COUNT);

  for (guint32 i = 0; i < count; i++) {
    const char *source = text_at(bytes, word_at(bytes, 4 * HEAD_SOURCES), i);
    const char *translation = text_at(bytes, word_at(bytes, 4 * HEAD_TRANSLATIONS), i);
    if (source != NULL && translation != NULL && *source != '\0' && *translation != '\0')
      g_hash_table_insert(texts, (gpointer)(guintptr)source, (gpointer)(guintptr)translation);
  }
  return texts;
}

static void
open_catalogue(guint n)
{
  g_autofree char *path = g_strconcat("/org/doorsheet/language/", languages[n].code, ".mo", NULL);
  GBytes *held = g_resource_lookup_data(doorsheet_language_get_resource(), path,
                                        G_RESOURCE_LOOKUP_FLAGS_NONE, NULL);
  Bytes bytes = {0};

  if (held == NULL)
    return;
  /* Never given back: translations are borrowed for ever. */
  bytes.data = g_bytes_get_data(held, &bytes.size);
  bytes.swapped = word_at(&bytes, 0) == GUINT32_SWAP_LE_BE(CATALOGUE_MAGIC);
  if (word_at(&bytes, 0) == CATALOGUE_MAGIC)
    catalogues[n] = read_catalogue(&bytes);
}

static GHashTable *
catalogue(int n)
{
  static gsize opened;

  if (n == 0)
    return NULL; /* the source is English: nothing to open, nothing to look up */
  if (g_once_init_enter(&opened)) {
    /* By hand: a constructor in a static library is left out where nothing refers to it. */
    doorsheet_language_register_resource();
    for (guint i = 1; i < G_N_ELEMENTS(languages); i++)
      open_catalogue(i);
    g_once_init_leave(&opened, 1);
  }
  return catalogues[n];
}

static int
find(const char *code)
{
  for (guint i = 0; code != NULL && i < G_N_ELEMENTS(languages); i++)
    if (strcmp(languages[i].code, code) == 0)
      return (int)i;
  return -1;
}

static int
now(void)
{
  return chosen >= 0 ? chosen : g_atomic_int_get(&chosen_default);
}

guint
language_count(void)
{
  return G_N_ELEMENTS(languages);
}

const char *
language_code(guint n)
{
  return languages[n].code;
}

const char *
language_name(guint n)
{
  return languages[n].name;
}

bool
language_known(const char *code)
{
  return find(code) >= 0;
}

const char *
language_of_user(void)
{
  /* From the most to the least wanted, each with its shorter forms: es_MX.UTF-8, es_MX, es, C. */
  for (const char *const *name = g_get_language_names(); *name != NULL; name++) {
    if (find(*name) >= 0)
      return languages[find(*name)].code;
    if (strcmp(*name, "C") == 0)
      break;
  }
  return languages[0].code;
}

void
language_set_default(const char *code)
{
  if (language_known(code))
    g_atomic_int_set(&chosen_default, find(code));
}

const char *
language_choose(const char *code)
{
  const char *before = chosen >= 0 ? languages[chosen].code : NULL;

  if (code == NULL || language_known(code))
    chosen = find(code);
  return before;
}

const char *
language_now(void)
{
  return languages[now()].code;
}

static const char *
lookup(int language, const char *text)
{
  GHashTable *texts = text != NULL ? catalogue(language) : NULL;

  return texts != NULL ? g_hash_table_lookup(texts, text) : NULL;
}

const char *
language_text(const char *text)
{
  const char *translation = lookup(now(), text);

  return translation != NULL ? translation : text;
}

const char *
language_text_in(const char *code, const char *text)
{
  const char *translation = lookup(MAX(find(code), 0), text);

  return translation != NULL ? translation : text;
}

const char *
language_plural(const char *one, const char *many, gulong count)
{
  const char *translation = lookup(now(), one);

  if (translation == NULL)
    return count == 1 ? one : many;
  return count == 1 ? translation : translation + strlen(translation) + 1;
}

char *
language_fill(const char *sentence, ...)
{
  const char *texts[10] = {NULL};
  guint n = 0, next = 0;
  va_list list;

  va_start(list, sentence);
  while (n < 9 && (texts[n] = va_arg(list, const char *)) != NULL)
    n++;
  va_end(list);
  GString *filled = g_string_new(NULL);
  for (const char *p = sentence; *p != '\0';) {
    guint place = next;
    if (p[0] == '%' && p[1] == 's') {
      next++;
      p += 2;
    } else if (p[0] == '%' && p[1] >= '1' && p[1] <= '9' && p[2] == '$' && p[3] == 's') {
      place = (guint)(p[1] - '1');
      p += 4;
    } else {
      g_string_append_c(filled, *p++);
      continue;
    }
    if (place < n)
      g_string_append(filled, texts[place]);
  }
  return g_string_free(filled, FALSE);
}

char *
language_list(const char *const *texts, guint n)
{
  GString *list = g_string_new(NULL);

  for (guint i = 0; i + 1 < n; i++)
    g_string_append_printf(list, "%s%s", i > 0 ? ", " : "", texts[i]);
  if (n < 2)
    g_string_append(list, n == 1 ? texts[0] : "");
  else {
    g_autofree char *before = g_string_free(g_steal_pointer(&list), FALSE);
    return g_strdup_printf(_("%s and %s"), before, texts[n - 1]);
  }
  return g_string_free(list, FALSE);
}

char *
language_date(const char *text)
{
  static const char *const months[] = {N_("Jan"), N_("Feb"), N_("Mar"), N_("Apr"),
                                       N_("May"), N_("Jun"), N_("Jul"), N_("Aug"),
                                       N_("Sep"), N_("Oct"), N_("Nov"), N_("Dec")};
  guint digits[3] = {0}; /* year, month, day */
  guint part = 0, length = 0;

  for (const char *p = text; *p != '\0'; p++) {
    if (*p == '-' && length == (part == 0 ? 4 : 2) && part < 2) {
      part++;
      length = 0;
    } else if (g_ascii_isdigit(*p) && length < (part == 0 ? 4 : 2)) {
      digits[part] = digits[part] * 10 + (guint)(*p - '0');
      length++;
    } else
      return g_strdup(text);
  }
  if (part != 2 || length != 2 ||
      !g_date_valid_dmy((GDateDay)digits[2], (GDateMonth)digits[1], (GDateYear)digits[0]))
    return g_strdup(text);
  return g_strdup_printf("%u %s %u", digits[2], _(months[digits[1] - 1]), digits[0]);
}
