/* SPDX-License-Identifier: MIT */
/* What a program that died has left. */
#include "keep/recovery.h"

#include "base/language.h"
#include "keep/recovery_folder.h"
#include <errno.h>
#include <glib/gstdio.h>
#include <string.h>

/* Half-written files of a killed program; an hour, because another one may be writing now. */
#define STALE_SECONDS 3600

static void
offer_free(gpointer data)
{
  RecoveryOffer *offer = data;
  recovery_folder_unlock(offer->lock);
  g_free(offer->file);
  g_free(offer->path);
  g_free(offer->digest);
  g_free(offer->name);
  g_free(offer->base);
  g_free(offer);
}

void
recovery_offer_discard(RecoveryOffer *offer)
{
  recovery_folder_remove(offer->base, offer->lock);
  offer->lock = -1;
}

static RecoveryOffer *
offer_new(const char *base, int lock, gint64 changed)
{
  RecoveryOffer *offer = g_new0(RecoveryOffer, 1);
  offer->base = g_strdup(base);
  offer->lock = lock;
  offer->changed = changed;
  offer->file = recovery_folder_file(base, ".doorsheet");
  g_autofree char *ini = recovery_folder_file(base, ".ini");
  g_autoptr(GKeyFile) about = g_key_file_new();
  g_key_file_load_from_file(about, ini, G_KEY_FILE_NONE, NULL); /* lost: an unnamed sheet */
  offer->path = g_key_file_get_string(about, "sheet", "path", NULL);
  offer->digest = g_key_file_get_string(about, "sheet", "digest", NULL);
  offer->name = g_key_file_get_string(about, "sheet", "name", NULL);
  if (offer->path != NULL && *offer->path == '\0')
    g_clear_pointer(&offer->path, g_free);
  if (offer->digest == NULL)
    offer->digest = g_strdup("");
  if (offer->name == NULL || *offer->name == '\0') {
    g_free(offer->name);
    offer->name = g_strdup(_("New sheet"));
  }
  return offer;
}

static int
compare_newest(gconstpointer a, gconstpointer b)
{
  const RecoveryOffer *left = *(RecoveryOffer *const *)a, *right = *(RecoveryOffer *const *)b;
  return left->changed < right->changed ? 1 : left->changed > right->changed ? -1 : 0;
}

/* A lock or description whose sheet was never written. */
static void
sweep(const char *folder, const char *name)
{
  g_autofree char *path = g_build_filename(folder, name, NULL);
  GStatBuf info;
  if (g_stat(path, &info) != 0)
    return;
  const char *dot = strrchr(name, '.');
  if (dot == NULL || g_get_real_time() / G_USEC_PER_SEC - info.st_mtime < STALE_SECONDS)
    return;
  if (strcmp(dot, ".tmp") == 0) {
    g_unlink(path);
    return;
  }
  g_autofree char *base = g_strndup(name, (gsize)(dot - name));
  g_autofree char *sheet = recovery_folder_file(base, ".doorsheet");
  if (g_file_test(sheet, G_FILE_TEST_EXISTS))
    return;
  int lock = recovery_folder_lock(base);
  if (lock >= 0)
    recovery_folder_remove(base, lock);
}

GPtrArray *
recovery_offers(void)
{
  GPtrArray *offers = g_ptr_array_new_with_free_func(offer_free);
  g_autofree char *folder = recovery_folder_path();
  g_autoptr(GDir) dir = g_dir_open(folder, 0, NULL);
  const char *name;
  while (dir != NULL && (name = g_dir_read_name(dir)) != NULL) {
    g_autofree char *path = g_build_filename(folder, name, NULL);
    GStatBuf info;
    if (!g_str_has_suffix(name, ".doorsheet")) {
      sweep(folder, name);
      continue;
    }
    g_autofree char *base = g_strndup(name, strlen(name) - strlen(".doorsheet"));
    int lock = recovery_folder_lock(base);
    if (lock < 0)
      continue; /* a window that lives */
    if (g_stat(path, &info) == 0 && S_ISREG(info.st_mode))
      g_ptr_array_add(offers, offer_new(base, lock, info.st_mtime));
    else
      recovery_folder_unlock(lock);
  }
  g_ptr_array_sort(offers, compare_newest);
  return offers;
}
