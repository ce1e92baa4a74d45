/* SPDX-License-Identifier: MIT */
#include "quiz/sealed.h"

#include <string.h>

#define SEAL_CONSTANT "doorsheet sealed master 1"
#define BLOCK 32 /* bytes of SHA-256 */

static void
hmac(const char *key, const void *data, gsize size, guint8 out[BLOCK])
{
  gsize length = BLOCK;
  g_autoptr(GHmac) sum = g_hmac_new(G_CHECKSUM_SHA256, (const guchar *)key, strlen(key));
  g_hmac_update(sum, data, (gssize)size);
  g_hmac_get_digest(sum, out, &length);
}

static char *
key_of(const char *use, const char *set)
{
  return g_strdup_printf("%s %s %s", SEAL_CONSTANT, use, set);
}

/* Enciphers and deciphers alike. */
static void
cipher(guint8 *data, gsize size, const char *set)
{
  g_autofree char *key = key_of("stream", set);
  guint8 pad[BLOCK];
  for (gsize i = 0; i < size; i++) {
    if (i % BLOCK == 0) {
      guint32 counter = GUINT32_TO_BE((guint32)(i / BLOCK));
      hmac(key, &counter, sizeof counter, pad);
    }
    data[i] ^= pad[i % BLOCK];
  }
}

static void
sum_of(const guint8 *text, gsize size, const char *set, guint8 out[BLOCK])
{
  g_autofree char *key = key_of("sum", set);
  hmac(key, text, size, out);
}

/* Without what belongs to the instructor only, and without an exercise's own data. */
static Document *
bare(const Document *master)
{
  g_autoptr(Document) copy = document_snapshot(master);
  g_autoptr(SheetData) sheet = sheet_data_copy(document_sheet(copy));
  g_autoptr(Change) change = change_new("Bare");
  for (guint i = 0; i < document_measured_count(copy); i++)
    change_measured(change, document_measured(copy, i), NULL);
  for (guint i = 0; i < document_intended_count(copy); i++)
    change_intended(change, document_intended(copy, i), NULL);
  for (guint i = 0; i < EXERCISE_FIELD_COUNT; i++)
    if (!value_set_text(&sheet->exercise[i], &exercise_fields[i], NULL, NULL))
      return NULL;
  if (!sheet_data_equal(sheet, document_sheet(copy)))
    change_sheet(change, document_sheet(copy), sheet);
  return document_apply(copy, g_steal_pointer(&change), NULL) ? g_steal_pointer(&copy) : NULL;
}

char *
sealed_close(const Document *master, const char *set)
{
  g_autoptr(Document) plain = bare(master);
  if (plain == NULL)
    return NULL;
  g_autoptr(GBytes) bytes = document_write_memory(plain);
  gsize size;
  const guint8 *text = g_bytes_get_data(bytes, &size);
  if (size > SEALED_MOST)
    return NULL;
  g_autofree guint8 *data = g_malloc(BLOCK + size);
  sum_of(text, size, set, data);
  memcpy(data + BLOCK, text, size);
  cipher(data + BLOCK, size, set);
  return g_base64_encode(data, BLOCK + size);
}

Document *
sealed_open(const Document *exercise)
{
  const SheetData *sheet = document_sheet(exercise);
  const char *set = sheet_exercise_text(sheet, EXERCISE_SET);
  const char *sealed = sheet_exercise_text(sheet, EXERCISE_SEALED);
  gsize size = 0;
  g_autofree guint8 *data = g_base64_decode(sealed, &size);
  guint8 sum[BLOCK];
  if (size <= BLOCK)
    return NULL;
  cipher(data + BLOCK, size - BLOCK, set);
  sum_of(data + BLOCK, size - BLOCK, set, sum);
  if (memcmp(sum, data, BLOCK) != 0)
    return NULL;
  return document_read_memory((const char *)data + BLOCK, size - BLOCK, "sealed",
                              document_catalog(exercise), NULL);
}
